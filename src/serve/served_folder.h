#pragma once
/// What lies behind the address: a survey, a folder of surveys, or a folder that a survey is to be
/// made of.

#include "serve/answer.h"
#include "serve/open_survey.h"

#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

namespace ohmglow::serve {

enum class Holds { survey, surveys, nothing };
/// "survey", "surveys", "nothing".
[[nodiscard]] std::string_view name_of(Holds holds);

/// Where pieces of files that are brought are sent to: the one address that takes no JSON.
inline constexpr std::string_view kIncomingPath = "/api/incoming";

/// A path behind /survey/NAME, by which one of several surveys is addressed; other paths as they
/// are.
struct SurveyPath {
  std::string survey;  ///< empty: none is named
  std::string path;
};
[[nodiscard]] SurveyPath survey_path(std::string_view path);

class ServedFolder {
 public:
  /// Errors: a survey that cannot be opened; where the folder holds several, each tells its own.
  [[nodiscard]] static Result<std::unique_ptr<ServedFolder>> open(Settings settings);
  ~ServedFolder();
  ServedFolder(const ServedFolder&) = delete;
  ServedFolder& operator=(const ServedFolder&) = delete;

  /// Measures in threads of its own from now on.
  void begin();
  void stop();

  [[nodiscard]] Answer answer(const Request& request);

  [[nodiscard]] const std::string& csrf() const { return csrf_; }
  [[nodiscard]] const std::string& run() const { return run_; }
  [[nodiscard]] const Settings& settings() const { return settings_; }
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }
  [[nodiscard]] Holds holds() const;

  /// The surveys in the folder's own subfolders, by their names, sorted.
  [[nodiscard]] std::vector<std::string> survey_names() const;
  /// One of them, opened when it is first asked for. Errors: no such survey; those of opening it.
  [[nodiscard]] Result<OpenSurvey*> survey(const std::string& name);
  /// What the list of surveys says of one, as JSON, without waiting for it.
  [[nodiscard]] std::string summary(const std::string& name);

  /// Takes over the survey that was just written into the folder. Errors: those of opening it.
  [[nodiscard]] Result<void> become_survey();
  /// Held while a survey is made.
  [[nodiscard]] std::unique_lock<std::mutex> starting() { return std::unique_lock(starting_); }

 private:
  struct Entry {
    std::mutex opening;
    std::unique_ptr<OpenSurvey> survey;
    std::optional<Error> error;
  };

  explicit ServedFolder(Settings settings);
  [[nodiscard]] Result<OpenSurvey*> open_entry(Entry& entry, const std::string& folder);
  [[nodiscard]] std::shared_ptr<Entry> entry(const std::string& name);
  void measure_one_after_the_other(const std::stop_token& stopped);

  Settings settings_;
  std::filesystem::path folder_;
  std::string run_;
  std::string csrf_;
  mutable std::mutex mutex_;
  Holds holds_ = Holds::nothing;                           ///< under mutex_
  std::map<std::string, std::shared_ptr<Entry>> entries_;  ///< under mutex_; "" is the folder's own
  bool has_begun_ = false;                                 ///< under mutex_
  std::mutex starting_;
  std::jthread measuring_;
};

/// An address of a folder that is no survey itself.
struct FolderRoute {
  std::string_view method;
  std::string_view path;
  Holds holds;
  Answer (*answer)(ServedFolder&, const Request&);
};
[[nodiscard]] std::span<const FolderRoute> folder_routes();

// starting.cpp
[[nodiscard]] Answer get_start(ServedFolder& served, const Request& request);
[[nodiscard]] Answer post_start(ServedFolder& served, const Request& request);
[[nodiscard]] Answer get_incoming(ServedFolder& served, const Request& request);
[[nodiscard]] Answer put_incoming(ServedFolder& served, const Request& request);

}  // namespace ohmglow::serve
