#include "ohmglow/phase.h"

#include <algorithm>
#include <cctype>

namespace ohmglow {
namespace {

std::string upper(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return result;
}

std::optional<int> number_in(std::string_view digits, int most) {
  if (digits.empty() || digits.size() > 2) return std::nullopt;
  int value = 0;
  for (const char c : digits) {
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  if (value < 1 || value > most) return std::nullopt;
  return value;
}

Phase phase_at(std::size_t index) {
  return kPhases.at(index);
}

// Two leads in one lug, "T1/T7": a phase only where all of them lie on it.
std::optional<Phase> phase_of_joined(std::string_view written, const PhaseNames& declared) {
  std::optional<Phase> common;
  while (!written.empty()) {
    const auto end = std::min(written.find_first_of("/+"), written.size());
    const auto phase = phase_from_name(written.substr(0, end), declared);
    if (!phase || (common && *common != *phase)) return std::nullopt;
    common = phase;
    written.remove_prefix(std::min(end + 1, written.size()));
  }
  return common;
}

}  // namespace

PhaseNames default_phase_names() {
  return {"1", "2", "3"};
}

std::optional<Phase> phase_from_name(std::string_view written, const PhaseNames& declared) {
  const std::string name = upper(written);
  if (name.empty()) return std::nullopt;
  for (std::size_t i = 0; i < 3; ++i) {
    if (upper(declared.at(i)) == name) return phase_at(i);
  }
  if (name.find_first_of("/+") != std::string::npos) return phase_of_joined(name, declared);
  if (const auto n = number_in(name, 3)) return phase_at(static_cast<std::size_t>(*n - 1));
  const std::string_view rest = std::string_view(name).substr(1);
  if (name[0] == 'L') {
    if (const auto n = number_in(rest, 3)) return phase_at(static_cast<std::size_t>(*n - 1));
    return std::nullopt;
  }
  if (name[0] == 'T') {
    // T1, T4, T7, T10 lie on phase 1, and so on.
    if (const auto n = number_in(rest, 12)) return phase_at(static_cast<std::size_t>((*n - 1) % 3));
    return std::nullopt;
  }
  for (const std::string_view letters : {"ABC", "UVW"}) {
    const auto at = letters.find(name[0]);
    if (at == std::string_view::npos) continue;
    // U1 and U2 are the two ends of one winding (IEC 60034-8).
    if (rest.empty() || (letters == "UVW" && number_in(rest, 6))) return phase_at(at);
  }
  return std::nullopt;
}

}  // namespace ohmglow
