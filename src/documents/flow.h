#pragma once
/// Blocks that flow down one column or several, over as many pages as they need.

#include "pages.h"

#include <functional>
#include <string>
#include <vector>

namespace ohmglow::documents {

/// Something that is not cut: a heading, some lines of a paragraph, a row of a table.
struct Block {
  double height = 0;
  double before = 0;        ///< room above it, except at the top of a page
  bool keeps_next = false;  ///< never the last on a page
  /// Structure around the blocks that share it one after another: "Table", "L".
  const char* inside = nullptr;
  std::function<void(Pages&, double x, double y)> draw;
};
using Blocks = std::vector<Block>;

struct Lane {
  double x = 0;  ///< from the left margin
  Blocks blocks;
  Block head = {};  ///< of a table: drawn again where its blocks go on on another page
};

/// Lays the lanes side by side, from the cursor on; leaves the cursor below the longest.
void flow(Pages& pages, std::vector<Lane> lanes);
/// One lane over the full width.
void flow(Pages& pages, Blocks blocks, Block head = {});

// --- kinds of blocks
// ------------------------------------------------------------------------------

void add_heading(Blocks& blocks, const Pages& pages, const std::string& words, double width,
                 double size, const char* tag);
/// A paragraph, cut where it is long. `inset` moves it to the right.
void add_text(Blocks& blocks, const Pages& pages, const std::string& words, double width,
              const Style& style, double inset = 0, double before = 2);
/// "1. …" or "• …", as an item of a list.
void add_item(Blocks& blocks, const Pages& pages, const std::string& sign, const std::string& words,
              double width, double inset = 0);
/// Label and value side by side over a thin line, as a row of a table.
void add_fact(Blocks& blocks, const Pages& pages, const std::string& label,
              const std::string& value, double width, double label_width);

}  // namespace ohmglow::documents
