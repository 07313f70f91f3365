#include "offered/editing/survey_edits.h"
#include "serve/parameters.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>

namespace ohmglow::serve {
namespace {

/// An image's marks as they are known; without any, an empty list that fits the image.
std::string marks_text(const Survey& survey, const std::string& file,
                       const Result<imaging::ThermalImage>& image) {
  const auto known = survey.marks.find(file);
  if (known != survey.marks.end()) return records::marks_json(known->second);
  if (!image) return "null";
  return records::marks_json({file, image->width(), image->height(), {}});
}

/// The other images of the motor, those of the same component first.
Json like_images(const diagnosis::MotorState& motor, std::size_t index) {
  const auto& images = motor.assessment.images;
  Json files = Json::array();
  for (const bool same : {true, false}) {
    for (std::size_t i = 0; i < images.size(); ++i) {
      const bool is_same = images[i].component == images[index].component;
      const bool is_listed = std::find(files.begin(), files.end(), images[i].file) != files.end();
      if (images[i].file != images[index].file && is_same == same && !is_listed) {
        files.push_back(images[i].file);
      }
    }
  }
  return files;
}

/// The motor's images in the older surveys, those of the same component first.
Json earlier_images(OpenSurvey& served, const ImageEntry& entry) {
  Json list = Json::array();
  for (const bool same : {true, false}) {
    for (const Earlier* earlier : served.history().surveys()) {
      earlier->bench->with_survey([&](const Survey& survey) {
        for (const ImageEntry& other : survey.images) {
          if (other.motor != entry.motor || (other.component == entry.component) != same) continue;
          list.push_back({{"survey", earlier->name},
                          {"file", other.file},
                          {"page", number_or_null(other.parameters.page)}});
        }
      });
    }
  }
  return list;
}

}  // namespace

Answer get_image(OpenSurvey& served, const Request& request) {
  const auto source = source_of(served, request);
  if (!source) return answer_error(source.error());
  assessment::Workbench& bench = *source->bench;
  auto named = named_image(bench, request);
  if (!named) return answer_error(named.error());
  const bool is_own = &bench == &served.bench();
  if (is_own) served.catch_up_with(named->entry.motor);
  named = named_image(bench, request);
  if (!named) return answer_error(named.error());
  const ImageEntry& entry = named->entry;
  const auto motor = bench.motor(entry.motor);
  const auto index = motor ? motor->place_of(named->place) : std::nullopt;
  if (!index) return answer_error(no_such_motor(entry.motor));
  const auto& assessment = motor->assessment;
  const auto image = bench.image(named->place);
  const auto row =
      records::image_text(source->folder, {entry.file, entry.parameters.page.value_or(1)});
  const auto defaults = records::defaults_text(source->folder);
  const auto marks_etag = records::marks_etag(source->folder, entry.file);
  for (const Error* error : {row ? nullptr : &row.error(), defaults ? nullptr : &defaults.error(),
                             marks_etag ? nullptr : &marks_etag.error()}) {
    if (error != nullptr) return answer_error(*error);
  }
  const auto& result = assessment.images[*index];
  return answer_json(
      ObjectText()
          .add("file", entry.file)
          .add("page", number_or_null(entry.parameters.page))
          .add("motor", entry.motor)
          .add("component", entry.component)
          .add("taken_at", entry.taken_at ? Json(entry.taken_at->text) : Json())
          .add("photo", !entry.photo.empty())
          .add("width", image ? Json(image->width()) : Json())
          .add("height", image ? Json(image->height()) : Json())
          .add("declaration", result.used ? text_or_null(result.used->declaration) : Json())
          .add_text("marks", marks_text(assessment.survey, entry.file, image))
          .add("marks_etag", *marks_etag)
          .add("parameters",
               parameters_json(*row, *defaults, assessment.survey.images[*index], result))
          .add("parameters_etag", row->etag)
          .add("parameters_row", row->rows.empty() ? Json() : number_or_null(row->rows.front().row))
          .add_text("result", result_text(*motor, *index))
          .add_text("component_result", component_view_of(assessment, entry.file))
          .add("band_scale", bands_json(served.bench().policy()))
          .add("like_images", like_images(*motor, *index))
          .add("earlier_images", is_own ? earlier_images(served, entry) : Json::array())
          .finish());
}

}  // namespace ohmglow::serve
