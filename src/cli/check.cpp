#include "cli/commands.h"
#include "cli/folder_watch.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/imaging/clipping.h"
#include "offered/results/limits.h"
#include "ohmglow/assessment.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <opencv2/core.hpp>
#include <span>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

using records::Limit;

/// A survey with more of one kind has one cause for them.
constexpr std::size_t kMostOfKind = 10;

struct CheckGiven {
  SurveyOptions survey;
  bool json = false;
  bool watch = false;
};

/// Ranges of the images that could be read, beside them.
std::vector<imaging::Clipping> ranges_of(const diagnosis::Assessment& assessment) {
  std::vector<imaging::Clipping> ranges(assessment.images.size());
  for (std::size_t i = 0; i < ranges.size(); ++i) {
    if (assessment.images[i].status == diagnosis::ImageStatus::rejected) continue;
    const ImageEntry& entry = assessment.survey.images[i];
    imaging::ReadOptions options;
    options.page = entry.parameters.page.value_or(1);
    const auto bytes = imaging::read_bytes(
        std::filesystem::path(assessment.survey.folder) / entry.file, options.limits.max_bytes);
    if (!bytes) continue;  // said by the assessment, or gone since
    if (const auto stored = imaging::read_stored(*bytes, entry.file, options)) {
      ranges[i] = imaging::clipping(stored->pixels);
    }
  }
  return ranges;
}

/// "images.csv, row 4, column air_c"
std::string place_text(const Place& place) {
  std::string text = place.file;
  if (place.row) text += fmt::format(", row {}", *place.row);
  if (!place.column.empty()) text += (text.empty() ? "column " : ", column ") + place.column;
  return text;
}

void print_limit(const Limit& limit) {
  std::string of = limit.image;
  if (of.empty()) of = limit.motor;
  const std::string place = place_text(limit.place);
  print("  {}{}{}{}\n", of, of.empty() ? "" : ": ", limit.what,
        limit.mend.empty() ? "" : "; " + limit.mend);
  if (!place.empty() && place != of) print("      {}\n", place);
}

void print_limits(const diagnosis::Assessment& assessment, std::span<const Limit> limits) {
  const auto measured = std::count_if(assessment.images.begin(), assessment.images.end(),
                                      [](const diagnosis::ImageResult& image) {
                                        return image.status == diagnosis::ImageStatus::measured;
                                      });
  print("{}: {} of {} image{} can be measured; {} limit{} the result\n", assessment.survey.folder,
        measured, assessment.images.size(), assessment.images.size() == 1 ? "" : "s",
        limits.empty() ? "nothing"
                       : fmt::format("{} thing{}", limits.size(), limits.size() == 1 ? "" : "s"),
        limits.size() > 1 ? "" : "s");
  const bool bold = wants_colour(STDOUT_FILENO);
  while (!limits.empty()) {
    const auto end = std::find_if(limits.begin(), limits.end(), [&limits](const Limit& limit) {
      return limit.kind != limits.front().kind;
    });
    const auto count = static_cast<std::size_t>(end - limits.begin());
    print_whole(bold ? "\n\033[1m" : "\n");
    print("{} ({})", title_of(limits.front().kind), count);
    print_whole(bold ? "\033[0m\n" : "\n");
    for (const Limit& limit : limits.first(std::min(count, kMostOfKind))) print_limit(limit);
    if (count > kMostOfKind) print("  and {} more; --json lists them\n", count - kMostOfKind);
    limits = limits.subspan(count);
  }
}

int check_once(const CheckGiven& given) {
  assessment::Options how;
  how.judging = judging_from(given.survey);
  const auto assessment = assessment::assess(given.survey.folder, how, given.survey.policy);
  if (!assessment) {
    complain("check", assessment.error());
    return kNothingDone;
  }
  const auto limits = records::limits_of(*assessment, ranges_of(*assessment));
  if (given.json) {
    print_whole(records::limits_json(*assessment, limits));
  } else {
    print_limits(*assessment, limits);
  }
  std::fflush(stdout);
  if (assessment->images.empty() && assessment->survey.readings.empty()) {
    complain("check", {.kind = ErrorKind::empty,
                       .what = "there is no image and no reading to check",
                       .mend = "copy the images into the folder; ohmglow start makes its tables",
                       .place = {.file = given.survey.folder}});
    return kNothingDone;
  }
  const bool asks = std::any_of(limits.begin(), limits.end(), [](const Limit& limit) {
    return records::asks_for_something(limit.kind);
  });
  return asks ? kSomeNotMeasured : kDone;
}

int check(const CheckGiven& given) {
  cv::setNumThreads(1);  // images are spread over the cores whole
  if (!given.watch) return check_once(given);
  auto watch = FolderWatch::begin(given.survey.folder, "");
  if (!watch) {
    complain("check", watch.error());
    return kNothingDone;
  }
  while (true) {
    // What was said of the folder before is of no use beside the motor.
    if (is_terminal(STDOUT_FILENO) && !given.json) print_whole("\033[2J\033[H");
    const int exit_code = check_once(given);
    tell("watching {}; end with Ctrl-C\n", given.survey.folder);
    if (!watch->wait()) return exit_code;
  }
}

}  // namespace

void add_check(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<CheckGiven>();
  CLI::App* command = program.add_subcommand(
      "check", "What will limit the result, worst first, while the route can still mend it");
  add_survey_options(*command, given->survey);
  command->add_flag("--watch", given->watch, "Stay, and look again whenever files change");
  command->add_flag("--json", given->json, "Print JSON");
  command->footer(
      "Each with the cell to fill or the image to take again. Exit code 1 while anything limits "
      "the result.\n"
      "Example: ohmglow check bexley --watch");
  command->callback([given, &exit_code] { exit_code = check(*given); });
}

}  // namespace ohmglow::cli
