#pragma once
/// Paragraphs laid out by Pango. Users' strings are taken literally: no markup, no control
/// characters.

#include "style.h"

#include <memory>
#include <pango/pangocairo.h>
#include <string>
#include <string_view>
#include <unordered_map>

namespace ohmglow::documents {

struct Style {
  double size = kBody;
  bool bold = false;
  bool italic = false;
  Tone tone = documents::tone("ink");
  bool right_aligned = false;
  int most_lines = 0;          ///< 0: any number; what is cut ends in an ellipsis
  std::size_t bold_until = 0;  ///< bytes at the beginning that are bold
};

/// The font map and context that every paragraph is laid out with. Layouts that come again (labels,
/// running lines, a survey's own names) are kept: shaping letters is what a report's time goes
/// into.
class Letters {
 public:
  Letters();
  /// False where the machine has no font at all.
  [[nodiscard]] bool found() const;
  [[nodiscard]] std::shared_ptr<PangoLayout> layout(std::string_view text, double width,
                                                    const Style& style) const;

 private:
  struct Unref {
    void operator()(void* object) const { g_object_unref(object); }
  };
  using Kept = std::unordered_map<std::string, std::shared_ptr<PangoLayout>>;

  std::unique_ptr<PangoFontMap, Unref> map_;
  std::unique_ptr<PangoContext, Unref> context_;
  // When the first is full it becomes the second, and what the second held is forgotten.
  mutable Kept recent_;
  mutable Kept older_;
};

/// A text at a width.
class Paragraph {
 public:
  Paragraph(const Letters& letters, std::string_view text, double width, const Style& style);

  [[nodiscard]] double height() const;
  /// Of the widest line.
  [[nodiscard]] double width() const;
  [[nodiscard]] int lines() const;
  /// Of lines [from, to).
  [[nodiscard]] double height(int from, int to) const;
  void draw(cairo_t* cr, double x, double y) const;
  void draw(cairo_t* cr, double x, double y, int from, int to) const;
  /// The first line with its baseline at y; x by the anchor.
  void draw_on_baseline(cairo_t* cr, double x, double y, report::Anchor anchor) const;
  /// A black rim of this width around where those letters come to stand.
  void rim_on_baseline(cairo_t* cr, double x, double y, report::Anchor anchor, double width) const;

 private:
  [[nodiscard]] double top_of(int line) const;
  void move_to_baseline(cairo_t* cr, double x, double y, report::Anchor anchor) const;

  std::shared_ptr<PangoLayout> layout_;
  Tone tone_;
};

}  // namespace ohmglow::documents
