#pragma once
/// Parts of findings.json one by one, each as one line of JSON (docs/schema/findings.schema.json),
/// for a page that shows some of them at a time.

#include "offered/diagnosis/verification.h"
#include "ohmglow/acceptance.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/rotor.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// An item of `images`.
[[nodiscard]] std::string image_text(const diagnosis::Assessment& assessment, std::size_t index);
/// An item of `images[].lugs`.
[[nodiscard]] std::string lug_text(const diagnosis::Assessment& assessment, diagnosis::LugIndex at);
/// An item of `components`.
[[nodiscard]] std::string component_text(const diagnosis::Assessment& assessment,
                                         const diagnosis::ComponentResult& component);
/// The members `electrical` and `segments` of an item of `motors`.
[[nodiscard]] std::string electrical_text(const diagnosis::Assessment& assessment,
                                          const diagnosis::MotorResult& motor);
[[nodiscard]] std::string segments_text(const diagnosis::Assessment& assessment,
                                        const diagnosis::MotorResult& motor);
/// An item of `findings`.
[[nodiscard]] std::string finding_text(const diagnosis::Assessment& assessment,
                                       const diagnosis::Finding& finding);
/// An item of `warm_even` or `not_judged`.
[[nodiscard]] std::string aside_text(const diagnosis::Assessment& assessment,
                                     const diagnosis::Aside& aside);

/// The electrical side alone: {"version":1,"motors":[…],"problems":[…]}.
[[nodiscard]] std::string readings_json(const diagnosis::Assessment& assessment);

/// Two surveys held against each other (docs/schema/verification.schema.json).
[[nodiscard]] std::string verification_json(const diagnosis::Verification& verification,
                                            const diagnosis::Assessment& before,
                                            const diagnosis::Assessment& after,
                                            std::span<const acceptance::Compared> shops = {});

/// Sweeps, air gaps and what may lie behind them (docs/schema/rotor.schema.json).
[[nodiscard]] std::string rotor_json(const rotor::Rotors& rotors, const Survey& survey);

/// The acceptance of a motor (docs/schema/acceptance.schema.json).
[[nodiscard]] std::string acceptance_json(const acceptance::Acceptance& acceptance,
                                          const acceptance::Limits& limits);

/// What `look` says of an image.
struct Look {
  std::string file;
  imaging::StoredImage image;
  imaging::Statistics stored;
  std::optional<Declaration> declaration;  ///< embedded or by range
  std::vector<std::string> problems;
};
[[nodiscard]] std::string look_json(const std::optional<Look>& look, std::string_view file,
                                    const std::vector<std::string>& problems);

}  // namespace ohmglow::records
