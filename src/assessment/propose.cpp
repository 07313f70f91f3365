#include "offered/assessment/images.h"

#include <set>

namespace ohmglow::assessment {
namespace {

/// More images of one place than these add nothing but time.
constexpr std::size_t kMostCandidates = 3;

/// The phases of the lugs that a person has marked or accepted: what nobody has confirmed is no
/// ground for more.
std::set<Phase> marked_phases(const Survey& survey, const ImageEntry& entry) {
  std::set<Phase> phases;
  const auto marks = survey.marks.find(entry.file);
  if (marks == survey.marks.end()) return phases;
  for (const Mark& mark : marks->second.marks) {
    if (mark.role != MarkRole::lug || !mark.is_confirmed()) continue;
    if (mark.phase) phases.insert(*mark.phase);
  }
  return phases;
}

/// Marked images of the same motor and component: the one of the same name alone, else those that
/// show all three lugs. (Close-ups of single lugs look alike: the phase would be a guess.) Images
/// that cannot be opened are passed by: the assessment reports them.
std::vector<marking::MarkedImage> same_place(const Survey& survey, const ImageEntry& entry,
                                             bool itself_too, const imaging::ReadLimits& limits) {
  std::vector<const ImageEntry*> entries;
  for (const ImageEntry& other : survey.images) {
    if (other.motor != entry.motor || other.component != entry.component) continue;
    const auto phases = marked_phases(survey, other);
    const bool same_name = other.file == entry.file;
    if (same_name && itself_too && !phases.empty()) {
      entries.assign(1, &other);
      break;
    }
    if (!same_name && phases.size() == kPhases.size()) entries.push_back(&other);
  }
  std::vector<marking::MarkedImage> images;
  for (const ImageEntry* other : entries) {
    if (images.size() == kMostCandidates) break;
    const auto image = open_image(survey, *other, limits);
    if (image) images.push_back({image->celsius(), survey.marks.at(other->file)});
  }
  return images;
}

}  // namespace

Result<marking::Proposal> propose_marks(const Survey& survey, const ImageEntry& entry,
                                        const marking::OpenSight& open_sight,
                                        const imaging::ReadLimits& limits) {
  const auto image = open_image(survey, entry, limits);
  if (!image) return fail(image.error());
  return marking::propose(image->celsius(), same_place(survey, entry, false, limits),
                          survey.phase_names, open_sight);
}

Result<marking::Proposal> carry_marks(const Survey& older, const Survey& survey,
                                      const ImageEntry& entry, const imaging::ReadLimits& limits) {
  const auto image = open_image(survey, entry, limits);
  if (!image) return fail(image.error());
  const auto candidates = same_place(older, entry, true, limits);
  if (candidates.empty()) {
    return fail(Error{
        .kind = ErrorKind::not_measurable,
        .what = "no proposal: the older survey has no marked image of this motor and component",
        .mend = "mark it by hand"});
  }
  return marking::carry_surest(image->celsius(), candidates);
}

}  // namespace ohmglow::assessment
