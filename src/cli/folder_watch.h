#pragma once
/// Waits for files of a survey to change.

#include "ohmglow/result.h"

#include <memory>
#include <string>

namespace ohmglow::cli {

class FolderWatch {
 public:
  /// Sees what changes in a folder and its subfolders from here on, but for the folder of results
  /// and hidden files. SIGINT, SIGTERM and SIGHUP end the waiting, no longer the program. Errors:
  /// the folder cannot be watched.
  [[nodiscard]] static Result<FolderWatch> begin(const std::string& folder,
                                                 const std::string& results);
  FolderWatch(FolderWatch&&) noexcept;
  FolderWatch& operator=(FolderWatch&&) noexcept;
  ~FolderWatch();

  /// True once something has changed and nothing does any more for a moment: a camera's card is
  /// copied file by file. False where a signal ends the watch.
  [[nodiscard]] bool wait();

 private:
  class Inside;
  explicit FolderWatch(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace ohmglow::cli
