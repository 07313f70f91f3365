#include "cli/reports.h"

#include "cli/part.h"
#include "offered/assessment/images.h"
#include "offered/documents/documents.h"
#include "offered/report/report.h"

#include <memory>
#include <string_view>
#include <unordered_map>

namespace ohmglow::cli {
namespace {

Result<const documents::Part*> documents_part() {
  return open_part<documents::Part>("documents");
}

/// Where each image file stands among the survey's images.
using Places = std::unordered_map<std::string_view, std::size_t>;

/// The part is opened for photographs only where the survey names one.
Result<report::Extras> extras_of(const Writing& writing) {
  report::Extras extras;
  extras.findings_sha256 = writing.findings_sha256;
  extras.detail =
      writing.of.options.detail == "full" ? report::Detail::full : report::Detail::brief;
  if (writing.of.results.cut().photos.empty()) return extras;
  const auto part = documents_part();
  if (!part) return fail(part.error());
  extras.open_photo = [&survey = writing.of.results.survey(), photo = (*part)->photo](
                          const ImageEntry& entry) { return photo(survey, entry); };
  return extras;
}

report::Pieces pieces_of(const records::KeptResults& results) {
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

Result<void> write_one_file(Writing& writing, const report::Extras& extras) {
  const auto whole = writing.whole();
  if (!whole) return fail(whole.error());
  const auto content = report::report_html(**whole, image_opener(writing.of), extras);
  if (!content) return fail(content.error());
  return writing.outputs.write(std::string(report::kReportFile), *content);
}

Result<void> write_in_pages(Writing& writing, const report::Extras& extras) {
  return report::write_report_pages(
      pieces_of(writing.of.results), image_opener(writing.of), extras,
      [&writing](const std::string& name, const Outputs::Content& content) {
        return writing.outputs.write(name, content);
      });
}

documents::Paper paper_of(const Reported& of) {
  return of.options.paper == "letter" ? documents::Paper::letter : documents::Paper::a4;
}

/// A document that takes the whole survey in memory.
template <class Compose>
Result<void> write_from_whole(Writing& writing, std::string_view file, Compose compose) {
  const auto part = documents_part();
  if (!part) return fail(part.error());
  const auto whole = writing.whole();
  if (!whole) return fail(whole.error());
  const Result<std::string> content = compose(**part, **whole);
  if (!content) return fail(content.error());
  return writing.outputs.write(std::string(file), *content);
}

}  // namespace

report::OpenImage image_opener(const Reported& of) {
  imaging::ReadLimits limits;
  limits.max_pixels = of.options.max_pixels;
  const auto places = std::make_shared<Places>();
  const auto& files = of.results.cut().files;
  for (std::size_t i = 0; i < files.size(); ++i) places->emplace(files[i], i);
  return [&results = of.results, places, limits,
          has_drawn = of.has_drawn](const ImageEntry& entry) -> Result<imaging::ThermalImage> {
    if (has_drawn) has_drawn();
    std::string sha256;
    auto image = assessment::open_image(results.survey(), entry, limits, &sha256);
    const auto measured = results.image_file(places->at(entry.file));
    if (image && measured && measured->sha256 != sha256) {
      return fail({.kind = ErrorKind::conflict,
                   .what = "the image was changed after it was measured",
                   .mend = "assess the survey again",
                   .place = {.file = entry.file}});
    }
    return image;
  };
}

Result<void> write_html_report(Writing& writing) {
  const records::KeptResults& results = writing.of.results;
  const auto extras = extras_of(writing);
  if (!extras) return fail(extras.error());
  const bool fits_one_file = results.totals().findings <= report::kFindingsOnAPage &&
                             results.cut().files.size() <= report::kImagesOfOneFile &&
                             results.motor_count() <= report::kMotorsOfOneFile;
  writing.outputs.replaces(report::kReportPages, report::is_report_page);
  return fits_one_file ? write_one_file(writing, *extras) : write_in_pages(writing, *extras);
}

Result<void> write_pdf_report(Writing& writing) {
  const auto extras = extras_of(writing);
  if (!extras) return fail(extras.error());
  const auto part = documents_part();
  if (!part) return fail(part.error());
  const Reported& of = writing.of;
  return writing.outputs.write(std::string(kPdfFile), [&](const records::Sink& sink) {
    return (*part)->pdf(pieces_of(of.results), image_opener(of), *extras, paper_of(of), sink,
                        *of.reader);
  });
}

Result<void> write_xlsx_report(Writing& writing) {
  return write_from_whole(writing, kXlsxFile,
                          [&](const documents::Part& part, const diagnosis::Assessment& whole) {
                            return part.xlsx(whole, image_opener(writing.of), *writing.of.reader);
                          });
}

Result<void> write_shutdown_pdf(Writing& writing, std::string_view file) {
  return write_from_whole(writing, file,
                          [&](const documents::Part& part, const diagnosis::Assessment& whole) {
                            return part.shutdown(whole, paper_of(writing.of), *writing.of.reader);
                          });
}

Result<void> write_shutdown_xlsx(Writing& writing, std::string_view file) {
  return write_from_whole(writing, file,
                          [&](const documents::Part& part, const diagnosis::Assessment& whole) {
                            return part.shutdown_table(whole, *writing.of.reader);
                          });
}

}  // namespace ohmglow::cli
