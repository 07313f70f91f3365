#pragma once
/// The parts of findings.json, one value each.

#include "ohmglow/diagnosis.h"
#include "records/json_text.h"

#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// `index` into the assessment's images, components and so on.
[[nodiscard]] OrderedJson image_json(const diagnosis::Assessment& assessment, std::size_t index);
[[nodiscard]] OrderedJson lug_json(const diagnosis::Assessment& assessment,
                                   const diagnosis::LugResult& lug);
[[nodiscard]] OrderedJson component_json(const diagnosis::Assessment& assessment,
                                         const diagnosis::ComponentResult& component);
[[nodiscard]] OrderedJson motor_json(const diagnosis::Assessment& assessment,
                                     const diagnosis::MotorResult& motor);
[[nodiscard]] OrderedJson finding_json(const diagnosis::Assessment& assessment,
                                       const diagnosis::Finding& finding);
[[nodiscard]] OrderedJson problem_json(const Problem& problem);

/// A motor's readings, worked out.
[[nodiscard]] OrderedJson electrical_json(const diagnosis::Assessment& assessment,
                                          const diagnosis::MotorResult& motor);
/// The stretches of its circuit.
[[nodiscard]] OrderedJson segments_json(const diagnosis::Assessment& assessment,
                                        const diagnosis::MotorResult& motor);

/// How it was judged; manifest.json holds the same object and reads it again (manifest_read.cpp).
[[nodiscard]] OrderedJson options_json(const diagnosis::Options& options);

// Pieces that several parts share.
/// 2026-03-04.
[[nodiscard]] std::string date_text(std::chrono::sys_days day);
[[nodiscard]] OrderedJson evidence_json(const std::vector<diagnosis::Evidence>& evidence);
[[nodiscard]] OrderedJson flags_json(const std::vector<diagnosis::Flag>& flags);
[[nodiscard]] OrderedJson probability_json(const severity::Policy& policy,
                                           const std::vector<double>& probability);
[[nodiscard]] OrderedJson monte_carlo_json(const std::optional<diagnosis::MonteCarlo>& sampled);
[[nodiscard]] OrderedJson budgets_json(const std::vector<diagnosis::Budget>& budgets);
[[nodiscard]] OrderedJson phase_name_json(const diagnosis::Assessment& assessment,
                                          const std::optional<Phase>& phase);

}  // namespace ohmglow::records
