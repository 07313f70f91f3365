#pragma once
/// What a survey did not cover.

#include "offered/report/report_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// Something without a number, and why.
struct NotCovered {
  std::string motor;
  std::string component;  ///< "all" of a motor without any image
  std::string image;      ///< empty: there is none
  std::string state;
  std::string why;
};
/// Motors without an image, places without one, images and lugs without a number.
[[nodiscard]] std::vector<NotCovered> not_covered_places(const Lookup& lookup);
[[nodiscard]] Listing not_covered(const Lookup& lookup);

}  // namespace ohmglow::report
