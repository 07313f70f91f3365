#pragma once
/// Older surveys of the same motors: their rises, and their images.

#include "offered/assessment/workbench.h"

#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::serve {

/// What people call a survey: the name of its folder.
[[nodiscard]] std::string folder_name(const std::filesystem::path& folder);

/// One lug at one visit.
struct HistoryRow {
  std::string survey;  ///< the folder's name
  std::optional<std::string> surveyed_on;
  std::string component;
  Phase phase = Phase::one;
  std::string lug;
  std::optional<double> rise_over_like_k;
  std::optional<double> rise_over_like_u_k;
  std::optional<double> load_a;
  std::string band;
};

/// The rows of a motor's measured lugs; `survey` names the folder.
[[nodiscard]] std::vector<HistoryRow> history_rows(const diagnosis::Assessment& assessment,
                                                   const std::string& survey);

/// An older survey, measured and judged by the policy of this one.
struct Earlier {
  std::string name;
  std::filesystem::path folder;
  std::unique_ptr<assessment::Workbench> bench;
};

/// Safe to use from several threads.
class History {
 public:
  void add(const std::string& motor, std::vector<HistoryRow> rows);
  void add(Earlier survey);
  [[nodiscard]] std::vector<HistoryRow> of(std::string_view motor) const;
  /// Null where there is none of that name, or not yet. What is found stays.
  [[nodiscard]] const Earlier* survey(std::string_view name) const;
  [[nodiscard]] std::vector<const Earlier*> surveys() const;

 private:
  mutable std::mutex mutex_;
  std::map<std::string, std::vector<HistoryRow>, std::less<>> rows_;
  std::map<std::string, Earlier, std::less<>> surveys_;
};

/// Reads, measures and judges an older survey by the policy of this one, and adds it with the rises
/// of its lugs. A folder that cannot be read adds nothing: the command has looked at it before.
void read_earlier(const std::string& folder, const severity::Policy& policy,
                  const assessment::WorkbenchOptions& options, const std::stop_token& stopped,
                  History& history);

}  // namespace ohmglow::serve
