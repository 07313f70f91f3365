#include "picture.h"

#include "axis.h"
#include "ohmglow/number_text.h"
#include "plain_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <nettle/base64.h>
#include <opencv2/imgproc.hpp>

namespace ohmglow::report {
namespace {

constexpr int kWidestFrame = 960;
constexpr int kTallestFrame = 1280;
constexpr int kCoarseFrame = 200;  // narrower frames show their pixels rather than a blur
constexpr double kLowShare = 0.01;
constexpr double kHighShare = 0.999;
constexpr int kScaleSteps = 48;
constexpr imaging::Palette kPalette = imaging::Palette::inferno;

struct Span {
  double low, high;
};

// The span that the colours cover: robust against a few dead pixels.
std::optional<Span> colour_span(const cv::Mat& celsius) {
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
  Span span{at_share(kLowShare), at_share(kHighShare)};
  if (!(span.high > span.low)) span.high = span.low + 1;
  return span;
}

std::string base64(const std::vector<std::byte>& bytes) {
  std::string text(BASE64_ENCODE_RAW_LENGTH(bytes.size()), '\0');
  base64_encode_raw(text.data(), bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
  return text;
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

Result<std::string> data_uri(const cv::Mat& celsius, const Span& span) {
  const cv::Mat bgr =
      imaging::render(at_page_size(celsius), Celsius{span.low}, Celsius{span.high}, kPalette);
  const auto png = imaging::encode_png(bgr);
  if (!png) return fail(png.error());
  return "data:image/png;base64," + base64(*png);
}

// Lines and letters over the frame, in its own pixels; (0,0) is the centre of the top-left pixel.
class Overlay {
 public:
  explicit Overlay(double width) : stroke_(width / 240), letter_(width / 26) {}

  void mark(const Mark& mark) {
    std::visit([this](const auto& shape) { outline(shape); }, mark.shape);
    const PixelPoint at = std::visit([](const auto& shape) { return above(shape); }, mark.shape);
    const bool room = at.y - letter_ * 1.4 > 0;
    label(at.x, room ? at.y - letter_ * 0.4 : at.y + letter_ * 1.1, mark.name);
  }

  void cross(const PixelPoint& at) {
    const double reach = letter_ * 0.45;
    const std::string path =
        fmt::format("M{:.2f} {:.2f}h{:.2f}M{:.2f} {:.2f}v{:.2f}", at.x + 0.5 - reach, at.y + 0.5,
                    2 * reach, at.x + 0.5, at.y + 0.5 - reach, 2 * reach);
    twice(fmt::format("<path d=\"{}\"", path));
  }

  [[nodiscard]] const std::string& text() const { return out_; }
  [[nodiscard]] double letter() const { return letter_; }

 private:
  void outline(const Circle& c) {
    twice(fmt::format(R"(<circle cx="{:.2f}" cy="{:.2f}" r="{:.2f}")", c.center.x + 0.5,
                      c.center.y + 0.5, c.radius));
  }
  void outline(const Rectangle& r) {
    twice(fmt::format(R"(<rect x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}")",
                      r.corner.x + 0.5, r.corner.y + 0.5, r.size.x, r.size.y));
  }
  void outline(const Polygon& p) {
    std::string points;
    for (const PixelPoint& point : p.points) {
      points += fmt::format("{:.2f},{:.2f} ", point.x + 0.5, point.y + 0.5);
    }
    twice(fmt::format("<polygon points=\"{}\"", points));
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
  void twice(const std::string& element) {
    out_ +=
        fmt::format(R"({} fill="none" stroke="#000" stroke-opacity="0.75" stroke-width="{:.2f}"/>)",
                    element, 3 * stroke_);
    out_ +=
        fmt::format(R"({} fill="none" stroke="#fff" stroke-width="{:.2f}"/>)", element, stroke_);
  }
  void label(double x, double y, std::string_view words) {
    out_ += fmt::format(
        R"(<text x="{:.2f}" y="{:.2f}" text-anchor="middle" font-size="{:.2f}" font-weight="600" fill="#fff" stroke="#000" stroke-width="{:.2f}" stroke-linejoin="round" paint-order="stroke">{}</text>)",
        x + 0.5, y, letter_, letter_ / 4, escape(shorten(printable(words), 24)));
  }

  double stroke_;
  double letter_;
  std::string out_;
};

// The colours from cold to hot with the temperatures they stand for, below the frame.
std::string scale_bar(const Span& span, double width, double top, double letter) {
  cv::Mat ramp(1, kScaleSteps, CV_32F);
  for (int i = 0; i < kScaleSteps; ++i) {
    ramp.at<float>(0, i) =
        static_cast<float>(span.low + (span.high - span.low) * (i + 0.5) / kScaleSteps);
  }
  const cv::Mat colours = imaging::render(ramp, Celsius{span.low}, Celsius{span.high}, kPalette);
  const double margin = width * 0.06;
  Axis axis{span.low, span.high, margin, width - margin, round_step(span.high - span.low, 5)};
  const double cell = (axis.at_high - axis.at_low) / kScaleSteps;
  std::string out;
  for (int i = 0; i < kScaleSteps; ++i) {
    const auto& c = colours.at<cv::Vec3b>(0, i);
    out += fmt::format(
        R"(<rect x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}" fill="#{:02x}{:02x}{:02x}"/>)",
        axis.at_low + i * cell, top, cell * 1.05, letter * 0.8, c[2], c[1], c[0]);
  }
  for (const double tick : axis.ticks()) {
    const double x = axis.at(tick);
    out += fmt::format(
        R"(<path d="M{0:.2f} {1:.2f}v{2:.2f}" stroke="currentColor" stroke-width="{3:.2f}"/><text x="{0:.2f}" y="{4:.2f}" text-anchor="middle" font-size="{5:.2f}" fill="currentColor">{6}</text>)",
        x, top + letter * 0.8, letter * 0.35, width / 400, top + letter * 2.1, letter * 0.9,
        decimals(tick, axis.places()));
  }
  out += fmt::format(
      R"(<text x="{:.2f}" y="{:.2f}" text-anchor="end" font-size="{:.2f}" fill="currentColor">°C</text>)",
      width, top + letter * 0.8, letter * 0.9);
  return out;
}

std::string in_words(const diagnosis::ImageResult& result) {
  std::string text = "Thermal image " + result.file + ".";
  for (const diagnosis::LugResult& lug : result.lugs) {
    text += fmt::format(
        " {}: {}.", lug.name,
        lug.temperature_c ? decimals(lug.temperature_c->value(), 1) + " °C" : "not measured");
  }
  return text;
}

}  // namespace

Result<std::string> picture_svg(const imaging::ThermalImage& image,
                                const diagnosis::ImageResult& result, const MarkFile* marks) {
  const cv::Mat celsius = image.celsius();
  const auto span = colour_span(celsius);
  if (!span) {
    return fail({ErrorKind::not_measurable, "the image holds no temperature to draw", "", "", "",
                 Place{result.file, {}, "", {}}});
  }
  const auto uri = data_uri(celsius, *span);
  if (!uri) return fail(uri.error().in_file(result.file));
  const int width = image.width();
  const int height = image.height();
  Overlay overlay(width);
  if (marks != nullptr) {
    for (const Mark& mark : marks->marks) overlay.mark(mark);
  }
  for (const diagnosis::LugResult& lug : result.lugs) {
    if (lug.temperature_c) overlay.cross(lug.hottest);
  }
  const double letter = overlay.letter();
  const std::string title = escape(in_words(result));
  std::string svg = fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" class="picture" role="img" aria-label="{0}" viewBox="0 0 {1} {2:.1f}" width="100%" font-family="inherit"><title>{0}</title>)",
      title, width, height + letter * 3);
  svg += fmt::format(R"(<image width="{}" height="{}" preserveAspectRatio="none"{} href="{}"/>)",
                     width, height, width < kCoarseFrame ? R"( image-rendering="pixelated")" : "",
                     *uri);
  svg += overlay.text() + scale_bar(*span, width, height + letter * 0.5, letter) + "</svg>";
  return svg;
}

}  // namespace ohmglow::report
