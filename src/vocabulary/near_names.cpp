#include "offered/vocabulary/near_names.h"

#include <algorithm>

namespace ohmglow {
namespace {

constexpr std::size_t kMostOffers = 3;
/// Longer names are compared for sameness alone: nobody types them.
constexpr std::size_t kLongestTyped = 80;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_kept(char c) {
  return is_digit(c) || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
}

/// What is left of a name without what people write now so and now so. "1-2" stays apart from "12".
std::string bare(std::string_view name) {
  std::string text;
  bool parted = false;
  for (std::size_t i = 0; i < name.size(); ++i) {
    const char c =
        name[i] >= 'A' && name[i] <= 'Z' ? static_cast<char>(name[i] - 'A' + 'a') : name[i];
    if (!is_kept(c)) {
      parted = true;
      continue;
    }
    const bool goes_on = !text.empty() && is_digit(text.back()) && !parted;
    const bool is_leading_zero =
        c == '0' && !goes_on && i + 1 < name.size() && is_digit(name[i + 1]);
    if (is_leading_zero) continue;
    if (parted && is_digit(c) && !text.empty() && is_digit(text.back())) text += '.';
    text += c;
    parted = false;
  }
  return text;
}

/// Sorted: two that are swapped are the same ones.
std::string digits_of(std::string_view text) {
  std::string digits(text);
  std::erase_if(digits, [](char c) { return !is_digit(c) && c != '.'; });
  std::sort(digits.begin(), digits.end());
  return digits;
}

/// Characters wrong, missing, too many or swapped with their neighbour: the optimal string
/// alignment distance, byte by byte.
std::size_t slips(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = i + j;
        continue;
      }
      const std::size_t wrong = a[i - 1] == b[j - 1] ? 0 : 1;
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + wrong});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  }
  return d[a.size()][b.size()];
}

std::size_t allowed_slips(std::size_t characters) {
  if (characters < 3 || characters > kLongestTyped) return 0;
  return characters < 8 ? 1 : 2;
}

}  // namespace

std::vector<std::string_view> near_names(std::string_view written,
                                         const std::vector<std::string_view>& known) {
  const std::string wanted = bare(written);
  if (wanted.empty()) return {};
  std::size_t most = allowed_slips(wanted.size());
  std::vector<std::string_view> nearest;
  for (const std::string_view name : known) {
    const std::string candidate = bare(name);
    if (candidate.size() > wanted.size() + most || wanted.size() > candidate.size() + most)
      continue;
    const std::size_t away = most == 0 ? (candidate == wanted ? 0 : 1) : slips(wanted, candidate);
    if (away > most) continue;
    if (away < most) nearest.clear();
    most = away;
    nearest.push_back(name);
  }
  const std::string number = digits_of(wanted);
  if (nearest.size() > 1 && !number.empty()) {
    std::erase_if(nearest,
                  [&number](std::string_view name) { return digits_of(bare(name)) != number; });
  }
  if (nearest.size() > kMostOffers) nearest.resize(kMostOffers);
  return nearest;
}

std::string did_you_mean(const std::vector<std::string_view>& offers) {
  std::string text;
  for (std::size_t i = 0; i < offers.size(); ++i) {
    if (i > 0) text += i + 1 < offers.size() ? ", " : " or ";
    text += offers[i];
  }
  return text.empty() ? text : " (did you mean " + text + "?)";
}

}  // namespace ohmglow
