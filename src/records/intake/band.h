#pragma once
/// The camera's band as survey.json names it, and as findings.json records it.

#include "ohmglow/survey.h"
#include "records/files/json_text.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::records {

/// The members of survey.json that name a band; at most one of them may be given.
struct BandMembers {
  std::optional<FlatBand> flat;
  std::string response_file;
  std::optional<SakumaHattori> calibration;

  [[nodiscard]] std::vector<Member> members();
};

/// The band that they name, read and tried; 8 to 14 µm flat where there is none.
[[nodiscard]] Result<SpectralBand> band_from(const BandMembers& given,
                                             const std::filesystem::path& folder);

/// Every member is always there, absent = null.
[[nodiscard]] OrderedJson band_json(const SpectralBand& band);

}  // namespace ohmglow::records
