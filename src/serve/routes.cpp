#include "serve/routes.h"

#include <algorithm>
#include <array>

namespace ohmglow::serve {

std::span<const Route> routes() {
  static constexpr std::array kRoutes{
      Route{"GET", "/api/survey", get_survey},
      Route{"GET", "/api/news", get_news},
      Route{"GET", "/api/findings", get_findings},
      Route{"GET", "/api/asides", get_asides},
      Route{"GET", "/api/motors", get_motors},
      Route{"GET", "/api/images", get_images},
      Route{"GET", "/api/motor", get_motor},
      Route{"GET", "/api/image", get_image},
      Route{"GET", "/api/image/temperatures", get_temperatures},
      Route{"GET", "/api/image/thumbnail", get_thumbnail},
      Route{"GET", "/api/image/photo", get_photo},
      Route{"PUT", "/api/image/marks", put_marks},
      Route{"PATCH", "/api/image/parameters", patch_parameters},
      Route{"POST", "/api/try", post_try},
      Route{"POST", "/api/readings", post_reading},
      Route{"PUT", "/api/readings", put_reading},
      Route{"DELETE", "/api/readings", delete_reading},
      Route{"GET", "/api/bench", get_bench},
      Route{"POST", "/api/bench/try", post_bench_try},
      Route{"POST", "/api/sweeps", post_sweeps},
      Route{"POST", "/api/air_gaps", post_air_gaps},
      Route{"GET", "/api/proposals", get_proposals},
      Route{"GET", "/api/export", get_export},
      Route{"POST", "/api/exports", post_exports},
      Route{"GET", "/api/exports", get_exports},
      Route{"DELETE", "/api/exports", delete_exports},
  };
  return kRoutes;
}

Answer answer(OpenSurvey& served, const Request& request) {
  return answer_by(routes(), served, request);
}

Answer no_such_address(const Request& request, const std::string& allowed) {
  if (allowed.empty()) {
    return answer_error(status::kNotFound, {.kind = ErrorKind::missing,
                                            .what = "there is no such address",
                                            .found = request.path,
                                            .expected = "one that docs/api/openapi.json names"});
  }
  Answer refused =
      answer_error(status::kMethodNotAllowed, {.kind = ErrorKind::unsupported,
                                               .what = "this address does not take that method",
                                               .found = request.method,
                                               .expected = allowed});
  refused.headers.emplace_back("Allow", allowed);
  return refused;
}

}  // namespace ohmglow::serve
