#include "cli/commands.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/run.h"
#include "cli/run_manifest.h"
#include "offered/results/journal.h"
#include "ohmglow/survey_folder.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <iterator>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using records::Journal;
using records::JournalHead;

struct MergeGiven {
  std::vector<std::string> parts;
  std::string output;
  std::string survey;
  std::vector<std::string> formats;
  std::string paper;
  std::string detail;
  bool json = false;
};

/// A shard as its folder holds it.
struct Part {
  std::string folder;
  Journal journal;
  JournalHead head;
};

Error of_file(Error error, const fs::path& path) {
  return error.in_file(path.string());
}

Result<Part> open_part_of(const std::string& folder) {
  const fs::path path = fs::path(folder) / records::kJournalFile;
  auto journal = Journal::open(path, false);
  if (!journal) {
    Error error = journal.error();
    if (error.kind == ErrorKind::missing) error.mend = "name the folders that assess --shard wrote";
    return fail(std::move(error));
  }
  auto head = records::parse_journal_head(journal->head());
  if (!head) return fail(of_file(head.error(), path));
  if (!is_this_program(head->run)) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "this part was made by another version of ohmglow, or on a machine that "
                         "computes otherwise in the last digit",
                 .found = head->run.tool_version + ", " + head->run.arithmetic.processor,
                 .mend = "run the shard again with this program on a machine of this kind",
                 .place = {.file = path.string()}});
  }
  return Part{folder, std::move(*journal), std::move(*head)};
}

/// Two shards of one run differ in their number and in where they lie, nothing else.
std::string run_text(const JournalHead& head) {
  JournalHead same = head;
  same.run.survey_from_output = "-";
  same.shard.number = 1;
  return records::journal_head_text(same);
}

/// Every shard once; they are sorted by number.
Result<void> check_complete(const std::vector<Part>& parts) {
  const std::size_t count = parts.front().head.shard.count;
  const auto number_of = [](const Part& part) { return part.head.shard.number; };
  const auto twice = std::adjacent_find(
      parts.begin(), parts.end(),
      [&](const Part& a, const Part& b) { return number_of(a) == number_of(b); });
  if (twice != parts.end()) {
    return fail({.kind = ErrorKind::conflict,
                 .what = fmt::format("shard {} is given twice", number_of(*twice)),
                 .mend = "name each part once",
                 .place = {.file = std::next(twice)->folder}});
  }
  std::size_t next = 1;
  for (const Part& part : parts) next += number_of(part) == next ? 1 : 0;
  if (next > count) return {};
  return fail({.kind = ErrorKind::missing,
               .what = fmt::format("shard {} of {} is missing", next, count),
               .mend = fmt::format("run it: ohmglow assess … --shard {}/{}, or name its folder",
                                   next, count)});
}

Result<std::vector<Part>> open_parts(const MergeGiven& given) {
  std::vector<Part> parts;
  for (const std::string& folder : given.parts) {
    auto part = open_part_of(folder);
    if (!part) return fail(part.error());
    const std::string& first = parts.empty() ? folder : parts.front().folder;
    if (!parts.empty() && run_text(part->head) != run_text(parts.front().head)) {
      return fail({.kind = ErrorKind::conflict,
                   .what = fmt::format("this part and {} are not of one run: survey, policy, "
                                       "options and the number of shards must be the same",
                                       first),
                   .mend = "give every shard the same options, --as-of too",
                   .place = {.file = folder}});
    }
    parts.push_back(std::move(*part));
  }
  std::sort(parts.begin(), parts.end(),
            [](const Part& a, const Part& b) { return a.head.shard.number < b.head.shard.number; });
  if (const auto complete = check_complete(parts); !complete) return fail(complete.error());
  return parts;
}

/// The survey as the shards were given it, else the way from a part's folder to it.
Result<std::string> find_survey(const MergeGiven& given, const Part& part) {
  std::vector<std::string> places{given.survey};
  if (given.survey.empty()) {
    places = {part.head.run.survey_folder,
              (fs::path(part.folder) / part.head.run.survey_from_output).lexically_normal()};
  }
  for (const std::string& place : places) {
    std::error_code error;
    if (fs::is_directory(place, error)) return place;
  }
  return fail({.kind = ErrorKind::missing,
               .what = "the survey is not where the shards found it",
               .mend = "name its folder with --survey",
               .place = {.file = places.back()}});
}

