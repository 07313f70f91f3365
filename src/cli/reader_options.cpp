#include "cli/reader_options.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::cli {

void add_reader_options(CLI::App& command, ReaderOptions& options) {
  command
      .add_option("--language", options.language,
                  fmt::format("Language of reports and lists: {}", fmt::join(languages(), ", ")))
      ->check(CLI::IsMember(languages()))
      ->capture_default_str();
  command
      .add_option("--units", options.units,
                  "Temperatures in reports and lists in °C and K, or all in °F: c or f")
      ->check(CLI::IsMember({"c", "f"}))
      ->capture_default_str();
  command
      .add_option("--decimal", options.decimal,
                  "Decimal mark in reports and lists: point or comma [the language's]")
      ->check(CLI::IsMember({"point", "comma"}));
}

std::shared_ptr<const Reader> reader_from(const ReaderOptions& options) {
  Reader reader = reader_of(options.language).value_or(Reader{});
  if (options.units == "f") reader.scale = TemperatureScale::fahrenheit;
  if (!options.decimal.empty()) reader.decimal_mark = options.decimal == "comma" ? ',' : '.';
  return std::make_shared<const Reader>(std::move(reader));
}

void keep_reader(const ReaderOptions& options, records::RunOptions& kept) {
  kept.language = options.language;
  kept.units = options.units;
  kept.decimal = reader_from(options)->decimal_mark == ',' ? "comma" : "point";
}

std::shared_ptr<const Reader> reader_from(const records::RunOptions& kept) {
  return reader_from(ReaderOptions{kept.language, kept.units, kept.decimal});
}

}  // namespace ohmglow::cli
