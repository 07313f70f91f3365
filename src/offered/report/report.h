#pragma once
/// What people read: the ranked list as CSV and text, the self-contained HTML report, the phase
/// ladder. Every user string is escaped.

#include "offered/diagnosis/ranking.h"
#include "offered/diagnosis/verification.h"
#include "offered/report/drawing.h"
#include "offered/results/findings_writer.h"
#include "offered/results/manifest.h"
#include "ohmglow/acceptance.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"
#include "ohmglow/rotor.h"

#include <array>
#include <cstddef>
#include <functional>
#include <optional>
#include <span>
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

/// One component, or one motor's readings, in two surveys.
struct LadderPair {
  Drawing before;
  Drawing after;
};
/// Both on one scale, so that lengths compare.
[[nodiscard]] LadderPair ladder_pair(const diagnosis::Assessment& before,
                                     const diagnosis::ComponentResult& component_before,
                                     const diagnosis::Assessment& after,
                                     const diagnosis::ComponentResult& component_after);
[[nodiscard]] LadderPair ladder_pair(const diagnosis::Assessment& before,
                                     const diagnosis::MotorResult& motor_before,
                                     const diagnosis::Assessment& after,
                                     const diagnosis::MotorResult& motor_after);

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
/// The same where the list is only its first page; `totals` say what there is in all.
[[nodiscard]] std::string ranked_text(const diagnosis::Assessment& page,
                                      const diagnosis::Totals& totals, const TextOptions& options);

/// The electrical side alone, for a terminal.
[[nodiscard]] std::string readings_text(const diagnosis::Assessment& assessment,
                                        const TextOptions& options);

/// The same as one self-contained page.
[[nodiscard]] Result<std::string> readings_html(const diagnosis::Assessment& assessment);

/// Sweeps and air gaps, for a terminal.
[[nodiscard]] std::string rotor_text(const rotor::Rotors& rotors, const Survey& survey,
                                     const TextOptions& options);

/// What a sweep's scale must reach to, in per cent about the common mean.
struct SweepReach {
  double low_pct = 0;
  double high_pct = 0;
};
[[nodiscard]] SweepReach reach_of(const rotor::Sweep& sweep);
/// Of all sweeps of a motor: on one scale before and after compare.
[[nodiscard]] SweepReach reach_of(std::span<const rotor::Sweep> sweeps, std::string_view motor);
/// The three pairs over the angle, their peaks joined.
[[nodiscard]] Drawing sweep_drawing(const rotor::Sweep& sweep, const Survey& survey,
                                    const SweepReach& reach);
/// The bore with the rotor in it, the gap and its differences exaggerated.
[[nodiscard]] Drawing air_gap_drawing(const rotor::AirGap& gap);

/// What became of each repair, for a terminal.
[[nodiscard]] std::string verification_text(const diagnosis::Verification& verification,
                                            const diagnosis::Assessment& after,
                                            const TextOptions& options);

/// The temperatures that the ends of a colour scale stand for.
struct ColourSpan {
  double low_c = 0;
  double high_c = 0;
};
/// A thermal image ready to be drawn.
struct Picture {
  cv::Mat frame;   ///< 8-bit BGR, inferno; smaller than the image where that is larger than a page
  int width = 0;   ///< of the image in its own pixels
  int height = 0;  ///< without the scale below it
  bool shows_pixels = false;  ///< so coarse that pixels serve better than a blur
  Drawing over;  ///< marks with the user's own names, hottest spots, and the scale in °C below
};
/// `marks` may be null; without a span the colours cover the image's own. Errors: an image without
/// a single temperature.
[[nodiscard]] Result<Picture> picture_of(const imaging::ThermalImage& image,
                                         const diagnosis::ImageResult& result,
                                         const MarkFile* marks,
                                         const std::optional<ColourSpan>& span = {});
/// What an image's colours cover where nothing else is asked for; absent: it holds no temperature.
[[nodiscard]] std::optional<ColourSpan> colour_span_of(const imaging::ThermalImage& image);

/// What a recheck found, for a terminal.
[[nodiscard]] std::string recheck_text(const records::Recheck& recheck, const TextOptions& options);

/// The last line of a recheck: how it ended, and whether it was signed.
[[nodiscard]] std::string recheck_conclusion(const records::Recheck& recheck);

