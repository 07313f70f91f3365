#include "offered/documents/documents.h"
#include "ohmglow/version.h"

const ohmglow::documents::Part* ohmglow_part() {
  using namespace ohmglow;
  static const documents::Part part{kVersion,
                                    &documents::report_pdf,
                                    &documents::report_xlsx,
                                    &documents::shutdown_pdf,
                                    &documents::shutdown_xlsx,
                                    &documents::photograph,
                                    &documents::verification_pdf,
                                    &documents::acceptance_pdf,
                                    &documents::certificate_pdf,
                                    &documents::compare_pdf};
  return &part;
}
