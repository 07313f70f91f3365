#include "offered/vocabulary/json_depth.h"

namespace ohmglow {

bool nests_too_deep(std::string_view json) {
  std::size_t depth = 0;
  bool in_string = false;
  for (std::size_t at = 0; at < json.size(); ++at) {
    const char c = json[at];
    if (in_string && c == '\\') {
      ++at;
    } else if (c == '"') {
      in_string = !in_string;
    } else if (!in_string && (c == '{' || c == '[')) {
      if (++depth > kDeepestJson) return true;
    } else if (!in_string && (c == '}' || c == ']') && depth > 0) {
      --depth;
    }
  }
  return false;
}

}  // namespace ohmglow
