#include "figures.h"

#include "jpeg.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <memory>

namespace ohmglow::documents {
namespace {

using report::Drawing;
using report::Paint;

class Pen {
 public:
  explicit Pen(Pages& pages) : pages_(pages), cr_(pages.cr()) {}

  void operator()(const report::DrawnRectangle& r) {
    cairo_rectangle(cr_, r.x, r.y, r.width, r.height);
    paint(r.paint);
  }
  void operator()(const report::DrawnCircle& c) {
    cairo_new_sub_path(cr_);
    cairo_arc(cr_, c.x, c.y, c.radius, 0, 2 * 3.14159265358979323846);
    paint(c.paint);
  }
  void operator()(const report::DrawnPath& p) {
    cairo_new_path(cr_);
    for (const report::PathStep& step : p.steps) follow(step);
    paint(p.paint);
  }
  void operator()(const report::DrawnText& t) {
    const Style style{.size = t.size, .bold = t.bold, .italic = t.italic, .tone = tone(t.colour)};
    const Paragraph words(pages_.letters(), t.words, 0, style);
    if (t.rim > 0) words.rim_on_baseline(cr_, t.x, t.y, t.anchor, t.rim);
    words.draw_on_baseline(cr_, t.x, t.y, t.anchor);
  }
  void operator()(const report::GroupBegin&) {}
  void operator()(const report::GroupEnd&) {}

 private:
  void follow(const report::PathStep& step) {
    double x = 0;
    double y = 0;
    if (cairo_has_current_point(cr_) != 0) cairo_get_current_point(cr_, &x, &y);
    switch (step.letter) {
      case 'M':
        return cairo_move_to(cr_, step.a, step.b);
      case 'L':
        return cairo_line_to(cr_, step.a, step.b);
      case 'H':
        return cairo_line_to(cr_, step.a, y);
      case 'V':
        return cairo_line_to(cr_, x, step.b);
      case 'z':
        return cairo_close_path(cr_);
      default:  // h, v and l: the other part of the step is 0
        return cairo_rel_line_to(cr_, step.a, step.b);
    }
  }
  void paint(const Paint& p) {
    if (p.fill) {
      set_tone(cr_, tone(*p.fill), p.fill_opacity);
      cairo_fill_preserve(cr_);
    }
    if (p.stroke) {
      set_tone(cr_, tone(*p.stroke), p.stroke_opacity);
      cairo_set_line_width(cr_, p.stroke_width);
      cairo_set_dash(cr_, p.dash.data(), static_cast<int>(p.dash.size()), 0);
      cairo_stroke_preserve(cr_);
      cairo_set_dash(cr_, nullptr, 0, 0);
    }
    cairo_new_path(cr_);
  }

  Pages& pages_;
  cairo_t* cr_;
};

struct SurfaceFree {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceFree>;

void free_bytes(void* bytes) {
  delete static_cast<std::vector<std::byte>*>(bytes);
}

// The surface keeps the bytes until it is done with them.
void attach(cairo_surface_t* surface, const char* what, std::vector<std::byte> bytes) {
  auto* kept = new std::vector<std::byte>(std::move(bytes));
  const auto status = cairo_surface_set_mime_data(
      surface, what, reinterpret_cast<const unsigned char*>(kept->data()), kept->size(), free_bytes,
      kept);
  if (status != CAIRO_STATUS_SUCCESS) free_bytes(kept);
}

void name_surface(cairo_surface_t* surface, const std::string& name) {
  const auto* begin = reinterpret_cast<const std::byte*>(name.data());
  attach(surface, CAIRO_MIME_TYPE_UNIQUE_ID, {begin, begin + name.size()});
}

// An image whose pixels are those of its JPEG.
Surface jpeg_surface(std::vector<std::byte> bytes, int width, int height) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
  attach(surface.get(), CAIRO_MIME_TYPE_JPEG, std::move(bytes));
  return surface;
}

Surface plain_surface(const cv::Mat& bgr) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, bgr.cols, bgr.rows));
  unsigned char* data = cairo_image_surface_get_data(surface.get());
  const int stride = cairo_image_surface_get_stride(surface.get());
  for (int y = 0; data != nullptr && y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      const auto& pixel = bgr.at<cv::Vec3b>(y, x);
      const std::uint32_t packed = static_cast<std::uint32_t>(pixel[2]) << 16 |
                                   static_cast<std::uint32_t>(pixel[1]) << 8 | pixel[0];
      std::memcpy(data + static_cast<std::ptrdiff_t>(y) * stride + 4L * x, &packed, 4);
    }
  }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

