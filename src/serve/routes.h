#pragma once
/// The API as a table: docs/api/openapi.json describes every row of it.

#include "serve/answer.h"
#include "serve/json_text.h"
#include "serve/open_survey.h"

#include <span>
#include <string_view>

namespace ohmglow::serve {

struct Route {
  std::string_view method;
  std::string_view path;
  Answer (*answer)(OpenSurvey&, const Request&);
};

[[nodiscard]] std::span<const Route> routes();

/// `allowed`: the methods that the path takes; empty for one that is not there.
[[nodiscard]] Answer no_such_address(const Request& request, const std::string& allowed);

/// The answer of the row of a table of addresses that a request means: 404 for a path that is not
/// there, 405 for another method.
template <class Row, class Served>
[[nodiscard]] Answer answer_by(std::span<const Row> table, Served& served, const Request& request) {
  std::string allowed;
  for (const Row& row : table) {
    if (row.path != request.path) continue;
    if (row.method == request.method) return row.answer(served, request);
    allowed.append(allowed.empty() ? "" : ", ").append(row.method);
  }
  return no_such_address(request, allowed);
}
/// Answers a request of the API: 404 for a path that is not there, 405 for another method.
[[nodiscard]] Answer answer(OpenSurvey& served, const Request& request);

// survey_views.cpp
/// What everyone reads before opening anything.
[[nodiscard]] Json cautions_json();
/// What a list of surveys says of one.
[[nodiscard]] std::string survey_summary(OpenSurvey& served, const std::string& name);
[[nodiscard]] Answer get_survey(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_news(OpenSurvey& served, const Request& request);
// list_views.cpp
[[nodiscard]] Answer get_findings(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_asides(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_motors(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_images(OpenSurvey& served, const Request& request);
// motor_view.cpp
[[nodiscard]] Answer get_motor(OpenSurvey& served, const Request& request);
// image_view.cpp
[[nodiscard]] Answer get_image(OpenSurvey& served, const Request& request);
// pictures.cpp
[[nodiscard]] Answer get_temperatures(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_thumbnail(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_photo(OpenSurvey& served, const Request& request);
// trying.cpp
[[nodiscard]] Answer post_try(OpenSurvey& served, const Request& request);
// saving.cpp
[[nodiscard]] Answer put_marks(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer patch_parameters(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer post_reading(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer put_reading(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer delete_reading(OpenSurvey& served, const Request& request);
// rotor_view.cpp
[[nodiscard]] Answer get_bench(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer post_bench_try(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer post_sweeps(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer post_air_gaps(OpenSurvey& served, const Request& request);
// proposals.cpp
[[nodiscard]] Answer get_proposals(OpenSurvey& served, const Request& request);
// exports.cpp
[[nodiscard]] Answer get_export(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer post_exports(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer get_exports(OpenSurvey& served, const Request& request);
[[nodiscard]] Answer delete_exports(OpenSurvey& served, const Request& request);

}  // namespace ohmglow::serve
