#include "ohmglow/diagnosis.h"

#include <fmt/format.h>
#include <map>
#include <set>
#include <utility>

namespace ohmglow::diagnosis {
namespace {

// Complains once about each motor that a table names and motors.csv does not.
class UnknownMotors {
 public:
  // `file` and `row` say where the table names it first.
  void note(std::string_view table, const std::string& motor, std::string_view file,
            std::optional<long> row) {
    const auto [at, is_new] = index_.emplace(std::make_pair(table, motor), seen_.size());
    if (is_new) seen_.push_back({motor, std::string(file), row, 0});
    ++seen_[at->second].times;
  }

  void report(std::vector<Problem>& problems) const {
    for (const Seen& seen : seen_) {
      Error error{
          .kind = ErrorKind::missing,
          .what = "this motor is not in motors.csv",
          .found = seen.motor,
          .expected = "a motor of motors.csv",
          .mend = "add a row for it there or correct the name; it is judged without its data",
          .place = {.file = seen.file, .row = seen.row, .column = "motor", .byte_offset = {}}};
      if (seen.times > 1) error.what += fmt::format(" (named {} times)", seen.times);
      problems.push_back(problem_from(error));
    }
  }

 private:
  struct Seen {
    std::string motor;
    std::string file;
    std::optional<long> row;
    int times = 0;
  };
  std::map<std::pair<std::string_view, std::string>, std::size_t> index_;
  std::vector<Seen> seen_;
};

}  // namespace

std::vector<Problem> unknown_motors(const Survey& survey) {
  return unknown_motors(survey, ImageRows::of(survey.images));
}

std::vector<Problem> unknown_motors(const Survey& survey, const ImageRows& images) {
  std::set<std::string_view> known;
  for (const Motor& motor : survey.motors) known.insert(motor.id);
  // A circuit belongs to any motor that has images or readings, listed or not.
  std::set<std::string, std::less<>> seen(known.begin(), known.end());
  UnknownMotors unknown;
  for (std::size_t i = 0; i < images.size(); ++i) {
    const ImageEntry entry = images[i];
    if (known.contains(entry.motor)) continue;
    seen.insert(entry.motor);
    unknown.note("images", entry.motor, entry.row ? "images.csv" : std::string_view(entry.file),
                 entry.row);
  }
  for (const Reading& reading : survey.readings) {
    if (known.contains(reading.motor)) continue;
    seen.insert(reading.motor);
    unknown.note("readings", reading.motor, "readings.csv", reading.row);
  }
  for (const CircuitStop& stop : survey.circuit) {
    if (!seen.contains(stop.motor)) unknown.note("circuit", stop.motor, "circuit.csv", stop.row);
  }
  std::vector<Problem> problems;
  unknown.report(problems);
  return problems;
}

}  // namespace ohmglow::diagnosis
