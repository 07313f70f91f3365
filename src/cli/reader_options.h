#pragma once
/// For whom a command writes: --language, --units, --decimal.

#include "offered/results/manifest.h"
#include "ohmglow/reader.h"

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

namespace ohmglow::cli {

struct ReaderOptions {
  std::string language = "en";
  std::string units = "c";
  std::string decimal;  ///< empty: the language's own
};

void add_reader_options(CLI::App& command, ReaderOptions& options);

/// The reader that they name.
[[nodiscard]] std::shared_ptr<const Reader> reader_from(const ReaderOptions& options);
/// The same as a run's options keep it, and back.
void keep_reader(const ReaderOptions& options, records::RunOptions& kept);
[[nodiscard]] std::shared_ptr<const Reader> reader_from(const records::RunOptions& kept);

}  // namespace ohmglow::cli
