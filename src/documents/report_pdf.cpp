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
  constexpr std::size_t kWarnings = 2;  // of electricity; the cover has all of them
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
  cover(pages, source);
  summary(pages, source);
  ranked_list(pages, source);
  findings(pages, source);
  appendices(pages, source);
  sign_off(pages, source);
}

Result<std::string> printed(const Source& source, Paper paper) {
  const Letters letters;
  if (!letters.found()) {
    return fail({ErrorKind::missing,
                 "no font was found to write the PDF with",
                 "",
                 "",
                 "install fonts-lato",
                 {}});
  }
  const Running running = running_lines(source);
  PlacesInPages places;
  {
    Pages dry(letters, paper, running, {}, nullptr);
    compose(dry, source);
    places = dry.places();
  }
  std::string out;
  Pages pages(letters, paper, running, std::move(places), &out);
  compose(pages, source);
  if (const auto finished = pages.finish(); !finished) return fail(finished.error());
  return out;
}

}  // namespace

Result<std::string> report_pdf(const diagnosis::Assessment& assessment,
                               const report::OpenImage& open_image, const report::Extras& extras,
                               Paper paper, const Reader& reader) {
  const WritingFor writing_for(reader);
  try {
    const report::Lookup lookup(assessment);
    const report::Contents contents = report::contents_of(lookup);
    return printed({assessment, lookup, contents, open_image, extras}, paper);
  } catch (const std::exception& error) {
    return fail({ErrorKind::system,
                 "the PDF could not be composed",
                 error.what(),
                 "",
                 "free memory or report on fewer images at once",
                 {}});
  }
}

}  // namespace ohmglow::documents
