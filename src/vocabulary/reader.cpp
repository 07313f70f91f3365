// Own reading of GNU gettext's .mo: glibc's has one language a process and wants files, and
// Boost.Locale brings ICU along. Here catalogues are embedded and each thread has its reader. Not
// measured.
#include "ohmglow/reader.h"

#include "embedded.h"
#include "offered/vocabulary/number_text.h"

#include <cstdint>
#include <cstring>

namespace ohmglow {
namespace {

constexpr double kFahrenheitPerKelvin = 1.8;

thread_local const Reader* current = nullptr;

/// A 32-bit number of a .mo file; absent beyond its end.
std::optional<std::uint32_t> number_at(std::string_view bytes, std::uint64_t at) {
  std::uint32_t number = 0;
  if (at + sizeof number > bytes.size()) return std::nullopt;
  std::memcpy(&number, bytes.data() + at, sizeof number);
  return number;
}

/// The text that the descriptor at that place points to.
std::optional<std::string_view> text_at(std::string_view bytes, std::uint64_t at) {
  const auto length = number_at(bytes, at);
  const auto start = number_at(bytes, at + 4);
  if (!length || !start || std::uint64_t{*start} + *length > bytes.size()) return std::nullopt;
  return bytes.substr(*start, *length);
}

/// German and most others of Europe; each .po file stands for itself by its name.
char decimal_mark_of(std::string_view language) {
  return language == "en" ? '.' : ',';
}

}  // namespace

// The run-time library of gettext would need the language's locale installed on the machine; the
// format itself is a header and two tables (GNU gettext manual, "The Format of GNU MO Files").
std::optional<Catalogue> Catalogue::from_mo(std::string_view bytes) {
  constexpr std::uint32_t kMagic = 0x950412de;
  if (number_at(bytes, 0) != kMagic || number_at(bytes, 4) != 0U) return std::nullopt;
  const auto count = number_at(bytes, 8);
  const auto originals = number_at(bytes, 12);
  const auto translations = number_at(bytes, 16);
  if (!count || !originals || !translations) return std::nullopt;
  Catalogue catalogue;
  for (std::uint64_t i = 0; i < *count; ++i) {
    const auto message = text_at(bytes, *originals + 8 * i);
    const auto translated = text_at(bytes, *translations + 8 * i);
    if (!message || !translated) return std::nullopt;
    if (!message->empty()) catalogue.messages_.emplace(*message, *translated);
  }
  return catalogue;
}

std::string_view Catalogue::find(std::string_view message) const {
  const auto found = messages_.find(message);
  return found == messages_.end() ? message : found->second;
}

bool Reader::is_default() const {
  return !catalogue && scale == TemperatureScale::celsius && decimal_mark == '.';
}

std::vector<std::string> languages() {
  std::vector<std::string> names{"en"};
  for (const embedded::File& file : embedded::languages()) {
    names.emplace_back(file.name.substr(0, file.name.find('.')));
  }
  return names;
}

std::optional<Reader> reader_of(std::string_view language) {
  Reader reader;
  reader.language = language;
  reader.decimal_mark = decimal_mark_of(language);
  if (language == "en") return reader;
  for (const embedded::File& file : embedded::languages()) {
    if (file.name.substr(0, file.name.find('.')) != language) continue;
    auto catalogue = Catalogue::from_mo(file.content);
    if (!catalogue) return std::nullopt;
    reader.catalogue = std::make_shared<const Catalogue>(std::move(*catalogue));
    return reader;
  }
  return std::nullopt;
}

const Reader& default_reader() {
  static const Reader kDefault;
  return kDefault;
}

const Reader& reader() {
  return current != nullptr ? *current : default_reader();
}

WritingFor::WritingFor(const Reader& reader) : before_(current) {
  current = &reader;
}
WritingFor::~WritingFor() {
  current = before_;
}

std::string tr(std::string_view message) {
  const Reader& its = reader();
  return std::string(its.catalogue ? its.catalogue->find(message) : message);
}

double shown_temperature(double celsius, const Reader& its) {
  if (its.scale == TemperatureScale::celsius) return celsius;
  return to_fahrenheit(Celsius{celsius}).value();
}

double shown_difference(double kelvin, const Reader& its) {
  return its.scale == TemperatureScale::celsius ? kelvin : kelvin * kFahrenheitPerKelvin;
}

std::string_view temperature_unit(const Reader& its) {
  return its.scale == TemperatureScale::celsius ? "°C" : "°F";
}

std::string_view difference_unit(const Reader& its) {
  return its.scale == TemperatureScale::celsius ? "K" : "°F";
}

std::string temperature_text(double celsius, int places) {
  return decimals(shown_temperature(celsius), places).append(" ").append(temperature_unit());
}

std::string difference_text(double kelvin, int places) {
  return decimals(shown_difference(kelvin), places).append(" ").append(difference_unit());
}

}  // namespace ohmglow
