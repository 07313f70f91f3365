#include "offered/signing/signing.h"
#include "ohmglow/version.h"

extern "C" const ohmglow::signing::Part* ohmglow_part() {
  using namespace ohmglow;
  static constexpr signing::Part kPart{kVersion,
                                       signing::parse_public_key,
                                       signing::name_of,
                                       signing::is_encrypted,
                                       signing::parse_secret_key,
                                       signing::sign,
                                       signing::verify};
  return &kPart;
}
