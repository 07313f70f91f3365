#pragma once
/// Saves into one folder wait for each other, be they of one program or of several.

#include "ohmglow/result.h"

#include <filesystem>

namespace ohmglow::records {

class FolderLock {
 public:
  /// Waits for the others. A file system without locks gives one that holds for this program
  /// alone. Errors: system for a folder that cannot be opened.
  [[nodiscard]] static Result<FolderLock> take(const std::filesystem::path& folder);

  FolderLock(FolderLock&& other) noexcept;
  FolderLock& operator=(FolderLock&&) = delete;
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  ~FolderLock();

 private:
  explicit FolderLock(int handle) : handle_(handle) {}
  int handle_;
};

}  // namespace ohmglow::records
