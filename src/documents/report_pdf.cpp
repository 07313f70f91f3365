#include "certificate_parts.h"
#include "ohmglow/reader.h"
#include "sections.h"

#include <exception>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

Running running_lines(const report::Contents& contents) {
  std::string right = tr("Motor connections, thermal and electrical");
  if (!contents.surveyed.empty()) right += " · " + say("surveyed {}", contents.surveyed);
  return {contents.site, right, running_caution(contents.cautions)};
}

void describe(Pages& pages, const Document& of, const diagnosis::Assessment& head) {
  describe_document(pages, say("{}: motor connections, thermal and electrical", of.contents.site),
                    head.options.as_of);
  pages.describe(CAIRO_PDF_METADATA_AUTHOR, head.survey.thermographer);
  pages.describe(CAIRO_PDF_METADATA_SUBJECT,
                 say("{} findings, {}", of.survey.findings, tr(head.policy.title)));
  pages.describe(CAIRO_PDF_METADATA_KEYWORDS, "thermography, winding resistance, motor, survey");
}

Result<void> compose(Pages& pages, const Document& of, const diagnosis::Assessment& head) {
  describe(pages, of, head);
  pages.new_page();
  const Tagged document(pages, "Document");
  answer(pages, of);
  ranked_list(pages, of.contents);
  if (auto written = findings(pages, of); !written) return written;
  rotor_section(pages, tr("Rotor and air gap"), of.contents.rotors);
  beside_the_findings(pages, of);
  if (of.extras.detail == report::Detail::full) {
    if (auto written = evidence(pages, of); !written) return written;
    appendices(pages, of.contents);
  }
  sign_off(pages, of);
  return {};
}

}  // namespace

Result<void> report_pdf(const report::Pieces& survey, const report::OpenImage& open_image,
                        const report::Extras& extras, Paper paper, const records::Sink& out,
                        const Reader& reader) {
  const WritingFor writing_for(reader);
  try {
    const auto head = survey.motors(0, 0);
    if (!head) return fail(head.error());
    const auto contents = report::contents_of(survey);
    if (!contents) return fail(contents.error());
    const Document document{survey, *contents, open_image, extras};
    return print_twice(
        paper, running_lines(*contents),
        [&](Pages& pages) { return compose(pages, document, *head); }, out);
  } catch (const std::exception& error) {
    return fail(pdf_not_composed(error));
  }
}

}  // namespace ohmglow::documents
