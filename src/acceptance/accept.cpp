#include "bench.h"

#include <algorithm>
#include <array>

namespace ohmglow::acceptance {
namespace {

// From the worst: what several places come to.
int badness(Conformity result) {
  constexpr std::array kFromWorst{Conformity::fail, Conformity::too_close, Conformity::not_done,
                                  Conformity::pass};
  return static_cast<int>(std::find(kFromWorst.begin(), kFromWorst.end(), result) -
                          kFromWorst.begin());
}

bool is_worse(const Item& a, const Item& b) {
  if (a.result != b.result) return badness(a.result) < badness(b.result);
  if (!a.value || !b.value) return a.value.has_value();
  return a.at_least ? *a.value < *b.value : *a.value > *b.value;
}

Item not_measured(const Bench& bench, Check check) {
  Item item;
  item.check = check;
  hold_against(item, std::nullopt, bench.limits, bench.motor);
  if (item.why.empty()) item.why = sentence("not measured");
  return item;
}

// One place stands for the motor; of several the worst does, and each follows it.
void add_lines(std::vector<Item>& items, std::vector<Item> lines) {
  if (lines.size() == 1) lines.front().place.clear();
  if (lines.size() > 1) {
    Item worst = *std::min_element(lines.begin(), lines.end(), is_worse);
    worst.place.clear();
    worst.has_parts = true;
    for (Item& line : lines) {
      if (line.place.empty()) line.place = "no place";
    }
    items.push_back(std::move(worst));
  }
  std::move(lines.begin(), lines.end(), std::back_inserter(items));
}

bool is_asked(const Bench& bench, Stage stage, Check check) {
  const auto asked = bench.limits.asked.find(stage);
  return asked != bench.limits.asked.end() &&
         std::find(asked->second.begin(), asked->second.end(), check) != asked->second.end();
}

Conclusion conclusion_of(const std::vector<Item>& items) {
  const auto any = [&items](auto holds) {
    return std::any_of(items.begin(), items.end(), [&](const Item& item) {
      return !item.is_recorded_only && holds(item.result);
    });
  };
  if (any([](Conformity result) { return result == Conformity::fail; })) return Conclusion::reject;
  if (any([](Conformity result) { return result != Conformity::pass; })) {
    return Conclusion::conditions;
  }
  return Conclusion::accept;
}

// A figure counts once, at the first place that failed.
void count_costs(Acceptance& acceptance, std::map<Check, double> costs) {
  for (Item& item : acceptance.items) {
    if (item.result != Conformity::fail || item.has_parts) continue;
    const auto cost = costs.extract(item.check);
    if (cost.empty()) continue;
    item.cost = cost.mapped();
    acceptance.cost = acceptance.cost.value_or(0) + cost.mapped();
  }
}

}  // namespace

Result<Acceptance> accept(const diagnosis::Assessment& survey, const Limits& limits,
                          const Request& request) {
  const Motor* motor = survey.survey.find_motor(request.motor);
  if (motor == nullptr) {
    return fail(Error{.kind = ErrorKind::missing,
                      .what = "no such motor",
                      .found = request.motor,
                      .expected = "a motor of motors.csv",
                      .mend = "name one of its rows"});
  }
  Acceptance acceptance;
  acceptance.motor = motor->id;
  acceptance.stage = request.stage;
  acceptance.currency = motor->currency;
  acceptance.rotors = rotor::rotors(survey.survey, motor->id);
  const Bench bench{survey, limits, *motor, acceptance.rotors};
  for (std::size_t i = 0; i < kChecks; ++i) {
    const auto check = static_cast<Check>(i);
    std::vector<Item> lines = lines_of(bench, check);
    if (lines.empty() && is_asked(bench, request.stage, check)) {
      lines.push_back(not_measured(bench, check));
    }
    add_lines(acceptance.items, std::move(lines));
  }
  acceptance.conclusion = conclusion_of(acceptance.items);
  count_costs(acceptance, request.costs);
  return acceptance;
}

std::vector<ItemChange> compare(const Acceptance& before, const Acceptance& after) {
  std::vector<ItemChange> changes;
  const auto put = [&changes](const Item& item, std::optional<Item> ItemChange::*side) {
    const std::string id = item.id();
    auto found = std::find_if(changes.begin(), changes.end(),
                              [&id](const ItemChange& change) { return change.id == id; });
    if (found == changes.end()) found = changes.insert(changes.end(), ItemChange{id, {}, {}});
    (*found).*side = item;
  };
  for (const Item& item : before.items) put(item, &ItemChange::before);
  for (const Item& item : after.items) put(item, &ItemChange::after);
  const auto check_of = [](const ItemChange& change) {
    return change.before ? change.before->check : change.after->check;
  };
  std::stable_sort(changes.begin(), changes.end(), [&](const ItemChange& a, const ItemChange& b) {
    return check_of(a) < check_of(b);
  });
  return changes;
}

namespace {

bool is_on_the_bench(const Survey& survey, const std::string& motor) {
  const auto has = [&motor](const auto& rows) {
    return std::any_of(rows.begin(), rows.end(),
                       [&motor](const auto& row) { return row.motor == motor; });
  };
  return has(survey.shop_tests) || has(survey.sweeps) || has(survey.air_gaps);
}

}  // namespace

std::vector<Compared> compare_shops(const diagnosis::Assessment& before,
                                    const diagnosis::Assessment& after, const Limits& limits) {
  std::vector<Compared> pairs;
  for (const Motor& motor : before.survey.motors) {
    if (!is_on_the_bench(before.survey, motor.id) || !is_on_the_bench(after.survey, motor.id))
      continue;
    const Request request{motor.id, Stage::repaired, {}};
    auto first = accept(before, limits, request);
    auto second = accept(after, limits, request);
    if (first && second) pairs.push_back({std::move(*first), std::move(*second)});
  }
  return pairs;
}

}  // namespace ohmglow::acceptance
