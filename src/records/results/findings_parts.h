#pragma once
/// The parts of findings.json, one value each.

#include "offered/files/json_writer.h"
#include "ohmglow/acceptance.h"
#include "ohmglow/diagnosis.h"
#include "records/files/json_text.h"

#include <chrono>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// `index` into the assessment's images.
void put_image(JsonWriter& json, const diagnosis::Assessment& assessment, std::size_t index);
void put_lug(JsonWriter& json, const diagnosis::Assessment& assessment,
             const diagnosis::LugResult& lug);
void put_component(JsonWriter& json, const diagnosis::Assessment& assessment,
                   const diagnosis::ComponentResult& component);
void put_motor(JsonWriter& json, const diagnosis::Assessment& assessment,
               const diagnosis::MotorResult& motor);
void put_finding(JsonWriter& json, const diagnosis::Assessment& assessment,
                 const diagnosis::Finding& finding);
/// All members but rank and case number, for a list whose ranks are not known yet.
void put_unranked_finding(JsonWriter& json, const diagnosis::Assessment& assessment,
                          const diagnosis::Finding& finding);
/// What stands beside the ranked list.
void put_aside(JsonWriter& json, const diagnosis::Assessment& assessment,
               const diagnosis::Aside& aside);
void put(JsonWriter& json, const Problem& problem);

/// A motor's readings, worked out.
void put_electrical(JsonWriter& json, const diagnosis::Assessment& assessment,
                    const diagnosis::MotorResult& motor);
/// The stretches of its circuit.
void put_segments(JsonWriter& json, const diagnosis::Assessment& assessment,
                  const diagnosis::MotorResult& motor);

/// How it was judged; manifest.json holds the same object and reads it again (manifest_read.cpp).
[[nodiscard]] OrderedJson options_json(const diagnosis::Options& options);

// Pieces that several parts share.
/// 2026-03-04.
[[nodiscard]] std::string date_text(std::chrono::sys_days day);
void put(JsonWriter& json, const diagnosis::Evidence& item);
void put(JsonWriter& json, const diagnosis::MonteCarlo& sampled);
void put(JsonWriter& json, const diagnosis::Budget& budget);
void put_probability(JsonWriter& json, const severity::Policy& policy,
                     const std::vector<double>& probability);
[[nodiscard]] std::optional<std::string_view> phase_name(const diagnosis::Assessment& assessment,
                                                         const std::optional<Phase>& phase);
inline auto names(const std::vector<diagnosis::Flag>& flags) {
  return each(flags, [](diagnosis::Flag flag) { return diagnosis::name_of(flag); });
}

/// Checks of motors that were on the bench both times, side by side.
[[nodiscard]] nlohmann::ordered_json shops_json(std::span<const acceptance::Compared> shops);

}  // namespace ohmglow::records