/// The certificate of a recheck, in parts that a page and a PDF set alike.
struct RecheckCertificate {
  struct File {
    std::string path;
    std::string sha256;
    std::string state;
  };
  std::string title;
  std::string conclusion;
  bool is_good = false;
  std::vector<std::pair<std::string, std::string>> facts;
  std::vector<File> outputs;
  std::vector<File> inputs;  ///< those that are not as recorded
  std::vector<std::string> remarks;
};
[[nodiscard]] RecheckCertificate recheck_certificate(const records::Recheck& recheck,
                                                     const std::string& dated);
[[nodiscard]] Result<std::string> recheck_html(const RecheckCertificate& certificate);

/// Opens an image of the survey again, to be drawn.
using OpenImage = std::function<Result<imaging::ThermalImage>(const ImageEntry&)>;

/// Two surveys held against each other, and how their images are opened.
struct VerificationSource {
  const diagnosis::Verification& verification;
  const diagnosis::Assessment& before;
  const diagnosis::Assessment& after;
  const OpenImage& open_before;
  const OpenImage& open_after;
  std::span<const acceptance::Compared> shops = {};  ///< motors on the bench both times
};
inline constexpr std::string_view kVerificationFile = "verification.html";
/// One file, no network: images and ladders of each fault before and after, on one scale.
[[nodiscard]] Result<std::string> verification_html(const VerificationSource& source);

/// A visible-light picture, upright and small enough for a page, as the bytes of its file.
struct Photograph {
  std::vector<std::byte> bytes;
  std::string mime;  ///< "image/jpeg" or "image/png"
  int width = 0;
  int height = 0;
};
using OpenPhoto = std::function<Result<Photograph>(const ImageEntry&)>;

/// Brief: the answer, the list and a page a case. Full: all evidence, budgets and appendices, too.
enum class Detail { brief, full };

/// What a report may hold beside the assessment.
struct Extras {
  OpenPhoto open_photo = {};         ///< empty: photographs are left out
  std::string findings_sha256 = {};  ///< of findings.json, for those who sign; empty: left out
  Detail detail = Detail::brief;     ///< of the PDF; the HTML folds what is not brief
};

/// report.html: one file, no network, nothing run but its own style sheet.
[[nodiscard]] Result<std::string> report_html(const diagnosis::Assessment& assessment,
                                              const OpenImage& open_image,
                                              const Extras& extras = {});

/// A survey of any size, read piece by piece: no more than one piece need be in memory.
struct Pieces {
  /// `count` of them from the `first`, counted from 0. Errors end the report.
  using Read = std::function<Result<diagnosis::Assessment>(std::size_t first, std::size_t count)>;
  std::size_t findings = 0;
  Read findings_page;  ///< findings by rank, with the motors that they belong to
  std::size_t motor_count = 0;
  Read motors;  ///< motors with all that belongs to them; ranks are not looked at
  std::span<const Problem> problems;
};

/// Writes a file of a report by its name below the output folder; `content` writes into the sink.
using WriteFile = std::function<Result<void>(
    const std::string& name, const std::function<Result<void>(const records::Sink&)>& content)>;

inline constexpr std::string_view kReportFile = "report.html";
/// The folder beside it that pages go into.
inline constexpr std::string_view kReportPages = "report-pages";
/// The lists that may have pages, by which these are called.
inline constexpr std::array<std::string_view, 9> kPagedLists{
    "findings",  "not-judged",   "warm-even",  "others",  "readings",
    "stretches", "not-measured", "parameters", "problems"};
/// Whether a file of that folder is called as a page is.
[[nodiscard]] bool is_report_page(std::string_view file);

inline constexpr std::size_t kFindingsOnAPage = 100;
/// A survey with more findings than a page holds, or with more images than this, is reported in
/// pages.
inline constexpr std::size_t kImagesOfOneFile = 5000;
/// And this many motors: each takes some 23 kB while one file is made.
inline constexpr std::size_t kMotorsOfOneFile = 10'000;

/// The same in pages: report.html leads to them, each holds what it needs to be read alone and its
/// findings' pictures, which are drawn when it is written. report.html is written last. Errors:
/// those of reading and writing.
[[nodiscard]] Result<void> write_report_pages(const Pieces& survey, const OpenImage& open_image,
                                              const Extras& extras, const WriteFile& write);

}  // namespace ohmglow::report