void paint_surface(cairo_t* cr, cairo_surface_t* surface, const Box& box, bool shows_pixels) {
  const int width = cairo_image_surface_get_width(surface);
  const int height = cairo_image_surface_get_height(surface);
  cairo_save(cr);
  cairo_translate(cr, box.x, box.y);
  cairo_scale(cr, box.width / width, box.height / height);
  cairo_set_source_surface(cr, surface, 0, 0);
  cairo_pattern_set_filter(cairo_get_source(cr),
                           shows_pixels ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_GOOD);
  cairo_rectangle(cr, 0, 0, width, height);
  cairo_fill(cr);
  cairo_restore(cr);
}

double scale_to_fit(double width, double height, const Box& box) {
  return std::min(box.width / width, box.height / height);
}

void draw_items(Pages& pages, const Drawing& drawing, double x, double y, double scale) {
  cairo_t* cr = pages.cr();
  cairo_save(cr);
  cairo_translate(cr, x, y);
  cairo_scale(cr, scale, scale);
  Pen pen(pages);
  for (const report::Drawn& item : drawing.items) std::visit(pen, item);
  cairo_restore(cr);
}

cairo_status_t read_from(void* source, unsigned char* data, unsigned int length) {
  auto* left = static_cast<std::span<const std::byte>*>(source);
  if (left->size() < length) return CAIRO_STATUS_READ_ERROR;
  std::memcpy(data, left->data(), length);
  *left = left->subspan(length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

void draw_drawing(Pages& pages, const Drawing& drawing, const Box& box) {
  if (pages.is_dry()) return;
  const Tagged figure(pages, "Figure");
  draw_items(pages, drawing, box.x, box.y, scale_to_fit(drawing.width, drawing.height, box));
}

Result<void> draw_picture(Pages& pages, const report::Picture& picture, const std::string& name,
                          const Box& box) {
  constexpr int kQuality = 92;
  Surface surface;
  if (picture.shows_pixels) {
    surface = plain_surface(picture.frame);
  } else {
    auto bytes = encode_jpeg(picture.frame, kQuality);
    if (!bytes) return fail(bytes.error());
    surface = jpeg_surface(std::move(*bytes), picture.frame.cols, picture.frame.rows);
  }
  name_surface(surface.get(), "thermal " + name);
  const double scale = scale_to_fit(picture.over.width, picture.over.height, box);
  const Tagged figure(pages, "Figure");
  paint_surface(pages.cr(), surface.get(),
                {box.x, box.y, picture.width * scale, picture.height * scale},
                picture.shows_pixels);
  draw_items(pages, picture.over, box.x, box.y, scale);
  return {};
}

Result<void> draw_photograph(Pages& pages, const report::Photograph& photo, const std::string& name,
                             const Box& box) {
  Surface surface;
  if (photo.mime == "image/jpeg") {
    surface = jpeg_surface(photo.bytes, photo.width, photo.height);
  } else {
    std::span<const std::byte> left(photo.bytes);
    surface.reset(cairo_image_surface_create_from_png_stream(read_from, &left));
  }
  if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) {
    return fail({ErrorKind::damaged,
                 "the photograph cannot be read",
                 cairo_status_to_string(cairo_surface_status(surface.get())),
                 "",
                 "export it again as JPEG or PNG",
                 {}});
  }
  name_surface(surface.get(), "photograph " + name);
  const double scale = scale_to_fit(photo.width, photo.height, box);
  const Tagged figure(pages, "Figure");
  paint_surface(pages.cr(), surface.get(),
                {box.x, box.y, photo.width * scale, photo.height * scale}, false);
  return {};
}

}  // namespace ohmglow::documents
