#include "angles.h"
#include "ohmglow/rotor.h"
#include "rotor/least_squares.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <map>
#include <set>

namespace ohmglow::rotor {
namespace {

using Complex = std::complex<double>;

constexpr double kTurnOfPlaces_deg = 360;
constexpr std::size_t kLeastForHarmonic = 3;
// Four places miss up to 1 − cos 45° of the offset; fewer say nothing of the whole bore.
constexpr std::size_t kFewPlaces = 4;
// Leaves of a feeler gauge are rarely finer, and they are bent by the bore (house rule).
constexpr double kFeelerStep_mm = 0.05;
constexpr int kTwoPoles = 2;

double to_turn(double degrees) {
  const double rest = std::fmod(degrees, kTurnOfPlaces_deg);
  return rest < 0 ? rest + kTurnOfPlaces_deg : rest;
}

// The offset as a share of the mean, in the direction of the smallest gap.
struct Offset {
  Complex z;
  double mean_mm = 0;
  double u = 0;
};

std::optional<Offset> offset_of(std::span<const GapPlace> places, double gap_u_mm) {
  std::set<double> different;
  for (const GapPlace& place : places) different.insert(to_turn(place.position_deg));
  if (different.size() < kLeastForHarmonic) return std::nullopt;
  const int rows = static_cast<int>(places.size());
  cv::Mat design(rows, 3, CV_64F);
  cv::Mat gaps(rows, 1, CV_64F);
  for (int i = 0; i < rows; ++i) {
    const double angle = places[static_cast<std::size_t>(i)].position_deg * kRadianPerDegree;
    design.at<double>(i, 0) = 1;
    design.at<double>(i, 1) = std::cos(angle);
    design.at<double>(i, 2) = std::sin(angle);
    gaps.at<double>(i) = places[static_cast<std::size_t>(i)].gap_mm;
  }
  const auto fit = least_squares(design, gaps);
  if (!fit || fit->parameters.at<double>(0) <= 0) return std::nullopt;
  const double mean = fit->parameters.at<double>(0);
  const Complex z(-fit->parameters.at<double>(1) / mean, -fit->parameters.at<double>(2) / mean);
  const double cofactor = (fit->cofactors.at<double>(1, 1) + fit->cofactors.at<double>(2, 2)) / 2;
  return Offset{z, mean, gap_u_mm * std::sqrt(cofactor) / mean};
}

double degrees_in_turn(Complex z) {
  const double degrees = to_turn(std::arg(z) / kRadianPerDegree);
  return degrees == kTurnOfPlaces_deg ? 0 : degrees;
}

Direction direction_of(Complex z) {
  return {Percent{100 * std::abs(z)}, degrees_in_turn(z)};
}

// z at each angle t of the rotor is fixed + turning · exp(jt), by least squares over the angles.
struct Parts {
  Complex fixed, turning;
};
std::optional<Parts> parts_of(const std::map<double, Offset>& by_rotor) {
  const int angles = static_cast<int>(by_rotor.size());
  if (angles < 2) return std::nullopt;
  cv::Mat design = cv::Mat::zeros(2 * angles, 4, CV_64F);
  cv::Mat values(2 * angles, 1, CV_64F);
  int row = 0;
  for (const auto& [rotor_deg, offset] : by_rotor) {
    const double c = std::cos(rotor_deg * kRadianPerDegree);
    const double s = std::sin(rotor_deg * kRadianPerDegree);
    design.at<double>(row, 0) = 1;
    design.at<double>(row, 2) = c;
    design.at<double>(row, 3) = -s;
    values.at<double>(row++) = offset.z.real();
    design.at<double>(row, 1) = 1;
    design.at<double>(row, 2) = s;
    design.at<double>(row, 3) = c;
    values.at<double>(row++) = offset.z.imag();
  }
  const auto fit = least_squares(design, values);
  if (!fit) return std::nullopt;
  const auto at = [&fit](int i) { return fit->parameters.at<double>(i); };
  return Parts{{at(0), at(1)}, {at(2), at(3)}};
}

void take_sizes(AirGap& end) {
  double sum = 0;
  double step_mm = 0;
  double smallest = end.readings.front().gap->value();
  double largest = smallest;
  for (const AirGapReading& reading : end.readings) {
    const double gap = reading.gap->value();
    sum += gap;
    smallest = std::min(smallest, gap);
    largest = std::max(largest, gap);
    if (reading.resolution) step_mm = std::max(step_mm, reading.resolution->value());
  }
  const auto count = static_cast<double>(end.readings.size());
  const double mean = sum / count;
  end.mean = Millimetre{mean};
  end.smallest = Millimetre{smallest};
  end.spread = Percent{100 * (largest - smallest) / mean};
  const double farthest = largest - mean > mean - smallest ? largest : smallest;
  end.max_deviation = Percent{100 * std::fabs(farthest - mean) / mean};
  // d = g/m − 1, and g is one of the n gaps of the mean m; each rectangular over a step.
  const double u_gap = step_mm / std::sqrt(12.0);
  const double by_own = 1 / mean - farthest / (mean * mean * count);
  const double by_other = farthest / (mean * mean * count);
  end.max_deviation_u =
      Percent{100 * u_gap * std::sqrt(by_own * by_own + (count - 1) * by_other * by_other)};
}

void take_offsets(AirGap& end) {
  std::map<double, std::vector<GapPlace>> by_rotor;
  std::set<double> places;
  for (const AirGapReading& reading : end.readings) {
    by_rotor[to_turn(reading.rotor_deg)].push_back({reading.position_deg, reading.gap->value()});
    places.insert(to_turn(reading.position_deg));
  }
  end.places = places.size();
  end.rotor_angles = by_rotor.size();
  std::map<double, Offset> offsets;
  for (const auto& [rotor_deg, its] : by_rotor) {
    if (const auto offset = offset_of(its, 0)) offsets.emplace(rotor_deg, *offset);
  }
  if (offsets.empty()) return;
  const auto largest = std::max_element(
      offsets.begin(), offsets.end(),
      [](const auto& a, const auto& b) { return std::abs(a.second.z) < std::abs(b.second.z); });
  end.offset = direction_of(largest->second.z);
  end.rotor_deg = largest->first;
  if (const auto parts = parts_of(offsets)) {
    end.fixed = direction_of(parts->fixed);
    end.turning = direction_of(parts->turning);
  }
}

void take_result(AirGap& end, std::optional<int> poles, bool is_whole) {
  if (poles) end.limit = *poles == kTwoPoles ? kTwoPoleGapLimit : kGapLimit;
  if (end.limit && end.places >= kFewPlaces) {
    end.result =
        at_most(end.max_deviation.value(), end.max_deviation_u.value(), end.limit->value());
  }
  const bool does_not_pass = end.result == Conformity::pass || end.result == Conformity::too_close;
  if (!is_whole && does_not_pass) end.result = Conformity::not_done;
}

void take_notes(AirGap& end, std::optional<int> poles, bool is_whole) {
  if (!poles) end.notes.push_back(sentence("The limit depends on the poles: enter them."));
  if (!is_whole) {
    end.notes.push_back(sentence("A gap of this end could not be used: take it again."));
  }
  if (end.places < kFewPlaces) {
    end.notes.push_back(sentence("Fewer than four places do not show an end: take eight."));
  } else if (end.places == kFewPlaces) {
    end.notes.push_back(
        sentence("Four places can hide 29 % of the true deviation: eight hide 8 %."));
  }
  if (end.rotor_angles < 2 && end.offset) {
    end.notes.push_back(sentence(
        "Taken at one position of the rotor, the fixed and the turning part cannot be told "
        "apart: turn the shaft by quarters and take the gaps again."));
  }
  if (!end.limit) return;
  const double allowed_mm = end.mean.value() * end.limit->value() / 100;
  double step_mm = 0;
  for (const AirGapReading& reading : end.readings) {
    if (reading.resolution) step_mm = std::max(step_mm, reading.resolution->value());
  }
  if (allowed_mm >= std::max(step_mm, kFeelerStep_mm)) return;
  end.notes.push_back(
      sentence("The limit of {} mm is less than a feeler gauge tells apart: measure another way.",
               number(allowed_mm, 3)));
}

// Inch and millimetre, mil and hundredth apart show; good and bad build does not.
void question_size(AirGap& end, std::optional<int> poles, std::optional<double> rated_kw) {
  constexpr double kFarFromUsual = 3;
  if (!poles || !rated_kw) return;
  const double usual_mm = usual_gap(*rated_kw, *poles).value();
  const double share = end.mean.value() / usual_mm;
  if (share < kFarFromUsual && share * kFarFromUsual > 1) return;
  end.notes.push_back(
      sentence("A motor of this size usually has a gap of about {} mm: check the unit.",
               number(usual_mm, 1)));
}

}  // namespace

Millimetre usual_gap(double rated_kw, int poles) {
  const double size = std::pow(rated_kw * 1e3, 0.4);
  return Millimetre{poles == 2 ? 0.2 + 0.01 * size : 0.18 + 0.006 * size};
}

std::optional<GapHarmonic> gap_harmonic(std::span<const GapPlace> places, double gap_u_mm) {
  const auto offset = offset_of(places, gap_u_mm);
  if (!offset) return std::nullopt;
  return GapHarmonic{offset->mean_mm, std::abs(offset->z), degrees_in_turn(offset->z), offset->u};
}

std::vector<AirGap> air_gaps(std::span<const AirGapReading> readings, std::optional<int> poles,
                             std::optional<double> rated_kw) {
  std::vector<AirGap> ends;
  for (const MotorEnd end : {MotorEnd::drive, MotorEnd::opposite, MotorEnd::unknown}) {
    std::optional<Moment> latest;
    for (const AirGapReading& reading : readings) {
      if (reading.end != end || !reading.taken_at) continue;
      if (!latest || latest->day < reading.taken_at->day) latest = reading.taken_at;
    }
    AirGap its;
    its.end = end;
    its.taken_at = latest;
    bool is_whole = true;
    for (const AirGapReading& reading : readings) {
      if (reading.end != end) continue;
      if (latest && (!reading.taken_at || reading.taken_at->day != latest->day)) continue;
      its.motor = reading.motor;
      is_whole = is_whole && reading.gap.has_value();
      if (reading.gap) its.readings.push_back(reading);
    }
    if (its.readings.empty()) continue;
    take_sizes(its);
    take_offsets(its);
    take_result(its, poles, is_whole);
    take_notes(its, poles, is_whole);
    question_size(its, poles, rated_kw);
    ends.push_back(std::move(its));
  }
  return ends;
}

}  // namespace ohmglow::rotor
