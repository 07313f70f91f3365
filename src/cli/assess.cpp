#include "cli/commands.h"
#include "cli/folder_watch.h"
#include "cli/formats.h"
#include "cli/output_folder.h"
#include "cli/reader_options.h"
#include "cli/run.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/results/journal.h"

#include <algorithm>
#include <atomic>
#include <boost/timer/progress_display.hpp>
#include <filesystem>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <iostream>
#include <malloc.h>
#include <opencv2/core.hpp>
#include <optional>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  SurveyOptions survey;
  ReaderOptions reader;
  std::string output;
  std::vector<std::string> formats = usual_formats();
  std::string paper = "a4";
  std::string detail = "brief";
  unsigned jobs = 0;
  std::string fail_at;
  std::string progress = "auto";
  double max_megapixels = 200;
  bool json = false;
  std::string shard;
  bool resume = false;
  bool watch = false;
};

/// Few images are done before a bar could be read.
constexpr std::size_t kFewImages = 50;

class Bar {
 public:
  Bar(const std::string& when, std::size_t images) {
    if (when == "always" || (when == "auto" && is_terminal(STDERR_FILENO) && images > kFewImages)) {
      bar_.emplace(static_cast<unsigned long>(images), std::cerr, "", "measuring ", "          ");
    }
  }
  void step() {
    if (bar_) ++*bar_;
  }
  [[nodiscard]] bool shown() const { return bar_.has_value(); }

 private:
  std::optional<boost::timer::progress_display> bar_;
};

std::optional<std::size_t> fail_at_band(const Given& given, const severity::Policy& policy) {
  if (given.fail_at.empty()) return std::nullopt;
  if (const auto band = policy.index_of(given.fail_at)) return band;
  std::vector<std::string> ids;
  for (const auto& band : policy.bands) ids.push_back(band.id);
  throw CLI::ValidationError("--fail-at", fmt::format("found \"{}\", expected one of {}",
                                                      given.fail_at, fmt::join(ids, ", ")));
}

/// "2/8": the second of eight.
records::Shard shard_from(const std::string& text) {
  records::Shard shard;
  if (text.empty()) return shard;
  char rest = '\0';
  if (std::sscanf(text.c_str(), "%zu/%zu%c", &shard.number, &shard.count, &rest) != 2 ||
      shard.number < 1 || shard.number > shard.count) {
    throw CLI::ValidationError(
        "--shard", fmt::format("found \"{}\", expected K/N with 1 ≤ K ≤ N, such as 2/8", text));
  }
  return shard;
}

Result<records::Journal> open_journal(const Given& given, const std::string& head) {
  if (given.output.empty()) return records::Journal::create({}, head);
  if (const auto made = make_output_folder(given.output); !made) return fail(made.error());
  const fs::path path = fs::path(given.output) / records::kJournalFile;
  std::error_code error;
  if (!given.resume || !fs::exists(path, error)) return records::Journal::create(path, head);
  auto journal = records::Journal::open(path, true);
  if (!journal && journal.error().kind == ErrorKind::empty) {
    return records::Journal::create(path, head);  // there is nothing to take up
  }
  if (journal && journal->head() != head) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "these are the beginnings of another run: of another survey, policy or "
                         "program, or with other options",
                 .mend = "give the options of that run (--as-of too, on another day), or run "
                         "without --resume to begin anew",
                 .place = {.file = path.string()}});
  }
  return journal;
}

void remove_journal(const Given& given) {
  std::error_code error;
  fs::remove(fs::path(given.output) / records::kJournalFile, error);
}

class Assessing {
 public:
  Assessing(const Given& given, diagnosis::Options judging)
      : given_(given), judging_(std::move(judging)), shard_(shard_from(given.shard)) {}

  /// Reads the survey and brings its results up to date. The exit code.
  int run() {
    Run run;
    if (const auto opened = open(run); !opened) return refuse(opened.error());
    const auto fail_at = fail_at_band(given_, run.policy);
    if (const auto measured = measure(run); !measured) return refuse(measured.error());
    const records::KeptResults& results = *run.results;
    list_problems("assess", results.problems());
    const bool is_shard = !given_.shard.empty();
    if (!results.is_usable() && !is_shard) {
      return refuse({ErrorKind::empty,
                     "nothing in " + given_.survey.folder +
                         " could be measured: no marked, readable image and no reading",
                     {},
                     {},
                     "see the lines above, and docs/survey-folder.md"});
    }
    if (const auto written = is_shard ? Result<void>() : write(run); !written) {
      return refuse(written.error());
    }
    if (fail_at && results.worst_band() >= fail_at) return kFailAtReached;
    return any_unused(results.problems()) ? kSomeNotMeasured : kDone;
  }

 private:
  int refuse(const Error& error) const {
    complain("assess", error);
    return kNothingDone;
  }

  Result<void> open(Run& run) {
    if (auto room = expect_room_for_results(given_.output, given_.survey.folder,
                                            format_files(given_.output));
        !room) {
      return room;
    }
    assessment::Options with;
    with.jobs = given_.jobs;
    with.progress = [this](std::size_t, std::size_t) {
      if (bar_) bar_->step();
    };
    run.options = {judging_, static_cast<std::uint64_t>(given_.max_megapixels * 1e6),
                   given_.formats, given_.paper, given_.detail};
    keep_reader(given_.reader, run.options);
    if (auto opened = assessment::open_run(run, given_.survey.folder, std::move(with)); !opened) {
      return opened;
    }
    return assessment::choose_policy(run, given_.survey.policy);
  }

