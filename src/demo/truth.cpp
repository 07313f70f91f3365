#include "truth.h"

#include "physics.h"
#include "tables.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace ohmglow::demo {
namespace {

using Json = nlohmann::ordered_json;

// The default policy's limits, stated once more here so that the truth does not ask the program
// that it tests. Rises of the story keep clear of every limit, which side owns it does not matter,
// and of what sound lugs scatter by.
struct BandRow {
  std::string_view id;
  double like_k;
  double air_k;
  double pair_pct;
};
constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr std::array kBands{
    BandRow{"none", -kNever, -kNever, -kNever},
    BandRow{"watch", 1, 1, 1},
    BandRow{"plan", 3, 10, 5},
    BandRow{"monitor", kNever, 20, kNever},
    BandRow{"urgent", 15, 40, 10},
};
// From here on warmth alone makes a finding of lugs that are alike.
constexpr std::size_t kMonitor = 3;
constexpr std::size_t kUrgent = 4;
constexpr double kLoadExponent = 1.9;
constexpr double kLowLoad = 0.40;

std::size_t band_of(double BandRow::*column, double value) {
  std::size_t band = 0;
  for (std::size_t i = 0; i < kBands.size(); ++i) {
    if (value >= kBands.at(i).*column) band = i;
  }
  return band;
}

struct Grade {
  std::size_t band = 0;
  std::string_view by = "none";
  void raise(std::size_t other, std::string_view other_by) {
    if (other > band) *this = {other, other_by};
  }
};

struct TrueLug {
  const TrueShot* shot = nullptr;
  const Lug* lug = nullptr;
  std::optional<double> over_like_k;
  double over_air_k = 0;
  Grade grade;
};

/// Rise over air at rated load; absent where the load is too low to say.
std::optional<double> projected_over_air(const MotorStory& motor, double over_air_k) {
  const double mean_a = (motor.current_a[0] + motor.current_a[1] + motor.current_a[2]) / 3;
  if (mean_a < kLowLoad * motor.rated_a) return std::nullopt;
  return over_air_k * std::pow(motor.rated_a / mean_a, kLoadExponent);
}

Grade thermal_grade(const TrueLug& lug) {
  Grade grade;
  if (lug.over_like_k) grade.raise(band_of(&BandRow::like_k, *lug.over_like_k), "like");
  grade.raise(band_of(&BandRow::air_k, lug.over_air_k), "air");
  const MotorStory& motor = *lug.shot->motor;
  const double at_rated_k = projected_over_air(motor, lug.over_air_k).value_or(lug.over_air_k);
  const double air_c = lug.shot->shot->air_c;
  const double warmest_c = std::max(lug.lug->temperature_c, air_c + at_rated_k);
  if (warmest_c > motor.conductor_limit_c) grade.raise(kUrgent, "limit");
  return grade;
}

/// The lugs of one component, all its measured shots together.
std::vector<TrueLug> lugs_of(const std::vector<const TrueShot*>& shots) {
  std::vector<TrueLug> lugs;
  for (const TrueShot* shot : shots) {
    for (const Lug& lug : shot->picture.lugs) {
      lugs.push_back({shot, &lug, {}, lug.temperature_c - shot->shot->air_c, {}});
    }
  }
  double coolest_c = kNever;
  for (const TrueLug& lug : lugs) coolest_c = std::min(coolest_c, lug.lug->temperature_c);
  for (TrueLug& lug : lugs) {
    if (lugs.size() > 1) lug.over_like_k = lug.lug->temperature_c - coolest_c;
    lug.grade = thermal_grade(lug);
  }
  return lugs;
}

/// The band that the newest resistance reading earns by its unbalance, free of meter noise.
std::size_t reading_band(const MotorStory& motor) {
  const MeterReading* newest = nullptr;
  for (const MeterReading& reading : motor.readings) {
    if (reading.test != Test::winding_resistance || !reading.with_faults) continue;
    if (!newest || reading.taken_at > newest->taken_at) newest = &reading;
  }
  if (!newest) return 0;
  const auto pairs = pairs_at(motor, newest->place, true, Celsius{25});
  return band_of(&BandRow::pair_pct,
                 unbalance_pct({pairs[0].value(), pairs[1].value(), pairs[2].value()}));
}

double rounded(double value) {
  return std::round(value * 1e4) / 1e4;
}
Json json_of(const std::optional<double>& value) {
  return value ? Json(rounded(*value)) : Json(nullptr);
}

Json json_of(const TrueLug& lug) {
  return {{"image", file_of(*lug.shot->shot)},
          {"lug", lug.lug->name},
          {"phase", number_of(lug.lug->phase)},
          {"temperature_c", rounded(lug.lug->temperature_c)},
          {"rise_over_like_c", json_of(lug.over_like_k)},
          {"rise_over_air_c", rounded(lug.over_air_k)},
          {"band", kBands.at(lug.grade.band).id},
          {"band_by", lug.grade.by}};
}

bool names_a_phase(std::string_view verdict) {
  return verdict == "confirmed" || verdict == "phase_agrees" || verdict == "phase_conflict" ||
         verdict == "reading_only";
}

Json finding(const MotorStory& motor, CircuitPlace place, const TrueLug* lug, std::size_t band) {
  const std::string& verdict = motor.verdict_at(place);
  Json json{{"motor", motor.id},          {"component", lug ? Json(name_of(place)) : Json(nullptr)},
            {"phase", nullptr},           {"lug", nullptr},
            {"band", kBands.at(band).id}, {"verdict", verdict},
            {"electrical_phase", nullptr}};
  if (lug) {
    json["phase"] = number_of(lug->lug->phase);
    json["lug"] = lug->lug->name;
  }
  if (names_a_phase(verdict) && motor.electrical_phase) {
    json["electrical_phase"] = number_of(*motor.electrical_phase);
  }
  return json;
}

/// Nothing but the line that carries no current is said of a motor on two phases.
Json open_phase(const MotorStory& motor, CircuitPlace place) {
  const auto dead = std::find(motor.current_a.begin(), motor.current_a.end(), 0.0);
  const auto index = static_cast<std::size_t>(dead - motor.current_a.begin());
  return {{"motor", motor.id},
          {"component", name_of(place)},
          {"phase", number_of(kPhases.at(index))},
          {"lug", nullptr},
          {"band", kBands.at(kUrgent).id},
          {"verdict", "open_phase"},
          {"electrical_phase", nullptr}};
}

/// What the hottest of like lugs has to be for a finding, where none stands out.
bool counts_by_itself(const TrueLug& lug) {
  const std::size_t from = lug.over_like_k ? kMonitor : 1;
  return lug.grade.by == "limit" || band_of(&BandRow::air_k, lug.over_air_k) >= from;
}

/// Each lug with a band by its like; where none has one, the hottest if it counts by itself.
std::vector<const TrueLug*> worth_a_finding(const std::vector<TrueLug>& lugs) {
  std::vector<const TrueLug*> found;
  for (const TrueLug& lug : lugs) {
    if (band_of(&BandRow::like_k, lug.over_like_k.value_or(0)) > 0) found.push_back(&lug);
  }
  if (!found.empty() || lugs.empty()) return found;
  const auto hottest = std::max_element(
      lugs.begin(), lugs.end(),
      [](const TrueLug& a, const TrueLug& b) { return a.over_air_k < b.over_air_k; });
  if (counts_by_itself(*hottest)) found.push_back(&*hottest);
  return found;
}

/// Which verdict is the motor's where its components differ.
std::string worst_verdict(const MotorStory& motor) {
  constexpr std::array<std::string_view, 11> order{
      "open_phase",     "confirmed",    "phase_agrees", "phase_conflict",
      "heat_only",      "reading_only", "no_reading",   "supply_unbalance",
      "load_unbalance", "not_judged",   "even"};
  for (const std::string_view verdict : order) {
    for (const Cause& cause : motor.causes) {
      if (cause.verdict == verdict) return cause.verdict;
    }
  }
  return "even";
}

void add_component(Json& truth, const MotorStory& motor, CircuitPlace place,
                   const std::vector<TrueLug>& lugs) {
  for (const TrueLug& lug : lugs) truth["lugs"].push_back(json_of(lug));
  if (motor.verdict_at(place) == "open_phase") {
    truth["findings"].push_back(open_phase(motor, place));
    return;
  }
  for (const TrueLug* lug : worth_a_finding(lugs)) {
    std::size_t band = lug->grade.band;
    const bool same_phase = motor.electrical_phase == lug->lug->phase;
    if (same_phase && motor.verdict_at(place) == "confirmed") {
      band = std::max(band, reading_band(motor));
    }
    truth["findings"].push_back(finding(motor, place, lug, band));
  }
}

void add_motor(Json& truth, const MotorStory& motor, const std::vector<TrueShot>& all) {
  for (const Cause& cause : motor.causes) {
    std::vector<const TrueShot*> shots;
    for (const TrueShot& shot : all) {
      const bool measured = shot.shot->outcome == Outcome::measured;
      if (shot.motor == &motor && shot.shot->place == cause.place && measured) {
        shots.push_back(&shot);
      }
    }
    add_component(truth, motor, cause.place, lugs_of(shots));
  }
  const std::string verdict = worst_verdict(motor);
  if (verdict == "reading_only") {
    truth["findings"].push_back(
        finding(motor, motor.causes.front().place, nullptr, reading_band(motor)));
  }
  truth["motors"].push_back({{"motor", motor.id}, {"verdict", verdict}});
}

}  // namespace

std::string truth_json(const std::vector<TrueShot>& shots, const std::vector<Repair>& repairs) {
  Json truth{{"version", 1},
             {"lugs", Json::array()},
             {"findings", Json::array()},
             {"motors", Json::array()},
             {"images", Json::array()}};
  const MotorStory* motor = nullptr;
  for (const TrueShot& shot : shots) {
    if (shot.motor != motor) add_motor(truth, *shot.motor, shots);
    motor = shot.motor;
  }
  for (const TrueShot& shot : shots) {
    const int pages = encoding_of(shot.shot->encoding).pages;
    truth["images"].push_back({{"file", file_of(*shot.shot)},
                               {"page", pages > 1 ? Json(pages) : Json(nullptr)},
                               {"status", name_of(shot.shot->outcome)}});
  }
  for (const Repair& repair : repairs) {
    truth["repairs"].push_back(
        {{"motor", repair.motor}, {"change", repair.change}, {"because", repair.because}});
  }
  return truth.dump(2) + "\n";
}

}  // namespace ohmglow::demo
