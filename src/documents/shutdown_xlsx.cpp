#include "offered/documents/documents.h"
#include "offered/report/shutdown_sheet.h"
#include "ohmglow/reader.h"
#include "workbook.h"

#include <exception>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

constexpr std::size_t kShutdownBand = 3;

// What stands before the columns that are written in by hand.
const SheetColumn kShutdownColumns[] = {
    {msg("Area"), 12, Look::wrapped},     {msg("Lock out at"), 18, Look::wrapped},
    {msg("No."), 5, Look::whole},         {msg("Band"), 11, Look::text},
    {msg("Motor"), 11, Look::wrapped},    {msg("Drives"), 22, Look::wrapped},
    {msg("Where"), 24, Look::wrapped},    {msg("Do"), 36, Look::wrapped},
    {msg("How sure"), 24, Look::wrapped}, {msg("Crew hours"), 8, Look::one_place},
    {msg("Parts"), 20, Look::wrapped},    {msg("Torque, N·m"), 8, Look::one_place}};

struct ToWrite {
  std::vector<std::string> titles;
  double width;
};

ToWrite to_write(const report::ShutdownSheet& sheet) {
  ToWrite blanks{sheet.steps, 9};
  for (const report::ShutdownTest& test : sheet.groups.front().cases.front().tests) {
    for (const std::string& when : {tr("before"), tr("after")}) {
      for (const std::string& of : test.of) {
        blanks.titles.push_back(fmt::format("{} {}, {}, {}", test.title, of, test.unit, when));
      }
    }
  }
  for (const std::string& title :
       {tr("Found"), tr("New image"), tr("Load, A"), tr("Done by, date")}) {
    blanks.titles.push_back(title);
  }
  return blanks;
}

void write_cases(Workbook& book, const report::ShutdownSheet& sheet) {
  std::vector<SheetColumn> columns(std::begin(kShutdownColumns), std::end(kShutdownColumns));
  const ToWrite blanks = sheet.groups.empty() ? ToWrite{} : to_write(sheet);
  for (const std::string& title : blanks.titles) columns.push_back({title, blanks.width});
  Sheet table(book, tr("Shutdown sheet"), columns,
              sheet.cautions.empty() ? "" : sheet.cautions.front(), 30);
  for (const report::ShutdownGroup& group : sheet.groups) {
    for (const report::ShutdownCase& each : group.cases) {
      table.next_row();
      table.text(group.area);
      table.text(group.lockout);
      table.number(each.number);
      table.text(each.band);
      table.text(each.motor);
      table.text(each.drives);
      table.text(each.where);
      table.text(each.action);
      table.text(each.sure);
      table.number(each.crew_h);
      table.text(each.parts);
      table.number(each.torque_nm);
      table.tint(kShutdownBand, each.band, each.level);
    }
  }
  table.close();
}

}  // namespace

Result<std::string> shutdown_xlsx(const diagnosis::Assessment& assessment, const Reader& reader) {
  const WritingFor writing_for(reader);
  try {
    const report::Lookup lookup(assessment);
    const report::ShutdownSheet sheet = report::shutdown_sheet(lookup);
    Workbook book(say("{}: shutdown sheet", sheet.site), assessment.survey.thermographer,
                  assessment.options.as_of);
    write_cases(book, sheet);
    return book.finish();
  } catch (const std::exception& error) {
    return fail(xlsx_not_composed(error));
  }
}

}  // namespace ohmglow::documents
