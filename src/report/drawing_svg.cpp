#include "drawing_svg.h"

#include "offered/report/plain_text.h"

#include <array>
#include <fmt/format.h>
#include <iterator>
#include <string_view>

namespace ohmglow::report {
namespace {

struct InkName {
  Ink ink;
  std::string_view css;
};
// The fallbacks serve a drawing that is saved from its page.
constexpr std::array kInks{
    InkName{Ink::text, "var(--ladder-ink, currentColor)"},
    InkName{Ink::muted, "var(--ladder-muted, currentColor)"},
    InkName{Ink::phase_1, "var(--phase-1, #2f7fb8)"},
    InkName{Ink::phase_2, "var(--phase-2, #c2571a)"},
    InkName{Ink::phase_3, "var(--phase-3, #1d8f6b)"},
    InkName{Ink::band_1, "var(--band-1, #d9b93a)"},
    InkName{Ink::band_2, "var(--band-2, #dd8a3c)"},
    InkName{Ink::band_3, "var(--band-3, #9a6fc4)"},
    InkName{Ink::band_4, "var(--band-4, #cc4444)"},
    InkName{Ink::black, "#000"},
    InkName{Ink::white, "#fff"},
};

std::string css_of(const Colour& colour) {
  if (const Rgb* rgb = std::get_if<Rgb>(&colour)) {
    return fmt::format("#{:02x}{:02x}{:02x}", rgb->red, rgb->green, rgb->blue);
  }
  for (const InkName& known : kInks) {
    if (known.ink == std::get<Ink>(colour)) return std::string(known.css);
  }
  return "none";
}

class Writer {
 public:
  void operator()(const DrawnRectangle& r) {
    add(R"(<rect x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}")", r.x, r.y, r.width,
        r.height);
    paint(r.paint);
    out_ += "/>";
  }
  void operator()(const DrawnCircle& c) {
    add(R"(<circle cx="{:.2f}" cy="{:.2f}" r="{:.2f}")", c.x, c.y, c.radius);
    paint(c.paint);
    out_ += "/>";
  }
  void operator()(const DrawnPath& p) {
    out_ += "<path d=\"";
    for (const PathStep& step : p.steps) add_step(step);
    out_ += '"';
    paint(p.paint);
    attributes(p.attributes);
    out_ += "/>";
  }
  void operator()(const DrawnText& t) {
    constexpr std::array<std::string_view, 3> kAnchors{"start", "middle", "end"};
    add(R"(<text x="{:.2f}" y="{:.2f}" text-anchor="{}" font-size="{:.4g}" fill="{}")", t.x, t.y,
        kAnchors.at(static_cast<std::size_t>(t.anchor)), t.size, css_of(t.colour));
    if (t.bold) out_ += R"( font-weight="600")";
    if (t.italic) out_ += R"( font-style="italic")";
    if (t.rim > 0) {
      add(R"( stroke="#000" stroke-width="{:.2f}" stroke-linejoin="round" paint-order="stroke")",
          t.rim);
    }
    attributes(t.attributes);
    add(">{}</text>", escape(t.words));
  }
  void operator()(const GroupBegin& g) {
    out_ += "<g";
    attributes(g.attributes);
    out_ += '>';
    if (!g.title.empty()) add("<title>{}</title>", escape(g.title));
  }
  void operator()(const GroupEnd&) { out_ += "</g>"; }

  [[nodiscard]] std::string take() { return std::move(out_); }

 private:
  template <class... Parts>
  void add(fmt::format_string<Parts...> format, Parts&&... parts) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Parts>(parts)...);
  }
  void add_step(const PathStep& step) {
    out_ += step.letter;
    switch (step.letter) {
      case 'z':
        break;
      case 'H':
      case 'h':
        add("{:.2f}", step.a);
        break;
      case 'V':
      case 'v':
        add("{:.2f}", step.b);
        break;
      default:
        add("{:.2f} {:.2f}", step.a, step.b);
    }
  }
  void paint(const Paint& p) {
    add(R"( fill="{}")", p.fill ? css_of(*p.fill) : "none");
    if (p.fill && p.fill_opacity < 1) add(R"( fill-opacity="{:.4g}")", p.fill_opacity);
    if (!p.stroke) return;
    add(R"( stroke="{}" stroke-width="{:.4g}")", css_of(*p.stroke), p.stroke_width);
    if (p.stroke_opacity < 1) add(R"( stroke-opacity="{:.4g}")", p.stroke_opacity);
    if (p.dash.empty()) return;
    out_ += " stroke-dasharray=\"";
    for (std::size_t i = 0; i < p.dash.size(); ++i) add("{}{:.4g}", i == 0 ? "" : " ", p.dash[i]);
    out_ += '"';
  }
  void attributes(const Attributes& all) {
    for (const auto& [name, value] : all) add(R"( {}="{}")", name, escape(value));
  }

  std::string out_;
};

}  // namespace

std::string svg_items(const Drawing& drawing) {
  Writer writer;
  for (const Drawn& item : drawing.items) std::visit(writer, item);
  return writer.take();
}

std::string svg(const Drawing& drawing, const std::string& css_class) {
  const std::string title = escape(drawing.title);
  std::string out = fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" class="{}" role="img" aria-label="{}" viewBox="0 0 {} {}" width="100%" font-family="inherit"><title>{}</title><desc>{}</desc>)",
      css_class, title, drawing.width, drawing.height, title, escape(drawing.description));
  return out + svg_items(drawing) + "</svg>";
}

}  // namespace ohmglow::report
