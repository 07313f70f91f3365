#include "serve/history.h"

#include "ohmglow/survey_folder.h"

#include <iterator>
#include <system_error>

namespace ohmglow::serve {
namespace {

/// The lug's own current where it is known, else the mean of those that are.
std::optional<double> load_of(const diagnosis::ImageResult& image, Phase phase) {
  if (const auto own = image.load_a.at(index_of(phase))) return own->value();
  double sum = 0;
  int known = 0;
  for (const auto& load : image.load_a) {
    if (!load) continue;
    sum += load->value();
    ++known;
  }
  return known > 0 ? std::optional(sum / known) : std::nullopt;
}

}  // namespace

std::vector<HistoryRow> history_rows(const diagnosis::Assessment& assessment,
                                     const std::string& survey) {
  const auto& surveyed_on = assessment.survey.surveyed_on;
  std::vector<HistoryRow> rows;
  for (const diagnosis::ImageResult& image : assessment.images) {
    const auto& day = image.taken_at ? image.taken_at : surveyed_on;
    for (const diagnosis::LugResult& lug : image.lugs) {
      if (!lug.temperature_c) continue;
      HistoryRow row;
      row.survey = survey;
      if (day) row.surveyed_on = day->text;
      row.component = image.component;
      row.phase = lug.phase;
      row.lug = lug.name;
      if (lug.rise_over_like) {
        row.rise_over_like_k = lug.rise_over_like->value();
        row.rise_over_like_u_k = lug.rise_over_like->u();
      }
      row.load_a = load_of(image, lug.phase);
      row.band = assessment.band_id(lug.grade);
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

void History::add(const std::string& motor, std::vector<HistoryRow> rows) {
  const std::lock_guard lock(mutex_);
  auto& known = rows_[motor];
  std::move(rows.begin(), rows.end(), std::back_inserter(known));
}

std::vector<HistoryRow> History::of(std::string_view motor) const {
  const std::lock_guard lock(mutex_);
  const auto at = rows_.find(motor);
  return at == rows_.end() ? std::vector<HistoryRow>() : at->second;
}

void History::add(Earlier survey) {
  const std::lock_guard lock(mutex_);
  std::string name = survey.name;
  surveys_.emplace(std::move(name), std::move(survey));
}

const Earlier* History::survey(std::string_view name) const {
  const std::lock_guard lock(mutex_);
  const auto at = surveys_.find(name);
  return at == surveys_.end() ? nullptr : &at->second;
}

std::vector<const Earlier*> History::surveys() const {
  const std::lock_guard lock(mutex_);
  std::vector<const Earlier*> all;
  for (const auto& [name, survey] : surveys_) all.push_back(&survey);
  return all;
}

void read_earlier(const std::string& folder, const severity::Policy& policy,
                  const assessment::WorkbenchOptions& options, const std::stop_token& stopped,
                  History& history) {
  auto survey = records::read_survey(folder);
  if (!survey) return;
  auto bench = std::make_unique<assessment::Workbench>(std::move(*survey), policy, options);
  bench->measure_all([&](std::size_t, std::size_t) { return !stopped.stop_requested(); });
  const std::string name = folder_name(folder);
  const auto judged = bench->judged();
  history.add({name, folder, std::move(bench)});
  for (const auto& motor : judged) {
    history.add(motor->result().motor, history_rows(motor->assessment, name));
  }
}

std::string folder_name(const std::filesystem::path& folder) {
  std::error_code error;
  const auto whole = std::filesystem::canonical(folder, error);
  return (error ? folder : whole).filename().string();
}

}  // namespace ohmglow::serve
