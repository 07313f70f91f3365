#pragma once
/// Decoded images that were looked at lately.

#include "assessment/measure_entry.h"
#include "offered/files/file_stamp.h"

#include <cstdint>
#include <filesystem>
#include <list>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <utility>

namespace ohmglow::assessment {

/// An image file as it was at one moment.
struct OpenedFile {
  std::optional<records::FileStamp> stamp;
  Opened opened;
};

/// Keeps the images used last, up to a size in bytes. Safe to use from several threads.
class PixelMemory {
 public:
  PixelMemory(std::uint64_t most_bytes, const imaging::ReadLimits& limits)
      : most_bytes_(most_bytes), limits_(limits) {}

  /// From memory where the file has not changed since; else opened, and kept.
  [[nodiscard]] std::shared_ptr<const OpenedFile> open(const std::filesystem::path& folder,
                                                       const ImageEntry& entry);

 private:
  using Key = std::pair<std::string, int>;
  struct Entry {
    Key key;
    std::shared_ptr<const OpenedFile> file;
    std::uint64_t bytes = 0;
  };

  [[nodiscard]] std::shared_ptr<const OpenedFile> find(
      const Key& key, const std::optional<records::FileStamp>& stamp);
  void keep(Entry entry);

  std::uint64_t most_bytes_;
  imaging::ReadLimits limits_;
  std::mutex mutex_;
  std::list<Entry> entries_;  ///< the one used last comes first
  std::uint64_t bytes_ = 0;
};

}  // namespace ohmglow::assessment
