#include "offered/assessment/run.h"

#include "offered/assessment/hashed_ahead.h"
#include "offered/intake/policy_text.h"
#include "ohmglow/survey_folder.h"

#include <mutex>
#include <utility>

namespace ohmglow::assessment {

Result<void> open_run(Run& run, const std::filesystem::path& folder, Options with) {
  auto read = records::read_large_survey(folder);
  if (!read) return fail(read.error());
  run.read = std::move(*read);
  run.shown_folder = run.read.survey.folder;
  with.judging = run.options.judging;
  with.limits.max_pixels = run.options.max_pixels;
  run.jobs = with.jobs;
  run.parts = std::make_unique<MotorByMotor>(run.read.survey, run.read.images, run.read.cut,
                                             run.policy, std::move(with),
                                             [folder](const std::string& file, Survey& motor) {
                                               records::take_in_marks(folder, file, motor);
                                             });
  return {};
}

Result<void> choose_policy(Run& run, std::string_view name_or_file) {
  const Survey& survey = run.read.survey;
  auto text =
      records::find_policy(name_or_file.empty() ? survey.policy : name_or_file, survey.folder);
  if (!text) return fail(text.error());
  auto policy = records::parse_policy(text->text, text->name);
  if (!policy) return fail(policy.error());
  run.policy = std::move(*policy);
  run.policy_text = std::move(*text);
  return {};
}

std::vector<std::size_t> motors_of(const Run& run, const records::Shard& shard) {
  std::vector<std::size_t> its;
  for (std::size_t i = shard.number - 1; i < run.read.cut.motors.size(); i += shard.count) {
    its.push_back(i);
  }
  return its;
}

void keep_results(Run& run, std::vector<records::Journal> journals) {
  run.results = std::make_unique<records::KeptResults>(run.read.survey, run.read.cut, run.policy,
                                                       run.options.judging, std::move(journals),
                                                       run.read.of_marks);
}

Result<std::vector<std::size_t>> take_over(Run& run, std::span<const std::size_t> motors,
                                           bool unchanged_files) {
  return run.results->take_over(
      motors, [&run](std::size_t motor) { return run.parts->alone(motor); }, unchanged_files);
}

Result<void> measure(Run& run, std::span<const std::size_t> motors) {
  Result<void> added;
  std::mutex mutex;
  run.parts->assess(motors, [&](std::size_t motor, const diagnosis::MotorState& state) {
    auto done = run.results->add(motor, state);
    if (done) return true;
    const std::lock_guard lock(mutex);
    added = std::move(done);
    return false;
  });
  run.results->rank();
  return added;
}

Result<void> measure(Run& run) {
  auto journal = records::Journal::create({}, "");
  if (!journal) return fail(journal.error());
  std::vector<records::Journal> journals;
  journals.push_back(std::move(*journal));
  keep_results(run, std::move(journals));
  return measure(run, motors_of(run));
}

records::Inputs inputs_of(const Run& run) {
  return hashed_ahead(records::inputs_of(*run.results, run.policy_text), run.jobs);
}

namespace {

template <class Choose>
Result<diagnosis::Assessment> assess_by(const std::filesystem::path& survey, const Options& options,
                                        const Choose& choose) {
  Run run;
  run.options.judging = options.judging;
  run.options.max_pixels = options.limits.max_pixels;
  if (const auto opened = open_run(run, survey, options); !opened) return fail(opened.error());
  if (const Result<void> chosen = choose(run); !chosen) return fail(chosen.error());
  if (const auto measured = measure(run); !measured) return fail(measured.error());
  return run.results->whole();
}

}  // namespace

Result<diagnosis::Assessment> assess(const std::filesystem::path& survey, const Options& options,
                                     std::string_view policy) {
  return assess_by(survey, options, [policy](Run& run) { return choose_policy(run, policy); });
}

Result<diagnosis::Assessment> assess(const std::filesystem::path& survey, const Options& options,
                                     const severity::Policy& policy) {
  return assess_by(survey, options, [&policy](Run& run) {
    run.policy = policy;
    return Result<void>();
  });
}

}  // namespace ohmglow::assessment
