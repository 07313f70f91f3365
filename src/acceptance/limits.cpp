#include "limits.h"

#include "units.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

namespace ohmglow::acceptance {
namespace {

constexpr double kMillimetresPerInch = 25.4;
constexpr double kMillimetresPerMil = kMillimetresPerInch / 1000;
constexpr double kSecondsPerMinute = 60;
constexpr double kVoltsPerKilovolt = 1000;

enum class Fits { yes, no, not_known };

// Of two and four poles every mains makes more than this, slip and all; what it is exactly is not
// known.
constexpr double kLeastRpmOfFourPoles = 1400;
constexpr int kFourPoles = 4;

template <class Quantity>
std::optional<double> value_of(const std::optional<Quantity>& quantity) {
  if (!quantity) return std::nullopt;
  if constexpr (requires { quantity->value(); }) {
    return quantity->value();
  } else {
    return static_cast<double>(*quantity);
  }
}

std::optional<double> number_of(const Motor& motor, const std::string& column) {
  if (column == "rated_v") return value_of(motor.rated_v);
  if (column == "built") return value_of(motor.built);
  if (column == "poles") return value_of(motor.poles);
  if (column == "shaft_mm") return value_of(motor.shaft_mm);
  if (motor.rated_rpm || !motor.poles || *motor.poles > kFourPoles) return motor.rated_rpm;
  return kLeastRpmOfFourPoles;
}

std::string word_of(CoilLayout layout) {
  if (layout == CoilLayout::unknown) return {};
  return layout == CoilLayout::lap ? "lap" : "concentric";
}
std::string word_of(CoilKind coils) {
  if (coils == CoilKind::unknown) return {};
  return coils == CoilKind::random ? "random" : "form";
}
std::string word_of(FrameStandard standard) {
  if (standard == FrameStandard::unknown) return {};
  return standard == FrameStandard::iec ? "iec" : "nema";
}
std::string word_of(Mounting mounting) {
  if (mounting == Mounting::unknown) return {};
  return mounting == Mounting::rigid ? "rigid" : "resilient";
}

// A winding's column holds two things: how the coils lie, and what they are made of.
std::string word_like(const Motor& motor, const std::string& column, const std::string& wanted) {
  if (column == "winding") {
    const bool is_layout = wanted == "lap" || wanted == "concentric";
    return is_layout ? word_of(motor.winding.layout) : word_of(motor.winding.coils);
  }
  if (column == "frame_standard") return word_of(motor.frame_standard);
  if (column == "mounting") return word_of(motor.mounting);
  return motor.insulation_class;
}

Fits fits_words(const Motor& motor, const std::string& column,
                const std::vector<std::string>& words) {
  Fits fits = Fits::no;
  for (const std::string& word : words) {
    const std::string known = word_like(motor, column, word);
    if (known == word) return Fits::yes;
    if (known.empty()) fits = Fits::not_known;
  }
  return fits;
}

// What a row asks and the motor's row leaves open goes to `open`.
Fits fits(const LimitRow& row, const Motor& motor, std::set<std::string>& open) {
  std::set<std::string> asked;
  for (const auto& [column, span] : row.when.numbers) {
    const auto value = number_of(motor, column);
    if (!value) {
      asked.insert(column);
    } else if (!span.holds(*value)) {
      return Fits::no;
    }
  }
  for (const auto& [column, words] : row.when.words) {
    const Fits word = fits_words(motor, column, words);
    if (word == Fits::no) return Fits::no;
    if (word == Fits::not_known) asked.insert(column);
  }
  open.insert(asked.begin(), asked.end());
  return asked.empty() ? Fits::yes : Fits::not_known;
}

// In the unit that the check is reported in; absent: it takes a number that is not known.
std::optional<double> limit_of(const LimitRow& row, const Motor& motor,
                               std::set<std::string>& open) {
  double limit = row.limit;
  if (row.per_kv != 0) {
    if (!motor.rated_v) return open.insert("rated_v"), std::nullopt;
    limit += row.per_kv * motor.rated_v->value() / kVoltsPerKilovolt;
  }
  if (row.unit == kMil) return limit * kMillimetresPerMil;
  if (row.unit == kPeakSpeed) return limit * kMillimetresPerInch / std::numbers::sqrt2;
  if (row.unit == kDisplacement) {
    if (!motor.rated_rpm) return open.insert("rated_rpm"), std::nullopt;
    // A sine of peak to peak d at f has the peak velocity π f d.
    const double peak = std::numbers::pi * *motor.rated_rpm / kSecondsPerMinute * limit;
    return peak * kMillimetresPerMil / std::numbers::sqrt2;
  }
  return limit;
}

struct Candidate {
  const LimitRow* row = nullptr;
  std::optional<double> limit;
  Conformity result = Conformity::not_done;
};

Conformity held(const LimitRow& row, const Measured& measured, double limit) {
  const Conformity result = row.at_least ? rotor::at_most(-measured.value, measured.u, -limit)
                                         : rotor::at_most(measured.value, measured.u, limit);
  return result == Conformity::pass || row.fails_beyond ? result : Conformity::not_done;
}

// The rows that may be the motor's: none after one that surely is.
std::vector<Candidate> candidates(Check check, const Limits& limits, const Motor& motor,
                                  std::set<std::string>& open) {
  std::vector<Candidate> found;
  for (const LimitRow& row : limits.rows) {
    if (row.check != check) continue;
    const Fits its = fits(row, motor, open);
    if (its == Fits::no) continue;
    found.push_back({&row, limit_of(row, motor, open)});
    if (its == Fits::yes) break;
  }
  return found;
}

void set_limit(Item& item, const Candidate& candidate) {
  item.limit = candidate.limit;
  item.at_least = candidate.row->at_least;
  item.source = candidate.row->source;
  item.flag = candidate.row->flag;
}

Sentence depends_on(const std::set<std::string>& open) {
  List columns;
  for (const std::string& column : open) columns.items.emplace_back(column);
  return sentence("which limit applies is not known: fill in {} in motors.csv", std::move(columns));
}

}  // namespace

bool Span::holds(double value) const {
  return (!from || value >= *from) && (!above || value > *above) && (!below || value < *below) &&
         (!to || value <= *to);
}

const std::vector<std::string>& number_columns() {
  static const std::vector<std::string> columns{"rated_v", "built", "poles", "rated_rpm",
                                                "shaft_mm"};
  return columns;
}

const std::vector<std::string>& word_columns() {
  static const std::vector<std::string> columns{"winding", "insulation_class", "frame_standard",
                                                "mounting"};
  return columns;
}

std::vector<std::string> limit_units(Check check) {
  const auto list = [](auto... units) { return std::vector<std::string>{std::string(units)...}; };
  switch (check) {
    case Check::insulation_resistance:
      return list(kMegaohm);
    case Check::polarization_index:
      return list(kRatio);
    case Check::winding_resistance:
    case Check::air_gap:
      return list(kPercent);
    case Check::runout:
      return list(kMillimetre, kMil);
    case Check::vibration:
      return list(kRmsSpeed, kPeakSpeed, kDisplacement);
    case Check::connection_rise:
      return list(kKelvin);
    case Check::nameplate:
    case Check::impedance:
    case Check::sweep:
    case Check::no_load_current:
      return {};
  }
  return {};
}

void hold_against(Item& item, const std::optional<Measured>& measured, const Limits& limits,
                  const Motor& motor) {
  std::set<std::string> open;
  std::vector<Candidate> possible = candidates(item.check, limits, motor, open);
  if (measured) {
    item.value = measured->value;
    if (measured->u > 0) item.u = measured->u;
  }
  if (possible.empty()) {
    if (measured) item.why = sentence("the limits have none for this motor");
    return;
  }
  if (possible.size() == 1 && open.empty()) set_limit(item, possible.front());
  if (!measured) return;
  for (Candidate& candidate : possible) {
    if (candidate.limit) candidate.result = held(*candidate.row, *measured, *candidate.limit);
  }
  const Candidate& first = possible.front();
  const bool agree =
      std::all_of(possible.begin(), possible.end(), [&first](const Candidate& candidate) {
        return candidate.limit && candidate.result == first.result;
      });
  if (!agree) {
    item.why = depends_on(open);
    return;
  }
  // Of limits that agree the one nearest to the value says most.
  const auto nearest = std::min_element(
      possible.begin(), possible.end(), [&](const Candidate& a, const Candidate& b) {
        return std::abs(*a.limit - measured->value) < std::abs(*b.limit - measured->value);
      });
  set_limit(item, *nearest);
  item.result = nearest->result;
  if (item.result == Conformity::not_done) {
    item.why = sentence(
        "beyond the limit, which a winding of this build may exceed: compare it "
        "with the maker's figures or a sister machine");
  }
}

}  // namespace ohmglow::acceptance
