#include "listing.h"

#include "offered/report/hyphens.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

constexpr double kCellGap = 5;
constexpr double kRowRoom = 2.4;
// A row with more lines is cut into slices that a page holds.
constexpr int kLinesOfSlice = 24;
constexpr double kBarOfLevel = 1.8;
constexpr double kChipRoom = 2;

double chip_inset(int level) {
  return kBarOfLevel * level + kChipRoom + 0.5;
}

struct Cell {
  Paragraph text;
  double x = 0;
  int level = 0;
  int finding = 0;
  bool is_head = false;
};

std::vector<double> widths(const report::Listing& listing, double width) {
  double sum = 0;
  for (const auto& column : listing.columns) sum += column.weight;
  std::vector<double> each;
  for (const auto& column : listing.columns) each.push_back(width * column.weight / sum);
  return each;
}

void draw_cell(Pages& on, const Cell& cell, double x, double y, int from, int to) {
  const Tagged tag(on, cell.is_head ? "TH" : "TD");
  const int last = std::min(to, cell.text.lines());
  if (from >= last) return;
  if (cell.level > 0 && from == 0) {
    draw_chip(on.cr(), x + cell.x, y, cell.text, cell.level);
  } else if (cell.finding > 0) {
    const Tagged link(on, CAIRO_TAG_LINK, fmt::format("dest='finding-{}'", cell.finding));
    cell.text.draw(on.cr(), x + cell.x, y, from, last);
  } else {
    cell.text.draw(on.cr(), x + cell.x, y, from, last);
  }
}

Block row_block(std::shared_ptr<const std::vector<Cell>> cells, double width, int from, int to,
                double rule) {
  double height = 0;
  for (const Cell& cell : *cells) {
    const int last = std::min(to, cell.text.lines());
    if (from < last) height = std::max(height, cell.text.height(from, last));
  }
  Block block;
  block.height = height + 2 * kRowRoom;
  block.inside = "Table";
  block.draw = [=](Pages& on, double x, double y) {
    if (on.is_dry()) return;
    const Tagged row(on, "TR");
    if (from == 0) {
      set_tone(on.cr(), tone("line"));
      cairo_set_line_width(on.cr(), rule);
      cairo_move_to(on.cr(), x, y);
      cairo_rel_line_to(on.cr(), width, 0);
      cairo_stroke(on.cr());
    }
    for (const Cell& cell : *cells) draw_cell(on, cell, x, y + kRowRoom, from, to);
  };
  return block;
}

Block head_block(const Pages& pages, const report::Listing& listing,
                 const std::vector<double>& each) {
  auto cells = std::make_shared<std::vector<Cell>>();
  double x = 0;
  for (std::size_t i = 0; i < each.size(); ++i) {
    const Style style{.size = kSmall - 0.5, .bold = true, .tone = tone("muted")};
    cells->push_back({Paragraph(pages.letters(), report::hyphenated(listing.columns[i].title),
                                each[i] - kCellGap, style),
                      x, 0, 0, true});
    x += each[i];
  }
  Block head = row_block(std::move(cells), x, 0, kLinesOfSlice, 1.2);
  head.keeps_next = true;
  return head;
}

void add_row(Blocks& blocks, const Pages& pages, const std::vector<report::ListCell>& row,
             const std::vector<double>& each) {
  auto cells = std::make_shared<std::vector<Cell>>();
  double x = 0;
  int lines = 1;
  for (std::size_t i = 0; i < row.size() && i < each.size(); ++i) {
    Style style{.size = kSmall};
    double room = each[i] - kCellGap;
    if (row[i].level > 0) {
      style.bold = true;
      style.most_lines = 2;
      room -= chip_inset(row[i].level) + kChipRoom;
    }
    if (row[i].finding > 0) {
      style.bold = true;
      style.tone = tone("link");
    }
    cells->push_back({Paragraph(pages.letters(), report::hyphenated(row[i].text), room, style), x,
                      row[i].level, row[i].finding, i == 0});
    lines = std::max(lines, cells->back().text.lines());
    x += each[i];
  }
  for (int from = 0; from < lines; from += kLinesOfSlice) {
    blocks.push_back(row_block(cells, x, from, std::min(from + kLinesOfSlice, lines), 0.5));
  }
}

}  // namespace

double chip_width(const Paragraph& name) {
  return name.width() + chip_inset(4) + kChipRoom;
}

void draw_chip(cairo_t* cr, double x, double y, const Paragraph& name, int level) {
  const double height = name.height();
  const Tone colour = tone_of_level(level);
  cairo_rectangle(cr, x, y - 0.8, name.width() + chip_inset(level) + kChipRoom, height + 1.6);
  set_tone(cr, tint(colour, 0.12));
  cairo_fill(cr);
  cairo_rectangle(cr, x, y - 0.8, kBarOfLevel * level, height + 1.6);
  set_tone(cr, colour);
  cairo_fill(cr);
  name.draw(cr, x + chip_inset(level), y);
}

void flow_listing(Pages& pages, const report::Listing& listing) {
  Blocks blocks;
  const double width = pages.width();
  if (listing.rows.empty()) {
    add_text(blocks, pages, listing.when_empty, width, Style{});
    flow(pages, std::move(blocks));
    return;
  }
  add_text(blocks, pages, listing.caption, width, Style{.size = kSmall, .tone = tone("muted")}, 0,
           2);
  for (Block& block : blocks) block.keeps_next = true;
  const auto each = widths(listing, width);
  const Block head = head_block(pages, listing, each);
  blocks.push_back(head);
  for (const auto& row : listing.rows) add_row(blocks, pages, row, each);
  flow(pages, std::move(blocks), head);
}

}  // namespace ohmglow::documents
