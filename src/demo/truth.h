#pragma once
/// What is really so: temperatures of the forward model, the bands that follow, and the verdicts
/// that the causes call for. Nothing here is measured or judged by the rooms that the truth tests.

#include "scene.h"
#include "story.h"

#include <string>
#include <vector>

namespace ohmglow::demo {

/// A shot with its composed picture.
struct TrueShot {
  const MotorStory* motor = nullptr;
  const Shot* shot = nullptr;
  Picture picture;
};

/// `repairs` only for the survey after them.
[[nodiscard]] std::string truth_json(const std::vector<TrueShot>& shots,
                                     const std::vector<Repair>& repairs);

}  // namespace ohmglow::demo
