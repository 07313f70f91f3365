#pragma once
/// The sheets of the spreadsheet, one table each.

#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "workbook.h"

namespace ohmglow::documents {

struct SheetSource {
  const diagnosis::Assessment& assessment;
  const report::Lookup& lookup;
  const report::Contents& contents;
  const report::OpenImage& open_image;
  std::string footer;
};

/// The number of a cell, absent where the value is.
inline std::optional<double> value_of(const std::optional<radiometry::Estimate>& e) {
  return e ? std::optional(e->value()) : std::nullopt;
}
inline std::optional<double> u_of(const std::optional<radiometry::Estimate>& e) {
  return e ? std::optional(e->u()) : std::nullopt;
}
template <class Unit>
std::optional<double> value_of(const std::optional<Quantity<Unit>>& q) {
  return q ? std::optional(q->value()) : std::nullopt;
}

void about_sheet(Workbook& book, const SheetSource& source);
void ranked_sheet(Workbook& book, const SheetSource& source);
void not_judged_sheet(Workbook& book, const SheetSource& source);
void warm_even_sheet(Workbook& book, const SheetSource& source);
void lugs_sheet(Workbook& book, const SheetSource& source);
void readings_sheet(Workbook& book, const SheetSource& source);
void problems_sheet(Workbook& book, const SheetSource& source);
void parameters_sheet(Workbook& book, const SheetSource& source);
void motors_sheet(Workbook& book, const SheetSource& source);
/// Of each place what holds there, its own or the motor's.
void places_sheet(Workbook& book, const SheetSource& source);

}  // namespace ohmglow::documents
