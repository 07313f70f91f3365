#include "text.h"

#include "offered/report/plain_text.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

// The second is what fontconfig's own package brings along, for letters that the first lacks.
constexpr const char* kFamily = "Lato, DejaVu Sans";
// A cell that somebody pasted a book into is cut here; findings.json has it whole.
constexpr int kLongestText = 20000;
constexpr double kLineSpacing = 1.12;

double points(int pango_units) {
  return static_cast<double>(pango_units) / PANGO_SCALE;
}

// A hash or a file name that is broken across lines must not gain a hyphen.
PangoAttrList* attributes_of(const Style& style) {
  PangoAttrList* attributes = pango_attr_list_new();
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  if (style.bold_until > 0) {
    PangoAttribute* bold = pango_attr_weight_new(PANGO_WEIGHT_BOLD);
    bold->start_index = 0;
    bold->end_index = static_cast<guint>(style.bold_until);
    pango_attr_list_insert(attributes, bold);
  }
  return attributes;
}

std::shared_ptr<PangoLayout> new_layout(PangoContext* context, std::string_view text, double width,
                                        const Style& style) {
  std::shared_ptr<PangoLayout> made(pango_layout_new(context),
                                    [](PangoLayout* layout) { g_object_unref(layout); });
  PangoLayout* layout = made.get();
  PangoFontDescription* font = pango_font_description_from_string(kFamily);
  pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
  if (style.bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
  if (style.italic) pango_font_description_set_style(font, PANGO_STYLE_ITALIC);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  const std::string safe = report::shorten(report::printable(text), kLongestText);
  pango_layout_set_text(layout, safe.data(), static_cast<int>(safe.size()));
  // A name in Arabic letters stays in its column's order.
  pango_layout_set_auto_dir(layout, FALSE);
  pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
  if (width > 0) pango_layout_set_width(layout, static_cast<int>(width * PANGO_SCALE));
  pango_layout_set_line_spacing(layout, static_cast<float>(kLineSpacing));
  if (style.right_aligned) pango_layout_set_alignment(layout, PANGO_ALIGN_RIGHT);
  if (style.most_lines > 0) {
    pango_layout_set_height(layout, -style.most_lines);
    pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
  }
  PangoAttrList* attributes = attributes_of(style);
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
  return made;
}

}  // namespace

Letters::Letters() : map_(pango_cairo_font_map_new()) {
  // Points are the page's units.
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map_.get()), 72);
  context_.reset(pango_font_map_create_context(map_.get()));
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context_.get(), options);
  cairo_font_options_destroy(options);
  pango_context_set_language(context_.get(), pango_language_from_string(reader().language.c_str()));
}

bool Letters::found() const {
  // Without fonts Pango still names families; the letters are what is missing.
  const auto sample = layout("Aa0", 0, Style{});
  return pango_layout_get_unknown_glyphs_count(sample.get()) == 0;
}

std::shared_ptr<PangoLayout> Letters::layout(std::string_view text, double width,
                                             const Style& style) const {
  constexpr std::size_t kMostKept = 3000;
  std::string key = fmt::format("{} {} {}{}{} {} {} ", style.size, width, style.bold, style.italic,
                                style.right_aligned, style.most_lines, style.bold_until);
  key += text;
  if (const auto found = recent_.find(key); found != recent_.end()) return found->second;
  std::shared_ptr<PangoLayout> made;
  if (const auto found = older_.find(key); found != older_.end()) {
    made = found->second;
  } else {
    made = new_layout(context_.get(), text, width, style);
  }
  if (recent_.size() >= kMostKept) {
    older_ = std::move(recent_);
    recent_.clear();
  }
  recent_.emplace(std::move(key), made);
  return made;
}

Paragraph::Paragraph(const Letters& letters, std::string_view text, double width,
                     const Style& style)
    : layout_(letters.layout(text, width, style)), tone_(style.tone) {}

double Paragraph::height() const {
  int height = 0;
  pango_layout_get_size(layout_.get(), nullptr, &height);
  return points(height);
}

double Paragraph::width() const {
  int width = 0;
  pango_layout_get_size(layout_.get(), &width, nullptr);
  return points(width);
}

int Paragraph::lines() const {
  return pango_layout_get_line_count(layout_.get());
}

double Paragraph::top_of(int line) const {
  PangoLayoutIter* iter = pango_layout_get_iter(layout_.get());
  for (int i = 0; i < line && pango_layout_iter_next_line(iter); ++i) {
  }
  int top = 0;
  pango_layout_iter_get_line_yrange(iter, &top, nullptr);
  pango_layout_iter_free(iter);
  return points(top);
}

double Paragraph::height(int from, int to) const {
  const double bottom = to >= lines() ? height() : top_of(to);
  return bottom - top_of(from);
}

void Paragraph::draw(cairo_t* cr, double x, double y) const {
  set_tone(cr, tone_);
  cairo_move_to(cr, x, y);
  pango_cairo_show_layout(cr, layout_.get());
}

void Paragraph::draw(cairo_t* cr, double x, double y, int from, int to) const {
  if (from == 0 && to >= lines()) return draw(cr, x, y);
  set_tone(cr, tone_);
  const double top = top_of(from);
  PangoLayoutIter* iter = pango_layout_get_iter(layout_.get());
  int line = 0;
  do {
    if (line < from || line >= to) continue;
    PangoRectangle place;
    pango_layout_iter_get_line_extents(iter, nullptr, &place);
    cairo_move_to(cr, x + points(place.x), y + points(pango_layout_iter_get_baseline(iter)) - top);
    pango_cairo_show_layout_line(cr, pango_layout_iter_get_line_readonly(iter));
  } while (++line < to && pango_layout_iter_next_line(iter));
  pango_layout_iter_free(iter);
}

void Paragraph::move_to_baseline(cairo_t* cr, double x, double y, report::Anchor anchor) const {
  const double shift = anchor == report::Anchor::start    ? 0
                       : anchor == report::Anchor::middle ? width() / 2
                                                          : width();
  cairo_move_to(cr, x - shift, y - points(pango_layout_get_baseline(layout_.get())));
}

void Paragraph::draw_on_baseline(cairo_t* cr, double x, double y, report::Anchor anchor) const {
  set_tone(cr, tone_);
  move_to_baseline(cr, x, y, anchor);
  pango_cairo_show_layout(cr, layout_.get());
}

void Paragraph::rim_on_baseline(cairo_t* cr, double x, double y, report::Anchor anchor,
                                double width) const {
  move_to_baseline(cr, x, y, anchor);
  pango_cairo_layout_path(cr, layout_.get());
  set_tone(cr, {});
  cairo_set_line_width(cr, width);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(cr);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_MITER);
}

}  // namespace ohmglow::documents
