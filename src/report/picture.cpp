#include "axis.h"
#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <opencv2/imgproc.hpp>

namespace ohmglow::report {
namespace {

constexpr int kWidestFrame = 960;
constexpr int kTallestFrame = 1280;
constexpr int kCoarseFrame = 200;  // narrower frames show their pixels rather than a blur
constexpr double kLowShare = 0.01;
constexpr double kHighShare = 0.999;
constexpr int kScaleSteps = 48;
constexpr double kRing = 40;  // of a width: the radius around a spot that no mark covers
constexpr imaging::Palette kPalette = imaging::Palette::inferno;

// The span that the colours cover: robust against a few dead pixels.
std::optional<ColourSpan> colour_span(const cv::Mat& celsius) {
  std::vector<float> finite;
  finite.reserve(celsius.total());
  for (int y = 0; y < celsius.rows; ++y) {
    const float* row = celsius.ptr<float>(y);
    std::copy_if(row, row + celsius.cols, std::back_inserter(finite),
                 [](float t) { return std::isfinite(t); });
  }
  if (finite.empty()) return std::nullopt;
  const auto at_share = [&finite](double share) {
    const auto nth =
        finite.begin() +
        static_cast<std::ptrdiff_t>(std::lround(share * static_cast<double>(finite.size() - 1)));
    std::nth_element(finite.begin(), nth, finite.end());
    return static_cast<double>(*nth);
  };
  ColourSpan span{at_share(kLowShare), at_share(kHighShare)};
  if (!(span.high_c > span.low_c)) span.high_c = span.low_c + 1;
  return span;
}

// The frame, made smaller where it has more pixels than the page can show.
cv::Mat at_page_size(const cv::Mat& celsius) {
  const double factor = std::min(static_cast<double>(kWidestFrame) / celsius.cols,
                                 static_cast<double>(kTallestFrame) / celsius.rows);
  if (factor >= 1) return celsius;
  const auto shrunk = [factor](int n) {
    return std::max(1, static_cast<int>(std::lround(n * factor)));
  };
  cv::Mat smaller;
  cv::resize(celsius, smaller, {shrunk(celsius.cols), shrunk(celsius.rows)}, 0, 0, cv::INTER_AREA);
  return smaller;
}

// Lines and letters over the frame, in its own pixels; (0,0) is the centre of the top-left pixel.
class Overlay {
 public:
  Overlay(double width, Drawing& drawing)
      : stroke_(width / 240), letter_(width / 26), drawing_(drawing) {}

  void mark(const Mark& mark) {
    std::visit([this](const auto& shape) { outline(shape); }, mark.shape);
    const PixelPoint at = std::visit([](const auto& shape) { return above(shape); }, mark.shape);
    const bool room = at.y - letter_ * 1.4 > 0;
    label(at.x, room ? at.y - letter_ * 0.4 : at.y + letter_ * 1.1, mark.name);
  }

  void cross(const PixelPoint& at) {
    const double reach = letter_ * 0.45;
    twice(DrawnPath{{{'M', at.x + 0.5 - reach, at.y + 0.5},
                     {'h', 2 * reach, 0},
                     {'M', at.x + 0.5, at.y + 0.5 - reach},
                     {'v', 0, 2 * reach}}});
  }

  [[nodiscard]] double letter() const { return letter_; }

 private:
  void outline(const Circle& c) {
    twice(DrawnCircle{c.center.x + 0.5, c.center.y + 0.5, c.radius});
  }
  void outline(const Rectangle& r) {
    twice(DrawnRectangle{r.corner.x + 0.5, r.corner.y + 0.5, r.size.x, r.size.y});
  }
  void outline(const Polygon& p) {
    DrawnPath path;
    for (const PixelPoint& point : p.points) {
      path.steps.push_back({path.steps.empty() ? 'M' : 'L', point.x + 0.5, point.y + 0.5});
    }
    path.steps.push_back({'z'});
    if (!p.points.empty()) twice(path);
  }
  static PixelPoint above(const Circle& c) { return {c.center.x, c.center.y - c.radius}; }
  static PixelPoint above(const Rectangle& r) {
    return {r.corner.x + r.size.x / 2, std::min(r.corner.y, r.corner.y + r.size.y)};
  }
  static PixelPoint above(const Polygon& p) {
    PixelPoint top{0, 1e9};
    for (const PixelPoint& point : p.points) {
      if (point.y < top.y) top = point;
    }
    return p.points.empty() ? PixelPoint{} : top;
  }

