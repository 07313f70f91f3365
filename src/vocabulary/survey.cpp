#include "ohmglow/survey.h"

#include <date/date.h>
#include <sstream>

namespace ohmglow {

std::optional<Moment> Moment::parse(std::string_view text) {
  using namespace std::chrono;
  const auto reads = [text](const char* format, auto& into) {
    std::istringstream in{std::string(text)};
    in >> date::parse(format, into);
    return !in.fail() && in.peek() == std::istringstream::traits_type::eof();
  };
  sys_days day;
  if (reads("%F", day)) return Moment{std::string(text), day, sys_seconds{day}};
  // The written clock counts; a zone is accepted and kept in the text only.
  std::string clock(text);
  if (!clock.empty() && clock.back() == 'Z') clock.pop_back();
  if (clock.size() > 16) {
    const auto sign = clock.find_first_of("+-", 16);
    if (sign != std::string::npos) {
      std::istringstream in{clock.substr(sign)};
      minutes offset{};
      in >> date::parse("%Ez", offset);
      if (in.fail() || in.peek() != std::istringstream::traits_type::eof()) return std::nullopt;
      clock.resize(sign);
    }
  }
  for (const char* format : {"%FT%T", "%FT%R", "%F %T", "%F %R"}) {
    std::istringstream in{clock};
    sys_time<milliseconds> time;
    in >> date::parse(format, time);
    if (in.fail() || in.peek() != std::istringstream::traits_type::eof()) continue;
    return Moment{std::string(text), floor<days>(time), floor<seconds>(time)};
  }
  return std::nullopt;
}

Problem problem_from(const Error& error) {
  std::string message = sentence(error);
  if (error.place.byte_offset)
    message += " (byte " + std::to_string(*error.place.byte_offset) + ")";
  return Problem{error.place.file, error.place.row, error.place.column, std::move(message)};
}

const Motor* Survey::find_motor(std::string_view id) const {
  for (const Motor& motor : motors) {
    if (motor.id == id) return &motor;
  }
  return nullptr;
}

}  // namespace ohmglow
