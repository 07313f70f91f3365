#pragma once
/// Parts of findings.json one by one, each as one line of JSON (docs/schema/findings.schema.json),
/// for a page that shows some of them at a time.

#include "ohmglow/diagnosis.h"

#include <cstddef>
#include <string>

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

}  // namespace ohmglow::records
