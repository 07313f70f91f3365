#include "serve/parts_of_answers.h"

#include "offered/report/report.h"
#include "offered/results/findings_texts.h"
#include "offered/tabular/tabular.h"

#include <algorithm>

namespace ohmglow::serve {
namespace {

Json limit_json(const std::optional<severity::Limit>& limit) {
  if (!limit) return {};
  return {{limit->inclusive ? "from" : "above", limit->value}};
}

/// A lug as findings.json has it, with its image and that one's number among its component's.
std::string lug_view(const diagnosis::Assessment& assessment, diagnosis::LugIndex at,
                     std::size_t number) {
  return ObjectText::from(records::lug_text(assessment, at))
      .add("image", assessment.images[at.image].file)
      .add("image_number", number)
      .finish();
}

}  // namespace

namespace {

Result<NamedImage> named_image(assessment::Workbench& bench, const std::string& file,
                               const std::string& page) {
  const auto number = page.empty() ? std::nullopt : tabular::parse_number(page);
  const bool is_page = page.empty() || (number && *number >= 1 && *number <= 1e6);
  const auto place =
      is_page
          ? bench.find_image(file, number ? std::optional(static_cast<int>(*number)) : std::nullopt)
          : std::nullopt;
  if (!place) {
    return fail({.kind = ErrorKind::missing,
                 .what = file.empty() ? "no image is named" : "the survey has no such image",
                 .found = page.empty() ? file : file + ", page " + page,
                 .expected = "an image of the survey, as the list of images names it"});
  }
  NamedImage named{*place, {}};
  bench.with_survey([&](const Survey& survey) {
    if (*place < survey.images.size()) named.entry = survey.images[*place];
  });
  return named;
}

}  // namespace

Result<NamedImage> named_image(OpenSurvey& served, const std::string& file,
                               const std::string& page) {
  return named_image(served.bench(), file, page);
}

Result<NamedImage> named_image(OpenSurvey& served, const Request& request) {
  return named_image(served.bench(), request);
}

Result<NamedImage> named_image(assessment::Workbench& bench, const Request& request) {
  return named_image(bench, request.parameter("file"), request.parameter("page"));
}

Result<Source> source_of(OpenSurvey& served, const Request& request) {
  const std::string name = request.parameter("survey");
  if (name.empty()) return Source{served.folder(), &served.bench()};
  if (const Earlier* earlier = served.history().survey(name)) {
    return Source{earlier->folder, earlier->bench.get()};
  }
  return fail({.kind = ErrorKind::missing,
               .what = "no older survey of this name is open beside this one",
               .found = name,
               .expected = "the name of a folder that ohmglow serve was given with --earlier"});
}

Error no_such_motor(const std::string& motor) {
  return {.kind = ErrorKind::missing,
          .what = motor.empty() ? "no motor is named" : "the survey has no such motor",
          .found = motor,
          .expected = "a motor of the survey, as the list of motors names it"};
}

Json bands_json(const severity::Policy& policy) {
  Json bands = Json::array();
  for (const severity::Band& band : policy.bands) {
    bands.push_back({{"id", band.id},
                     {"name", band.title},
                     {"action", band.action},
                     {"over_like_c", limit_json(band.over_like_k)},
                     {"over_air_c", limit_json(band.over_air_k)}});
  }
  return bands;
}

std::string result_text(const diagnosis::MotorState& motor, std::size_t index) {
  return records::image_text(motor.assessment, index);
}

std::string component_view(const diagnosis::Assessment& assessment,
                           const diagnosis::ComponentResult& component) {
  ListText lugs;
  for (std::size_t i = 0; i < component.images.size(); ++i) {
    const std::size_t image = component.images[i];
    for (std::size_t lug = 0; lug < assessment.images[image].lugs.size(); ++lug) {
      lugs.add(lug_view(assessment, {image, lug}, i + 1));
    }
  }
  return ObjectText::from(records::component_text(assessment, component))
      .add("meaning", diagnosis::meaning_of(component.verdict))
      .add("ladder_svg", report::ladder_svg(assessment, component))
      .add_text("lugs", lugs.finish())
      .finish();
}

std::string component_view_of(const diagnosis::Assessment& assessment, std::string_view file) {
  const auto* component = assessment.component_of(file);
  return component == nullptr ? "null" : component_view(assessment, *component);
}

std::string_view band_of(const diagnosis::Assessment& motor) {
  if (motor.findings.empty()) return "none";
  return motor.band_id(motor.findings.front().grade);
}

}  // namespace ohmglow::serve
