#pragma once
/// Tables of a report as blocks: rows that are not cut where they are short, columns by weight.

#include "flow.h"
#include "offered/report/report_contents.h"

namespace ohmglow::documents {

/// The caption and every row, with the head that a further page repeats; or the sentence that
/// stands in an empty table's place.
void flow_listing(Pages& pages, const report::Listing& listing);

/// A band's name beside a bar that grows with its level.
[[nodiscard]] double chip_width(const Paragraph& name);
void draw_chip(cairo_t* cr, double x, double y, const Paragraph& name, int level);

}  // namespace ohmglow::documents
