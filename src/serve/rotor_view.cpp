#include "offered/editing/survey_drafts.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/acceptance_limits.h"
#include "offered/intake/survey_tables.h"
#include "offered/report/acceptance_contents.h"
#include "offered/report/report_contents.h"
#include "ohmglow/acceptance.h"
#include "ohmglow/rotor.h"
#include "serve/body.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <array>

namespace ohmglow::serve {
namespace {

using acceptance::Acceptance;
using acceptance::Item;
using acceptance::Stage;

constexpr std::string_view kSweeps = "sweeps.csv";
constexpr std::string_view kAirGap = "air_gap.csv";
constexpr std::string_view kReadings = "readings.csv";
constexpr std::array kStages{Stage::bought, Stage::repaired, Stage::installed};

// --- the rotor

Json texts_json(const std::vector<std::string>& texts) {
  Json list = Json::array();
  for (const std::string& text : texts) list.push_back(text);
  return list;
}

Json shown_json(const report::RotorShown& shown) {
  return {{"title", shown.title},
          {"result", shown.result},
          {"level", shown.level},
          {"numbers", texts_json(shown.numbers)},
          {"cannot_tell", texts_json(shown.open)},
          {"next_test", text_or_null(shown.next)},
          {"svg", report::rotor_svg(shown)}};
}

Json peaks_json(const rotor::Sweep& sweep) {
  Json pairs = Json::array();
  for (const rotor::PairSweep& pair : sweep.pairs) {
    Json angles = Json::array();
    for (const rotor::Peak& peak : pair.peaks) angles.push_back(peak.angle_deg);
    pairs.push_back(std::move(angles));
  }
  return pairs;
}

Json end_json(MotorEnd end) {
  if (end == MotorEnd::unknown) return {};
  return end == MotorEnd::drive ? "drive" : "opposite";
}

/// Sweeps and air gaps as the report shows them.
void add_rotors(ObjectText& object, const rotor::Rotors& rotors, const Survey& survey) {
  const std::vector<report::RotorShown> shown = report::rotors_shown(rotors, survey);
  Json sweeps = Json::array();
  Json gaps = Json::array();
  Json behind;
  for (std::size_t i = 0; i < shown.size(); ++i) {
    Json its = shown_json(shown[i]);
    if (i < rotors.sweeps.size()) {
      const rotor::Sweep& sweep = rotors.sweeps[i];
      its["sweep"] = sweep.name;
      its["pattern"] = rotor::id_of(sweep.pattern);
      its["peaks_deg"] = peaks_json(sweep);
      sweeps.push_back(std::move(its));
    } else if (i < rotors.sweeps.size() + rotors.air_gaps.size()) {
      const rotor::AirGap& gap = rotors.air_gaps[i - rotors.sweeps.size()];
      its["end"] = end_json(gap.end);
      its["conformity"] = rotor::id_of(gap.result);
      gaps.push_back(std::move(its));
    } else {
      behind = std::move(its);
    }
  }
  object.add("sweeps", sweeps).add("air_gaps", gaps).add("behind", behind);
}

// --- the acceptance

Json check_json(const Item& item, const std::vector<report::ListCell>& cells) {
  return {{"id", item.id()},
          {"check", acceptance::id_of(item.check)},
          {"name", cells.at(0).text},
          {"is_place", !item.place.empty()},
          {"has_places", item.has_parts},
          {"conformity", item.is_recorded_only ? "recorded" : rotor::id_of(item.result)},
          {"result", cells.at(1).text},
          {"level", cells.at(1).level},
          {"measured", text_or_null(cells.at(2).text)},
          {"limit", text_or_null(cells.at(3).text)},
          {"taken_on", text_or_null(cells.at(4).text)},
          {"why", text_or_null(cells.at(5).text)},
          {"source", text_or_null(item.source)}};
}

Json acceptance_json(const Acceptance& its, const acceptance::Limits& limits,
                     const diagnosis::Assessment& survey) {
  const report::AcceptanceContents contents = report::acceptance_contents({its, limits, survey});
  Json checks = Json::array();
  for (std::size_t i = 0; i < its.items.size(); ++i) {
    checks.push_back(check_json(its.items[i], contents.checks.rows.at(i)));
  }
  return {{"stage", acceptance::id_of(its.stage)},
          {"title", contents.title},
          {"conclusion", acceptance::id_of(its.conclusion)},
          {"says", contents.conclusion},
          {"level", contents.level},
          {"counted", contents.counted},
          {"failed", texts_json(contents.failed)},
          {"open", texts_json(contents.open)},
          {"checks", std::move(checks)},
          {"rules", texts_json(contents.rules)},
          {"limits", limits.title}};
}

/// Both, of one motor with its rows as they are or would be. Errors: those of the limits.
Result<void> add_bench(ObjectText& object, const diagnosis::Assessment& motor,
                       const std::string& id, Stage stage) {
  const auto limits = records::shipped_limits();
  if (!limits) return fail(limits.error());
  add_rotors(object, rotor::rotors(motor.survey, id), motor.survey);
  const auto accepted =
      acceptance::accept(motor, *limits, {.motor = id, .stage = stage, .costs = {}});
  object.add("acceptance", accepted ? acceptance_json(*accepted, *limits, motor) : Json())
      .add("no_acceptance", accepted ? Json() : Json(sentence(accepted.error())));
  return {};
}

// --- what is asked

Result<Stage> stage_in(const std::string& named) {
  const auto stage = acceptance::stage_named(named.empty() ? "bought" : named);
  if (stage) return *stage;
  return fail({.kind = ErrorKind::invalid_value,
               .what = "there is no such stage of a motor",
               .found = named,
               .expected = "bought, repaired or installed"});
}

/// Rows with the motor's name in them.
Result<std::vector<records::RowCells>> rows_in(const Json& body, const char* member,
                                               const std::string& motor) {
  std::vector<records::RowCells> rows;
  const auto list = body.find(member);
  if (list == body.end() || list->is_null()) return rows;
  if (!list->is_array()) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the rows cannot be used",
                 .found = member,
                 .expected = "a list of rows"});
  }
  for (const Json& row : *list) {
    auto cells = cells_in(row, "a row");
    if (!cells) return fail(cells.error());
    std::erase_if(*cells, [](const records::CellText& cell) { return cell.column == "motor"; });
    cells->push_back({"motor", motor});
    rows.push_back(std::move(*cells));
  }
  return rows;
}

