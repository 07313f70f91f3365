#include "offered/diagnosis/motors.h"
#include "offered/vocabulary/near_names.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

template <class Rows, class Row>
void pick(const Rows& rows, const std::vector<std::size_t>& places, std::vector<Row>& picked) {
  picked.reserve(places.size());
  for (const std::size_t place : places) picked.push_back(rows[place]);
}

// `file` and `row` say where a table names the motor first.
Problem unknown_motor(const std::vector<Motor>& motors, const std::string& motor, std::string file,
                      std::optional<long> row, std::size_t times) {
  const std::vector<std::string_view> ids = [&motors] {
    std::vector<std::string_view> known;
    for (const Motor& listed : motors) known.push_back(listed.id);
    return known;
  }();
  Error error{.kind = ErrorKind::missing,
              .what = "this motor is not in motors.csv",
              .found = motor,
              .expected = "a motor of motors.csv" + did_you_mean(near_names(motor, ids)),
              .mend = "add a row for it there or correct the name; it is judged without its data",
              .place = {.file = std::move(file), .row = row, .column = "motor", .byte_offset = {}}};
  if (times > 1) error.what += fmt::format(" (named {} times)", times);
  return problem_from(error);
}

}  // namespace

Cutter::Cutter(const std::vector<Motor>& motors) {
  cut_.motors.reserve(motors.size());
  for (std::size_t i = 0; i < motors.size(); ++i) {
    MotorRows& rows = motor_of(motors[i].id);
    if (!rows.row) rows.row = i;
  }
}

MotorRows& Cutter::motor_of(const std::string& id) {
  const auto [at, is_new] = index_.emplace(id, cut_.motors.size());
  if (is_new) cut_.motors.emplace_back().id = id;
  return cut_.motors[at->second];
}

void Cutter::add(const ImageEntry& image) {
  MotorRows& rows = motor_of(image.motor);
  if (rows.images.empty()) rows.first_image_row = image.row;
  rows.images.push_back(cut_.files.size());
  cut_.files.push_back(image.file);
  if (!image.photo.empty()) cut_.photos.push_back(image.photo);
  const auto motor = static_cast<std::size_t>(&rows - cut_.motors.data());
  const auto day = image.taken_at ? std::optional(image.taken_at->day) : std::nullopt;
  const auto next = static_cast<std::uint32_t>(visits_.size());
  const auto visit = visits_.try_emplace(Visit{motor, image.component, day}, next).first;
  cut_.visits.push_back(visit->second);
}

CutSurvey Cutter::finish(const Survey& survey) {
  const auto cut_rows = [this](const auto& rows, std::vector<std::size_t> MotorRows::*places) {
    for (std::size_t i = 0; i < rows.size(); ++i) (motor_of(rows[i].motor).*places).push_back(i);
  };
  cut_rows(survey.readings, &MotorRows::readings);
  cut_rows(survey.shop_tests, &MotorRows::shop_tests);
  cut_rows(survey.sweeps, &MotorRows::sweeps);
  cut_rows(survey.air_gaps, &MotorRows::air_gaps);
  for (std::size_t i = 0; i < survey.circuit.size(); ++i) {
    const auto at = index_.find(survey.circuit[i].motor);
    auto& rows = at == index_.end() ? cut_.stray_circuit : cut_.motors[at->second].circuit;
    rows.push_back(i);
  }
  return std::move(cut_);
}

CutSurvey cut(const Survey& survey) {
  Cutter cutter(survey.motors);
  for (const ImageEntry& image : survey.images) cutter.add(image);
  return cutter.finish(survey);
}

Survey head_of(const Survey& survey) {
  Survey head;
  head.folder = survey.folder;
  head.site = survey.site;
  head.surveyed_on = survey.surveyed_on;
  head.thermographer = survey.thermographer;
  head.thermographer_level = survey.thermographer_level;
  head.thermographer_certificate = survey.thermographer_certificate;
  head.camera = survey.camera;
  head.policy = survey.policy;
  head.phase_names = survey.phase_names;
  head.band = survey.band;
  head.tables = survey.tables;
  return head;
}

Survey rows_alone(const Survey& survey, const ImageRows& images, const MotorRows& rows) {
  Survey alone = head_of(survey);
  if (rows.row) alone.motors.push_back(survey.motors[*rows.row]);
  pick(images, rows.images, alone.images);
  pick(survey.readings, rows.readings, alone.readings);
  pick(survey.shop_tests, rows.shop_tests, alone.shop_tests);
  pick(survey.circuit, rows.circuit, alone.circuit);
  pick(survey.sweeps, rows.sweeps, alone.sweeps);
  pick(survey.air_gaps, rows.air_gaps, alone.air_gaps);
  for (const ImageEntry& entry : alone.images) {
    const auto marks = survey.marks.find(entry.file);
    if (marks != survey.marks.end()) alone.marks.insert(*marks);
  }
  return alone;
}

std::vector<Problem> unknown_motors(const Survey& survey, const CutSurvey& cut) {
  // A survey without motors.csv is complete: the other tables name its motors.
  const bool has_motors = !survey.motors.empty();
  std::vector<const MotorRows*> unknown;
  for (const MotorRows& rows : cut.motors) {
    if (has_motors && !rows.row) unknown.push_back(&rows);
  }
  std::vector<Problem> problems;
  for (const MotorRows* rows : unknown) {
    if (rows->images.empty()) continue;
    const auto& row = rows->first_image_row;
    problems.push_back(unknown_motor(survey.motors, rows->id,
                                     row ? survey.tables.images : cut.files[rows->images.front()],
                                     row, rows->images.size()));
  }
  // Each table that names them, in the order of its rows.
  const auto named_by = [&](const auto& table, std::vector<std::size_t> MotorRows::*places,
                            const std::string& file) {
    std::vector<const MotorRows*> named = unknown;
    std::erase_if(named, [places](const MotorRows* rows) { return (rows->*places).empty(); });
    std::sort(named.begin(), named.end(), [places](const MotorRows* a, const MotorRows* b) {
      return (a->*places).front() < (b->*places).front();
    });
    for (const MotorRows* rows : named) {
      const std::vector<std::size_t>& its = rows->*places;
      problems.push_back(
          unknown_motor(survey.motors, rows->id, file, table[its.front()].row, its.size()));
    }
  };
  named_by(survey.readings, &MotorRows::readings, survey.tables.readings);
  named_by(survey.shop_tests, &MotorRows::shop_tests, survey.tables.readings);
  named_by(survey.sweeps, &MotorRows::sweeps, survey.tables.sweeps);
  named_by(survey.air_gaps, &MotorRows::air_gaps, survey.tables.air_gap);
  std::vector<std::pair<const CircuitStop*, std::size_t>> strays;  // the first row, how many
  for (const std::size_t i : cut.stray_circuit) {
    const CircuitStop& stop = survey.circuit[i];
    const auto at = std::find_if(strays.begin(), strays.end(), [&stop](const auto& stray) {
      return stray.first->motor == stop.motor;
    });
    if (at == strays.end()) {
      strays.emplace_back(&stop, 1);
    } else {
      ++at->second;
    }
  }
  for (const auto& [stop, times] : strays) {
    problems.push_back(
        unknown_motor(survey.motors, stop->motor, survey.tables.circuit, stop->row, times));
  }
  return problems;
}

}  // namespace ohmglow::diagnosis
