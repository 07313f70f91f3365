#include "cli/formats.h"

#include "cli/reports.h"
#include "cli/run.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>

namespace ohmglow::cli {
namespace {

using assessment::KeptResults;
using diagnosis::Assessment;

/// Findings that are in memory at once while a list of them is written.
constexpr std::size_t kPage = 100;

Result<void> write_findings(const Run& run, const Writing&, Outputs& outputs) {
  return outputs.write(std::string(records::kFindingsFile), [&run](const records::Sink& sink) {
    return run.results->write_findings(run.shown_folder, sink);
  });
}

Result<void> write_ranked_csv(const Run& run, const Writing&, Outputs& outputs) {
  const KeptResults& results = *run.results;
  return outputs.write(std::string(report::kRankedCsvFile),
                       [&results](const records::Sink& sink) -> Result<void> {
                         const std::size_t count = results.totals().findings;
                         for (std::size_t first = 0; first == 0 || first < count; first += kPage) {
                           const auto page = results.page(first, kPage);
                           if (!page) return fail(page.error());
                           if (auto written = sink(report::ranked_csv(*page, first == 0)); !written)
                             return written;
                         }
                         return {};
                       });
}

template <std::string (*kWrite)(const Assessment&, const std::vector<records::WorkOrder>&)>
Result<std::string> work_orders(const Assessment& assessment, const Writing& writing) {
  return kWrite(assessment, records::work_orders(assessment, writing.due));
}

enum class For { machines, readers };

/// A file of a format, and how it is made. A format that writes several files has a row for each.
struct Format {
  std::string_view name;
  std::string_view file;
  For whom = For::readers;
  /// From an assessment in memory.
  Result<std::string> (*document)(const Assessment&, const Writing&) = nullptr;
  /// From results that stay where they are, piece by piece; null: the document of the whole.
  Result<void> (*write)(const Run&, const Writing&, Outputs&) = nullptr;
  bool is_usual = false;  ///< written where nobody names a format
  bool depends_on_fonts = false;
};

constexpr std::array kFormats{
    Format{"json", records::kFindingsFile, For::machines,
           [](const Assessment& a, const Writing&) {
             return Result<std::string>(records::findings_json(a));
           },
           write_findings, true},
    Format{"csv", report::kRankedCsvFile, For::machines,
           [](const Assessment& a, const Writing&) {
             return Result<std::string>(report::ranked_csv(a));
           },
           write_ranked_csv, true},
    Format{"html", report::kReportFile, For::readers, html_report, write_html_report, true},
    Format{"pdf", "report.pdf", For::readers, pdf_report, nullptr, false, true},
    Format{"xlsx", "report.xlsx", For::readers, xlsx_report},
    Format{"workorders", "workorders.csv", For::readers, work_orders<records::work_orders_csv>},
    Format{"workorders", "workorders.json", For::readers, work_orders<records::work_orders_json>},
    Format{"workorders", "workorders.ics", For::readers, work_orders<records::work_orders_ics>},
};

bool has(const std::vector<std::string>& names, const Format& format) {
  return std::find(names.begin(), names.end(), format.name) != names.end();
}

bool is_read_by_people(const std::vector<std::string>& names) {
  return std::any_of(kFormats.begin(), kFormats.end(), [&names](const Format& format) {
    return format.whom == For::readers && has(names, format);
  });
}

/// Errors: a policy that cannot be read.
Result<Writing> writing_for(const Run& run, const std::vector<std::string>& names,
                            std::string findings_sha256) {
  if (!is_read_by_people(names)) return Writing{};
  auto due = records::due_rules(run.policy_text.text, run.policy_text.name);
  if (!due) return fail(due.error());
  Writing writing;
  writing.limits.max_pixels = run.options.max_pixels;
  writing.paper = run.options.paper == "letter" ? documents::Paper::letter : documents::Paper::a4;
  writing.due = std::move(*due);
  writing.findings_sha256 = std::move(findings_sha256);
  writing.reader = run.reader;
  return writing;
}

/// The documents of the whole survey, which is read when the first is wanted.
class Whole {
 public:
  explicit Whole(const Run& run) : run_(run) {}

  Result<void> write(const Format& format, const Writing& writing, Outputs& outputs) {
    if (!read_) read_ = run_.results->whole();
    if (!*read_) return fail(read_->error());
    const auto content = format.document(**read_, writing);
    if (!content) return fail(content.error());
    return outputs.write(std::string(format.file), *content);
  }

 private:
  const Run& run_;
  std::optional<Result<Assessment>> read_;
};

}  // namespace

std::vector<std::string> format_names() {
  std::vector<std::string> names;
  for (const Format& format : kFormats) {
    if (names.empty() || names.back() != format.name) names.emplace_back(format.name);
  }
  return names;
}

std::vector<std::string> usual_formats() {
  std::vector<std::string> names;
  for (const Format& format : kFormats) {
    if (format.is_usual) names.emplace_back(format.name);
  }
  return names;
}

bool depends_on_fonts(std::string_view name) {
  return std::any_of(kFormats.begin(), kFormats.end(), [name](const Format& format) {
    return format.name == name && format.depends_on_fonts;
  });
}

std::vector<std::string> format_files(const std::string& folder) {
  std::vector<std::string> files = files_of(folder, report::kReportPages, report::is_report_page);
  for (const Format& format : kFormats) files.emplace_back(format.file);
  return files;
}

std::vector<Document> documents() {
  std::vector<Document> list;
  for (const Format& format : kFormats) {
    const auto files =
        std::count_if(kFormats.begin(), kFormats.end(),
                      [&format](const Format& other) { return other.name == format.name; });
    if (files > 1) continue;
    list.push_back({format.name, format.file, format.whom == For::machines, format.document});
  }
  return list;
}

Result<records::FileRecord> write_formats(const Run& run, const std::vector<std::string>& names,
                                          Outputs& outputs) {
  // The reports and the manifest name its hash in any case.
  Outputs nowhere("");
  const Format& findings = kFormats.front();
  Outputs& to = has(names, findings) ? outputs : nowhere;
  if (const auto written = findings.write(run, {}, to); !written) return fail(written.error());
  const records::FileRecord record = to.files().back();
  const auto writing = writing_for(run, names, record.sha256);
  if (!writing) return fail(writing.error());
  Whole whole(run);
  for (const Format& format : kFormats) {
    if (&format == &findings || !has(names, format)) continue;
    std::optional<WritingFor> writing_for_reader;
    if (format.whom == For::readers) writing_for_reader.emplace(*run.reader);
    const auto written = format.write != nullptr ? format.write(run, *writing, outputs)
                                                 : whole.write(format, *writing, outputs);
    if (!written) return fail(written.error());
  }
  return record;
}

}  // namespace ohmglow::cli