// --- the tables

struct ShownTable {
  std::string etag;
  std::string decimal_mark;
};

Result<ShownTable> shown_table(OpenSurvey& served, std::string_view file) {
  const auto table = records::table_text(served.folder(), file);
  if (!table) return fail(table.error());
  return ShownTable{table->etag, std::string(1, table->dialect.decimal_mark)};
}

Json units_of_bench() {
  Json units{{"sweeps", records::sweep_units()}, {"air_gaps", records::air_gap_units()}};
  for (const ShopTestKind kind : records::all_shop_tests()) {
    units[std::string(records::name_of(kind))] = records::units_of(kind);
  }
  return units;
}

/// What is wrong with rows of the two tables, whoever's they are.
Json problems_of_bench(OpenSurvey& served) {
  constexpr std::size_t kMost = 20;
  Json list = Json::array();
  served.bench().with_survey([&list](const Survey& survey) {
    for (const Problem& problem : survey.problems) {
      const bool is_its =
          problem.file == survey.tables.sweeps || problem.file == survey.tables.air_gap;
      if (!is_its || problem.is_remark || list.size() >= kMost) continue;
      list.push_back({{"file", problem.file},
                      {"row", number_or_null(problem.row)},
                      {"column", text_or_null(problem.column)},
                      {"message", problem.message}});
    }
  });
  return list;
}

/// The rows of a motor in place of those that it has.
template <class Row>
void take_over(std::vector<Row>& rows, std::optional<std::vector<Row>>& drafted,
               const std::string& motor) {
  if (!drafted) return;
  std::erase_if(*drafted, [&motor](const Row& row) { return row.motor != motor; });
  rows = std::move(*drafted);
}

