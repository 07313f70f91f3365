#include "serve/served_folder.h"

#include "offered/editing/new_survey.h"
#include "offered/vocabulary/utf8.h"
#include "serve/json_text.h"
#include "serve/routes.h"
#include "serve/secrets.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <system_error>

namespace ohmglow::serve {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kSurveyPrefix = "/survey/";

Answer get_folder_news(ServedFolder& served, const Request&) {
  return answer_json(json_text({{"run", served.run()},
                                {"changes", 0},
                                {"revision", 0},
                                {"holds", name_of(served.holds())},
                                {"progress", {{"done", 0}, {"total", 0}}}}));
}

Answer get_surveys(ServedFolder& served, const Request&) {
  return answer_json(ObjectText()
                         .add("name", folder_name(served.folder()))
                         .add("cautions", cautions_json())
                         .add_text("surveys", list_text(served.survey_names(),
                                                        [&served](const std::string& name) {
                                                          return served.summary(name);
                                                        }))
                         .finish());
}

/// What stands in an address: no controls, sound UTF-8.
bool is_plain_name(std::string_view name) {
  if (name.empty() || name.front() == '.') return false;
  while (!name.empty()) {
    const Character character = first_character(name);
    if (!character.is_sound || is_control(character)) return false;
    name.remove_prefix(character.bytes);
  }
  return true;
}

}  // namespace

std::string_view name_of(Holds holds) {
  constexpr std::array<std::string_view, 3> kNames{"survey", "surveys", "nothing"};
  return kNames.at(static_cast<std::size_t>(holds));
}

SurveyPath survey_path(std::string_view path) {
  if (!path.starts_with(kSurveyPrefix)) return {"", std::string(path)};
  const std::string_view rest = path.substr(kSurveyPrefix.size());
  const auto end = std::min(rest.find('/'), rest.size());
  return {std::string(rest.substr(0, end)), std::string(rest.substr(end))};
}

std::span<const FolderRoute> folder_routes() {
  static constexpr std::array kFolderRoutes{
      FolderRoute{"GET", "/api/news", Holds::surveys, get_folder_news},
      FolderRoute{"GET", "/api/surveys", Holds::surveys, get_surveys},
      FolderRoute{"GET", "/api/news", Holds::nothing, get_folder_news},
      FolderRoute{"GET", "/api/start", Holds::nothing, get_start},
      FolderRoute{"POST", "/api/start", Holds::nothing, post_start},
      FolderRoute{"GET", kIncomingPath, Holds::nothing, get_incoming},
      FolderRoute{"PUT", kIncomingPath, Holds::nothing, put_incoming},
  };
  return kFolderRoutes;
}

ServedFolder::ServedFolder(Settings settings)
    : settings_(std::move(settings)),
      folder_(settings_.folder),
      run_(random_text().substr(0, 16)),
      csrf_(random_text()) {}

ServedFolder::~ServedFolder() {
  stop();
}

Result<std::unique_ptr<ServedFolder>> ServedFolder::open(Settings settings) {
  std::unique_ptr<ServedFolder> served(new ServedFolder(std::move(settings)));
  std::error_code error;
  if (!fs::is_directory(served->folder_, error) || records::holds_survey(served->folder_)) {
    if (const auto became = served->become_survey(); !became) return fail(became.error());
  } else if (!served->survey_names().empty()) {
    served->holds_ = Holds::surveys;
  }
  return served;
}

void ServedFolder::begin() {
  std::shared_ptr<Entry> own;
  {
    const std::lock_guard lock(mutex_);
    has_begun_ = true;
    if (holds_ == Holds::survey) own = entries_[""];
  }
  if (own) return own->survey->begin();
  if (holds() == Holds::surveys) {
    measuring_ = std::jthread(
        [this](const std::stop_token& stopped) { measure_one_after_the_other(stopped); });
  }
}

