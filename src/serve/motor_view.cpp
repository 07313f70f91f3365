#include "offered/diagnosis/advice.h"
#include "offered/editing/survey_edits.h"
#include "offered/report/report.h"
#include "offered/results/findings_texts.h"
#include "offered/vocabulary/number_text.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>

namespace ohmglow::serve {
namespace {

using diagnosis::MotorState;

template <class Unit>
Json plain(const std::optional<Quantity<Unit>>& quantity) {
  return quantity ? Json(quantity->value()) : Json();
}

Json connection_json(Connection connection) {
  switch (connection) {
    case Connection::wye:
      return "wye";
    case Connection::delta:
      return "delta";
    case Connection::unknown:
      break;
  }
  return {};
}

Json feed_json(Feed feed) {
  switch (feed) {
    case Feed::line:
      return "line";
    case Feed::soft_starter:
      return "soft_starter";
    case Feed::drive:
      return "drive";
    case Feed::unknown:
      break;
  }
  return {};
}

/// The motor's row as motors.csv has it, with its unknown columns.
Json row_json(const std::string& id, const Motor* motor) {
  Json row{{"motor", id}};
  if (motor == nullptr) return row;
  row["description"] = text_or_null(motor->description);
  row["area"] = text_or_null(motor->area);
  row["lockout"] = text_or_null(motor->lockout);
  row["crew"] = number_or_null(motor->crew);
  row["torque_nm"] = number_or_null(motor->torque_nm);
  row["parts"] = text_or_null(motor->parts);
  row["rated_kw"] = number_or_null(motor->rated_kw);
  row["rated_v"] = plain(motor->rated_v);
  row["rated_a"] = plain(motor->rated_a);
  row["connection"] = connection_json(motor->connection);
  row["fed_by"] = feed_json(motor->fed_by);
  row["poles"] = number_or_null(motor->poles);
  row["conductor_limit_c"] = plain(motor->conductor_limit_c);
  row["lug_area_cm2"] = plain(motor->lug_area_cm2);
  row["criticality"] = number_or_null(motor->criticality);
  row["downtime_cost_per_h"] = number_or_null(motor->downtime_cost_per_h);
  row["repair_h"] = number_or_null(motor->repair_h);
  row["replacement_cost"] = number_or_null(motor->replacement_cost);
  row["currency"] = text_or_null(motor->currency);
  for (const auto& [name, text] : motor->extra) row[name] = text;
  return row;
}

std::string next_step_of(const MotorState& motor) {
  const auto& assessment = motor.assessment;
  if (!assessment.findings.empty()) return plainly(assessment.findings.front().next_step);
  const diagnosis::ComponentResult* worst = nullptr;
  for (const auto& component : assessment.components) {
    if (worst == nullptr || component.verdict < worst->verdict) worst = &component;
  }
  return plainly(worst != nullptr ? worst->next_step
                                  : diagnosis::advise(assessment, motor.result()).next_step);
}

/// The motor's findings with their ranks among those of the whole survey.
std::string findings_text(OpenSurvey& served, const MotorState& motor) {
  const auto ranked = served.bench().ranked();
  ListText list;
  for (std::size_t i = 0; i < motor.assessment.findings.size(); ++i) {
    diagnosis::Finding finding = motor.assessment.findings[i];
    const auto at = std::find_if(ranked->findings.begin(), ranked->findings.end(),
                                 [&](const assessment::Ranked& next) {
                                   return next.motor.get() == &motor && next.finding == i;
                                 });
    if (at != ranked->findings.end()) {
      finding.rank = static_cast<int>(at - ranked->findings.begin()) + 1;
      finding.case_number = at->case_number;
    }
    list.add(records::finding_text(motor.assessment, finding));
  }
  return list.finish();
}

std::string images_text(const MotorState& motor) {
  ListText list;
  for (std::size_t i = 0; i < motor.images.size(); ++i) list.add(result_text(motor, i));
  return list.finish();
}

std::string cell_of(const records::RowText& row, std::string_view column) {
  for (const records::CellText& cell : row.cells) {
    std::string name = cell.column;
    std::transform(name.begin(), name.end(), name.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (name == column) return cell.text;
  }
  return {};
}

/// The motor's rows of readings.csv, texts as they are written.
Result<Json> readings_json(const records::TableText& table, const std::string& motor) {
  static constexpr std::array<std::string_view, 15> kColumns{
      "test",        "taken_at",      "place",    "value_1",       "value_2",
      "value_3",     "value_1_again", "unit",     "temperature_c", "load_pct",
      "meter_u_pct", "resolution",    "lead_ohm", "lead_u_ohm",    "note"};
  Json rows = Json::array();
  for (const records::RowText& row : table.rows) {
    if (cell_of(row, "motor") != motor) continue;
    Json item{{"row", number_or_null(row.row)}};
    for (const std::string_view column : kColumns) {
      item[std::string(column)] = text_or_null(cell_of(row, column));
    }
    rows.push_back(std::move(item));
  }
  return rows;
}

std::string history_text(const std::vector<HistoryRow>& rows) {
  return list_text(rows, [](const HistoryRow& row) {
    return json_text({{"survey", row.survey},
                      {"surveyed_on", number_or_null(row.surveyed_on)},
                      {"component", row.component},
                      {"phase", number_of(row.phase)},
                      {"lug", row.lug},
                      {"rise_over_like_c", number_or_null(row.rise_over_like_k)},
                      {"rise_over_like_u_c", number_or_null(row.rise_over_like_u_k)},
                      {"load_a", number_or_null(row.load_a)},
                      {"band", row.band}});
  });
}

}  // namespace

Result<ObjectText> motor_view(OpenSurvey& served, const MotorState& motor) {
  const auto& assessment = motor.assessment;
  const diagnosis::MotorResult& result = motor.result();
  const auto table = records::table_text(served.folder(), "readings.csv");
  if (!table) return fail(table.error());
  const auto readings = readings_json(*table, result.motor);
  if (!readings) return fail(readings.error());
  const bool readings_alone = assessment.components.empty() && !result.electrical.empty();
  ObjectText object;
  object.add("motor", row_json(result.motor, motor.row()))
      .add("verdict", result.verdict ? Json(diagnosis::id_of(*result.verdict)) : Json())
      .add("meaning", result.verdict ? Json(diagnosis::meaning_of(*result.verdict)) : Json())
      .add("next_step", text_or_null(next_step_of(motor)))
      .add("band", band_of(assessment))
      .add_text("components", list_text(assessment.components,
                                        [&](const diagnosis::ComponentResult& component) {
                                          return component_view(assessment, component);
                                        }))
      .add_text("electrical", records::electrical_text(assessment, result))
      .add_text("segments", records::segments_text(assessment, result))
      .add("places_not_imaged", result.places_not_imaged)
      .add_text("findings", findings_text(served, motor))
      .add_text("images", images_text(motor))
      .add("readings", *readings)
      .add("readings_etag", table->etag)
      .add("ladder_svg", readings_alone ? Json(report::ladder_svg(assessment, result)) : Json());
  return object;
}

Answer get_motor(OpenSurvey& served, const Request& request) {
  const std::string id = request.parameter("motor");
  served.catch_up_with(id);
  const auto motor = served.bench().motor(id);
  if (motor == nullptr) return answer_error(no_such_motor(id));
  auto view = motor_view(served, *motor);
  if (!view) return answer_error(view.error());
  auto rows = served.history().of(id);
  const auto own = history_rows(motor->assessment, folder_name(served.folder()));
  rows.insert(rows.end(), own.begin(), own.end());
  return answer_json(view->add_text("history", history_text(rows)).finish());
}

}  // namespace ohmglow::serve
