#include "about.h"
#include "offered/diagnosis/advice.h"
#include "offered/report/report.h"
#include "page.h"
#include "page_templates.h"
#include "reading_words.h"
#include "words.h"

#include <algorithm>
#include <exception>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ElectricalResult;
using diagnosis::MotorResult;

List reading_rows(const Assessment& a, const MotorResult& motor, const ReadingNotes& notes) {
  List rows;
  for (const ElectricalResult& e : motor.electrical) {
    rows.push_back(Fields{{"what", reading_title(e.test, e.place) + ", " + day_text(e.taken_at)},
                          {"values", values_in_words(a.survey, e)},
                          {"meaning", with_note(meaning_in_words(a.survey, e), notes, e)}});
  }
  return rows;
}

Data motor_data(const Assessment& a, const MotorResult& motor, const ReadingNotes& notes,
                std::size_t number) {
  const diagnosis::Advice advice = diagnosis::advise(a, motor);
  Data data{Fields{{"number", std::to_string(number)},
                   {"motor", motor.motor},
                   {"level", "0"},
                   {"next_step", written(advice.next_step)},
                   {"ladder", ladder_svg(a, motor)},
                   {"readings", reading_rows(a, motor, notes)}}};
  if (!advice.expected.empty()) data.set("expected", written(advice.expected));
  if (advice.reading) {
    const severity::Grade& grade = motor.electrical[*advice.reading].grade;
    data.set("level", std::to_string(band_level(a.policy, grade.band)));
    if (grade.band) data.set("band", band_title(a.policy, grade));
  }
  return data;
}

Data page_data(const Assessment& a) {
  List motors;
  const ReadingNotes notes = notes_of(a);
  for (const MotorResult& motor : a.motors) {
    if (!motor.electrical.empty()) motors.push_back(motor_data(a, motor, notes, motors.size() + 1));
  }
  List cautions;
  for (const std::string& caution : cautions_in_words())
    cautions.push_back(Fields{{"text", caution}});
  List problems;
  for (const Problem& p : a.problems) {
    Error error{ErrorKind::invalid_value, p.message};
    error.place = Place{p.file, p.row, p.column, std::nullopt};
    problems.push_back(Fields{{"text", sentence_with_place(error)}});
  }
  return Fields{{"site", a.survey.site.empty() ? tr("Survey") : a.survey.site},
                {"style", report_style()},
                {"cautions", cautions},
                {"motors", motors},
                {"problems", problems},
                {"has_problems", !problems.empty()}};
}

}  // namespace

Result<std::string> readings_html(const Assessment& assessment) {
  try {
    return page_template("readings.html.mustache").render(page_data(assessment));
  } catch (const std::exception& error) {
    return fail(
        {ErrorKind::system, "the page could not be composed", error.what(), "", "free memory", {}});
  }
}

}  // namespace ohmglow::report
