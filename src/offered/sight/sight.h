#pragma once
/// Where a small convolutional network sees lugs. tests/scenes/train_lugs.py trained it on painted
/// scenes and wrote its weights; this room runs it. A part of the program: OpenCV's networks and
/// what they bring along would be paid for at every start.

#include "offered/marking/sight.h"

#include <string_view>

namespace ohmglow::sight {

/// What the room offers; see marking::Sight.
[[nodiscard]] marking::Sight sight();

struct Part {
  std::string_view version;
  marking::Sight sight;
};

}  // namespace ohmglow::sight
