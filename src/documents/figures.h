#pragma once
/// Drawings and pictures on a page.

#include "offered/report/drawing.h"
#include "offered/report/report.h"
#include "pages.h"

#include <cstddef>
#include <string>
#include <vector>

namespace ohmglow::documents {

struct Box {
  double x = 0, y = 0, width = 0, height = 0;
};

/// The drawing as wide as the box, or as tall, whichever is reached first; in its upper left
/// corner.
void draw_drawing(Pages& pages, const report::Drawing& drawing, const Box& box);

/// The frame with its marks and scale. `name` tells pictures apart: drawn again it is not stored
/// again. Errors: it cannot be encoded.
[[nodiscard]] Result<void> draw_picture(Pages& pages, const report::Picture& picture,
                                        const std::string& name, const Box& box);

/// Errors: a PNG that is none.
[[nodiscard]] Result<void> draw_photograph(Pages& pages, const report::Photograph& photo,
                                           const std::string& name, const Box& box);

}  // namespace ohmglow::documents