/// Each motor must be in a part, with the rows that the survey has now.
Result<void> join(Run& run, std::vector<Part>& parts) {
  std::vector<Journal> journals;
  for (Part& part : parts) journals.push_back(std::move(part.journal));
  assessment::keep_results(run, std::move(journals));
  const auto left = assessment::take_over(run, assessment::motors_of(run), false);
  if (!left) return fail(left.error());
  if (left->empty()) {
    run.results->rank();
    return {};
  }
  const std::size_t motor = left->front();
  const std::size_t shard = motor % parts.size() + 1;
  return fail(
      {.kind = ErrorKind::conflict,
       .what = fmt::format(
           "motor {}{} is not in the parts as the survey has it now", run.read.cut.motors[motor].id,
           left->size() > 1 ? fmt::format(" and {} more", left->size() - 1) : std::string()),
       .mend = fmt::format("the shard was not finished, or the survey changed since: run "
                           "ohmglow assess … --shard {}/{} --resume",
                           shard, parts.size()),
       .place = {.file = parts[shard - 1].folder}});
}

Result<void> merge(const MergeGiven& given, bool& has_problems) {
  auto parts = open_parts(given);
  if (!parts) return fail(parts.error());
  const auto folder = find_survey(given, parts->front());
  if (!folder) return fail(folder.error());
  if (auto room = expect_room_for_results(given.output, *folder, format_files(given.output));
      !room) {
    return room;
  }
  const records::Manifest& its = parts->front().head.run;
  Run run;
  run.options = its.options;
  if (!given.formats.empty()) run.options.formats = given.formats;
  if (!given.paper.empty()) run.options.paper = given.paper;
  if (!given.detail.empty()) run.options.detail = given.detail;
  run.policy_text = its.policy;
  auto policy = records::parse_policy(its.policy.text, its.policy.name);
  if (!policy) return fail(policy.error());
  run.policy = std::move(*policy);
  if (const auto opened = assessment::open_run(run, *folder, {}); !opened) return opened;
  run.shown_folder = its.survey_folder;
  if (const auto joined = join(run, *parts); !joined) return joined;
  list_problems("merge", run.results->problems());
  has_problems = any_unused(run.results->problems());
  if (const auto written = write_results(run, given.output); !written) return written;
  return print_results(run, given.json);
}

int merge(const MergeGiven& given) {
  bool has_problems = false;
  if (const auto merged = merge(given, has_problems); !merged) {
    complain("merge", merged.error());
    return kNothingDone;
  }
  return has_problems ? kSomeNotMeasured : kDone;
}

}  // namespace

void add_merge(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<MergeGiven>();
  CLI::App* command = program.add_subcommand(
      "merge", "Join what assess --shard wrote into the result of one run, byte for byte");
  command->add_option("PART", given->parts, "The -o folders of all shards, in any order")
      ->required();
  command->add_option("-o,--output", given->output, "Folder for the results")->required();
  command->add_option("--survey", given->survey,
                      "Survey folder, where it is no longer where the shards found it");
  command
      ->add_option("--format", given->formats,
                   "What to write, separated by commas [what the shards were given]")
      ->delimiter(',')
      ->check(CLI::IsMember(format_names()));
  command->add_option("--paper", given->paper, "Size of the PDF's pages [likewise]")
      ->check(CLI::IsMember({"a4", "letter"}));
  command->add_option("--detail", given->detail, "What the PDF holds: brief or full [likewise]")
      ->check(CLI::IsMember({"brief", "full"}));
  command->add_flag("--json", given->json, "Print findings.json in place of the list");
  command->footer(
      "Example: ohmglow merge parts/1 parts/2 parts/3 -o bexley-report\n"
      "See docs/scale.md for many machines.");
  command->callback([given, &exit_code] { exit_code = merge(*given); });
}

}  // namespace ohmglow::cli
