#pragma once
/// What a result says to people, kept as data: a message, and the values that fill it. It becomes
/// text when it is written out, for whoever reads it (written() in ohmglow/reader.h).

#include "ohmglow/quantity.h"

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace ohmglow {

struct Filling;

/// A whole sentence or clause, never a piece of one.
struct Sentence {
  std::string message;  ///< in English, the catalogues' key; {} and {1} are filled in
  std::vector<Filling> arguments;

  [[nodiscard]] bool empty() const { return message.empty(); }
  friend bool operator==(const Sentence& a, const Sentence& b);
};

/// A number; its decimal mark, its unit and the digits that it takes in that unit are the reader's.
struct Number {
  /// Plain numbers are the same for every reader; resistances choose their own unit and places.
  enum class Of { plain, temperature, difference, resistance };
  double value = 0;  ///< °C, K or Ω where it is no plain number
  int places = 0;
  Of of = Of::plain;
  bool has_unit = false;
  bool is_trimmed = false;                    ///< no zeros at the end of its decimals
  std::optional<double> one_more_below = {};  ///< a shown value under it takes one more decimal

  friend bool operator==(const Number&, const Number&) = default;
};

/// The unit alone, for numbers that share it: "°C" or "°F", "K" or "°F".
struct Unit {
  Number::Of of = Number::Of::difference;
  friend bool operator==(const Unit&, const Unit&) = default;
};

/// Items in a row; empty ones are left out. Two numbers with ± between them are a value and its
/// standard uncertainty, and share unit and decimals.
struct List {
  enum class Between { commas, semicolons, blanks, plus_minus };
  std::vector<Filling> items;
  Between between = Between::commas;
  friend bool operator==(const List& a, const List& b);
};

/// What fills a {}. A string is a name or another text that no language changes.
struct Filling {
  std::variant<std::string, Number, Unit, Sentence, List> is;

  Filling() = default;
  Filling(std::string text) : is(std::move(text)) {}
  Filling(const Number& number) : is(number) {}
  Filling(Unit unit) : is(unit) {}
  Filling(Sentence sentence) : is(std::move(sentence)) {}
  Filling(List list) : is(std::move(list)) {}
  friend bool operator==(const Filling&, const Filling&) = default;
};

// --- how they are made
// -----------------------------------------------------------------------------

/// Marks a text of a table for translation where it stands; sentence(), tr() and say() take it.
[[nodiscard]] constexpr std::string_view msg(std::string_view message) {
  return message;
}
/// A message with what fills it. Without fillings its braces are nothing special.
template <class... Fillings>
[[nodiscard]] Sentence sentence(std::string_view message, Fillings&&... fillings) {
  Sentence made{std::string(message), {}};
  made.arguments.reserve(sizeof...(fillings));
  (made.arguments.emplace_back(std::forward<Fillings>(fillings)), ...);
  return made;
}
/// The same where the message has no word in it, "{} ({})", which no language changes.
template <class... Fillings>
[[nodiscard]] Sentence layout(std::string_view message, Fillings&&... fillings) {
  return sentence(message, std::forward<Fillings>(fillings)...);
}
/// Clauses in a row, parted by semicolons; one alone is itself.
[[nodiscard]] Sentence clauses(std::vector<Sentence> parts);
/// Whole sentences one after the other.
[[nodiscard]] Sentence sentences(std::vector<Sentence> parts);

[[nodiscard]] constexpr Number number(double value, int places) {
  return {.value = value, .places = places};
}
/// As it was written: "15", "0.5".
[[nodiscard]] constexpr Number short_number(double value, int most_places = 3) {
  return {.value = value, .places = most_places, .is_trimmed = true};
}
/// "38.4 °C"
[[nodiscard]] constexpr Number temperature(double celsius, int places) {
  return {.value = celsius, .places = places, .of = Number::Of::temperature, .has_unit = true};
}
/// "6.8 K"
[[nodiscard]] constexpr Number difference(double kelvin, int places) {
  return {.value = kelvin, .places = places, .of = Number::Of::difference, .has_unit = true};
}
/// "0.52 mΩ"
[[nodiscard]] constexpr Number resistance(Ohm value) {
  return {.value = value.value(), .of = Number::Of::resistance, .has_unit = true};
}
/// The number without its unit.
[[nodiscard]] constexpr Number bare(Number number) {
  number.has_unit = false;
  return number;
}
/// The number without zeros at the end of its decimals.
[[nodiscard]] constexpr Number trimmed(Number number) {
  number.is_trimmed = true;
  return number;
}
[[nodiscard]] constexpr Number one_more_place_below(double shown, Number number) {
  number.one_more_below = shown;
  return number;
}
/// "12.4 ± 0.4 K": the uncertainty, in the value's unit, decides the decimals of both; the value's
/// own places count where it is zero.
[[nodiscard]] List plus_minus(const Number& value, double u);

inline constexpr Unit kTemperatureUnit{Number::Of::temperature};
inline constexpr Unit kDifferenceUnit{Number::Of::difference};

/// As the default reader has it: what machines read, and problems.
[[nodiscard]] std::string plainly(const Sentence& sentence);
[[nodiscard]] std::string plainly(const Number& number);

}  // namespace ohmglow
