#include "ohmglow/survey.h"

#include "offered/vocabulary/utf8.h"

#include <algorithm>
#include <date/date.h>
#include <sstream>

namespace ohmglow {

namespace {

using Clock = std::chrono::sys_time<std::chrono::nanoseconds>;

/// The written clock of a whole text in one format; a zone is read and put back.
std::optional<Clock> clock_in(const std::string& text, const std::string& format) {
  std::istringstream in{text};
  Clock time;
  std::string name;
  std::chrono::minutes offset{0};
  date::from_stream(in, format.c_str(), time, &name, &offset);
  if (in.fail() || in.peek() != std::istringstream::traits_type::eof()) return std::nullopt;
  return time + offset;
}

}  // namespace

std::optional<Moment> Moment::parse(std::string_view written) {
  using namespace std::chrono;
  const std::string text(written);
  if (const auto day = clock_in(text, "%F")) {
    return Moment{text, floor<days>(*day), floor<seconds>(*day)};
  }
  for (const char* separator : {"T", " "}) {
    for (const char* clock : {"%T", "%R"}) {
      for (const char* zone : {"", "Z", "%Ez", "%z"}) {
        const auto time = clock_in(text, std::string("%F") + separator + clock + zone);
        if (time) return Moment{text, floor<days>(*time), floor<seconds>(*time)};
      }
    }
  }
  return std::nullopt;
}

Problem problem_from(const Error& error) {
  std::string message = sentence(error);
  if (error.place.byte_offset)
    message += " (byte " + std::to_string(*error.place.byte_offset) + ")";
  return Problem{error.place.file, error.place.row, error.place.column, std::move(message)};
}

bool any_unused(std::span<const Problem> problems) {
  return !std::all_of(problems.begin(), problems.end(),
                      [](const Problem& problem) { return problem.is_remark; });
}

const Motor* Survey::find_motor(std::string_view id) const {
  for (const Motor& motor : motors) {
    if (motor.id == id) return &motor;
  }
  return nullptr;
}

const CircuitStop* Survey::find_place(std::string_view motor, std::string_view place) const {
  const std::string folded = folded_name(place);
  for (const CircuitStop& stop : circuit) {
    if (stop.motor == motor && folded_name(stop.place) == folded) return &stop;
  }
  return nullptr;
}

WorkSite work_site(const Motor* motor, const CircuitStop* place) {
  WorkSite site;
  if (motor != nullptr) {
    site = {motor->area, motor->lockout, motor->crew, motor->torque_nm, motor->parts};
  }
  if (place == nullptr) return site;
  if (!place->area.empty()) site.area = place->area;
  if (!place->lockout.empty()) site.lockout = place->lockout;
  if (place->torque_nm) site.torque_nm = place->torque_nm;
  if (!place->parts.empty()) site.parts = place->parts;
  return site;
}

}  // namespace ohmglow
