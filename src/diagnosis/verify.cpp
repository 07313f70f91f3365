#include "verifying.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<std::string_view, 8> kChangeIds{
    "worse", "moved", "unchanged", "not_comparable", "unproven", "improved", "repaired", "even"};

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

// Whether every new fault is where the first survey did not look, and an earlier one was not seen
// again: it may be the same under another name.
bool may_be_the_old_one(const MotorChange& motor, const Verification& all) {
  const auto was_looked_at = [&](std::size_t i) {
    const NewFault& fault = all.new_faults[i];
    return std::none_of(all.lugs.begin(), all.lugs.end(), [&](const LugChange& lug) {
      return lug.motor == fault.motor && lug.component == fault.component && lug.lug == fault.lug &&
             !lug.before;
    });
  };
  const bool is_elsewhere =
      std::none_of(motor.new_faults.begin(), motor.new_faults.end(), was_looked_at);
  return is_elsewhere && std::any_of(motor.lugs.begin(), motor.lugs.end(), [&](std::size_t i) {
           return all.lugs[i].fault_before && !all.lugs[i].after;
         });
}

// The worst of what was or is a fault; a new one beside one that is less is one that moved. A motor
// without any is even, or not comparable where nothing of it could be compared.
Change change_of(const MotorChange& motor, const Verification& all) {
  Change worst = Change::even;
  bool compared = false;
  const auto add = [&](const auto& item) {
    compared = compared || item.change != Change::not_comparable;
    if (is_fault(item)) worst = std::min(worst, item.change);
  };
  for (const std::size_t i : motor.lugs) add(all.lugs[i]);
  for (const std::size_t i : motor.readings) add(all.readings[i]);
  if (!motor.new_faults.empty() && worst != Change::moved) {
    const auto was_fault = [](const auto& item) {
      return item.fault_before && item.change != Change::even;
    };
    const auto got_worse = [&](const auto& item) {
      return was_fault(item) && item.change == Change::worse;
    };
    bool any_before = false;
    bool any_worse = false;
    for (const std::size_t i : motor.lugs) {
      any_before = any_before || was_fault(all.lugs[i]);
      any_worse = any_worse || got_worse(all.lugs[i]);
    }
    for (const std::size_t i : motor.readings) {
      any_before = any_before || was_fault(all.readings[i]);
      any_worse = any_worse || got_worse(all.readings[i]);
    }
    if (may_be_the_old_one(motor, all)) return std::min(worst, Change::not_comparable);
    return any_before && !any_worse ? Change::moved : Change::worse;
  }
  return compared ? worst : Change::not_comparable;
}

// What happened, by the item that decided; a fault elsewhere comes first.
Sentence headline_of(const MotorChange& motor, const Verification& all, const Side& after) {
  if (!motor.new_faults.empty()) {
    std::vector<Sentence> new_ones;
    for (const std::size_t i : motor.new_faults) new_ones.push_back(all.new_faults[i].what);
    Sentence what = clauses(std::move(new_ones));
    return motor.change == Change::moved
               ? sentence("the fault is elsewhere now: {}", std::move(what))
               : sentence("new since the first survey: {}", std::move(what));
  }
  for (const std::size_t i : motor.lugs) {
    const LugChange& lug = all.lugs[i];
    if (!is_fault(lug) || lug.change != motor.change) continue;
    const Sentence title = lug_title(after, lug.lug, lug.phase);
    return layout("{}: {}", lug.component.empty() ? title : layout("{}, {}", lug.component, title),
                  lug.reason);
  }
  for (const std::size_t i : motor.readings) {
    const ReadingChange& reading = all.readings[i];
    if (!is_fault(reading) || reading.change != motor.change) continue;
    return layout("{}: {}", reading_title(reading.test, reading.place), reading.reason);
  }
  return {};
}

// Of the motor's findings in the first survey; a case costs once, whatever it shows in.
std::optional<std::size_t> worst_band(const Assessment& before, const std::string& motor) {
  std::optional<std::size_t> worst;
  for (const Finding& finding : before.findings) {
    if (finding.motor != motor || !finding.grade.band) continue;
    worst = std::max(worst.value_or(0), *finding.grade.band);
  }
  return worst;
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
    for (std::size_t i = 0; i < all.new_faults.size(); ++i) {
      if (all.new_faults[i].motor == id) motor.new_faults.push_back(i);
    }
    motor.change = change_of(motor, all);
    motor.headline = headline_of(motor, all, after);
    motor.band_before = worst_band(before.assessment, id);
    count_money(motor, all.readings, after.assessment, all.options);
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
  const auto is_motor = [change](const MotorChange& motor) { return motor.change == change; };
  return std::any_of(lugs.begin(), lugs.end(), matches) ||
         std::any_of(readings.begin(), readings.end(), matches) ||
         std::any_of(motors.begin(), motors.end(), is_motor);
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
  ComparedLugs compared = compare_lugs(first, second, options);
  all.lugs = std::move(compared.lugs);
  all.renamed = std::move(compared.renamed);
  all.readings = compare_readings(first, second);
  all.open = find_open(all, first);
  all.new_faults = find_new_faults(all, first, second);
  drop_unvisited(all.lugs, first, second);
  drop_unvisited(all.readings, first, second);
  gather_motors(all, first, second);
  all.totals = totals_of(all.motors);
  return all;
}

}  // namespace ohmglow::diagnosis
