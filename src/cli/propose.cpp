#include "cli/commands.h"
#include "cli/part.h"
#include "cli/talk.h"
#include "offered/assessment/images.h"
#include "offered/editing/proposal_records.h"
#include "ohmglow/survey_folder.h"

#include <algorithm>
#include <functional>
#include <memory>
#include <set>

namespace ohmglow::cli {
namespace {

struct ProposeGiven {
  std::string folder;
  std::string older;
  bool json = false;
  bool write = false;
};

using Propose = std::function<Result<marking::Proposal>(const Survey&, const ImageEntry&)>;

/// The images that have no lug marked, one entry a file.
std::vector<const ImageEntry*> unmarked(const Survey& survey) {
  std::vector<const ImageEntry*> entries;
  std::set<std::string> seen;
  for (const ImageEntry& entry : survey.images) {
    const auto marks = survey.marks.find(entry.file);
    const bool has_lug = marks != survey.marks.end() &&
                         std::any_of(marks->second.marks.begin(), marks->second.marks.end(),
                                     [](const Mark& mark) { return mark.role == MarkRole::lug; });
    if (!has_lug && seen.insert(entry.file).second) entries.push_back(&entry);
  }
  return entries;
}

records::ProposalFor propose_for(const Survey& survey, const ImageEntry& entry,
                                 const Propose& propose, bool write, std::string_view command) {
  records::ProposalFor result{entry.file, std::nullopt, {}, false};
  auto proposal = propose(survey, entry);
  if (!proposal) {
    result.why_not = sentence(proposal.error());
    return result;
  }
  result.proposal = std::move(*proposal);
  if (!write) return result;
  const auto image = assessment::open_image(survey, entry, {});
  const auto written =
      image ? records::write_proposal(survey.folder, entry.file, {image->width(), image->height()},
                                      *result.proposal, survey.phase_names)
            : Result<void>(fail(image.error()));
  result.written = written.has_value();
  if (!written) complain(command, written.error());
  return result;
}

void print_text(const std::vector<records::ProposalFor>& proposals) {
  for (const records::ProposalFor& image : proposals) {
    if (!image.proposal) {
      print("{}\n  {}\n", image.image, image.why_not);
      continue;
    }
    print("{}\n  confidence {:.2f}: {}\n  {}\n", image.image, image.proposal->confidence,
          image.proposal->reason, image.proposal->note);
    for (const Mark& mark : image.proposal->marks) {
      const auto* circle = std::get_if<Circle>(&mark.shape);
      if (circle == nullptr) {
        print("  {}\n", mark.name);
      } else {
        print("  {:<10} circle {},{},{}\n", mark.name, circle->center.x, circle->center.y,
              circle->radius);
      }
    }
    if (image.written) print("  written\n");
  }
}

int run(const ProposeGiven& given, std::string_view command, const Propose& propose) {
  const auto survey = records::read_survey(given.folder);
  if (!survey) {
    complain(command, survey.error());
    return kNothingDone;
  }
  std::vector<records::ProposalFor> proposals;
  for (const ImageEntry* entry : unmarked(*survey)) {
    proposals.push_back(propose_for(*survey, *entry, propose, given.write, command));
  }
  const auto found = std::count_if(proposals.begin(), proposals.end(),
                                   [&given](const records::ProposalFor& image) {
                                     return image.proposal && image.written == given.write;
                                   });
  if (given.json) {
    print_whole(records::proposals_json(proposals));
  } else {
    print_text(proposals);
  }
  tell("{} image{} without a marked lug, marks {} for {}\n", proposals.size(),
       proposals.size() == 1 ? "" : "s", given.write ? "written" : "proposed", found);
  return static_cast<std::size_t>(found) == proposals.size() ? kDone : kSomeNotMeasured;
}

void add_common(CLI::App& command, ProposeGiven& given) {
  command.add_option("SURVEY", given.folder, "Survey folder")->required();
  command.add_flag("--write", given.write,
                   "Write the marks into the survey; a person must confirm them");
  command.add_flag("--json", given.json, "Print JSON");
}

}  // namespace

void add_propose(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<ProposeGiven>();
  CLI::App* command = program.add_subcommand(
      "propose", "Propose lug marks for images that have none, for a person to accept");
  add_common(*command, *given);
  command->footer("Example: ohmglow propose route7");
  command->callback([given, &exit_code] {
    exit_code = run(*given, "propose", [](const Survey& survey, const ImageEntry& entry) {
      return assessment::propose_marks(survey, entry, open_sight);
    });
  });
}

void add_carry(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<ProposeGiven>();
  CLI::App* command = program.add_subcommand(
      "carry", "Carry marks from an older survey of the same motors onto this one's images");
  add_common(*command, *given);
  command->add_option("--from", given->older, "The older survey's folder")->required();
  command->footer("Example: ohmglow carry route7-june --from route7-march --write");
  command->callback([given, &exit_code] {
    const auto older = records::read_survey(given->older);
    if (!older) {
      complain("carry", older.error());
      exit_code = kNothingDone;
      return;
    }
    exit_code = run(*given, "carry", [&older](const Survey& survey, const ImageEntry& entry) {
      return assessment::carry_marks(*older, survey, entry);
    });
  });
}

}  // namespace ohmglow::cli