  Result<void> measure(Run& run) {
    auto journal = open_journal(
        given_, records::journal_head_text({run_manifest(run, given_.output), shard_}));
    if (!journal) return fail(journal.error());
    std::vector<records::Journal> journals;
    journals.push_back(std::move(*journal));
    assessment::keep_results(run, std::move(journals));
    const auto all = assessment::motors_of(run, shard_);
    const auto left = assessment::take_over(run, all, true);
    if (!left) return fail(left.error());
    say_what_is_kept(all.size() - left->size(), all.size());
    begin_bar(run, *left);
    const auto added = assessment::measure(run, *left);
    bar_.reset();
    return added;
  }

  void say_what_is_kept(std::size_t kept, std::size_t motors) const {
    if (kept > 0) tell("{} of {} motors are done already\n", kept, motors);
  }

  void begin_bar(const Run& run, const std::vector<std::size_t>& motors) {
    std::size_t images = 0;
    for (const std::size_t motor : motors) images += run.read.cut.motors[motor].images.size();
    bar_.emplace(given_.progress, images);
  }

  Result<void> write(const Run& run) {
    if (!given_.output.empty()) {
      if (const auto written = write_results(run, given_.output); !written) return written;
      if (!given_.watch) remove_journal(given_);
    }
    return print_results(run, given_.json);
  }

  const Given& given_;
  const diagnosis::Options judging_;
  const records::Shard shard_;
  std::optional<Bar> bar_;
};

/// Blocks of an image's size would go back to the system, which clears them for the next image:
/// half of the time on uncompressed frames.
void keep_freed_memory() {
  constexpr int kMost_bytes = 32 << 20;
  mallopt(M_MMAP_THRESHOLD, kMost_bytes);
  mallopt(M_TRIM_THRESHOLD, 2 * kMost_bytes);
}

/// A command line that asks for what cannot be.
void check_together(const Given& given) {
  const auto needs_output = [&given](std::string_view option) {
    if (given.output.empty()) {
      throw CLI::ValidationError(std::string(option), "needs -o: it keeps its results there");
    }
  };
  if (!given.shard.empty()) needs_output("--shard");
  if (given.resume) needs_output("--resume");
  if (given.watch) needs_output("--watch");
  if (given.watch && !given.shard.empty()) {
    throw CLI::ValidationError("--watch", "does not go with --shard");
  }
}

int assess(Given given) {
  check_together(given);
  // Images are spread over the cores whole; a region of a few hundred pixels gains nothing from
  // more.
  cv::setNumThreads(1);
  keep_freed_memory();
  const diagnosis::Options judging = judging_from(given.survey);
  if (!given.watch) return Assessing(given, judging).run();
  auto watch = FolderWatch::begin(given.survey.folder, given.output);
  if (!watch) {
    complain("assess", watch.error());
    return kNothingDone;
  }
  while (true) {
    const int exit_code = Assessing(given, judging).run();
    given.resume = true;  // what is known by now is kept
    tell("watching {}; end with Ctrl-C\n", given.survey.folder);
    if (!watch->wait()) return exit_code;
  }
}

}  // namespace

void add_assess(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<Given>();
  CLI::App* command = program.add_subcommand(
      "assess",
      "The main job: measure every image, rank what is hot, hold it against the readings");
  add_survey_options(*command, given->survey);
  command->add_option("-o,--output", given->output,
                      "Folder for the results; without it they are only printed");
  command->add_option("--format", given->formats, "What to write, separated by commas")
      ->delimiter(',')
      ->check(CLI::IsMember(format_names()))
      ->default_str(fmt::to_string(fmt::join(usual_formats(), ",")));
  add_calculation_options(*command, given->survey);
  command->add_option("--paper", given->paper, "Size of the PDF's pages")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  command
      ->add_option(
          "--detail", given->detail,
          "What the PDF holds: brief (the answer, the list and a page a case) or full (all "
          "evidence, uncertainties and parameters, too)")
      ->check(CLI::IsMember({"brief", "full"}))
      ->capture_default_str();
  add_reader_options(*command, given->reader);
  command->add_option("--jobs", given->jobs, "Threads; 0 = one a core")->capture_default_str();
  command->add_flag("--resume", given->resume,
                    "Take up a run that was killed: what it had done is not done again");
  command->add_flag("--watch", given->watch,
                    "Stay, and bring the results up to date whenever files of the survey change");
  command->add_option("--shard", given->shard,
                      "K/N: only the K-th of N parts of the motors, for ohmglow merge to join");
  command->add_option("--fail-at", given->fail_at, "Exit with 4 if a finding reaches this band");
  command->add_option("--progress", given->progress, "Progress bar on stderr")
      ->check(CLI::IsMember({"auto", "always", "never"}))
      ->capture_default_str();
  command->add_option("--max-megapixels", given->max_megapixels, "Refuse larger images")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command->add_flag("--json", given->json, "Print findings.json in place of the list");
  command->footer(
      "With many findings the HTML report is written in pages, a folder report-pages beside it. "
      "pdf, "
      "xlsx and\nworkorders hold the whole survey in memory: they are for a few thousand "
      "findings.\n"
      "Example: ohmglow assess bexley -o bexley-report --fail-at urgent");
  command->callback([given, &exit_code] { exit_code = assess(*given); });
}

}  // namespace ohmglow::cli