/// Adds rows to a table and takes over what was saved.
Answer add_rows(OpenSurvey& served, const Request& request,
                Result<records::Saved> (*save)(const std::filesystem::path&,
                                               const std::vector<records::RowCells>&,
                                               std::string_view)) {
  const auto expected = expected_etag(request);
  if (!expected) return answer_error(status::kPreconditionRequired, expected.error());
  const auto body = object_in(request, {"rows"});
  if (!body) return answer_error(body.error());
  const std::string motor = request.parameter("motor");
  if (served.bench().motor(motor) == nullptr) return answer_error(no_such_motor(motor));
  const auto rows = rows_in(*body, "rows", motor);
  if (!rows) return answer_error(rows.error());
  Json saved_json;
  {
    const auto lock = served.saving();
    const auto saved = save(served.folder(), *rows, *expected);
    if (!saved) return answer_error(saved.error());
    saved_json = {{"row", number_or_null(saved->row)}, {"etag", saved->etag}};
  }
  served.catch_up();
  return answer_json(json_text(saved_json), status::kCreated);
}

}  // namespace

Answer get_bench(OpenSurvey& served, const Request& request) {
  const std::string id = request.parameter("motor");
  const auto stage = stage_in(request.parameter("stage"));
  if (!stage) return answer_error(stage.error());
  served.catch_up_with(id);
  const auto motor = served.bench().motor(id);
  if (motor == nullptr) return answer_error(no_such_motor(id));
  const Motor* row = motor->row();
  Json stages = Json::array();
  for (const Stage known : kStages) stages.push_back(acceptance::id_of(known));
  ObjectText object;
  object.add("motor", id)
      .add("description", text_or_null(row != nullptr ? row->description : ""))
      .add("stages", stages)
      .add("units", units_of_bench());
  Json tables = Json::object();
  for (const auto& [name, file] : {std::pair{"sweeps", kSweeps}, std::pair{"air_gaps", kAirGap},
                                   std::pair{"readings", kReadings}}) {
    const auto table = shown_table(served, file);
    if (!table) return answer_error(table.error());
    tables[name] = {{"etag", table->etag}, {"decimal_mark", table->decimal_mark}};
  }
  object.add("tables", tables).add("problems", problems_of_bench(served));
  if (const auto added = add_bench(object, motor->assessment, id, *stage); !added) {
    return answer_error(added.error());
  }
  return answer_json(object.finish());
}

Answer post_bench_try(OpenSurvey& served, const Request& request) {
  const auto body = object_in(request, {"motor", "stage", "sweeps", "air_gaps", "readings"});
  if (!body) return answer_error(body.error());
  const auto text = [&body](const char* name) {
    const auto at = body->find(name);
    return at != body->end() && at->is_string() ? at->get<std::string>() : std::string();
  };
  const std::string id = text("motor");
  const auto stage = stage_in(text("stage"));
  if (!stage) return answer_error(stage.error());
  const auto motor = served.bench().motor(id);
  if (motor == nullptr) return answer_error(no_such_motor(id));
  records::BenchRows rows;
  for (const auto& [name, into] : {std::pair{"sweeps", &records::BenchRows::sweeps},
                                   std::pair{"air_gaps", &records::BenchRows::air_gaps},
                                   std::pair{"readings", &records::BenchRows::readings}}) {
    auto read = rows_in(*body, name, id);
    if (!read) return answer_error(read.error());
    rows.*into = std::move(*read);
  }
  auto drafted = records::draft_bench(served.folder(), rows);
  if (!drafted) return answer_error(drafted.error());
  diagnosis::Assessment tried = motor->assessment;
  take_over(tried.survey.sweeps, drafted->sweeps, id);
  take_over(tried.survey.air_gaps, drafted->air_gaps, id);
  take_over(tried.survey.shop_tests, drafted->shop_tests, id);
  Json problems = Json::array();
  for (const records::BenchProblem& problem : drafted->problems) {
    problems.push_back({{"table", problem.table},
                        {"row", number_or_null(problem.row)},
                        {"column", text_or_null(problem.column)},
                        {"message", problem.message}});
  }
  ObjectText object;
  object.add("problems", problems);
  if (const auto added = add_bench(object, tried, id, *stage); !added) {
    return answer_error(added.error());
  }
  return answer_json(object.finish());
}

Answer post_sweeps(OpenSurvey& served, const Request& request) {
  return add_rows(served, request, records::add_sweep_rows);
}

Answer post_air_gaps(OpenSurvey& served, const Request& request) {
  return add_rows(served, request, records::add_air_gap_rows);
}

}  // namespace ohmglow::serve
