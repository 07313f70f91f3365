#include "offered/diagnosis/ranking.h"
#include "offered/intake/survey_tables.h"
#include "offered/radiometry/surfaces.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/version.h"
#include "serve/history.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <set>

namespace ohmglow::serve {

Json cautions_json() {
  Json list = Json::array();
  for (const Sentence& caution : diagnosis::cautions()) list.push_back(plainly(caution));
  return list;
}

namespace {

Json policy_json(const severity::Policy& policy) {
  return {{"id", policy.id},
          {"source", policy.source},
          {"rule", policy.rule},
          {"bands", bands_json(policy)}};
}

Json materials_json() {
  Json list = Json::array();
  for (const radiometry::Material& material : radiometry::materials()) {
    list.push_back({{"name", material.name},
                    {"title", material.title},
                    {"emissivity", material.emissivity().value()}});
  }
  return list;
}

Json tests_json() {
  Json list = Json::array();
  for (const Test test : records::all_tests()) list.push_back(records::name_of(test));
  return list;
}

Json units_json() {
  Json units = Json::object();
  for (const Test test : records::all_tests()) {
    units[std::string(records::name_of(test))] = records::units_of(test);
  }
  return units;
}

Json verdicts_json() {
  Json list = Json::array();
  for (std::size_t i = 0; i < diagnosis::kFindingVerdicts; ++i) {
    const auto verdict = static_cast<diagnosis::Verdict>(i);
    list.push_back(
        {{"id", diagnosis::id_of(verdict)}, {"meaning", diagnosis::meaning_of(verdict)}});
  }
  return list;
}

Json flags_json() {
  Json list = Json::array();
  for (const diagnosis::Flag flag : diagnosis::all_flags()) {
    const auto consequence = diagnosis::consequence_of(flag);
    list.push_back({{"id", diagnosis::name_of(flag)},
                    {"meaning", plainly(consequence.text)},
                    {"source", plainly(consequence.source)}});
  }
  return list;
}

/// Components of the images and places of the readings, each once, sorted.
Json components_json(const Survey& survey) {
  std::set<std::string> names;
  for (const ImageEntry& entry : survey.images) names.insert(entry.component);
  for (const Reading& reading : survey.readings) names.insert(reading.place);
  names.erase("");
  return names;
}

Json counts_json(OpenSurvey& served) {
  const auto& policy = served.bench().policy();
  std::vector<std::size_t> bands(policy.bands.size());
  std::array<std::size_t, 3> images{};
  std::size_t unconfirmed = 0;
  for (const auto& motor : served.bench().judged()) {
    for (const auto& finding : motor->assessment.findings) ++bands.at(*finding.grade.band);
    for (const auto& image : motor->assessment.images) {
      ++images.at(static_cast<std::size_t>(image.status));
      unconfirmed += std::any_of(image.lugs.begin(), image.lugs.end(),
                                 [](const diagnosis::LugResult& lug) {
                                   return lug.has(diagnosis::Flag::unconfirmed);
                                 })
                         ? 1
                         : 0;
    }
  }
  Json by_band = Json::object();
  for (std::size_t i = 0; i < bands.size(); ++i) by_band[policy.bands[i].id] = bands[i];
  Json by_status = Json::object();
  for (std::size_t i = 0; i < images.size(); ++i) {
    by_status[std::string(diagnosis::name_of(static_cast<diagnosis::ImageStatus>(i)))] =
        images.at(i);
  }
  by_status["unconfirmed"] = unconfirmed;
  return {{"bands", by_band}, {"images", by_status}};
}

Json formats_json(const Settings& settings) {
  Json names = Json::array();
  for (const Format& format : settings.formats) names.push_back(format.name);
  return names;
}

Json earlier_json(const Settings& settings) {
  Json names = Json::array();
  for (const std::string& folder : settings.earlier) names.push_back(folder_name(folder));
  return names;
}

}  // namespace

Answer get_news(OpenSurvey& served, const Request&) {
  const auto progress = served.bench().progress();
  // Pages ask every other second, so this stays small and touches no file.
  return answer_json(
      json_text({{"run", served.run()},
                 {"changes", served.changes()},
                 {"revision", served.bench().revision()},
                 {"holds", "survey"},
                 {"progress", {{"done", progress.done}, {"total", progress.total}}}}));
}

std::string survey_summary(OpenSurvey& served, const std::string& name) {
  ObjectText object;
  object.add("name", name).add("error", nullptr);
  served.bench().with_survey([&object](const Survey& survey) {
    object.add("site", text_or_null(survey.site))
        .add("surveyed_on", survey.surveyed_on ? Json(survey.surveyed_on->text) : Json());
  });
  const auto progress = served.bench().progress();
  return object.add("bands", bands_json(served.bench().policy()))
      .add("counts", counts_json(served))
      .add("progress", {{"done", progress.done}, {"total", progress.total}})
      .finish();
}

Answer get_survey(OpenSurvey& served, const Request&) {
  served.catch_up();
  ObjectText object;
  object.add("tool", {{"name", "ohmglow"}, {"version", kVersion}})
      .add("csrf", served.csrf())
      .add("name", folder_name(served.folder()));
  served.bench().with_survey([&object](const Survey& survey) {
    object.add("site", text_or_null(survey.site))
        .add("surveyed_on", survey.surveyed_on ? Json(survey.surveyed_on->text) : Json())
        .add("thermographer", text_or_null(survey.thermographer))
        .add("phase_names", survey.phase_names)
        .add("components", components_json(survey));
  });
  const auto progress = served.bench().progress();
  return answer_json(object.add("policy", policy_json(served.bench().policy()))
                         .add("materials", materials_json())
                         .add("tests", tests_json())
                         .add("units", units_json())
                         .add("cautions", cautions_json())
                         .add("verdicts", verdicts_json())
                         .add("flags", flags_json())
                         .add("formats", formats_json(served.settings()))
                         .add("progress", {{"done", progress.done}, {"total", progress.total}})
                         .add("revision", served.bench().revision())
                         .add("counts", counts_json(served))
                         .add("earlier", earlier_json(served.settings()))
                         .finish());
}

}  // namespace ohmglow::serve
