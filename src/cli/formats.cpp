#include "cli/formats.h"

#include "cli/reader_options.h"
#include "cli/reports.h"
#include "cli/run.h"
#include "offered/report/report.h"
#include "offered/results/work_orders.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <optional>

namespace ohmglow::cli {
namespace {

using diagnosis::Assessment;

/// Findings that are in memory at once while a list of them is written.
constexpr std::size_t kPage = 100;

Result<void> write_findings(Writing& writing) {
  return writing.outputs.write(std::string(records::kFindingsFile), [&](const records::Sink& sink) {
    return writing.of.results.write_findings(writing.of.shown_folder, sink);
  });
}

void keep_ranks(const std::vector<std::size_t>& ranks, Assessment& page) {
  std::erase_if(page.findings, [&ranks](const diagnosis::Finding& finding) {
    return !std::binary_search(ranks.begin(), ranks.end(), static_cast<std::size_t>(finding.rank));
  });
}

Result<void> write_ranked_csv(Writing& writing) {
  const records::KeptResults& results = writing.of.results;
  return writing.outputs.write(
      std::string(report::kRankedCsvFile),
      [&results, &ranks = writing.of.ranks](const records::Sink& sink) -> Result<void> {
        const std::size_t count = results.totals().findings;
        for (std::size_t first = 0; first == 0 || first < count; first += kPage) {
          auto page = results.page(first, kPage);
          if (!page) return fail(page.error());
          if (!ranks.empty()) keep_ranks(ranks, *page);
          auto written = sink(report::ranked_csv(*page, first == 0));
          if (!written) return written;
        }
        return {};
      });
}

template <std::string (*kText)(const Assessment&, const std::vector<records::WorkOrder>&)>
Result<void> write_work_orders(Writing& writing, std::string_view file) {
  const auto whole = writing.whole();
  if (!whole) return fail(whole.error());
  const auto orders = records::work_orders(**whole, writing.due);
  return writing.outputs.write(std::string(file), kText(**whole, orders));
}

enum class For { machines, readers };

/// A format and the one function that writes it from kept results.
struct Format {
  std::string_view name;
  std::string_view file;
  For whom = For::readers;
  Result<void> (*write)(Writing&) = nullptr;
  bool is_usual = false;  ///< written where nobody names a format
  bool depends_on_fonts = false;
};

/// What is composed in memory takes some 23 kB a motor and 0.25 MB a finding (docs/capacity.md).
constexpr std::size_t kMotorsInMemory = 50'000;
constexpr std::size_t kFindingsInMemory = 10'000;

constexpr std::string_view kShutdownPdf = "shutdown.pdf";
constexpr std::string_view kShutdownXlsx = "shutdown.xlsx";
constexpr std::string_view kOrdersCsv = "workorders.csv";
constexpr std::string_view kOrdersJson = "workorders.json";
constexpr std::string_view kOrdersIcs = "workorders.ics";

/// A format that writes several files has a row for each.
constexpr std::array kFormats{
    Format{"json", records::kFindingsFile, For::machines, write_findings, true},
    Format{"csv", report::kRankedCsvFile, For::machines, write_ranked_csv, true},
    Format{"html", report::kReportFile, For::readers, write_html_report, true},
    Format{"pdf", kPdfFile, For::readers, write_pdf_report, false, true},
    Format{"xlsx", kXlsxFile, For::readers, write_xlsx_report},
    Format{"shutdown", kShutdownPdf, For::readers,
           [](Writing& w) { return write_shutdown_pdf(w, kShutdownPdf); }, false, true},
    Format{"shutdown", kShutdownXlsx, For::readers,
           [](Writing& w) { return write_shutdown_xlsx(w, kShutdownXlsx); }},
    Format{"workorders", kOrdersCsv, For::readers,
           [](Writing& w) { return write_work_orders<records::work_orders_csv>(w, kOrdersCsv); }},
    Format{"workorders", kOrdersJson, For::readers,
           [](Writing& w) { return write_work_orders<records::work_orders_json>(w, kOrdersJson); }},
    Format{"workorders", kOrdersIcs, For::readers,
           [](Writing& w) { return write_work_orders<records::work_orders_ics>(w, kOrdersIcs); }},
};

bool has(const std::vector<std::string>& names, const Format& format) {
  return std::find(names.begin(), names.end(), format.name) != names.end();
}

bool is_read_by_people(const std::vector<std::string>& names) {
  return std::any_of(kFormats.begin(), kFormats.end(), [&names](const Format& format) {
    return format.whom == For::readers && has(names, format);
  });
}

}  // namespace

Result<const Assessment*> Writing::whole() {
  const records::KeptResults& kept = of.results;
  if (kept.motor_count() > kMotorsInMemory || kept.totals().findings > kFindingsInMemory) {
    return fail(
        {.kind = ErrorKind::too_large,
         .what = "this format holds the whole survey in memory, and the survey is larger "
                 "than is let in",
         .found = fmt::format("{} motors, {} findings", kept.motor_count(), kept.totals().findings),
         .expected =
             fmt::format("at most {} motors and {} findings", kMotorsInMemory, kFindingsInMemory),
         .mend = "leave xlsx, shutdown and workorders out of --format, or assess the survey an "
                 "area at a time"});
  }
  if (!read_) {
    auto read = of.results.whole();
    if (!read) return fail(read.error());
    read_ = std::move(*read);
  }
  return &*read_;
}

Reported reported(const Run& run) {
  return {*run.results, run.shown_folder, run.policy_text, run.options, reader_from(run.options)};
}

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

std::string_view format_of(std::string_view file) {
  for (const Format& format : kFormats) {
    if (format.file == file) return format.name;
  }
  return "";
}

std::vector<SingleFile> single_files() {
  std::vector<SingleFile> list;
  for (const Format& format : kFormats) {
    const auto files =
        std::count_if(kFormats.begin(), kFormats.end(),
                      [&format](const Format& other) { return other.name == format.name; });
    if (files == 1) list.push_back({format.name, format.file, format.whom == For::machines});
  }
  return list;
}

Result<FileRecord> write_formats(const Reported& reported, const std::vector<std::string>& names,
                                 Outputs& outputs) {
  // The reports and the manifest name its hash in any case.
  Outputs nowhere("");
  const Format& findings = kFormats.front();
  Writing first{reported, has(names, findings) ? outputs : nowhere};
  if (const auto written = findings.write(first); !written) return fail(written.error());
  const FileRecord record = first.outputs.files().back();
  Writing writing{reported, outputs};
  writing.findings_sha256 = record.sha256;
  if (is_read_by_people(names)) {
    auto due = records::due_rules(reported.policy_text.text, reported.policy_text.name);
    if (!due) return fail(due.error());
    writing.due = std::move(*due);
  }
  for (const Format& format : kFormats) {
    if (&format == &findings || !has(names, format)) continue;
    std::optional<WritingFor> writing_for_reader;
    if (format.whom == For::readers) writing_for_reader.emplace(*reported.reader);
    if (const auto written = format.write(writing); !written) return fail(written.error());
  }
  return record;
}

}  // namespace ohmglow::cli
