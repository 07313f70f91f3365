#include "ohmglow/reader.h"
#include "ohmglow/version.h"
#include "sections.h"

#include <date/date.h>
#include <exception>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

Running running_lines(const Source& source) {
  const Survey& survey = source.assessment.survey;
  constexpr std::size_t kWarnings = 2;  // of electricity; the first page has all of them
  std::string caution;
  for (std::size_t i = 0; i < kWarnings && i < source.contents.cautions.size(); ++i) {
    caution += (i == 0 ? "" : " ") + source.contents.cautions[i];
  }
  std::string right = tr("Motor connections, thermal and electrical");
  if (survey.surveyed_on) right += " · " + say("surveyed {}", survey.surveyed_on->text);
  return {source.contents.site, right, caution};
}

void describe(Pages& pages, const Source& source) {
  const diagnosis::Assessment& a = source.assessment;
  pages.describe(CAIRO_PDF_METADATA_TITLE,
                 say("{}: motor connections, thermal and electrical", source.contents.site));
  pages.describe(CAIRO_PDF_METADATA_AUTHOR, a.survey.thermographer);
  pages.describe(CAIRO_PDF_METADATA_SUBJECT,
                 say("{} findings, {}", a.findings.size(), tr(a.policy.title)));
  pages.describe(CAIRO_PDF_METADATA_KEYWORDS, "thermography, winding resistance, motor, survey");
  pages.describe(CAIRO_PDF_METADATA_CREATOR, "ohmglow " + std::string(kVersion));
  // No clock: the day that the survey was judged as of.
  pages.describe(CAIRO_PDF_METADATA_CREATE_DATE, date::format("%FT00:00:00Z", a.options.as_of));
}

void compose(Pages& pages, const Source& source) {
  describe(pages, source);
  pages.new_page();
  const Tagged document(pages, "Document");
  answer(pages, source);
  ranked_list(pages, source);
  findings(pages, source);
  beside_the_findings(pages, source);
  if (source.extras.detail == report::Detail::full) appendices(pages, source);
  sign_off(pages, source);
}

}  // namespace

Result<std::string> report_pdf(const diagnosis::Assessment& assessment,
                               const report::OpenImage& open_image, const report::Extras& extras,
                               Paper paper, const Reader& reader) {
  const WritingFor writing_for(reader);
  try {
    const report::Lookup lookup(assessment);
    const report::Contents contents = report::contents_of(lookup);
    const Source source{assessment, lookup, contents, open_image, extras};
    return printed_twice(paper, running_lines(source),
                         [&source](Pages& pages) { compose(pages, source); });
  } catch (const std::exception& error) {
    return fail(pdf_not_composed(error));
  }
}

}  // namespace ohmglow::documents
