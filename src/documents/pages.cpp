#include "pages.h"

#include "offered/report/plain_text.h"
#include "ohmglow/reader.h"

#include <array>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

constexpr double kMillimetre = 72 / 25.4;
constexpr double kSide = 16 * kMillimetre;
constexpr double kTop = 19 * kMillimetre;
constexpr double kBottom = 23 * kMillimetre;
constexpr double kHeadLine = 11 * kMillimetre;
constexpr int kMostBookmarkLetters = 120;

struct Size {
  double width, height;
};
// ISO 216 A4; letter by ANSI/ASME Y14.1.
constexpr Size kA4{210 * kMillimetre, 297 * kMillimetre};
constexpr Size kLetterPaper{612, 792};

Error not_composed_for(const char* reason) {
  return {ErrorKind::system,
          "the PDF could not be composed",
          reason,
          "",
          "free memory or report on fewer images at once",
          {}};
}

}  // namespace

Pages::Pages(const Letters& letters, Paper paper, Running running, PlacesInPages known,
             const records::Sink* out)
    : letters_(letters), running_(std::move(running)), known_(std::move(known)), out_{out} {
  const auto append = [](void* to, const unsigned char* data, unsigned int length) {
    Out& its = *static_cast<Out*>(to);
    if (its.written) {
      its.written = (*its.sink)({reinterpret_cast<const char*>(data), std::size_t{length}});
    }
    return its.written ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
  };
  const Size size = paper == Paper::a4 ? kA4 : kLetterPaper;
  paper_width_ = size.width;
  paper_height_ = size.height;
  surface_ = !is_dry() ? cairo_pdf_surface_create_for_stream(append, &out_, size.width, size.height)
                       : cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1);
  cr_ = cairo_create(surface_);
}

Pages::~Pages() {
  cairo_destroy(cr_);
  cairo_surface_destroy(surface_);
}

double Pages::left() const {
  return kSide;
}
double Pages::width() const {
  return paper_width_ - 2 * kSide;
}
double Pages::top() const {
  return kTop;
}
double Pages::bottom() const {
  return paper_height_ - kBottom;
}

void Pages::running_lines() {
  if (is_dry()) return;
  const Tone muted = tone("muted");
  const Tone line = tone("line");
  const auto rule = [&](double at) {
    set_tone(cr_, line);
    cairo_set_line_width(cr_, 0.6);
    cairo_move_to(cr_, left(), at);
    cairo_rel_line_to(cr_, width(), 0);
    cairo_stroke(cr_);
  };
  const double half = width() / 2 - kGap;
  const Style head{.size = 7, .tone = muted, .most_lines = 1};
  Paragraph(letters_, chapter.empty() ? running_.left : running_.left + " · " + chapter, half, head)
      .draw(cr_, left(), kHeadLine);
  Style to_right = head;
  to_right.right_aligned = true;
  Paragraph(letters_, running_.right, half, to_right).draw(cr_, left() + width() - half, kHeadLine);
  rule(kHeadLine + 11);
  const double foot = bottom() + 5 * kMillimetre;
  rule(foot);
  constexpr double kNumberRoom = 70;
  Paragraph(letters_, running_.caution, width() - kNumberRoom,
            Style{.size = kFine, .tone = muted, .most_lines = 4})
      .draw(cr_, left(), foot + 4);
  Paragraph(letters_, say("page {} of {}", page_, known_.pages), kNumberRoom,
            Style{.size = 7.5, .bold = true, .tone = muted, .right_aligned = true})
      .draw(cr_, left() + width() - kNumberRoom, foot + 4);
}

void Pages::new_page() {
  if (page_ > 0) cairo_show_page(cr_);
  ++page_;
  y = top();
  running_lines();
}

Result<void> Pages::finish() {
  if (is_dry()) return {};
  cairo_show_page(cr_);
  cairo_surface_finish(surface_);
  if (!out_.written) return out_.written;
  for (const cairo_status_t status : {cairo_status(cr_), cairo_surface_status(surface_)}) {
    if (status != CAIRO_STATUS_SUCCESS && status != CAIRO_STATUS_SURFACE_FINISHED) {
      return fail(not_composed_for(cairo_status_to_string(status)));
    }
  }
  return {};
}

void Pages::anchor(const std::string& name) {
  found_[name] = page_;
  if (is_dry()) return;
  // The place of an anchor is that of what is drawn in it.
  begin(CAIRO_TAG_DEST, fmt::format("name='{}' x={:.1f} y={:.1f}", name, left(), y));
  end(CAIRO_TAG_DEST);
}

std::string Pages::page_of(const std::string& anchor) const {
  const auto found = known_.page_of.find(anchor);
  return found == known_.page_of.end() ? "" : std::to_string(found->second);
}

int Pages::bookmark(int parent, const std::string& title, const std::string& anchor) {
  if (is_dry()) return 0;
  const std::string words = report::shorten(report::printable(title), kMostBookmarkLetters);
  return cairo_pdf_surface_add_outline(surface_, parent, words.c_str(),
                                       fmt::format("dest='{}'", anchor).c_str(),
                                       CAIRO_PDF_OUTLINE_FLAG_OPEN);
}

void Pages::describe(cairo_pdf_metadata_t what, const std::string& text) {
  if (!is_dry()) cairo_pdf_surface_set_metadata(surface_, what, report::printable(text).c_str());
}

void Pages::begin(const char* tag, const std::string& attributes) {
  if (!is_dry()) cairo_tag_begin(cr_, tag, attributes.c_str());
}

void Pages::end(const char* tag) {
  if (!is_dry()) cairo_tag_end(cr_, tag);
}

Result<void> print_twice(Paper paper, const Running& running,
                         const std::function<Result<void>(Pages&)>& compose,
                         const records::Sink& out) {
  const Letters letters;
  if (!letters.found()) {
    return fail({ErrorKind::missing,
                 "no font was found to write the PDF with",
                 "",
                 "",
                 "install fonts-lato",
                 {}});
  }
  PlacesInPages places;
  {
    Pages dry(letters, paper, running, {}, nullptr);
    if (auto composed = compose(dry); !composed) return composed;
    places = dry.places();
  }
  Pages pages(letters, paper, running, std::move(places), &out);
  if (auto composed = compose(pages); !composed) return composed;
  return pages.finish();
}

Result<std::string> printed_twice(Paper paper, const Running& running,
                                  const std::function<void(Pages&)>& compose) {
  try {
    std::string bytes;
    const auto printed = print_twice(
        paper, running,
        [&compose](Pages& pages) -> Result<void> {
          compose(pages);
          return {};
        },
        [&bytes](std::string_view part) -> Result<void> {
          bytes += part;
          return {};
        });
    if (!printed) return fail(printed.error());
    return bytes;
  } catch (const std::exception& error) {
    return fail(pdf_not_composed(error));
  }
}

Error pdf_not_composed(const std::exception& error) {
  return not_composed_for(error.what());
}

}  // namespace ohmglow::documents
