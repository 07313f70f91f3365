#include "cli/reports.h"

#include "cli/part.h"
#include "cli/run.h"
#include "ohmglow/assessment.h"
#include "ohmglow/report.h"

#include <algorithm>

namespace ohmglow::cli {
namespace {

using diagnosis::Assessment;

Result<const documents::Part*> documents_part() {
  return open_part<documents::Part>("documents");
}

report::OpenImage image_opener(const Survey& survey, const imaging::ReadLimits& limits) {
  return [&survey, limits](const ImageEntry& entry) {
    return assessment::open_image(survey, entry, limits);
  };
}

bool names_a_photo(const ImageRows& images) {
  for (std::size_t i = 0; i < images.size(); ++i) {
    if (!images[i].photo.empty()) return true;
  }
  return false;
}

// The part is opened for photographs only where the survey names one.
Result<report::Extras> extras_of(const Survey& survey, const ImageRows& images,
                                 const Writing& writing) {
  report::Extras extras;
  extras.findings_sha256 = writing.findings_sha256;
  if (!names_a_photo(images)) return extras;
  const auto part = documents_part();
  if (!part) return fail(part.error());
  extras.open_photo = [&survey, photo = (*part)->photo](const ImageEntry& entry) {
    return photo(survey, entry);
  };
  return extras;
}

report::Pieces pieces_of(const assessment::KeptResults& results) {
  report::Pieces pieces;
  pieces.findings = results.totals().findings;
  pieces.findings_page = [&results](std::size_t first, std::size_t count) {
    return results.page(first, count);
  };
  pieces.motor_count = results.motor_count();
  pieces.motors = [&results](std::size_t first, std::size_t count) {
    return results.motors(first, count);
  };
  pieces.problems = results.problems();
  return pieces;
}

/// The whole report in one file.
Result<void> write_one_file(const Run& run, const Writing& writing, Outputs& outputs) {
  const auto whole = run.results->whole();
  if (!whole) return fail(whole.error());
  const auto content = html_report(*whole, writing);
  if (!content) return fail(content.error());
  return outputs.write(std::string(report::kReportFile), *content);
}

Result<void> write_in_pages(const Run& run, const Writing& writing, Outputs& outputs) {
  const Survey& survey = run.read.survey;
  const auto extras = extras_of(survey, run.read.images, writing);
  if (!extras) return fail(extras.error());
  return report::write_report_pages(
      pieces_of(*run.results), image_opener(survey, writing.limits), *extras,
      [&outputs](const std::string& name, const Outputs::Content& content) {
        return outputs.write(name, content);
      });
}

}  // namespace

Result<std::string> html_report(const Assessment& assessment, const Writing& writing) {
  const auto extras =
      extras_of(assessment.survey, ImageRows::of(assessment.survey.images), writing);
  if (!extras) return fail(extras.error());
  return report::report_html(assessment, image_opener(assessment.survey, writing.limits), *extras);
}

Result<std::string> pdf_report(const Assessment& assessment, const Writing& writing) {
  const auto extras =
      extras_of(assessment.survey, ImageRows::of(assessment.survey.images), writing);
  if (!extras) return fail(extras.error());
  const auto part = documents_part();
  if (!part) return fail(part.error());
  return (*part)->pdf(assessment, image_opener(assessment.survey, writing.limits), *extras,
                      writing.paper, *writing.reader);
}

Result<std::string> xlsx_report(const Assessment& assessment, const Writing& writing) {
  const auto part = documents_part();
  if (!part) return fail(part.error());
  return (*part)->xlsx(assessment, image_opener(assessment.survey, writing.limits),
                       *writing.reader);
}

Result<void> write_html_report(const Run& run, const Writing& writing, Outputs& outputs) {
  const bool fits_one_file = run.results->totals().findings <= report::kFindingsOnAPage &&
                             run.read.images.size() <= report::kImagesOfOneFile;
  const auto written =
      fits_one_file ? write_one_file(run, writing, outputs) : write_in_pages(run, writing, outputs);
  if (!written) return written;
  return outputs.remove_earlier(report::kReportPages, report::is_report_page);
}

}  // namespace ohmglow::cli
