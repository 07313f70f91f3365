#pragma once
/// What people read: the ranked list as CSV and text, the self-contained HTML report, the phase
/// ladder. Every user string is escaped.

#include "ohmglow/diagnosis.h"
#include "ohmglow/drawing.h"
#include "ohmglow/imaging.h"
#include "ohmglow/manifest.h"
#include "ohmglow/result.h"
#include "ohmglow/verification.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::report {

/// The phase ladder of one component: three columns on one scale; lug temperatures with whiskers
/// over tinted band zones above the line, resistance excess (and currents) mirrored below. A
/// complete <svg> element that inherits the page's colours through CSS variables, with a text
/// alternative.
[[nodiscard]] std::string ladder_svg(const diagnosis::Assessment& assessment,
                                     const diagnosis::ComponentResult& component);
/// The lower half alone, for a motor with readings and no image.
[[nodiscard]] std::string ladder_svg(const diagnosis::Assessment& assessment,
                                     const diagnosis::MotorResult& motor);

/// The same before it is put on a page.
[[nodiscard]] Drawing ladder_drawing(const diagnosis::Assessment& assessment,
                                     const diagnosis::ComponentResult& component);
[[nodiscard]] Drawing ladder_drawing(const diagnosis::Assessment& assessment,
                                     const diagnosis::MotorResult& motor);

/// ranked.csv: one row a finding, safe to open in a spreadsheet. A list that is written page by
/// page has its header on the first.
inline constexpr std::string_view kRankedCsvFile = "ranked.csv";
[[nodiscard]] std::string ranked_csv(const diagnosis::Assessment& assessment,
                                     bool with_header = true);

/// The ranked list for a terminal of the given width.
struct TextOptions {
  int width = 100;
  bool colour = false;
};
[[nodiscard]] std::string ranked_text(const diagnosis::Assessment& assessment,
                                      const TextOptions& options);
/// What there is in all, where the list is only its first page.
struct ListTotals {
  std::size_t findings = 0;
  std::size_t measured = 0;  ///< images
  std::size_t unmarked = 0;
  std::size_t rejected = 0;
  std::size_t problems = 0;
};
[[nodiscard]] std::string ranked_text(const diagnosis::Assessment& page, const ListTotals& totals,
                                      const TextOptions& options);

/// The electrical side alone, for a terminal.
[[nodiscard]] std::string readings_text(const diagnosis::Assessment& assessment,
                                        const TextOptions& options);

/// The same as one self-contained page.
[[nodiscard]] Result<std::string> readings_html(const diagnosis::Assessment& assessment);

/// What became of each repair, for a terminal.
[[nodiscard]] std::string verification_text(const diagnosis::Verification& verification,
                                            const diagnosis::Assessment& after,
                                            const TextOptions& options);

/// verification.html: one file, no network; the ladders of each motor before and after side by
/// side.
[[nodiscard]] Result<std::string> verification_html(const diagnosis::Verification& verification,
                                                    const diagnosis::Assessment& before,
                                                    const diagnosis::Assessment& after);

/// A thermal image ready to be drawn.
struct Picture {
  cv::Mat frame;   ///< 8-bit BGR, inferno; smaller than the image where that is larger than a page
  int width = 0;   ///< of the image in its own pixels
  int height = 0;  ///< without the scale below it
  bool shows_pixels = false;  ///< so coarse that pixels serve better than a blur
  Drawing over;  ///< marks with the user's own names, hottest spots, and the scale in °C below
};
/// `marks` may be null. Errors: an image without a single temperature.
[[nodiscard]] Result<Picture> picture_of(const imaging::ThermalImage& image,
                                         const diagnosis::ImageResult& result,
                                         const MarkFile* marks);

/// What a recheck found, for a terminal.
[[nodiscard]] std::string recheck_text(const records::Recheck& recheck, const TextOptions& options);

/// Opens an image of the survey again, to be drawn.
using OpenImage = std::function<Result<imaging::ThermalImage>(const ImageEntry&)>;

/// A visible-light picture, upright and small enough for a page, as the bytes of its file.
struct Photograph {
  std::vector<std::byte> bytes;
  std::string mime;  ///< "image/jpeg" or "image/png"
  int width = 0;
  int height = 0;
};
using OpenPhoto = std::function<Result<Photograph>(const ImageEntry&)>;

/// What a report may hold beside the assessment.
struct Extras {
  OpenPhoto open_photo = {};         ///< empty: photographs are left out
  std::string findings_sha256 = {};  ///< of findings.json, for those who sign; empty: left out
};

/// report.html: one file, no network, nothing run but its own style sheet.
[[nodiscard]] Result<std::string> report_html(const diagnosis::Assessment& assessment,
                                              const OpenImage& open_image,
                                              const Extras& extras = {});

}  // namespace ohmglow::report
