#include "offered/sight/sight.h"
#include "ohmglow/version.h"

extern "C" const ohmglow::sight::Part* ohmglow_part() {
  using namespace ohmglow;
  static const sight::Part part{kVersion, sight::sight()};
  return &part;
}
