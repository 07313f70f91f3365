#include "flow.h"

#include <algorithm>
#include <memory>

namespace ohmglow::documents {
namespace {

constexpr int kLinesOfBlock = 8;
constexpr double kSlack = 0.01;  // of a point, against rounding
constexpr double kItemInset = 10;
constexpr double kNumberInset = 15;

// How far blocks from `next` on go together: a block that keeps its next takes it along.
double height_together(const Blocks& blocks, std::size_t next, double before) {
  double height = before + blocks[next].height;
  while (blocks[next].keeps_next && next + 1 < blocks.size()) {
    ++next;
    height += blocks[next].before + blocks[next].height;
  }
  return height;
}

// Draws what fits of a lane between the cursor and the bottom; true where all of it did.
bool fill(Pages& pages, const Lane& lane, std::size_t& next, double from, double& deepest) {
  double y = from;
  const double x = pages.left() + lane.x;
  const char* open = nullptr;
  const auto switch_to = [&](const char* inside) {
    if (open == inside) return;
    if (open != nullptr) pages.end(open);
    if (inside != nullptr) pages.begin(inside);
    open = inside;
  };
  const bool goes_on = next > 0;
  bool first = true;
  while (next < lane.blocks.size()) {
    const Block& block = lane.blocks[next];
    const bool at_top = y <= pages.top() + kSlack;
    const double before = at_top ? 0 : block.before;
    const double head = first && goes_on && lane.head.draw ? lane.head.height : 0;
    const bool fits =
        y + head + height_together(lane.blocks, next, before) <= pages.bottom() + kSlack;
    // Taller than any page, it is drawn at the top of one all the same.
    if (!fits && !at_top) break;
    switch_to(block.inside);
    if (head > 0) {
      lane.head.draw(pages, x, y);
      y += head;
    }
    y += before;
    block.draw(pages, x, y);
    y += block.height;
    first = false;
    ++next;
  }
  switch_to(nullptr);
  deepest = std::max(deepest, y);
  return next == lane.blocks.size();
}

}  // namespace

void flow(Pages& pages, std::vector<Lane> lanes) {
  std::vector<std::size_t> next(lanes.size(), 0);
  double from = pages.y;
  while (true) {
    bool done = true;
    double deepest = from;
    for (std::size_t i = 0; i < lanes.size(); ++i) {
      done = fill(pages, lanes[i], next[i], from, deepest) && done;
    }
    pages.y = deepest;
    if (done) return;
    pages.new_page();
    from = pages.y;
  }
}

void flow(Pages& pages, Blocks blocks, Block head) {
  std::vector<Lane> lanes;
  lanes.push_back({0, std::move(blocks), std::move(head)});
  flow(pages, std::move(lanes));
}

void add_heading(Blocks& blocks, const Pages& pages, const std::string& words, double width,
                 double size, const char* tag) {
  Style style{.size = size, .bold = true};
  style.most_lines = 3;
  const Paragraph paragraph(pages.letters(), words, width, style);
  blocks.push_back({paragraph.height() + 2, size, true, nullptr,
                    [paragraph, tag](Pages& on, double x, double y) {
                      if (on.is_dry()) return;
                      const Tagged heading(on, tag);
                      paragraph.draw(on.cr(), x, y);
                    }});
}

void add_text(Blocks& blocks, const Pages& pages, const std::string& words, double width,
              const Style& style, double inset, double before) {
  if (words.empty()) return;
  const Paragraph paragraph(pages.letters(), words, width - inset, style);
  const int lines = paragraph.lines();
  for (int from = 0; from < lines; from += kLinesOfBlock) {
    const int to = std::min(from + kLinesOfBlock, lines);
    blocks.push_back({paragraph.height(from, to), from == 0 ? before : 0, false, nullptr,
                      [paragraph, from, to, inset](Pages& on, double x, double y) {
                        if (on.is_dry()) return;
                        const Tagged p(on, "P");
                        paragraph.draw(on.cr(), x + inset, y, from, to);
                      }});
  }
}

void add_item(Blocks& blocks, const Pages& pages, const std::string& sign, const std::string& words,
              double width, double inset) {
  const Style style{};
  const double sign_room = sign.back() == '.' ? kNumberInset : kItemInset;
  const Paragraph mark(pages.letters(), sign, sign_room, style);
  const double at = inset + sign_room;
  const Paragraph paragraph(pages.letters(), words, width - at, style);
  const int lines = paragraph.lines();
  for (int from = 0; from < lines; from += kLinesOfBlock) {
    const int to = std::min(from + kLinesOfBlock, lines);
    blocks.push_back({paragraph.height(from, to), from == 0 ? 2.0 : 0.0, false, "L",
                      [mark, paragraph, from, to, inset, at](Pages& on, double x, double y) {
                        if (on.is_dry()) return;
                        const Tagged item(on, "LI");
                        if (from == 0) mark.draw(on.cr(), x + inset, y);
                        paragraph.draw(on.cr(), x + at, y, from, to);
                      }});
  }
}

void add_fact(Blocks& blocks, const Pages& pages, const std::string& label,
              const std::string& value, double width, double label_width) {
  constexpr double kRoom = 2.2;  // above and below the words
  constexpr int kMostLines = 14;
  const Paragraph name(pages.letters(), label, label_width - kGap,
                       Style{.tone = tone("muted"), .most_lines = kMostLines});
  const Paragraph words(pages.letters(), value, width - label_width,
                        Style{.most_lines = kMostLines});
  const bool is_written_by_hand = value.empty();
  constexpr double kRoomForHand = 5;
  const double height =
      std::max(name.height(), words.height()) + 2 * kRoom + (is_written_by_hand ? kRoomForHand : 0);
  blocks.push_back({height, 0, false, "Table", [=](Pages& on, double x, double y) {
                      if (on.is_dry()) return;
                      const Tagged row(on, "TR");
                      set_tone(on.cr(), tone("line"));
                      cairo_set_line_width(on.cr(), 0.5);
                      cairo_move_to(on.cr(), x, y);
                      cairo_rel_line_to(on.cr(), width, 0);
                      cairo_stroke(on.cr());
                      {
                        const Tagged head(on, "TH");
                        name.draw(on.cr(), x, y + kRoom);
                      }
                      const Tagged cell(on, "TD");
                      words.draw(on.cr(), x + label_width, y + kRoom);
                      if (!is_written_by_hand) return;
                      set_tone(on.cr(), tone("ink"));
                      cairo_move_to(on.cr(), x + label_width, y + height - kRoom);
                      cairo_line_to(on.cr(), x + width, y + height - kRoom);
                      cairo_stroke(on.cr());
                    }});
}

}  // namespace ohmglow::documents