void ServedFolder::stop() {
  measuring_.request_stop();
  if (measuring_.joinable()) measuring_.join();
  std::map<std::string, std::shared_ptr<Entry>> entries;
  {
    const std::lock_guard lock(mutex_);
    entries = entries_;
  }
  for (const auto& [name, entry] : entries) {
    const std::lock_guard lock(entry->opening);
    if (entry->survey) entry->survey->stop();
  }
}

Holds ServedFolder::holds() const {
  const std::lock_guard lock(mutex_);
  return holds_;
}

std::vector<std::string> ServedFolder::survey_names() const {
  std::vector<std::string> names;
  std::error_code error;
  fs::directory_iterator entries(folder_, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    std::error_code unknown;
    // A link may lead anywhere.
    if (entries->is_symlink(unknown) || !entries->is_directory(unknown)) continue;
    std::string name = entries->path().filename().string();
    if (is_plain_name(name) && records::holds_survey(entries->path())) {
      names.push_back(std::move(name));
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::shared_ptr<ServedFolder::Entry> ServedFolder::entry(const std::string& name) {
  const std::lock_guard lock(mutex_);
  auto& found = entries_[name];
  if (!found) found = std::make_shared<Entry>();
  return found;
}

Result<OpenSurvey*> ServedFolder::open_entry(Entry& entry, const std::string& folder) {
  const std::lock_guard lock(entry.opening);
  if (entry.survey) return entry.survey.get();
  Settings settings = settings_;
  settings.folder = folder;
  auto opened = OpenSurvey::open(std::move(settings), csrf_);
  if (!opened) {
    entry.error = opened.error();
    return fail(opened.error());
  }
  entry.error.reset();
  entry.survey = std::move(*opened);
  const std::lock_guard own(mutex_);
  if (has_begun_) entry.survey->begin();
  return entry.survey.get();
}

Result<OpenSurvey*> ServedFolder::survey(const std::string& name) {
  const auto names = survey_names();
  if (!std::binary_search(names.begin(), names.end(), name)) {
    return fail({.kind = ErrorKind::missing,
                 .what = "there is no such survey in the folder",
                 .found = name,
                 .mend = "go back to the list of surveys"});
  }
  return open_entry(*entry(name), (folder_ / name).string());
}

Result<void> ServedFolder::become_survey() {
  const auto opened = open_entry(*entry(""), settings_.folder);
  if (!opened) return fail(opened.error());
  const std::lock_guard lock(mutex_);
  holds_ = Holds::survey;
  return {};
}

std::string ServedFolder::summary(const std::string& name) {
  const auto found = entry(name);
  const std::unique_lock lock(found->opening, std::try_to_lock);
  if (lock && found->survey) return survey_summary(*found->survey, name);
  return ObjectText()
      .add("name", name)
      .add_text("error", lock && found->error ? error_text(*found->error) : "null")
      .finish();
}

void ServedFolder::measure_one_after_the_other(const std::stop_token& stopped) {
  constexpr auto kPause = std::chrono::milliseconds(50);
  for (const std::string& name : survey_names()) {
    if (stopped.stop_requested()) return;
    const auto opened = survey(name);
    if (!opened) continue;
    while (!stopped.stop_requested()) {
      const auto progress = (*opened)->bench().progress();
      if (progress.done >= progress.total) break;
      std::this_thread::sleep_for(kPause);
    }
  }
}

Answer ServedFolder::answer(const Request& request) {
  const Holds now = holds();
  if (now == Holds::survey) {
    const auto own = entry("");
    return serve::answer(*own->survey, request);
  }
  const SurveyPath path = survey_path(request.path);
  if (now == Holds::surveys && !path.survey.empty()) {
    const auto opened = survey(path.survey);
    if (!opened) return answer_error(opened.error());
    Request inside = request;
    inside.path = path.path;
    return serve::answer(**opened, inside);
  }
  std::vector<FolderRoute> here;
  std::copy_if(folder_routes().begin(), folder_routes().end(), std::back_inserter(here),
               [now](const FolderRoute& route) { return route.holds == now; });
  return answer_by(std::span<const FolderRoute>(here), *this, request);
}

}  // namespace ohmglow::serve
