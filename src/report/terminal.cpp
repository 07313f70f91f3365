#include "answer.h"
#include "offered/diagnosis/advice.h"
#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "reading_words.h"
#include "terminal_table.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>
#include <string>
#include <vector>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ElectricalResult;
using diagnosis::Finding;
using diagnosis::MotorResult;

std::string lug_text(const Assessment& a, const Finding& f) {
  if (f.verdict == diagnosis::Verdict::unmarked_hot_spot) return tr("outside the marks");
  const auto phase = f.phase ? f.phase : f.electrical_phase;
  std::string text = phase ? phase_name(a.survey, *phase) : "";
  if (f.lug && *f.lug != text) text += (text.empty() ? "" : " ") + *f.lug;
  if (f.has(diagnosis::Flag::unconfirmed)) text += ", " + tr("unconfirmed");
  return text;
}

std::string like_text(const Finding& f) {
  if (!f.rise_over_like) return "";
  return decimals(shown_difference(f.rise_over_like->value()), 1) + " ±" +
         decimals(shown_difference(f.rise_over_like->u()), 1);
}

std::string resistance_text(const Assessment& a, const Finding& f) {
  if (!f.resistance_unbalance) return "";
  std::string text = decimals(f.resistance_unbalance->value(), 1) + " %";
  if (f.electrical_phase) text += " " + phase_name(a.survey, *f.electrical_phase);
  if (f.excess_ohm) text += " +" + ohms(*f.excess_ohm);
  return text;
}

std::vector<TableCell> ranked_row(const Assessment& a, const Finding& f) {
  return {
      {std::to_string(f.case_number)},
      {printable(tr(a.band_id(f.grade))), band_level(a.policy, f.grade.band)},
      {printable(f.motor)},
      {f.component.empty() ? tr("the circuit") : printable(f.component)},
      {printable(lug_text(a, f))},
      {like_text(f)},
      {f.rise_over_air ? decimals(shown_difference(f.rise_over_air->value()), 1) : ""},
      {title_of(f.verdict)},
      {printable(resistance_text(a, f))},
  };
}

std::string counts_line(const diagnosis::Totals& totals) {
  return say("{} in {}; images: {} measured, {} unmarked, {} rejected; {}",
             counted(totals.findings, msg("{} finding"), msg("{} findings")),
             counted(totals.cases, msg("{} case"), msg("{} cases")), totals.measured,
             totals.unmarked, totals.rejected,
             counted(totals.problems, msg("{} problem"), msg("{} problems")));
}

/// Empty where there is nothing beside the list.
std::string beside_line(const diagnosis::Totals& totals) {
  if (totals.not_judged == 0 && totals.warm_even == 0) return "";
  return say(
      "{}, {} warm and even",
      counted(totals.not_judged, msg("{} component not judged"), msg("{} components not judged")),
      totals.warm_even);
}

/// The answer, a line or two a case, before the list. What was not seen has lines of its own below
/// the list and among the problems.
std::string answer_text(const Assessment& page, const TextOptions& options) {
  AnswerOf answer;
  answer.add_findings(Lookup(page));
  std::string text;
  for (const AnswerGroup& group : answer.groups()) {
    if (group.lines.empty()) continue;
    text += in_level_colour(group.title, group.level, options.colour) + '\n';
    for (const AnswerLine& line : group.lines) {
      std::string words = line.motor + (line.drives.empty() ? "" : ", " + line.drives) + " (" +
                          line.where + "). " + line.action;
      if (!line.sure.empty()) words += " " + say("How sure: {}.", line.sure);
      text += paragraph(words, options.width, 2);
    }
    if (group.more > 0) text += paragraph(say("… and {} more", group.more), options.width, 2);
    text += '\n';
  }
  return text;
}

std::string reading_text(const Assessment& a, const ElectricalResult& e,
                         const TextOptions& options) {
  std::string head = reading_title(e.test, e.place) + ", " + day_text(e.taken_at);
  std::string text = paragraph(head, options.width, 2);
  text += paragraph(values_in_words(a.survey, e), options.width, 4);
  text += paragraph(meaning_in_words(a.survey, e), options.width, 4);
  if (e.grade.band) {
    const std::string band = fmt::format("    {}\n", printable(tr(a.band_id(e.grade))));
    text += in_level_colour(band.substr(0, band.size() - 1), band_level(a.policy, e.grade.band),
                            options.colour) +
            '\n';
  }
  return text;
}

std::string motor_text(const Assessment& a, const MotorResult& motor, const TextOptions& options) {
  std::string title = motor.motor;
  if (motor.verdict) title += ": " + title_of(*motor.verdict);
  std::string text = paragraph(title, options.width, 0);
  for (const ElectricalResult& e : motor.electrical) text += reading_text(a, e, options);
  const diagnosis::Advice advice = diagnosis::advise(a, motor);
  if (!advice.expected.empty())
    text += paragraph(say("expected: {}", written(advice.expected)), options.width, 2);
  text += paragraph(say("next: {}", written(advice.next_step)), options.width, 2);
  return text;
}

}  // namespace

std::string ranked_text(const Assessment& page, const diagnosis::Totals& totals,
                        const TextOptions& options) {
  std::string text = answer_text(page, options);
  if (page.findings.empty()) {
    text = tr("Nothing reaches a band.") + '\n';
  } else {
    const std::vector<TableColumn> columns{{"#", true},
                                           {tr("band")},
                                           {tr("motor"), false, true},
                                           {tr("component"), false, true},
                                           {tr("lug"), false, true},
                                           {say("over like ±u, {}", difference_unit()), true},
                                           {say("over air, {}", difference_unit()), true},
                                           {tr("verdict"), false, true},
                                           {tr("resistance"), false, true}};
    std::vector<std::vector<TableCell>> rows;
    for (const Finding& finding : page.findings) {
      if (finding.leads_case) rows.push_back(ranked_row(page, finding));
    }
    text += terminal_table(columns, rows, options.width, options.colour);
  }
  if (totals.findings > page.findings.size()) {
    text += say("… and {} more; the files of -o hold them all",
                totals.findings - page.findings.size()) +
            '\n';
  }
  text += '\n';
  if (const std::string beside = beside_line(totals); !beside.empty()) {
    text += paragraph(beside, options.width, 0);
  }
  return text + paragraph(counts_line(totals), options.width, 0);
}

std::string ranked_text(const Assessment& assessment, const TextOptions& options) {
  const Counts images = count_images(assessment);
  return ranked_text(assessment,
                     {.findings = assessment.findings.size(),
                      .cases = static_cast<std::size_t>(
                          std::count_if(assessment.findings.begin(), assessment.findings.end(),
                                        [](const Finding& f) { return f.leads_case; })),
                      .warm_even = assessment.warm_even.size(),
                      .not_judged = assessment.not_judged.size(),
                      .measured = images.measured,
                      .unmarked = images.unmarked,
                      .rejected = images.rejected,
                      .problems = assessment.problems.size()},
                     options);
}

std::string readings_text(const Assessment& assessment, const TextOptions& options) {
  std::string text;
  for (const MotorResult& motor : assessment.motors) {
    if (motor.electrical.empty()) continue;
    if (!text.empty()) text += '\n';
    text += motor_text(assessment, motor, options);
  }
  return text.empty() ? tr("No readings.") + '\n' : text;
}

}  // namespace ohmglow::report
