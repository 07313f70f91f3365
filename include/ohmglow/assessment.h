#pragma once
/// The main job: a survey folder measured over all cores, then judged.

#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/proposing.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/result.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>

namespace ohmglow::assessment {

struct Options {
  diagnosis::Options judging;
  unsigned jobs = 0;  ///< threads; 0 = all cores. The result does not depend on it.
  imaging::ReadLimits limits = {};
  /// Called after each image with (done, total), from one thread at a time.
  std::function<void(std::size_t, std::size_t)> progress = {};
};

/// Measures every image of the survey and judges. Never fails as a whole: what could not be
/// measured is in the result's problems.
[[nodiscard]] diagnosis::Assessment assess(Survey survey, severity::Policy policy,
                                           const Options& options);

/// Measures one image whose bytes are at hand: the step that assess() does per image, for callers
/// that show numbers while a mark moves. `index` scopes the inputs that images do not share,
/// `visit` those that one visit to a component shares. `band` is the camera's, made once from the
/// survey's (radiometry::BandRadiance::of).
[[nodiscard]] diagnosis::ImageResult measure_image(const imaging::ThermalImage& image,
                                                   const ImageEntry& entry, const MarkFile& marks,
                                                   const Motor* motor,
                                                   const PhaseNames& phase_names,
                                                   std::uint32_t index, std::uint32_t visit,
                                                   const radiometry::BandRadiance& band);

/// Opens an image of the survey: path kept inside the folder, bytes read, page and declaration
/// taken from its row. `sha256` receives the hash of the bytes wherever they could be read.
[[nodiscard]] Result<imaging::ThermalImage> open_image(const Survey& survey,
                                                       const ImageEntry& entry,
                                                       const imaging::ReadLimits& limits,
                                                       std::string* sha256 = nullptr);

/// Marks proposed for an image of the survey: those of another image of the same motor and
/// component where the picture has only moved, else what the picture itself shows. Opens the images
/// that it needs. Errors: those of open_image(), and not_measurable ("no proposal: …").
[[nodiscard]] Result<marking::Proposal> propose_marks(const Survey& survey, const ImageEntry& entry,
                                                      const imaging::ReadLimits& limits = {});

/// The same from the images of an older survey alone; `from` of each mark names the older image.
[[nodiscard]] Result<marking::Proposal> carry_marks(const Survey& older, const Survey& survey,
                                                    const ImageEntry& entry,
                                                    const imaging::ReadLimits& limits = {});

}  // namespace ohmglow::assessment
