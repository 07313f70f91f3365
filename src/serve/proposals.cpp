#include "serve/parts_of_answers.h"
#include "serve/routes.h"

namespace ohmglow::serve {

Answer get_proposals(Desk& desk, const Request& request) {
  const auto named = named_image(desk, request);
  if (!named) return answer_error(named.error());
  return answer_json(json_text(
      {{"marks", Json::array()}, {"reason", "this version of ohmglow proposes no marks yet"}}));
}

}  // namespace ohmglow::serve
