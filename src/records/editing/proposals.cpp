#include "offered/editing/proposal_records.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/mark_files.h"
#include "records/editing/mark_json.h"
#include "records/files/json_values.h"

#include <algorithm>

namespace ohmglow::records {

std::string proposals_json(const std::vector<ProposalFor>& proposals) {
  const auto one = [](const ProposalFor& image) {
    OrderedJson json{{"file", image.image}};
    const auto& proposal = image.proposal;
    json["confidence"] = proposal ? OrderedJson(proposal->confidence) : OrderedJson();
    json["reason"] = proposal ? proposal->reason : image.why_not;
    json["note"] = proposal ? text_or_null(proposal->note) : OrderedJson();
    json["written"] = image.written;
    json["marks"] = proposal ? list_of(proposal->marks, mark_json) : OrderedJson::array();
    return json;
  };
  return dumped_lines(OrderedJson{{"version", 1}, {"images", list_of(proposals, one)}});
}

Result<void> write_proposal(const std::filesystem::path& folder, std::string_view image,
                            cv::Size size, const marking::Proposal& proposal,
                            const PhaseNames& phase_names) {
  const auto etag = marks_etag(folder, image);
  if (!etag) return fail(etag.error());
  MarkFile file{std::string(image), size.width, size.height, {}};
  if (*etag != kNoFile) {
    auto there = read_marks(folder, image, phase_names);
    if (!there) return fail(there.error());
    if (!there->problems.empty()) {
      return fail({.kind = ErrorKind::invalid_value,
                   .what = "the mark file has problems: " + there->problems.front().message,
                   .mend = "mend it by hand first",
                   .place = {.file = there->problems.front().file}});
    }
    file = std::move(there->file);
  }
  const auto has = [&file](const auto& test) {
    return std::any_of(file.marks.begin(), file.marks.end(), test);
  };
  if (has([](const Mark& mark) { return mark.role == MarkRole::lug; })) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "a lug of this image has been marked in the meantime",
                 .place = {.file = std::string(image)}});
  }
  for (const Mark& mark : proposal.marks) {
    const bool taken = has([&mark](const Mark& other) {
      return other.name == mark.name || (mark.role != MarkRole::lug && other.role == mark.role);
    });
    if (!taken) file.marks.push_back(mark);
  }
  const auto saved = save_marks(folder, file, *etag);
  if (!saved) return fail(saved.error());
  return {};
}

}  // namespace ohmglow::records
