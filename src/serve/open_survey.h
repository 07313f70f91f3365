#pragma once
/// The survey that is served, kept in step with its folder, and what everybody hears about it.

#include "offered/assessment/workbench.h"
#include "offered/files/file_stamp.h"
#include "offered/serve/serve.h"
#include "serve/exporting.h"
#include "serve/history.h"

#include <array>
#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <utility>

namespace ohmglow::serve {

class OpenSurvey {
 public:
  /// Errors: a folder or survey.json that cannot be used, a policy that is not known.
  [[nodiscard]] static Result<std::unique_ptr<OpenSurvey>> open(Settings settings,
                                                                std::string csrf);
  ~OpenSurvey();
  OpenSurvey(const OpenSurvey&) = delete;
  OpenSurvey& operator=(const OpenSurvey&) = delete;

  /// Measures in a thread of its own from now on.
  void begin();
  /// Leaves what is not measured.
  void stop();

  [[nodiscard]] const Settings& settings() const { return settings_; }
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }
  [[nodiscard]] assessment::Workbench& bench() { return *bench_; }
  /// How often something was saved or taken over while this server ran.
  [[nodiscard]] std::uint64_t changes() const { return changes_; }
  [[nodiscard]] const History& history() const { return history_; }
  [[nodiscard]] ExportJobs& exports() { return exports_; }
  /// Tells one run of the server from the next.
  [[nodiscard]] const std::string& run() const { return run_; }
  /// What pages must send along with everything that changes something.
  [[nodiscard]] const std::string& csrf() const { return csrf_; }

  /// Takes over what other programs have written into the tables since the last look.
  void catch_up();
  /// The same with the marks and files of a motor's images.
  void catch_up_with(std::string_view motor);

  /// Takes over the whole folder as it is now.
  void read_folder_again();

  /// Held while files of the survey are written and read back.
  [[nodiscard]] std::unique_lock<std::mutex> saving() { return std::unique_lock(saving_); }
  /// Takes over an image's marks as they are on disk; everybody hears of it. Under saving().
  void read_marks_again(const std::string& file);
  /// Takes over readings.csv after a motor's row of it was saved; everybody hears of it. `in_step`
  /// as is_in_step() said before the save. Under saving().
  void read_readings_again(const std::string& motor, bool in_step);
  /// The same for an image's row of images.csv.
  void read_image_again(std::size_t place, std::optional<long> row, bool in_step);
  /// Whether the tables on disk are those that are shown. Under saving().
  [[nodiscard]] bool is_in_step() const { return look_at_tables() == stamps_; }

 private:
  /// What the tables are called, and when they and survey.json were written.
  struct Stamps {
    TableNames names;
    std::array<std::optional<records::FileStamp>, 7> files;
    friend bool operator==(const Stamps&, const Stamps&) = default;
  };

  OpenSurvey(Settings settings, std::string csrf, std::unique_ptr<assessment::Workbench> bench);
  [[nodiscard]] Stamps look_at_tables() const;
  [[nodiscard]] TableNames look_at_names() const;
  void read_all_again();
  void read_tables_again(const std::string& motor);
  bool marks_changed(const std::string& file) const;
  void work(const std::stop_token& stopped);
  void measure_on(const std::stop_token& stopped);
  void measure(const std::stop_token& stopped);
  /// Whoever asks for news hears that something differs.
  void note_change(std::string_view motor);
  void wake();

  Settings settings_;
  std::filesystem::path folder_;
  std::unique_ptr<assessment::Workbench> bench_;
  std::atomic<std::uint64_t> changes_ = 0;
  History history_;
  std::size_t earlier_begun_ = 0;
  std::string run_;
  std::string csrf_;
  std::mutex saving_;
  /// The names in the folder as it was written then. Under saving_; looked at first, for the
  /// stamps.
  mutable std::optional<std::pair<std::filesystem::file_time_type, TableNames>> names_;
  Stamps stamps_{};  ///< under saving_
  std::mutex waking_;
  std::condition_variable_any woken_;
  bool has_work_ = true;
  std::jthread worker_;
  ExportJobs exports_;  ///< ends first
};

}  // namespace ohmglow::serve
