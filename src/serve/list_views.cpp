#include "offered/report/report_contents.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <set>

namespace ohmglow::serve {
namespace {

using assessment::MotorStatePtr;

/// A cell of a list: a text (null if empty), a number, or null. Lists may have 100 000 rows.
class Cell {
 public:
  Cell() = default;
  Cell(std::string_view text) : text_(text) {}
  Cell(std::size_t number) : whole_(number) {}
  Cell(std::optional<double> number) : number_(number) {}
  Cell(const std::optional<radiometry::Estimate>& estimate) {
    if (estimate) number_ = estimate->value();
  }

  void append_to(std::string& json) const {
    if (!text_.empty()) return append_text(json);
    if (whole_) {
      fmt::format_to(std::back_inserter(json), "{}", *whole_);
    } else if (number_ && std::isfinite(*number_)) {
      fmt::format_to(std::back_inserter(json), "{}", *number_);
    } else {
      json += "null";
    }
  }

 private:
  void append_text(std::string& json) const {
    const bool is_plain = std::all_of(text_.begin(), text_.end(), [](unsigned char c) {
      return c >= 0x20 && c < 0x7f && c != '"' && c != '\\';
    });
    if (is_plain) {
      json.append(1, '"').append(text_).append(1, '"');
    } else {
      json += json_text(text_);
    }
  }

