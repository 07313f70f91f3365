#pragma once
/// Drawings as SVG that inherits the page's colours; no inline styles, no ids.

#include "offered/report/drawing.h"

#include <string>

namespace ohmglow::report {

/// The items alone, without the <svg> around them.
[[nodiscard]] std::string svg_items(const Drawing& drawing);

/// A complete <svg> element as wide as its place.
[[nodiscard]] std::string svg(const Drawing& drawing, const std::string& css_class);

}  // namespace ohmglow::report
