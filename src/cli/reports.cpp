#include "cli/reports.h"

#include "cli/part.h"
#include "ohmglow/assessment.h"
#include "ohmglow/report.h"

#include <algorithm>

namespace ohmglow::cli {
namespace {

using diagnosis::Assessment;

Result<const documents::Part*> documents_part() {
  return open_part<documents::Part>("documents");
}

report::OpenImage image_opener(const Assessment& assessment, const imaging::ReadLimits& limits) {
  return [&assessment, limits](const ImageEntry& entry) {
    return assessment::open_image(assessment.survey, entry, limits);
  };
}

// The part is opened for photographs only where the survey names one.
Result<report::Extras> extras_of(const Assessment& assessment, const Writing& writing) {
  report::Extras extras;
  extras.findings_sha256 = writing.findings_sha256;
  const auto& images = assessment.survey.images;
  if (std::all_of(images.begin(), images.end(),
                  [](const ImageEntry& entry) { return entry.photo.empty(); })) {
    return extras;
  }
  const auto part = documents_part();
  if (!part) return fail(part.error());
  extras.open_photo = [&assessment, photo = (*part)->photo](const ImageEntry& entry) {
    return photo(assessment.survey, entry);
  };
  return extras;
}

}  // namespace

Result<std::string> html_report(const Assessment& assessment, const Writing& writing) {
  const auto extras = extras_of(assessment, writing);
  if (!extras) return fail(extras.error());
  return report::report_html(assessment, image_opener(assessment, writing.limits), *extras);
}

Result<std::string> pdf_report(const Assessment& assessment, const Writing& writing) {
  const auto extras = extras_of(assessment, writing);
  if (!extras) return fail(extras.error());
  const auto part = documents_part();
  if (!part) return fail(part.error());
  return (*part)->pdf(assessment, image_opener(assessment, writing.limits), *extras, writing.paper,
                      *writing.reader);
}

Result<std::string> xlsx_report(const Assessment& assessment, const Writing& writing) {
  const auto part = documents_part();
  if (!part) return fail(part.error());
  return (*part)->xlsx(assessment, image_opener(assessment, writing.limits), *writing.reader);
}

}  // namespace ohmglow::cli
