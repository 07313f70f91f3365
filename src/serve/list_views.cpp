#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace ohmglow::serve {
namespace {

using assessment::MotorStatePtr;

/// One column of a list.
template <class Row>
struct Column {
  std::string_view name;
  Json (*cell)(const Row&);
};

template <class Row, std::size_t N>
std::string list_body(std::uint64_t revision, const std::array<Column<Row>, N>& columns,
                      const std::vector<Row>& rows) {
  Json names = Json::array();
  for (const auto& column : columns) names.push_back(column.name);
  const std::string rows_text = list_text(rows, [&columns](const Row& row) {
    Json cells = Json::array();
    for (const auto& column : columns) cells.push_back(column.cell(row));
    return json_text(cells);
  });
  return JsonObject()
      .add("revision", revision)
      .add("columns", names)
      .add_text("rows", rows_text)
      .finish();
}

Answer list_answer(const Request& request, std::uint64_t revision, std::string body) {
  return with_etag(request, fmt::format("{}", revision), answer_json(std::move(body)));
}

/// Whether the caller's list is of this revision: then it need not be written.
bool is_known(const Request& request, std::uint64_t revision) {
  return request.if_none_match == fmt::format("\"{}\"", revision);
}

// --- findings

struct FindingRow {
  const diagnosis::Assessment* assessment;
  const diagnosis::Finding* finding;
  const Motor* motor;
  std::size_t rank;
};

Json value_of(const std::optional<radiometry::Estimate>& estimate) {
  return estimate ? Json(estimate->value()) : Json();
}

constexpr std::array<Column<FindingRow>, 16> kFindingColumns{{
    {"rank", [](const FindingRow& r) { return Json(r.rank); }},
    {"motor", [](const FindingRow& r) { return Json(r.finding->motor); }},
    {"description",
     [](const FindingRow& r) { return r.motor ? text_or_null(r.motor->description) : Json(); }},
    {"component", [](const FindingRow& r) { return text_or_null(r.finding->component); }},
    {"image", [](const FindingRow& r) { return text_or_null(r.finding->image.value_or("")); }},
    {"phase",
     [](const FindingRow& r) {
       return r.finding->phase ? Json(number_of(*r.finding->phase)) : Json();
     }},
    {"phase_name",
     [](const FindingRow& r) {
       return r.finding->phase
                  ? Json(r.assessment->survey.phase_names.at(index_of(*r.finding->phase)))
                  : Json();
     }},
    {"lug", [](const FindingRow& r) { return text_or_null(r.finding->lug.value_or("")); }},
    {"band", [](const FindingRow& r) { return Json(r.assessment->band_id(r.finding->grade)); }},
    {"band_by", [](const FindingRow& r) { return Json(severity::name_of(r.finding->grade.by)); }},
    {"verdict", [](const FindingRow& r) { return Json(diagnosis::id_of(r.finding->verdict)); }},
    {"temperature_c", [](const FindingRow& r) { return number_or_null(r.finding->temperature_c); }},
    {"rise_over_like_c", [](const FindingRow& r) { return value_of(r.finding->rise_over_like); }},
    {"rise_over_like_u_c",
     [](const FindingRow& r) {
       return r.finding->rise_over_like ? Json(r.finding->rise_over_like->u()) : Json();
     }},
    {"rise_over_air_c", [](const FindingRow& r) { return value_of(r.finding->rise_over_air); }},
    {"projected_rise_c",
     [](const FindingRow& r) {
       return r.finding->projected_rise ? Json(r.finding->projected_rise->rise.value()) : Json();
     }},
}};

// --- motors

struct MotorRow {
  std::string id;
  std::string description;
  MotorStatePtr state;  ///< null: not judged yet
  std::size_t components = 0;
  std::size_t images = 0;
  std::size_t unmarked = 0;
  std::size_t readings = 0;
};

constexpr std::array<Column<MotorRow>, 8> kMotorColumns{{
    {"motor", [](const MotorRow& r) { return Json(r.id); }},
    {"description", [](const MotorRow& r) { return text_or_null(r.description); }},
    {"verdict",
     [](const MotorRow& r) {
       const auto verdict = r.state ? r.state->result().verdict : std::nullopt;
       return verdict ? Json(diagnosis::id_of(*verdict)) : Json();
     }},
    {"band",
     [](const MotorRow& r) { return r.state ? Json(band_of(r.state->assessment)) : Json(); }},
    {"components", [](const MotorRow& r) { return Json(r.components); }},
    {"images", [](const MotorRow& r) { return Json(r.images); }},
    {"unmarked", [](const MotorRow& r) { return Json(r.unmarked); }},
    {"readings", [](const MotorRow& r) { return Json(r.readings); }},
}};

std::vector<MotorRow> motor_rows(Desk& desk) {
  std::vector<MotorRow> rows;
  std::map<std::string, std::size_t> index;
  for (std::string& id : desk.bench().motors()) {
    index.emplace(id, rows.size());
    rows.emplace_back().id = std::move(id);
  }
  desk.bench().with_survey([&](const Survey& survey) {
    std::vector<std::set<std::string_view>> components(rows.size());
    const auto with = [&](const std::string& motor, auto act) {
      const auto at = index.find(motor);
      if (at != index.end()) act(at->second);
    };
    for (const Motor& motor : survey.motors) {
      with(motor.id, [&](std::size_t i) { rows[i].description = motor.description; });
    }
    for (const ImageEntry& entry : survey.images) {
      with(entry.motor, [&](std::size_t i) {
        ++rows[i].images;
        components[i].insert(entry.component);
      });
    }
    for (const Reading& reading : survey.readings) {
      with(reading.motor, [&](std::size_t i) { ++rows[i].readings; });
    }
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i].components = components[i].size();
  });
  for (MotorStatePtr& state : desk.bench().judged()) {
    const auto at = index.find(state->result().motor);
    if (at == index.end()) continue;
    MotorRow& row = rows[at->second];
    const auto& images = state->assessment.images;
    row.unmarked = static_cast<std::size_t>(
        std::count_if(images.begin(), images.end(), [](const diagnosis::ImageResult& image) {
          return image.status == diagnosis::ImageStatus::unmarked;
        }));
    row.state = std::move(state);
  }
  return rows;
}

