#include "verifying.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<std::string_view, 6> kChangeIds{"worse",    "unchanged", "not_comparable",
                                                     "improved", "repaired",  "even"};

template <class Item>
bool is_fault(const Item& item) {
  return item.fault_before || item.fault_after;
}

bool was_revisited(const Side& before, const Side& after, const std::string& motor) {
  const auto& images = after.assessment.images;
  return std::any_of(images.begin(), images.end(),
                     [&](const ImageResult& image) { return image.motor == motor; }) ||
         has_newer_reading(before, after, motor);
}

// The worst of what was or is a fault; a motor without any is even, or not comparable where
// nothing of it could be compared.
Change change_of(const MotorChange& motor, const Verification& all) {
  Change worst = Change::even;
  bool compared = false;
  const auto add = [&](const auto& item) {
    compared = compared || item.change != Change::not_comparable;
    if (is_fault(item)) worst = std::min(worst, item.change);
  };
  for (const std::size_t i : motor.lugs) add(all.lugs[i]);
  for (const std::size_t i : motor.readings) add(all.readings[i]);
  return compared ? worst : Change::not_comparable;
}

void gather_motors(Verification& all, const Side& before, const Side& after) {
  std::vector<std::string> ids;
  for (const auto* side : {&before, &after}) {
    for (const MotorResult& motor : side->assessment.motors) {
      if (std::find(ids.begin(), ids.end(), motor.motor) == ids.end()) ids.push_back(motor.motor);
    }
  }
  for (const std::string& id : ids) {
    if (!was_revisited(before, after, id)) {
      all.not_revisited.push_back(id);
      continue;
    }
    MotorChange motor;
    motor.motor = id;
    for (std::size_t i = 0; i < all.lugs.size(); ++i) {
      if (all.lugs[i].motor == id) motor.lugs.push_back(i);
    }
    for (std::size_t i = 0; i < all.readings.size(); ++i) {
      if (all.readings[i].motor == id) motor.readings.push_back(i);
    }
    motor.change = change_of(motor, all);
    count_money(motor, all.readings, after.assessment.survey, all.options);
    all.motors.push_back(std::move(motor));
  }
}

template <class Item>
void drop_unvisited(std::vector<Item>& items, const Side& before, const Side& after) {
  std::map<std::string, bool> visited;
  std::erase_if(items, [&](const Item& item) {
    const auto [at, is_new] = visited.emplace(item.motor, false);
    if (is_new) at->second = was_revisited(before, after, item.motor);
    return !at->second;
  });
}

}  // namespace

std::string_view id_of(Change change) {
  return kChangeIds.at(static_cast<std::size_t>(change));
}

std::size_t Verification::count(Change change) const {
  return static_cast<std::size_t>(
      std::count_if(motors.begin(), motors.end(),
                    [change](const MotorChange& motor) { return motor.change == change; }));
}

bool Verification::any_fault(Change change) const {
  const auto matches = [change](const auto& item) {
    return is_fault(item) && item.change == change;
  };
  return std::any_of(lugs.begin(), lugs.end(), matches) ||
         std::any_of(readings.begin(), readings.end(), matches);
}

bool Verification::anything_compared() const {
  const auto compared = [](const auto& item) { return item.change != Change::not_comparable; };
  return std::any_of(lugs.begin(), lugs.end(), compared) ||
         std::any_of(readings.begin(), readings.end(), compared);
}

Verification verify(const Assessment& before, const Assessment& after,
                    const VerifyOptions& options) {
  const Side first{before, {before.survey.surveyed_on, before.options.as_of}};
  const Side second{after, {after.survey.surveyed_on, after.options.as_of}};
  Verification all;
  all.options = options;
  all.lugs = compare_lugs(first, second, options);
  all.readings = compare_readings(first, second);
  drop_unvisited(all.lugs, first, second);
  drop_unvisited(all.readings, first, second);
  gather_motors(all, first, second);
  all.totals = totals_of(all.motors);
  return all;
}

}  // namespace ohmglow::diagnosis