  std::string_view text_;
  std::optional<std::size_t> whole_;
  std::optional<double> number_;
};

/// One column of a list.
template <class Row>
struct Column {
  std::string_view name;
  Cell (*cell)(const Row&);
};

template <class Row, std::size_t N>
std::string list_body(std::uint64_t revision, const std::array<Column<Row>, N>& columns,
                      const std::vector<Row>& rows) {
  Json names = Json::array();
  for (const auto& column : columns) names.push_back(column.name);
  std::string rows_text = "[";
  for (const Row& row : rows) {
    rows_text += rows_text.size() == 1 ? "[" : ",[";
    for (const auto& column : columns) {
      if (rows_text.back() != '[') rows_text += ',';
      column.cell(row).append_to(rows_text);
    }
    rows_text += ']';
  }
  rows_text += ']';
  return ObjectText()
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
  std::size_t case_number;
  std::string action;
  std::string cause;
  std::optional<double> cause_probability;
  std::string likelier;
};

FindingRow finding_row(const assessment::Ranked& ranked, std::size_t rank) {
  const auto& assessment = ranked.motor->assessment;
  const diagnosis::Finding& finding = assessment.findings[ranked.finding];
  const auto [cause, likelier] =
      report::likely_cause(finding, report::component_of(assessment, finding));
  return {&assessment,
          &finding,
          ranked.motor->row(),
          rank,
          static_cast<std::size_t>(ranked.case_number),
          report::plain_action(finding),
          cause == nullptr ? "" : plainly(cause->title),
          cause == nullptr ? std::nullopt : std::optional(cause->probability),
          likelier == nullptr ? "" : plainly(likelier->title)};
}

constexpr std::array<Column<FindingRow>, 24> kFindingColumns{{
    {"rank", [](const FindingRow& r) { return Cell(r.rank); }},
    {"motor", [](const FindingRow& r) { return Cell(r.finding->motor); }},
    {"description",
     [](const FindingRow& r) { return r.motor ? Cell(r.motor->description) : Cell(); }},
    {"component", [](const FindingRow& r) { return Cell(r.finding->component); }},
    {"image",
     [](const FindingRow& r) { return r.finding->image ? Cell(*r.finding->image) : Cell(); }},
    {"phase",
     [](const FindingRow& r) {
       return r.finding->phase ? Cell(static_cast<std::size_t>(number_of(*r.finding->phase)))
                               : Cell();
     }},
    {"phase_name",
     [](const FindingRow& r) {
       return r.finding->phase
                  ? Cell(r.assessment->survey.phase_names.at(index_of(*r.finding->phase)))
                  : Cell();
     }},
    {"lug", [](const FindingRow& r) { return r.finding->lug ? Cell(*r.finding->lug) : Cell(); }},
    {"band", [](const FindingRow& r) { return Cell(r.assessment->band_id(r.finding->grade)); }},
    {"band_by", [](const FindingRow& r) { return Cell(severity::name_of(r.finding->grade.by)); }},
    {"verdict", [](const FindingRow& r) { return Cell(diagnosis::id_of(r.finding->verdict)); }},
    {"unconfirmed",
     [](const FindingRow& r) {
       return Cell(std::size_t{r.finding->has(diagnosis::Flag::unconfirmed)});
     }},
    {"temperature_c", [](const FindingRow& r) { return Cell(r.finding->temperature_c); }},
    {"rise_over_like_c", [](const FindingRow& r) { return Cell(r.finding->rise_over_like); }},
    {"rise_over_like_u_c",
     [](const FindingRow& r) {
       const auto& rise = r.finding->rise_over_like;
       return rise ? Cell(std::optional(rise->u())) : Cell();
     }},
    {"rise_over_air_c", [](const FindingRow& r) { return Cell(r.finding->rise_over_air); }},
    {"projected_rise_c",
     [](const FindingRow& r) {
       const auto& projected = r.finding->projected_rise;
       return projected ? Cell(std::optional(projected->rise.value())) : Cell();
     }},
    {"case", [](const FindingRow& r) { return Cell(r.case_number); }},
    {"leads_case", [](const FindingRow& r) { return Cell(std::size_t{r.finding->leads_case}); }},
    {"decision", [](const FindingRow& r) { return Cell(diagnosis::id_of(r.finding->decision)); }},
    {"do", [](const FindingRow& r) { return Cell(r.action); }},
    {"cause", [](const FindingRow& r) { return Cell(r.cause); }},
    {"cause_probability", [](const FindingRow& r) { return Cell(r.cause_probability); }},
    {"likelier", [](const FindingRow& r) { return Cell(r.likelier); }},
}};

// --- components beside the ranked list

struct AsideRow {
  std::string_view list;
  MotorStatePtr motor;
  const diagnosis::Aside* aside;
  std::string why;
  std::string next_step;
};

constexpr std::array<Column<AsideRow>, 16> kAsideColumns{{
    {"list", [](const AsideRow& r) { return Cell(r.list); }},
    {"motor", [](const AsideRow& r) { return Cell(r.aside->motor); }},
    {"component", [](const AsideRow& r) { return Cell(r.aside->component); }},
    {"phase_name",
     [](const AsideRow& r) {
       const auto& phase = r.aside->phase;
       return phase ? Cell(r.motor->assessment.survey.phase_names.at(index_of(*phase))) : Cell();
     }},
    {"lug", [](const AsideRow& r) { return r.aside->lug ? Cell(*r.aside->lug) : Cell(); }},
    {"temperature_c", [](const AsideRow& r) { return Cell(r.aside->temperature_c); }},
    {"rise_over_like_c", [](const AsideRow& r) { return Cell(r.aside->rise_over_like); }},
    {"rise_over_like_u_c",
     [](const AsideRow& r) {
       const auto& rise = r.aside->rise_over_like;
       return rise ? Cell(std::optional(rise->u())) : Cell();
     }},
    {"rise_over_air_c", [](const AsideRow& r) { return Cell(r.aside->rise_over_air); }},
    {"band", [](const AsideRow& r) { return Cell(r.motor->assessment.band_id(r.aside->grade)); }},
    {"verdict", [](const AsideRow& r) { return Cell(diagnosis::id_of(r.aside->verdict)); }},
    {"load_a", [](const AsideRow& r) { return Cell(r.aside->load_a); }},
    {"load_pct", [](const AsideRow& r) { return Cell(r.aside->load_pct); }},
    {"image_again_from_a", [](const AsideRow& r) { return Cell(r.aside->image_again_from_a); }},
    {"why", [](const AsideRow& r) { return Cell(r.why); }},
    {"next_step", [](const AsideRow& r) { return Cell(r.next_step); }},
}};

std::vector<AsideRow> aside_rows(OpenSurvey& served) {
  std::vector<AsideRow> rows;
  const auto states = served.bench().judged();
  const auto add = [&](std::string_view name, auto list) {
    for (const MotorStatePtr& state : states) {
      for (const diagnosis::Aside& aside : state->assessment.*list) {
        rows.push_back({name, state, &aside, plainly(aside.why), plainly(aside.next_step)});
      }
    }
  };
  add("not_judged", &diagnosis::Assessment::not_judged);
  add("warm_even", &diagnosis::Assessment::warm_even);
  return rows;
}

// --- motors

struct MotorRow {
  std::string id;
  std::string description;
  MotorStatePtr state;  ///< null: not judged yet
  std::size_t components = 0;
  std::size_t images = 0;
  std::size_t unmarked = 0;
  std::size_t readings = 0;
  std::size_t bench_rows = 0;  ///< of sweeps, air gaps and tests of the shop
};

constexpr std::array<Column<MotorRow>, 9> kMotorColumns{{
    {"motor", [](const MotorRow& r) { return Cell(r.id); }},
    {"description", [](const MotorRow& r) { return Cell(r.description); }},
    {"verdict",
     [](const MotorRow& r) {
       const auto verdict = r.state ? r.state->result().verdict : std::nullopt;
       return verdict ? Cell(diagnosis::id_of(*verdict)) : Cell();
     }},
    {"band",
     [](const MotorRow& r) { return r.state ? Cell(band_of(r.state->assessment)) : Cell(); }},
    {"components", [](const MotorRow& r) { return Cell(r.components); }},
    {"images", [](const MotorRow& r) { return Cell(r.images); }},
    {"unmarked", [](const MotorRow& r) { return Cell(r.unmarked); }},
    {"readings", [](const MotorRow& r) { return Cell(r.readings); }},
    {"bench_rows", [](const MotorRow& r) { return Cell(r.bench_rows); }},
}};

std::vector<MotorRow> motor_rows(OpenSurvey& served) {
  std::vector<MotorRow> rows;
  std::map<std::string, std::size_t> index;
  for (std::string& id : served.bench().motors()) {
    index.emplace(id, rows.size());
    rows.emplace_back().id = std::move(id);
  }
  served.bench().with_survey([&](const Survey& survey) {
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
    const auto count_bench = [&](const auto& table) {
      for (const auto& row : table) with(row.motor, [&](std::size_t i) { ++rows[i].bench_rows; });
    };
    count_bench(survey.sweeps);
    count_bench(survey.air_gaps);
    count_bench(survey.shop_tests);
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i].components = components[i].size();
  });
  for (MotorStatePtr& state : served.bench().judged()) {
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
  std::size_t unconfirmed = 0;       ///< of the lugs' marks
  std::optional<double> confidence;  ///< the least of theirs
  MotorStatePtr motor;               ///< null: not judged yet
  const diagnosis::ImageResult* result = nullptr;
};

/// The most severe band of an image's lugs.
Cell band_of(const ImageRow& row) {
  if (row.result == nullptr) return {};
  severity::Grade worst;
  for (const diagnosis::LugResult& lug : row.result->lugs) {
    worst = severity::worse(worst, lug.grade);
  }
  return row.motor->assessment.band_id(worst);
}

constexpr std::array<Column<ImageRow>, 11> kImageColumns{{
    {"file", [](const ImageRow& r) { return Cell(r.file); }},
    {"motor", [](const ImageRow& r) { return Cell(r.motor_id); }},
    {"component", [](const ImageRow& r) { return Cell(r.component); }},
    {"taken_at", [](const ImageRow& r) { return Cell(r.taken_at); }},
    {"status",
     [](const ImageRow& r) {
       return r.result ? Cell(diagnosis::name_of(r.result->status)) : Cell();
     }},
    {"band", [](const ImageRow& r) { return band_of(r); }},
    {"marks", [](const ImageRow& r) { return Cell(r.marks); }},
    {"unconfirmed", [](const ImageRow& r) { return Cell(r.unconfirmed); }},
    {"confidence", [](const ImageRow& r) { return Cell(r.confidence); }},
    {"problem",
     [](const ImageRow& r) {
       return r.result && !r.result->problems.empty() ? Cell(r.result->problems.front()) : Cell();
     }},
    {"page",
     [](const ImageRow& r) { return r.page ? Cell(static_cast<std::size_t>(*r.page)) : Cell(); }},
}};

void count_marks(ImageRow& row, const MarkFile& file) {
  row.marks = file.marks.size();
  for (const Mark& mark : file.marks) {
    if (mark.role != MarkRole::lug || mark.is_confirmed()) continue;
    ++row.unconfirmed;
    if (mark.confidence) {
      row.confidence = std::min(row.confidence.value_or(*mark.confidence), *mark.confidence);
    }
  }
}

std::vector<ImageRow> image_rows(OpenSurvey& served) {
  std::vector<ImageRow> rows;
  const auto states = served.bench().judged();
  served.bench().with_survey([&](const Survey& survey) {
    for (const ImageEntry& entry : survey.images) {
      ImageRow& row = rows.emplace_back();
      row.file = entry.file;
      row.motor_id = entry.motor;
      row.component = entry.component;
      if (entry.taken_at) row.taken_at = entry.taken_at->text;
      row.page = entry.parameters.page;
      const auto marks = survey.marks.find(entry.file);
      if (marks != survey.marks.end()) count_marks(row, marks->second);
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

Answer get_findings(OpenSurvey& served, const Request& request) {
  const auto ranked = served.bench().ranked();
  std::vector<FindingRow> rows;
  if (!is_known(request, ranked->revision)) {
    for (const assessment::Ranked& next : ranked->findings) {
      rows.push_back(finding_row(next, rows.size() + 1));
    }
  }
  return list_answer(request, ranked->revision, list_body(ranked->revision, kFindingColumns, rows));
}

Answer get_asides(OpenSurvey& served, const Request& request) {
  const std::uint64_t revision = served.bench().revision();
  const auto rows = is_known(request, revision) ? std::vector<AsideRow>() : aside_rows(served);
  return list_answer(request, revision, list_body(revision, kAsideColumns, rows));
}

Answer get_motors(OpenSurvey& served, const Request& request) {
  const std::uint64_t revision = served.bench().revision();
  const auto rows = is_known(request, revision) ? std::vector<MotorRow>() : motor_rows(served);
  return list_answer(request, revision, list_body(revision, kMotorColumns, rows));
}

Answer get_images(OpenSurvey& served, const Request& request) {
  const std::uint64_t revision = served.bench().revision();
  const auto rows = is_known(request, revision) ? std::vector<ImageRow>() : image_rows(served);
  return list_answer(request, revision, list_body(revision, kImageColumns, rows));
}

}  // namespace ohmglow::serve
