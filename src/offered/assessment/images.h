#pragma once
/// The images of a survey one at a time.

#include "offered/marking/proposing.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <string>

namespace ohmglow::assessment {

/// Measures one image whose bytes are at hand: the step that a run does per image, for callers
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
/// that it needs. Errors: those of open_image() and of `open_sight`, and not_measurable ("no
/// proposal: …").
[[nodiscard]] Result<marking::Proposal> propose_marks(const Survey& survey, const ImageEntry& entry,
                                                      const marking::OpenSight& open_sight,
                                                      const imaging::ReadLimits& limits = {});

/// The same from the images of an older survey alone; `from` of each mark names the older image.
[[nodiscard]] Result<marking::Proposal> carry_marks(const Survey& older, const Survey& survey,
                                                    const ImageEntry& entry,
                                                    const imaging::ReadLimits& limits = {});

}  // namespace ohmglow::assessment
