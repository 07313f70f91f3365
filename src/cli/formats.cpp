#include "cli/formats.h"

#include "cli/reader_options.h"
#include "cli/reports.h"
#include "ohmglow/records.h"
#include "ohmglow/report.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace ohmglow::cli {
namespace {

using diagnosis::Assessment;

constexpr std::string_view kJson = "json";
constexpr std::string_view kCsv = "csv";
constexpr std::string_view kPdf = "pdf";

/// A file of a format, and how its content is made.
struct Format {
  std::string_view name;
  std::string_view file;
  Result<std::string> (*write)(const Assessment&, const Writing&);
};

template <std::string (*kWrite)(const Assessment&, const std::vector<records::WorkOrder>&)>
Result<std::string> write_work_orders(const Assessment& assessment, const Writing& writing) {
  return kWrite(assessment, records::work_orders(assessment, writing.due));
}

/// A format that writes several files has a row for each.
constexpr std::array kFormats{
    Format{kJson, "findings.json",
           [](const Assessment& a, const Writing&) {
             return Result<std::string>(records::findings_json(a));
           }},
    Format{kCsv, report::kRankedCsvFile,
           [](const Assessment& a, const Writing&) {
             return Result<std::string>(report::ranked_csv(a));
           }},
    Format{"html", "report.html", html_report},
    Format{kPdf, "report.pdf", pdf_report},
    Format{"xlsx", "report.xlsx", xlsx_report},
    Format{"workorders", "workorders.csv", write_work_orders<records::work_orders_csv>},
    Format{"workorders", "workorders.json", write_work_orders<records::work_orders_json>},
    Format{"workorders", "workorders.ics", write_work_orders<records::work_orders_ics>},
};

}  // namespace

std::vector<std::string> format_names() {
  std::vector<std::string> names;
  for (const Format& format : kFormats) {
    if (names.empty() || names.back() != format.name) names.emplace_back(format.name);
  }
  return names;
}

Result<Writing> writing_for(const records::PolicyText& policy, const records::RunOptions& options,
                            std::string findings_sha256) {
  auto due = records::due_rules(policy.text, policy.name);
  if (!due) return fail(due.error());
  Writing writing;
  writing.limits.max_pixels = options.max_pixels;
  writing.paper = options.paper == "letter" ? documents::Paper::letter : documents::Paper::a4;
  writing.due = std::move(*due);
  writing.findings_sha256 = std::move(findings_sha256);
  writing.reader = reader_from(options);
  return writing;
}

std::vector<std::string> format_files() {
  std::vector<std::string> files;
  for (const Format& format : kFormats) files.emplace_back(format.file);
  return files;
}

bool depends_on_fonts(std::string_view format) {
  return format == kPdf;
}

bool is_for_machines(std::string_view format) {
  return format == kJson || format == kCsv;
}

Result<std::vector<OutputFile>> write_formats(const std::vector<std::string>& names,
                                              const Assessment& assessment,
                                              const Writing& writing) {
  std::vector<OutputFile> files;
  for (const Format& format : kFormats) {
    if (std::find(names.begin(), names.end(), format.name) == names.end()) continue;
    auto content = format.write(assessment, writing);
    if (!content) return fail(content.error());
    files.push_back({std::string(format.file), std::move(*content)});
  }
  return files;
}

}  // namespace ohmglow::cli
