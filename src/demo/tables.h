#pragma once
/// The tables of the survey folder as text.

#include "noise.h"
#include "story.h"

#include <string>
#include <vector>

namespace ohmglow::demo {

/// "route/be01_terminal_box.tif"
[[nodiscard]] std::string file_of(const Shot& shot);

[[nodiscard]] std::string survey_json(std::string_view surveyed_on);
[[nodiscard]] std::string motors_csv(const std::vector<MotorStory>& motors);
[[nodiscard]] std::string images_csv(const std::vector<MotorStory>& motors);
/// The places of each circuit that an image or a reading names, and the cable to the terminal box.
[[nodiscard]] std::string circuit_csv(const std::vector<MotorStory>& motors);
/// As a meter shows them: a little noise, rounded to its resolution.
[[nodiscard]] std::string readings_csv(const std::vector<MotorStory>& motors, Noise& noise);

}  // namespace ohmglow::demo
