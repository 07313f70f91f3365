#include "bench.h"

#include "units.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::acceptance {
namespace {

constexpr double kOhmPerMegaohm = 1e6;

Item line(Check check, std::string place, const std::optional<Moment>& taken_at,
          std::string_view unit) {
  Item item;
  item.check = check;
  item.place = std::move(place);
  item.taken_at = taken_at;
  item.unit = unit;
  return item;
}

bool is_later(const std::optional<Moment>& a, const std::optional<Moment>& b) {
  if (!b) return true;
  return a && a->time >= b->time;
}

// Of each place the latest row; of two of one moment, and of those without one, the lower row.
template <class Row, class Keep>
std::vector<const Row*> latest(const std::vector<Row>& rows, const Keep& keep) {
  std::vector<const Row*> found;
  for (const Row& row : rows) {
    if (!keep(row)) continue;
    const auto same = std::find_if(found.begin(), found.end(),
                                   [&row](const Row* other) { return other->place == row.place; });
    if (same == found.end()) {
      found.push_back(&row);
    } else if (is_later(row.taken_at, (*same)->taken_at)) {
      *same = &row;
    }
  }
  return found;
}

std::vector<const ShopTest*> shop_tests(const Bench& bench, ShopTestKind kind) {
  return latest(bench.survey.survey.shop_tests, [&](const ShopTest& test) {
    return test.motor == bench.motor.id && test.kind == kind;
  });
}

// --- insulation

struct AtForty {
  std::optional<double> ohm;
  double factor = 1;
  Sentence why;
};

AtForty at_forty(const ShopTest& test, const Motor& motor) {
  AtForty at;
  if (!test.temperature_c) {
    at.why = sentence("the winding's temperature is not known: fill in temperature_c");
    return at;
  }
  const double temperature = test.temperature_c->value();
  const auto factor = to_40_c(motor.insulation, temperature);
  if (!factor) {
    at.why = sentence("no correction to 40 °C holds at {}: measure at 10 to 85 °C",
                      ohmglow::temperature(temperature, 0));
    return at;
  }
  at.factor = *factor;
  at.ohm = *test.values[0] * *factor;
  std::string_view rule = msg("{} MΩ at {}, × {} as of thermosetting insulation");
  if (motor.insulation != Insulation::thermosetting) {
    rule = msg("{} MΩ at {}, × {} as of thermoplastic or older insulation");
  }
  if (motor.insulation == Insulation::unknown) {
    rule = msg("{} MΩ at {}, × {}: what insulation it has is not known, so the lower of both");
  }
  constexpr double kThreeDigitsBelow = 100;
  const double megaohm = *test.values[0] / kOhmPerMegaohm;
  at.why = sentence(rule, number(megaohm, megaohm < kThreeDigitsBelow ? 2 : 0),
                    ohmglow::temperature(temperature, 0), number(*factor, 2));
  return at;
}

Item insulation_line(const Bench& bench, const ShopTest& test) {
  Item item = line(Check::insulation_resistance, test.place, test.taken_at, kMegaohm);
  const AtForty at = at_forty(test, bench.motor);
  std::optional<Measured> measured;
  if (at.ohm) {
    measured =
        Measured{*at.ohm / kOhmPerMegaohm, test.value_u.value_or(0) * at.factor / kOhmPerMegaohm};
  }
  hold_against(item, measured, bench.limits, bench.motor);
  if (item.why.empty()) {
    item.why = at.why;
  } else if (measured) {
    item.why = clauses({at.why, item.why});
  }
  return item;
}

std::optional<Item> index_line(const Bench& bench, const ShopTest& test) {
  Item item = line(Check::polarization_index, test.place, test.taken_at, kRatio);
  if (!test.values[1]) return std::nullopt;
  const double one = *test.values[0];
  const double ten = *test.values[1];
  const double index = ten / one;
  // Without a temperature the reading stands for itself: at 40 °C a cooler winding has less.
  const AtForty at = at_forty(test, bench.motor);
  if (at.ohm.value_or(one) > kIndexMeaninglessAboveOhm) {
    hold_against(item, std::nullopt, bench.limits, bench.motor);
    item.value = index;
    item.why = sentence("means nothing above {} GΩ at 40 °C", number(5, 0));
    return item;
  }
  const double u = test.value_u.value_or(0);
  const Measured measured{index, index * std::hypot(u / one, u / ten)};
  hold_against(item, measured, bench.limits, bench.motor);
  return item;
}

// --- three values

std::optional<Measured> farthest_of(const std::array<std::optional<double>, 3>& values, double u) {
  if (!values[0] || !values[1] || !values[2]) return std::nullopt;
  const std::array<double, 3> all{*values[0], *values[1], *values[2]};
  const double mean = (all[0] + all[1] + all[2]) / 3;
  if (!(mean > 0)) return std::nullopt;
  double farthest = 0;
  for (const double value : all) farthest = std::max(farthest, std::abs(value - mean) / mean);
  // Of one value less the mean of three, each with the same u: u √(2/3).
  return Measured{100 * farthest, 100 * u * std::sqrt(2.0 / 3) / mean};
}

std::vector<Item> winding_lines(const Bench& bench) {
  const diagnosis::MotorResult* motor = bench.survey.find_motor(bench.motor.id);
  std::vector<Item> items;
  if (motor == nullptr) return items;
  const auto rows = latest(motor->electrical, [](const diagnosis::ElectricalResult& reading) {
    return reading.test == Test::winding_resistance;
  });
  for (const diagnosis::ElectricalResult* row : rows) {
    Item item = line(Check::winding_resistance, row->place, row->taken_at, kPercent);
    std::optional<Measured> measured;
    if (row->unbalance) {
      measured = Measured{row->unbalance->value(), row->unbalance_u.value_or(Percent{0}).value()};
    }
    hold_against(item, measured, bench.limits, bench.motor);
    if (!measured) item.why = sentence("the three pairs could not be compared");
    items.push_back(std::move(item));
  }
  return items;
}

// Recorded, for the next time: no standard has a number for it.
Item recorded(Item item, const std::optional<Measured>& measured) {
  item.is_recorded_only = true;
  if (measured) item.value = measured->value;
  if (measured && measured->u > 0) item.u = measured->u;
  item.why = sentence("recorded: no standard gives a limit");
  item.source = plainly(sentence("ANSI/EASA AR100-2020, 4.2.11 and 4.5.2"));
  item.flag = "V";
  return item;
}

std::vector<Item> impedance_lines(const Bench& bench) {
  std::vector<Item> items;
  for (const ShopTest* test : shop_tests(bench, ShopTestKind::impedance)) {
    items.push_back(recorded(line(Check::impedance, test->place, test->taken_at, kPercent),
                             farthest_of(test->values, test->value_u.value_or(0))));
  }
  return items;
}

std::vector<Item> no_load_lines(const Bench& bench) {
  const auto rows = latest(bench.survey.survey.readings, [&bench](const Reading& reading) {
    return reading.motor == bench.motor.id && reading.test == Test::line_current &&
           reading.load_pct == 0.0;
  });
  std::vector<Item> items;
  for (const Reading* row : rows) {
    items.push_back(recorded(line(Check::no_load_current, row->place, row->taken_at, kPercent),
                             farthest_of({row->values[0], row->values[1], row->values[2]}, 0)));
  }
  return items;
}

// --- shaft

std::vector<Item> runout_lines(const Bench& bench) {
  std::vector<Item> items;
  for (const ShopTest* test : shop_tests(bench, ShopTestKind::runout)) {
    Item item = line(Check::runout, test->place, test->taken_at, kMillimetre);
    hold_against(item, Measured{*test->values[0], test->value_u.value_or(0)}, bench.limits,
                 bench.motor);
    items.push_back(std::move(item));
  }
  return items;
}

std::vector<Item> vibration_lines(const Bench& bench) {
  std::vector<Item> items;
  for (const ShopTest* test : shop_tests(bench, ShopTestKind::vibration)) {
    Item item = line(Check::vibration, test->place, test->taken_at, kRmsSpeed);
    double most = 0;
    for (const auto& value : test->values) most = std::max(most, value.value_or(0));
    hold_against(item, Measured{most, test->value_u.value_or(0)}, bench.limits, bench.motor);
    items.push_back(std::move(item));
  }
  return items;
}

// --- rotor

std::string name_of_end(MotorEnd end) {
  if (end == MotorEnd::unknown) return {};
  return end == MotorEnd::drive ? "drive" : "opposite";
}

std::vector<Item> gap_lines(const Bench& bench) {
  std::vector<Item> items;
  for (const rotor::AirGap& gap : bench.rotors.air_gaps) {
    Item item = line(Check::air_gap, name_of_end(gap.end), gap.taken_at, kPercent);
    hold_against(item, Measured{gap.max_deviation.value(), gap.max_deviation_u.value()},
                 bench.limits, bench.motor);
    // What the room of the rotor leaves open, as a gap that could not be used, stays open.
    if (item.result == Conformity::pass && gap.result == Conformity::not_done) {
      item.result = Conformity::not_done;
    }
    std::vector<Sentence> said = gap.notes;
    if (!item.why.empty()) said.push_back(std::move(item.why));
    item.why = clauses(std::move(said));
    items.push_back(std::move(item));
  }
  return items;
}

// A pattern is no proof of a fault, and nothing without one: what is not even wants its next test.
Item sweep_line(const rotor::Sweep& sweep) {
  Item item = line(Check::sweep, "", sweep.taken_at, "");
  item.why = rotor::title_of(sweep.pattern);
  item.source = "house rule (docs/method.md)";
  switch (sweep.pattern) {
    case rotor::Pattern::sweep_even:
      item.result = Conformity::pass;
      return item;
    case rotor::Pattern::once_a_turn:
    case rotor::Pattern::pole_pattern:
    case rotor::Pattern::pairs_differ:
      item.result = Conformity::too_close;
      break;
    case rotor::Pattern::drifting:
    case rotor::Pattern::too_noisy:
    case rotor::Pattern::aliased:
      item.result = Conformity::not_done;
  }
  item.why = layout("{}. {}", std::move(item.why), sweep.next_test);
  return item;
}

std::vector<Item> sweep_lines(const Bench& bench) {
  const std::vector<rotor::Sweep>& sweeps = bench.rotors.sweeps;
  if (sweeps.empty()) return {};
  const auto last = std::max_element(sweeps.begin(), sweeps.end(),
                                     [](const rotor::Sweep& a, const rotor::Sweep& b) {
                                       return is_later(b.taken_at, a.taken_at);
                                     });
  return {sweep_line(*last)};
}

// --- connections

std::vector<const diagnosis::ComponentResult*> last_visits(const Bench& bench) {
  std::vector<const diagnosis::ComponentResult*> found;
  for (const diagnosis::ComponentResult& component : bench.survey.components) {
    if (component.motor != bench.motor.id) continue;
    const auto same = std::find_if(found.begin(), found.end(), [&component](const auto* other) {
      return other->component == component.component;
    });
    if (same == found.end()) {
      found.push_back(&component);
    } else if (component.visit >= (*same)->visit) {
      *same = &component;
    }
  }
  return found;
}

// By which sound lugs differ is no error of the rise itself, which is what the limit is for.
double u_of_measuring(const radiometry::Estimate& rise) {
  double variance = 0;
  for (const radiometry::Contribution& part : rise.parts()) {
    const radiometry::InputKind kind = part.input.kind;
    if (kind == radiometry::InputKind::sound_scatter ||
        kind == radiometry::InputKind::reference_choice)
      continue;
    variance += part.u_k * part.u_k;
  }
  return std::sqrt(variance);
}

// The lug that is warmest over its likes; absent where one of them could not be measured.
std::optional<Measured> worst_rise(const Bench& bench, const diagnosis::ComponentResult& component,
                                   std::optional<Moment>& taken_at) {
  std::optional<Measured> worst;
  for (const std::size_t i : component.images) {
    const diagnosis::ImageResult& image = bench.survey.images.at(i);
    taken_at = image.taken_at;
    for (const diagnosis::LugResult& lug : image.lugs) {
      if (!lug.rise_over_like) return std::nullopt;
      const double rise = lug.rise_over_like->value();
      if (!worst || rise > worst->value)
        worst = Measured{rise, u_of_measuring(*lug.rise_over_like)};
    }
  }
  return worst;
}

std::vector<Item> connection_lines(const Bench& bench) {
  std::vector<Item> items;
  for (const diagnosis::ComponentResult* component : last_visits(bench)) {
    Item item = line(Check::connection_rise, component->component, {}, kKelvin);
    auto measured = worst_rise(bench, *component, item.taken_at);
    const bool is_loaded =
        component->mean_load_a && bench.motor.rated_a &&
        component->mean_load_a->value() >= severity::kLowLoad * bench.motor.rated_a->value();
    hold_against(item, measured, bench.limits, bench.motor);
    if (!measured) {
      item.why = sentence("not every lug could be compared");
    } else if (item.result != Conformity::fail && !is_loaded) {
      item.result = Conformity::not_done;
      item.why = sentence(
          "the load is not known, or under {} % of rated: too little for a rise "
          "to show",
          number(100 * severity::kLowLoad, 0));
    }
    items.push_back(std::move(item));
  }
  return items;
}

// --- nameplate

struct Ordered {
  std::string_view column;
  std::optional<double> ordered;
  std::optional<double> is;
};

std::vector<Item> nameplate_lines(const Bench& bench) {
  const Motor& motor = bench.motor;
  const NameplateOrder& order = motor.ordered;
  const auto plain = [](const auto& quantity) -> std::optional<double> {
    if (!quantity) return std::nullopt;
    return quantity->value();
  };
  const auto whole = [](const std::optional<int>& count) -> std::optional<double> {
    if (!count) return std::nullopt;
    return *count;
  };
  const std::array<Ordered, 5> rows{{{"rated_kw", order.kw, motor.rated_kw},
                                     {"rated_v", plain(order.v), plain(motor.rated_v)},
                                     {"rated_a", plain(order.a), plain(motor.rated_a)},
                                     {"poles", whole(order.poles), whole(motor.poles)},
                                     {"rated_rpm", order.rpm, motor.rated_rpm}}};
  Item item = line(Check::nameplate, "", {}, "");
  item.source = "motors.csv";
  std::vector<Sentence> differ;
  List missing;
  bool any = false;
  for (const Ordered& row : rows) {
    if (!row.ordered) continue;
    any = true;
    const std::string column(row.column);
    if (!row.is) {
      missing.items.emplace_back(column);
    } else if (*row.is != *row.ordered) {
      differ.push_back(sentence("{}: {} ordered, {} on the plate", column,
                                short_number(*row.ordered), short_number(*row.is)));
    }
  }
  if (!any) return {};
  if (!differ.empty()) {
    item.result = Conformity::fail;
    item.why = clauses(std::move(differ));
  } else if (!missing.items.empty()) {
    item.why =
        sentence("the plate is not written down: fill in {} in motors.csv", std::move(missing));
  } else {
    item.result = Conformity::pass;
    item.why = sentence("as ordered");
  }
  return {std::move(item)};
}

}  // namespace

std::vector<Item> lines_of(const Bench& bench, Check check) {
  std::vector<Item> items;
  switch (check) {
    case Check::nameplate:
      return nameplate_lines(bench);
    case Check::insulation_resistance:
      for (const ShopTest* test : shop_tests(bench, ShopTestKind::insulation_resistance)) {
        items.push_back(insulation_line(bench, *test));
      }
      return items;
    case Check::polarization_index:
      for (const ShopTest* test : shop_tests(bench, ShopTestKind::insulation_resistance)) {
        if (auto item = index_line(bench, *test)) items.push_back(*std::move(item));
      }
      return items;
    case Check::winding_resistance:
      return winding_lines(bench);
    case Check::impedance:
      return impedance_lines(bench);
    case Check::sweep:
      return sweep_lines(bench);
    case Check::air_gap:
      return gap_lines(bench);
    case Check::runout:
      return runout_lines(bench);
    case Check::vibration:
      return vibration_lines(bench);
    case Check::no_load_current:
      return no_load_lines(bench);
    case Check::connection_rise:
      return connection_lines(bench);
  }
  return items;
}

}  // namespace ohmglow::acceptance
