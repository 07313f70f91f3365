#pragma once
/// Documents to sign, send and keep: the report as PDF and as a spreadsheet. A part of its own, so
/// that no other command pays for the libraries behind it. What a part writes for is told it: the
/// program's WritingFor does not reach into a part.

#include "offered/files/output_file.h"
#include "offered/report/acceptance_contents.h"
#include "offered/report/report.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/reader.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <string>
#include <string_view>

namespace ohmglow::documents {

enum class Paper { a4, letter };

/// report.pdf: tagged, with bookmarks, links and embedded fonts. The same assessment gives the same
/// bytes wherever the same fonts are installed. It is written page by page, from findings that are
/// read a hundred at a time. Errors: no font at all, out of memory, those of reading and writing.
[[nodiscard]] Result<void> report_pdf(const report::Pieces& survey,
                                      const report::OpenImage& open_image,
                                      const report::Extras& extras, Paper paper,
                                      const records::Sink& out, const Reader& reader = {});

/// report.xlsx: typed cells; no user text is ever a formula.
[[nodiscard]] Result<std::string> report_xlsx(const diagnosis::Assessment& assessment,
                                              const report::OpenImage& open_image,
                                              const Reader& reader = {});

/// shutdown.pdf and shutdown.xlsx: what a crew takes along to a stop (report/shutdown_sheet.h).
/// Errors: those of the report.
[[nodiscard]] Result<std::string> shutdown_pdf(const diagnosis::Assessment& assessment, Paper paper,
                                               const Reader& reader = {});
[[nodiscard]] Result<std::string> shutdown_xlsx(const diagnosis::Assessment& assessment,
                                                const Reader& reader = {});

/// verification.pdf: the same as verification.html. Errors: those of report_pdf.
[[nodiscard]] Result<std::string> verification_pdf(const report::VerificationSource& source,
                                                   Paper paper, const Reader& reader = {});

/// acceptance.pdf: the same as acceptance.html. Errors: those of report_pdf.
[[nodiscard]] Result<std::string> acceptance_pdf(const report::AcceptanceSource& source, Paper paper,
                                                 const Reader& reader = {});

/// A recheck's certificate. `dated` becomes the document's day of making.
[[nodiscard]] Result<std::string> certificate_pdf(const report::RecheckCertificate& certificate,
                                                  std::string_view dated, Paper paper);

/// What two PDFs show, fonts and the way in which bytes are packed apart.
struct SameShown {
  bool is_same = false;
  bool fonts_differ = false;  ///< text cannot be set the same way with other fonts
  std::string difference;     ///< one sentence: what is not the same, on which page
};
/// Who made the first and the second; a text that names one counts as naming the other.
struct Versions {
  std::string recorded;
  std::string recomputed;
};
/// Errors: one of the two is no PDF, or damaged.
[[nodiscard]] Result<SameShown> compare_pdf(std::string_view recorded, std::string_view recomputed,
                                            const Versions& versions = {});

/// The picture that an image's row names: turned upright, made smaller where it is larger than a
/// page needs, without the position and the device that a camera writes into it. Errors: missing,
/// too_large, not_this_format, damaged, outside_survey.
[[nodiscard]] Result<report::Photograph> photograph(const Survey& survey, const ImageEntry& entry);

/// What the part offers; see cmake/parts.cmake.
struct Part {
  std::string_view version;
  decltype(&report_pdf) pdf;
  decltype(&report_xlsx) xlsx;
  decltype(&shutdown_pdf) shutdown;
  decltype(&shutdown_xlsx) shutdown_table;
  decltype(&photograph) photo;
  decltype(&verification_pdf) verification;
  decltype(&acceptance_pdf) acceptance;
  decltype(&certificate_pdf) certificate;
  decltype(&compare_pdf) compare;
};

}  // namespace ohmglow::documents

extern "C" const ohmglow::documents::Part* ohmglow_part();
