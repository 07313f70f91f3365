#include "story.h"

#include <algorithm>
#include <stdexcept>

namespace ohmglow::demo {
namespace {

struct PlaceRow {
  CircuitPlace place;
  std::string_view name;
  int position;
};
constexpr std::array kPlaces{
    PlaceRow{CircuitPlace::disconnect, "disconnect", 0},
    PlaceRow{CircuitPlace::starter_load_side, "starter load side", 1},
    PlaceRow{CircuitPlace::drive_output, "drive output", 1},
    PlaceRow{CircuitPlace::cable_splice, "cable splice", 2},
    PlaceRow{CircuitPlace::terminal_box, "terminal box", 3},
    PlaceRow{CircuitPlace::motor_lead, "motor lead", 4},
};

const PlaceRow& row_of(CircuitPlace place) {
  return *std::find_if(kPlaces.begin(), kPlaces.end(),
                       [=](const PlaceRow& row) { return row.place == place; });
}

/// The small survey's frames: a quarter of the pixels or less, the same field of view.
Frame coarse(const Frame& frame) {
  const double factor = frame.width / 160.0;
  return Frame{160, 120, frame.ifov_mrad * factor};
}

}  // namespace

std::string_view name_of(CircuitPlace place) {
  return row_of(place).name;
}
int position_of(CircuitPlace place) {
  return row_of(place).position;
}

std::string_view name_of(Outcome outcome) {
  constexpr std::array<std::string_view, 3> names{"measured", "unmarked", "rejected"};
  return names.at(static_cast<std::size_t>(outcome));
}

const std::string& MotorStory::verdict_at(CircuitPlace place) const {
  for (const Cause& cause : causes) {
    if (cause.place == place) return cause.verdict;
  }
  throw std::logic_error("the story of " + id + " has no verdict for a component it shows");
}

std::vector<MotorStory> story(bool small) {
  std::vector<MotorStory> all = bucket_elevators();
  for (auto group : {conveyors(), dust_fans(), ship_loader()}) {
    std::move(group.begin(), group.end(), std::back_inserter(all));
  }
  if (!small) return all;
  std::erase_if(all, [](const MotorStory& motor) { return !motor.in_sample; });
  for (MotorStory& motor : all) {
    for (Shot& shot : motor.shots) shot.frame = coarse(shot.frame);
  }
  return all;
}

}  // namespace ohmglow::demo
