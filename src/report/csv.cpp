#include "offered/report/report.h"
#include "offered/tabular/tabular.h"
#include "words.h"

#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <string>
#include <vector>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;

// Far below every uncertainty, so that a spreadsheet's sums agree with the report's.
constexpr int kTemperaturePlaces = 4;
constexpr int kOhmPlaces = 9;
constexpr int kSharePlaces = 6;

std::string plain(std::optional<double> value, int places = kTemperaturePlaces) {
  return value && std::isfinite(*value) ? fmt::format("{:.{}f}", *value, places) : "";
}

std::optional<double> value_of(const std::optional<radiometry::Estimate>& e) {
  return e ? std::optional(e->value()) : std::nullopt;
}
std::optional<double> u_of(const std::optional<radiometry::Estimate>& e) {
  return e ? std::optional(e->u()) : std::nullopt;
}
template <class Unit>
std::optional<double> value_of(const std::optional<Quantity<Unit>>& q) {
  return q ? std::optional(q->value()) : std::nullopt;
}

std::optional<double> own_probability(const Finding& f) {
  if (!f.grade.band || *f.grade.band >= f.band_probability.size()) return std::nullopt;
  return f.band_probability[*f.grade.band];
}

std::string flags_text(const Finding& f) {
  std::string text;
  for (const diagnosis::Flag flag : f.flags) {
    if (!text.empty()) text += ' ';
    text += diagnosis::name_of(flag);
  }
  return text;
}

std::string number_text(const std::optional<Phase>& phase) {
  return phase ? std::to_string(number_of(*phase)) : "";
}

struct Column {
  const char* name;
  std::string (*cell)(const Assessment&, const Finding&);
};

const Column kColumns[] = {
    {"rank", [](const Assessment&, const Finding& f) { return std::to_string(f.rank); }},
    {"case", [](const Assessment&, const Finding& f) { return std::to_string(f.case_number); }},
    {"case_id", [](const Assessment&, const Finding& f) { return f.case_id; }},
    {"decision",
     [](const Assessment&, const Finding& f) { return std::string(diagnosis::id_of(f.decision)); }},
    {"motor", [](const Assessment&, const Finding& f) { return f.motor; }},
    {"component", [](const Assessment&, const Finding& f) { return f.component; }},
    {"image", [](const Assessment&, const Finding& f) { return f.image.value_or(""); }},
    {"phase", [](const Assessment&, const Finding& f) { return number_text(f.phase); }},
    {"phase_name",
     [](const Assessment& a, const Finding& f) {
       return f.phase ? phase_name(a.survey, *f.phase) : std::string();
     }},
    {"lug", [](const Assessment&, const Finding& f) { return f.lug.value_or(""); }},
    {"temperature_c", [](const Assessment&, const Finding& f) { return plain(f.temperature_c); }},
    {"temperature_u_c",
     [](const Assessment&, const Finding& f) { return plain(f.temperature_u_c); }},
    {"reference_c", [](const Assessment&, const Finding& f) { return plain(f.reference_c); }},
    {"rise_over_like_k",
     [](const Assessment&, const Finding& f) { return plain(value_of(f.rise_over_like)); }},
    {"rise_over_like_u_k",
     [](const Assessment&, const Finding& f) { return plain(u_of(f.rise_over_like)); }},
    {"rise_over_air_k",
     [](const Assessment&, const Finding& f) { return plain(value_of(f.rise_over_air)); }},
    {"rise_over_air_u_k",
     [](const Assessment&, const Finding& f) { return plain(u_of(f.rise_over_air)); }},
    {"band", [](const Assessment& a, const Finding& f) { return std::string(a.band_id(f.grade)); }},
    {"band_by", [](const Assessment&,
                   const Finding& f) { return std::string(severity::name_of(f.grade.by)); }},
    {"band_probability",
     [](const Assessment&, const Finding& f) { return plain(own_probability(f), kSharePlaces); }},
    {"projected_rise_k",
     [](const Assessment&, const Finding& f) {
       return f.projected_rise ? plain(f.projected_rise->rise.value()) : std::string();
     }},
    {"load_a", [](const Assessment&, const Finding& f) { return plain(f.load_a); }},
    {"load_pct", [](const Assessment&, const Finding& f) { return plain(f.load_pct); }},
    {"verdict",
     [](const Assessment&, const Finding& f) { return std::string(diagnosis::id_of(f.verdict)); }},
    {"electrical_phase",
     [](const Assessment&, const Finding& f) { return number_text(f.electrical_phase); }},
    {"resistance_unbalance_pct",
     [](const Assessment&, const Finding& f) { return plain(value_of(f.resistance_unbalance)); }},
    {"excess_ohm",
     [](const Assessment&, const Finding& f) { return plain(value_of(f.excess_ohm), kOhmPlaces); }},
    {"excess_w", [](const Assessment&, const Finding& f) { return plain(value_of(f.excess_w)); }},
    {"flags", [](const Assessment&, const Finding& f) { return flags_text(f); }},
    {"action", [](const Assessment&, const Finding& f) { return plainly(f.action); }},
    {"next_step", [](const Assessment&, const Finding& f) { return plainly(f.next_step); }},
};

}  // namespace

std::string ranked_csv(const Assessment& assessment, bool with_header) {
  std::vector<std::vector<std::string>> rows;
  rows.reserve(assessment.findings.size() + 1);
  if (with_header) {
    rows.emplace_back();
    for (const Column& column : kColumns) rows.front().emplace_back(column.name);
  }
  for (const Finding& finding : assessment.findings) {
    std::vector<std::string>& row = rows.emplace_back();
    for (const Column& column : kColumns) row.push_back(column.cell(assessment, finding));
  }
  return tabular::write_table(rows);
}

}  // namespace ohmglow::report
