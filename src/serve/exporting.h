#pragma once
/// Reports on their way to whoever saves them: written into a folder of their own outside the
/// survey, in a thread, so that no more than a page of a large one need be in memory.

#include "offered/serve/serve.h"
#include "serve/answer.h"

#include <atomic>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

namespace ohmglow::serve {

class OpenSurvey;

/// A folder for the files of one report; gone with this object.
class ExportFolder {
 public:
  /// Errors: it cannot be made.
  [[nodiscard]] static Result<std::unique_ptr<ExportFolder>> make();
  explicit ExportFolder(std::filesystem::path path) : path_(std::move(path)) {}
  ExportFolder(const ExportFolder&) = delete;
  ExportFolder& operator=(const ExportFolder&) = delete;
  ~ExportFolder();
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// What a report has become: one file, or the files of several packed into one.
struct Exported {
  std::shared_ptr<const FileBody> file;
  std::string name;  ///< by site and day, as it is saved
};

/// Writes a report. Errors: those of writing it; a conflict where `go_on` has said no.
[[nodiscard]] Result<Exported> write_export(OpenSurvey& served, const Format& format,
                                            const std::vector<std::size_t>& ranks,
                                            const GoOn& go_on);

/// Packs files below a folder into a ZIP archive, from the disk to the disk. Errors: system; a
/// conflict where `go_on` has said no.
[[nodiscard]] Result<void> zip_files(const std::filesystem::path& folder,
                                     const std::vector<std::string>& names,
                                     const std::filesystem::path& archive,
                                     const std::function<bool()>& go_on);

/// A report being written.
class ExportJob {
 public:
  ExportJob(OpenSurvey& served, Format format, std::vector<std::size_t> ranks);
  ~ExportJob();
  ExportJob(const ExportJob&) = delete;
  ExportJob& operator=(const ExportJob&) = delete;

  [[nodiscard]] const std::string& id() const { return id_; }
  /// Its state as JSON.
  [[nodiscard]] std::string view() const;
  /// Null until it is ready.
  [[nodiscard]] std::optional<Exported> exported() const;
  [[nodiscard]] bool is_done() const { return is_done_; }
  void give_up() { given_up_ = true; }

 private:
  [[nodiscard]] Result<Exported> written(OpenSurvey& served, const Format& format,
                                         const std::vector<std::size_t>& ranks);

  std::string id_;
  std::atomic<std::size_t> drawn_ = 0;
  std::atomic<std::size_t> total_ = 0;
  std::atomic<bool> given_up_ = false;
  std::atomic<bool> is_done_ = false;
  mutable std::mutex mutex_;
  std::optional<Result<Exported>> outcome_;  ///< under mutex_
  std::jthread thread_;
};

/// The reports that were asked for, the latest few of them. Safe to use from several threads.
class ExportJobs {
 public:
  /// Errors: too many are under way.
  [[nodiscard]] Result<std::shared_ptr<ExportJob>> begin(OpenSurvey& served, const Format& format,
                                                         std::vector<std::size_t> ranks);
  /// Null where there is none.
  [[nodiscard]] std::shared_ptr<ExportJob> find(const std::string& id);
  /// Whether there was one.
  bool drop(const std::string& id);
  void drop_all();

 private:
  std::mutex mutex_;
  std::deque<std::shared_ptr<ExportJob>> jobs_;
};

}  // namespace ohmglow::serve
