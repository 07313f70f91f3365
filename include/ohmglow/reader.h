#pragma once
/// Who reads: in which language, temperature unit and decimal mark sentences and tables are
/// written. It changes texts for people and nothing else: no number is computed otherwise, and what
/// machines read is always written for the default reader.

#include "ohmglow/sentence.h"

#include <fmt/format.h>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace ohmglow {

/// The messages of a language, from a file of GNU gettext's binary format (.mo).
class Catalogue {
 public:
  /// Absent for bytes that are not of this format. Keeps views into them.
  [[nodiscard]] static std::optional<Catalogue> from_mo(std::string_view bytes);
  /// The message in that language; itself where the catalogue has no other.
  [[nodiscard]] std::string_view find(std::string_view message) const;
  [[nodiscard]] std::size_t size() const { return messages_.size(); }

 private:
  std::unordered_map<std::string_view, std::string_view> messages_;
};

enum class TemperatureScale { celsius, fahrenheit };

struct Reader {
  std::string language = "en";
  TemperatureScale scale = TemperatureScale::celsius;
  char decimal_mark = '.';
  std::shared_ptr<const Catalogue> catalogue = {};  ///< null: English

  [[nodiscard]] bool is_default() const;
};

/// The languages that there are, English first.
[[nodiscard]] std::vector<std::string> languages();
/// A reader of one of them, with the decimal mark that goes with it. Absent for another language.
[[nodiscard]] std::optional<Reader> reader_of(std::string_view language);

/// English, °C, a decimal point: what machines read.
[[nodiscard]] const Reader& default_reader();

/// Who reads what this thread writes. Results are worked out without a reader; what writes them
/// down looks here.
[[nodiscard]] const Reader& reader();

/// This thread writes for a reader while the object lives; it must not outlive the reader.
class WritingFor {
 public:
  explicit WritingFor(const Reader& reader);
  WritingFor(const WritingFor&) = delete;
  WritingFor& operator=(const WritingFor&) = delete;
  ~WritingFor();

 private:
  const Reader* before_;
};

/// A sentence as a reader has it. Where a translation cannot take its fillings: in English.
[[nodiscard]] std::string written(const Sentence& sentence, const Reader& its = reader());
/// The message in the reader's language.
[[nodiscard]] std::string tr(std::string_view message);
/// The same with its {} filled in, in the syntax of the fmt library.
template <class... Values>
[[nodiscard]] std::string say(std::string_view message, const Values&... values) {
  return fmt::vformat(tr(message), fmt::make_format_args(values...));
}

// --- temperatures (t/°F = 1.8 t/°C + 32, 1 K = 1.8 °F of interval: NIST SP 811, 2008, appendix B,
// from memory)

/// A temperature and a difference of temperatures in the reader's unit.
[[nodiscard]] double shown_temperature(double celsius, const Reader& its = reader());
[[nodiscard]] double shown_difference(double kelvin, const Reader& its = reader());
/// "°C" or "°F"; "K" or "°F".
[[nodiscard]] std::string_view temperature_unit(const Reader& its = reader());
[[nodiscard]] std::string_view difference_unit(const Reader& its = reader());
/// "38.4 °C"
[[nodiscard]] std::string temperature_text(double celsius, int places);
/// "6.8 K"
[[nodiscard]] std::string difference_text(double kelvin, int places);

}  // namespace ohmglow
