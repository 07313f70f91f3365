#pragma once
/// The API as a table: docs/api/openapi.json describes every row of it.

#include "serve/answer.h"
#include "serve/desk.h"

#include <span>
#include <string_view>

namespace ohmglow::serve {

struct Route {
  std::string_view method;
  std::string_view path;
  /// Null for the stream of events, which the server itself writes.
  Answer (*answer)(Desk&, const Request&);
};

[[nodiscard]] std::span<const Route> routes();

/// Answers a request of the API: 404 for a path that is not there, 405 for another method.
[[nodiscard]] Answer answer(Desk& desk, const Request& request);

// survey_views.cpp
[[nodiscard]] Answer get_survey(Desk& desk, const Request& request);
// list_views.cpp
[[nodiscard]] Answer get_findings(Desk& desk, const Request& request);
[[nodiscard]] Answer get_motors(Desk& desk, const Request& request);
[[nodiscard]] Answer get_images(Desk& desk, const Request& request);
// motor_view.cpp
[[nodiscard]] Answer get_motor(Desk& desk, const Request& request);
// image_view.cpp
[[nodiscard]] Answer get_image(Desk& desk, const Request& request);
// pictures.cpp
[[nodiscard]] Answer get_temperatures(Desk& desk, const Request& request);
[[nodiscard]] Answer get_thumbnail(Desk& desk, const Request& request);
[[nodiscard]] Answer get_photo(Desk& desk, const Request& request);
// trying.cpp
[[nodiscard]] Answer post_try(Desk& desk, const Request& request);
// saving.cpp
[[nodiscard]] Answer put_marks(Desk& desk, const Request& request);
[[nodiscard]] Answer patch_parameters(Desk& desk, const Request& request);
[[nodiscard]] Answer post_reading(Desk& desk, const Request& request);
[[nodiscard]] Answer put_reading(Desk& desk, const Request& request);
[[nodiscard]] Answer delete_reading(Desk& desk, const Request& request);
// proposals.cpp
[[nodiscard]] Answer get_proposals(Desk& desk, const Request& request);
// exports.cpp
[[nodiscard]] Answer get_export(Desk& desk, const Request& request);

}  // namespace ohmglow::serve
