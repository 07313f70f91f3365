#include "ohmglow/survey.h"

#include "offered/vocabulary/utf8.h"

#include <algorithm>

namespace ohmglow {

namespace {

constexpr std::chrono::year kFirstYear{1900};
constexpr std::chrono::year kLastYear{2199};

/// A text that is read from its front.
class Scan {
 public:
  explicit Scan(std::string_view text) : rest_(text) {}

  [[nodiscard]] bool at_end() const { return rest_.empty(); }
  bool take(char wanted) {
    if (!rest_.starts_with(wanted)) return false;
    rest_.remove_prefix(1);
    return true;
  }
  /// `least` to `most` digits, those of a number below `limit`.
  std::optional<int> number(std::size_t least, std::size_t most, int limit) {
    int value = 0;
    std::size_t digits = 0;
    for (; digits < std::min(most, rest_.size()); ++digits) {
      const char c = rest_[digits];
      if (c < '0' || c > '9') break;
      value = value * 10 + (c - '0');
    }
    if (digits < least || value >= limit) return std::nullopt;
    rest_.remove_prefix(digits);
    return value;
  }

 private:
  std::string_view rest_;
};

constexpr int kHours = 24;
constexpr int kMinutes = 60;
constexpr int kSeconds = 60;

std::optional<std::chrono::sys_days> day_at(Scan& scan) {
  using namespace std::chrono;
  const auto year_number = scan.number(4, 4, 10'000);
  if (!year_number || !scan.take('-')) return std::nullopt;
  const auto month_number = scan.number(1, 2, 13);
  if (!month_number || !scan.take('-')) return std::nullopt;
  const auto day_number = scan.number(1, 2, 32);
  if (!day_number) return std::nullopt;
  const year_month_day day{year{*year_number}, month{static_cast<unsigned>(*month_number)},
                           std::chrono::day{static_cast<unsigned>(*day_number)}};
  if (!day.ok() || day.year() < kFirstYear || day.year() > kLastYear) return std::nullopt;
  return sys_days{day};
}

/// Hours and minutes, and seconds with a fraction of them where they are written.
std::optional<std::chrono::seconds> clock_at(Scan& scan) {
  using namespace std::chrono;
  constexpr std::size_t kMostDigits = 9;
  const auto hour = scan.number(1, 2, kHours);
  if (!hour || !scan.take(':')) return std::nullopt;
  const auto minute = scan.number(1, 2, kMinutes);
  if (!minute) return std::nullopt;
  const seconds whole = hours{*hour} + minutes{*minute};
  if (!scan.take(':')) return whole;
  const auto second = scan.number(1, 2, kSeconds);
  if (!second) return std::nullopt;
  if (scan.take('.')) static_cast<void>(scan.number(0, kMostDigits, 1'000'000'000));
  return whole + seconds{*second};
}

/// Z, ±hh, ±hhmm or ±hh:mm; the written clock stands whatever it is.
bool skip_zone(Scan& scan) {
  if (scan.at_end() || scan.take('Z')) return true;
  if (!scan.take('+') && !scan.take('-')) return false;
  if (!scan.number(1, 2, kHours)) return false;
  if (scan.at_end()) return true;
  static_cast<void>(scan.take(':'));
  return scan.number(2, 2, kMinutes).has_value();
}

}  // namespace

std::optional<Moment> Moment::parse(std::string_view written) {
  Scan scan(written);
  const auto day = day_at(scan);
  if (!day) return std::nullopt;
  if (scan.at_end()) return Moment{std::string(written), *day, *day};
  if (!scan.take('T') && !scan.take(' ')) return std::nullopt;
  while (scan.take(' ')) {
  }
  const auto clock = clock_at(scan);
  if (!clock || !skip_zone(scan) || !scan.at_end()) return std::nullopt;
  return Moment{std::string(written), *day, *day + *clock};
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
