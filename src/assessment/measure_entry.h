#pragma once
/// From a row of the survey to its result: the file opened, declared, measured, and whatever went
/// wrong on the way said in the result.

#include "assessment/measure.h"

#include <filesystem>
#include <string>

namespace ohmglow::assessment {

/// Pixels with the hash of the file that they come from.
struct Opened {
  std::string sha256;  ///< empty where the bytes could not be read
  std::uint64_t bytes = 0;
  Result<imaging::StoredImage> stored;
};
/// With `memory` the pixels are good until it is given again.
[[nodiscard]] Opened open_stored(const std::filesystem::path& folder, const ImageEntry& entry,
                                 const imaging::ReadLimits& limits,
                                 imaging::ReadMemory* memory = nullptr);

/// The pixels with what they mean by the image's row and its own declaration.
[[nodiscard]] Result<imaging::ThermalImage> declared(const Opened& opened, const ImageEntry& entry);

/// What measuring one image looks at beside its pixels.
struct EntryCase {
  const Result<radiometry::BandRadiance>& band;
  const ImageEntry& entry;
  const MarkFile& marks;
  const Motor* motor;
  const PhaseNames& phase_names;
  Scopes scopes;
  diagnosis::Unconfirmed unconfirmed = diagnosis::Unconfirmed::measure;
};

/// An image of a motor whose rows stand alone.
[[nodiscard]] EntryCase case_of(const Result<radiometry::BandRadiance>& band, const Survey& motor,
                                std::size_t image, const Scopes& scopes,
                                diagnosis::Unconfirmed unconfirmed);

/// `how` receives the basis of the numbers where it is asked for.
[[nodiscard]] diagnosis::ImageResult measure_entry(const EntryCase& its, const Opened& opened,
                                                   PixelTables& tables, Measured* how);

}  // namespace ohmglow::assessment