// --- images

struct ImageRow {
  std::string file;
  std::string motor_id;
  std::string component;
  std::string taken_at;
  std::optional<int> page;
  std::size_t marks = 0;
  MotorStatePtr motor;  ///< null: not judged yet
  const diagnosis::ImageResult* result = nullptr;
};

/// The most severe band of an image's lugs.
Json band_of(const ImageRow& row) {
  if (row.result == nullptr) return {};
  severity::Grade worst;
  for (const diagnosis::LugResult& lug : row.result->lugs) {
    worst = severity::worse(worst, lug.grade);
  }
  return row.motor->assessment.band_id(worst);
}

constexpr std::array<Column<ImageRow>, 9> kImageColumns{{
    {"file", [](const ImageRow& r) { return Json(r.file); }},
    {"motor", [](const ImageRow& r) { return Json(r.motor_id); }},
    {"component", [](const ImageRow& r) { return Json(r.component); }},
    {"taken_at", [](const ImageRow& r) { return text_or_null(r.taken_at); }},
    {"status",
     [](const ImageRow& r) {
       return r.result ? Json(diagnosis::name_of(r.result->status)) : Json();
     }},
    {"band", [](const ImageRow& r) { return band_of(r); }},
    {"marks", [](const ImageRow& r) { return Json(r.marks); }},
    {"problem",
     [](const ImageRow& r) {
       return r.result && !r.result->problems.empty() ? Json(r.result->problems.front()) : Json();
     }},
    {"page", [](const ImageRow& r) { return number_or_null(r.page); }},
}};

std::vector<ImageRow> image_rows(Desk& desk) {
  std::vector<ImageRow> rows;
  const auto states = desk.bench().judged();
  desk.bench().with_survey([&](const Survey& survey) {
    for (const ImageEntry& entry : survey.images) {
      ImageRow& row = rows.emplace_back();
      row.file = entry.file;
      row.motor_id = entry.motor;
      row.component = entry.component;
      if (entry.taken_at) row.taken_at = entry.taken_at->text;
      row.page = entry.parameters.page;
      const auto marks = survey.marks.find(entry.file);
      if (marks != survey.marks.end()) row.marks = marks->second.marks.size();
    }
  });
  for (const MotorStatePtr& state : states) {
    for (std::size_t i = 0; i < state->images.size(); ++i) {
      if (state->images[i] >= rows.size()) continue;
      ImageRow& row = rows[state->images[i]];
      row.motor = state;
      row.result = &state->assessment.images[i];
    }
  }
  return rows;
}

}  // namespace

Answer get_findings(Desk& desk, const Request& request) {
  const auto ranked = desk.bench().ranked();
  std::vector<FindingRow> rows;
  if (!is_known(request, ranked->revision)) {
    for (const assessment::Ranked& next : ranked->findings) {
      const auto& assessment = next.motor->assessment;
      rows.push_back(
          {&assessment, &assessment.findings[next.finding], next.motor->row(), rows.size() + 1});
    }
  }
  return list_answer(request, ranked->revision, list_body(ranked->revision, kFindingColumns, rows));
}

Answer get_motors(Desk& desk, const Request& request) {
  const std::uint64_t revision = desk.bench().revision();
  const auto rows = is_known(request, revision) ? std::vector<MotorRow>() : motor_rows(desk);
  return list_answer(request, revision, list_body(revision, kMotorColumns, rows));
}

Answer get_images(Desk& desk, const Request& request) {
  const std::uint64_t revision = desk.bench().revision();
  const auto rows = is_known(request, revision) ? std::vector<ImageRow>() : image_rows(desk);
  return list_answer(request, revision, list_body(revision, kImageColumns, rows));
}

}  // namespace ohmglow::serve
