#include "offered/intake/acceptance_limits.h"
#include "offered/report/acceptance_contents.h"
#include "offered/report/report.h"
#include "offered/results/findings_texts.h"
#include "offered/results/work_orders.h"
#include "ohmglow/assessment.h"
#include "ohmglow/survey_folder.h"
#include "targets.h"

namespace ohmglow::fuzz {
namespace fs = std::filesystem;

namespace {

/// Writes the input's files into an empty folder; a name that leads out of it is left out.
fs::path folder_from(std::string_view input) {
  const fs::path folder = scratch() / "survey";
  fs::remove_all(folder);
  fs::create_directories(folder / "marks");
  for (const std::string_view piece : cut_at(input, "=== ")) {
    const auto end = piece.find('\n');
    const std::string_view name = piece.substr(0, end);
    if (end == std::string_view::npos || name.empty() || name.size() > 100 ||
        name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_./") !=
            std::string_view::npos ||
        name.find("..") != std::string_view::npos || name.front() == '/') {
      continue;
    }
    std::error_code ignored;
    fs::create_directories((folder / name).parent_path(), ignored);
    write_file(folder / name, piece.substr(end + 1));
  }
  return folder;
}

}  // namespace

void survey(std::string_view input) {
  const auto read = records::read_survey(folder_from(input));
  if (!read) {
    demand(!sentence_with_place(read.error()).empty());
    return;
  }
  for (const Problem& problem : read->problems) demand(!problem.message.empty());
}

void assess(std::string_view input) {
  assessment::Options options;
  options.jobs = 1;
  options.limits = {.max_pixels = 1 << 16, .max_bytes = 1 << 20};
  options.judging.as_of = std::chrono::sys_days(std::chrono::days(20'000));
  const auto judged = assessment::assess(folder_from(input), options);
  if (!judged) {
    demand(!sentence_with_place(judged.error()).empty());
    return;
  }
  (void)report::ranked_csv(*judged);
  (void)report::ranked_text(*judged, {});
  (void)report::readings_text(*judged, {});
  (void)records::readings_json(*judged);
  const auto orders = records::work_orders(*judged, {});
  (void)records::work_orders_json(*judged, orders);
  (void)records::work_orders_csv(*judged, orders);
  (void)records::work_orders_ics(*judged, orders);
  const auto html =
      report::report_html(*judged, [](const auto&...) -> Result<imaging::ThermalImage> {
        return fail({.kind = ErrorKind::missing, .what = "no picture"});
      });
  demand(html.has_value());
}

void bench(std::string_view input) {
  const auto read = records::read_survey(folder_from(input));
  if (!read) return;
  const rotor::Rotors rotors = rotor::rotors(*read);
  demand(!records::rotor_json(rotors, *read).empty());
  (void)report::rotor_text(rotors, *read, {});
  for (const report::RotorShown& shown : report::rotors_shown(rotors, *read)) {
    (void)report::rotor_svg(shown);
  }
  static const acceptance::Limits limits = records::shipped_limits().value();
  diagnosis::Assessment survey;
  survey.survey = *read;
  for (const Motor& motor : read->motors) {
    const auto accepted = acceptance::accept(
        survey, limits, {.motor = motor.id, .stage = acceptance::Stage::bought, .costs = {}});
    demand(accepted.has_value());
    (void)records::acceptance_json(*accepted, limits);
    (void)report::acceptance_text({*accepted, limits, survey}, {});
  }
}

}  // namespace ohmglow::fuzz
