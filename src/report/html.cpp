#include "page.h"
#include "page_templates.h"
#include "picture.h"

#include <exception>
#include <string>
#include <unordered_map>

namespace ohmglow::report {
namespace {

using diagnosis::Finding;

Result<std::string> draw_image(const Lookup& lookup, const std::string& file,
                               const OpenImage& open_image) {
  const diagnosis::ImageResult* result = lookup.image(file);
  const ImageEntry* entry = lookup.entry(file);
  if (result == nullptr || entry == nullptr) {
    return fail({ErrorKind::missing, "the survey does not list this image", "", "", "",
                 Place{file, {}, "", {}}});
  }
  const auto image = open_image(*entry);
  if (!image) return fail(image.error().in_file(file));
  const auto& marks = lookup.assessment.survey.marks;
  const auto found = marks.find(file);
  try {
    return picture_svg(*image, *result, found == marks.end() ? nullptr : &found->second);
  } catch (const std::exception& error) {  // of the image library; the other pictures go on
    return fail({ErrorKind::system, "the image could not be drawn", error.what(), "", "",
                 Place{file, {}, "", {}}});
  }
}

// Each image is drawn once, on the card of its first finding; later cards point there.
class Pictures {
 public:
  Pictures(const Lookup& lookup, const OpenImage& open_image)
      : lookup_(lookup), open_image_(open_image) {}

  void add_to(Data& card, const Finding& finding) {
    if (!finding.image) return;
    const auto [first, is_first] = shown_.emplace(*finding.image, finding.rank);
    if (!is_first) {
      card.set("picture_at", Data{Fields{{"rank", std::to_string(first->second)}}});
      return;
    }
    const auto picture = draw_image(lookup_, *finding.image, open_image_);
    if (picture) {
      card.set("picture", *picture);
    } else {
      card.set("picture_problem", sentence_with_place(picture.error()));
    }
  }

 private:
  const Lookup& lookup_;
  const OpenImage& open_image_;
  std::unordered_map<std::string, int> shown_;
};

}  // namespace

Result<std::string> report_html(const diagnosis::Assessment& assessment,
                                const OpenImage& open_image) {
  try {
    const Lookup lookup(assessment);
    std::string page = page_template("report_head.html.mustache")
                           .render(head_data(lookup, report_style()));
    kainjow::mustache::mustache card_template = page_template("finding.html.mustache");
    Pictures pictures(lookup, open_image);
    for (const Finding& finding : assessment.findings) {
      Data card = card_data(lookup, finding);
      pictures.add_to(card, finding);
      page += card_template.render(card);
    }
    page += page_template("report_tail.html.mustache").render(tail_data(lookup));
    return page;
  } catch (const std::exception& error) {
    return fail({ErrorKind::system,
                 "the report could not be composed",
                 error.what(),
                 "",
                 "free memory or report on fewer images at once",
                 {}});
  }
}

}  // namespace ohmglow::report
