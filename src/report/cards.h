#pragma once
/// The findings' cards with their pictures, one after the other.

#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "offered/results/findings_writer.h"

namespace ohmglow::report {

/// Every image is drawn once, on the card of its first finding; later cards point there. Errors:
/// the sink's.
[[nodiscard]] Result<void> write_cards(const Lookup& lookup, const OpenImage& open_image,
                                       const Extras& extras, const records::Sink& sink);

/// Of a report whose making threw.
[[nodiscard]] Error not_composed(const std::exception& error);

}  // namespace ohmglow::report
