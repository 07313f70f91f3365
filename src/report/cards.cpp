#include "cards.h"

#include "page.h"
#include "page_templates.h"
#include "picture.h"

#include <exception>
#include <fmt/format.h>
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
  Pictures(const Lookup& lookup, const OpenImage& open_image, const OpenPhoto& open_photo)
      : lookup_(lookup), open_image_(open_image), open_photo_(open_photo) {}

  void add_to(Data& card, const Finding& finding) {
    if (!finding.image) return;
    const auto [first, is_first] = shown_.emplace(*finding.image, &finding);
    if (!is_first) {
      card.set("picture_at", Data{Fields{{"rank", std::to_string(first->second->rank)},
                                         {"number", std::to_string(first->second->case_number)}}});
      return;
    }
    const auto picture = draw_image(lookup_, *finding.image, open_image_);
    if (picture) {
      card.set("picture", *picture);
    } else {
      card.set("picture_problem", sentence_with_place(picture.error()));
    }
    add_photo(card, *finding.image);
  }

 private:
  void add_photo(Data& card, const std::string& file) const {
    const ImageEntry* entry = lookup_.entry(file);
    if (entry == nullptr || entry->photo.empty() || !open_photo_) return;
    const auto photo = open_photo_(*entry);
    if (photo) {
      card.set("photo", fmt::format("data:{};base64,{}", photo->mime, base64(photo->bytes)));
      card.set("photo_file", entry->photo);
    } else {
      card.set("photo_problem", sentence_with_place(photo.error()));
    }
  }

  const Lookup& lookup_;
  const OpenImage& open_image_;
  const OpenPhoto& open_photo_;
  std::unordered_map<std::string, const Finding*> shown_;
};

}  // namespace

Result<void> write_cards(const Lookup& lookup, const OpenImage& open_image, const Extras& extras,
                         const records::Sink& sink) {
  kainjow::mustache::mustache card_template = page_template("finding.html.mustache");
  Pictures pictures(lookup, open_image, extras.open_photo);
  for (const Finding& finding : lookup.assessment.findings) {
    if (!finding.leads_case) continue;
    Data card = card_data(card_of(lookup, finding), lookup.assessment);
    pictures.add_to(card, finding);
    if (auto written = sink(card_template.render(card)); !written) return written;
  }
  return {};
}

Error not_composed(const std::exception& error) {
  return {ErrorKind::system,
          "the report could not be composed",
          error.what(),
          "",
          "free memory or report on fewer images at once",
          {}};
}

}  // namespace ohmglow::report
