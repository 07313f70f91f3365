#include "offered/documents/documents.h"
#include "ohmglow/reader.h"
#include "sheets.h"

#include <exception>

namespace ohmglow::documents {

Result<std::string> report_xlsx(const diagnosis::Assessment& assessment,
                                const report::OpenImage& open_image, const Reader& reader) {
  const WritingFor writing_for(reader);
  try {
    const report::Lookup lookup(assessment);
    const report::Contents contents = report::contents_of(lookup);
    const SheetSource source{assessment, lookup, contents, open_image,
                             contents.cautions.empty() ? "" : contents.cautions.front()};
    Workbook book(say("{}: motor connections, thermal and electrical", contents.site),
                  assessment.survey.thermographer, assessment.options.as_of);
    about_sheet(book, source);
    ranked_sheet(book, source);
    not_judged_sheet(book, source);
    warm_even_sheet(book, source);
    lugs_sheet(book, source);
    readings_sheet(book, source);
    problems_sheet(book, source);
    parameters_sheet(book, source);
    return book.finish();
  } catch (const std::exception& error) {
    return fail({ErrorKind::system,
                 "the spreadsheet could not be composed",
                 error.what(),
                 "",
                 "free memory, allow more open files, or report on fewer images at once",
                 {}});
  }
}

}  // namespace ohmglow::documents