  // Dark below light: seen on every colour of the map.
  template <class Outline>
  void twice(Outline outline) {
    outline.paint =
        Paint{.stroke = Ink::black, .stroke_opacity = 0.75, .stroke_width = 3 * stroke_};
    drawing_.items.push_back(outline);
    outline.paint = Paint{.stroke = Ink::white, .stroke_width = stroke_};
    drawing_.items.push_back(outline);
  }
  void label(double x, double y, std::string_view words) {
    drawing_.items.push_back(DrawnText{.x = x + 0.5,
                                       .y = y,
                                       .words = shorten(printable(words), 24),
                                       .anchor = Anchor::middle,
                                       .size = letter_,
                                       .colour = Ink::white,
                                       .rim = letter_ / 4,
                                       .bold = true});
  }

  double stroke_;
  double letter_;
  Drawing& drawing_;
};

// The colours from cold to hot with the temperatures they stand for, below the frame.
void add_scale_bar(Drawing& drawing, const ColourSpan& span, double top, double letter) {
  cv::Mat ramp(1, kScaleSteps, CV_32F);
  for (int i = 0; i < kScaleSteps; ++i) {
    ramp.at<float>(0, i) =
        static_cast<float>(span.low_c + (span.high_c - span.low_c) * (i + 0.5) / kScaleSteps);
  }
  const cv::Mat colours =
      imaging::render(ramp, Celsius{span.low_c}, Celsius{span.high_c}, kPalette);
  const double margin = drawing.width * 0.06;
  const double low = shown_temperature(span.low_c);
  const double high = shown_temperature(span.high_c);
  Axis axis{low, high, margin, drawing.width - margin, round_step(high - low, 5)};
  const double cell = (axis.at_high - axis.at_low) / kScaleSteps;
  for (int i = 0; i < kScaleSteps; ++i) {
    const auto& c = colours.at<cv::Vec3b>(0, i);
    drawing.items.push_back(DrawnRectangle{axis.at_low + i * cell, top, cell * 1.05, letter * 0.8,
                                           Paint{.fill = Rgb{c[2], c[1], c[0]}}});
  }
  const auto words = [&](double x, double y, std::string text, Anchor anchor) {
    drawing.items.push_back(DrawnText{
        .x = x, .y = y, .words = std::move(text), .anchor = anchor, .size = letter * 0.9});
  };
  for (const double tick : axis.ticks()) {
    const double x = axis.at(tick);
    drawing.items.push_back(
        DrawnPath{{{'M', x, top + letter * 0.8}, {'v', 0, letter * 0.35}},
                  Paint{.stroke = Ink::text, .stroke_width = drawing.width / 400}});
    words(x, top + letter * 2.1, decimals(tick, axis.places()), Anchor::middle);
  }
  words(drawing.width, top + letter * 0.8, std::string(temperature_unit()), Anchor::end);
}

std::string in_words(const diagnosis::ImageResult& result) {
  std::string text = say("Thermal image {}.", result.file);
  for (const diagnosis::LugResult& lug : result.lugs) {
    text += fmt::format(
        " {}: {}.", lug.name,
        lug.temperature_c ? temperature_text(lug.temperature_c->value(), 1) : tr("not measured"));
  }
  return text;
}

}  // namespace

std::optional<ColourSpan> colour_span_of(const imaging::ThermalImage& image) {
  return colour_span(image.celsius());
}

Result<Picture> picture_of(const imaging::ThermalImage& image, const diagnosis::ImageResult& result,
                           const MarkFile* marks, const std::optional<ColourSpan>& asked) {
  const cv::Mat celsius = image.celsius();
  const auto own = colour_span(celsius);
  const auto span = own && asked ? asked : own;
  if (!span) {
    return fail({ErrorKind::not_measurable, "the image holds no temperature to draw", "", "", "",
                 Place{result.file, {}, "", {}}});
  }
  Picture picture;
  picture.frame =
      imaging::render(at_page_size(celsius), Celsius{span->low_c}, Celsius{span->high_c}, kPalette);
  picture.width = image.width();
  picture.height = image.height();
  picture.shows_pixels = image.width() < kCoarseFrame;
  picture.over.width = image.width();
  picture.over.title = in_words(result);
  Overlay overlay(image.width(), picture.over);
  if (marks != nullptr) {
    for (const Mark& mark : marks->marks) overlay.mark(mark);
  }
  for (const diagnosis::LugResult& lug : result.lugs) {
    if (lug.temperature_c) overlay.cross(lug.hottest);
  }
  if (result.outside && result.outside->spot.grade.band) {
    overlay.mark(Mark{.name = tr("hot, no mark"),
                      .shape = Circle{result.outside->spot.hottest, image.width() / kRing}});
  }
  picture.over.height = image.height() + overlay.letter() * 3;
  add_scale_bar(picture.over, *span, image.height() + overlay.letter() * 0.5, overlay.letter());
  return picture;
}

}  // namespace ohmglow::report
