#pragma once
/// The three phases, and the names under which people write them.

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow {

enum class Phase { one = 1, two = 2, three = 3 };

inline constexpr std::array<Phase, 3> kPhases{Phase::one, Phase::two, Phase::three};

[[nodiscard]] constexpr std::size_t index_of(Phase p) {
  return static_cast<std::size_t>(p) - 1;
}
[[nodiscard]] constexpr int number_of(Phase p) {
  return static_cast<int>(p);
}

/// Three values in the order of the phases 1, 2, 3.
template <class T>
using PerPhase = std::array<T, 3>;

/// Three values in the order of the pairs 1-2, 2-3, 3-1.
template <class T>
using PerPair = std::array<T, 3>;

/// What a survey calls its phases, for display ("A","B","C").
using PhaseNames = std::array<std::string, 3>;

[[nodiscard]] PhaseNames default_phase_names();

/// The phase that a written name means: 1/2/3, A/B/C, L1/L2/L3, T1 to T12 (T4, T7 and T10 lie on
/// phase 1 and so on; IEC 60034-8 and NEMA MG 1 part 2 lead numbering), U/V/W (also U1, V2 …).
/// Leads joined in one lug, "T1/T7" or "T1+T7", mean their phase if all lie on one. R/Y/B count
/// only where `declared` lists them. Upper and lower case are the same.
[[nodiscard]] std::optional<Phase> phase_from_name(
    std::string_view name, const PhaseNames& declared = default_phase_names());

}  // namespace ohmglow
