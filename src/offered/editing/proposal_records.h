#pragma once
/// Proposed marks as JSON, and into the mark files of a survey.

#include "offered/marking/proposing.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::records {

/// What came of one image.
struct ProposalFor {
  std::string image;
  std::optional<marking::Proposal> proposal;
  std::string why_not;  ///< where there is none
  bool written = false;
};

/// docs/schema/proposals.schema.json.
[[nodiscard]] std::string proposals_json(const std::vector<ProposalFor>& proposals);

/// Adds the marks to the image's mark file, which is made where it is missing. Marks that are there
/// stay; a proposed one of the same name, or a second one for the air, is left out. Errors: those
/// of the mark file; conflict where it has a lug by now.
[[nodiscard]] Result<void> write_proposal(const std::filesystem::path& folder,
                                          std::string_view image, cv::Size size,
                                          const marking::Proposal& proposal,
                                          const PhaseNames& phase_names);

}  // namespace ohmglow::records
