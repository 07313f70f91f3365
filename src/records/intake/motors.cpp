#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <unordered_set>

namespace ohmglow::records {
namespace {

/// NEMA motors are rated in electrical horsepower, 746 W exactly.
constexpr double kKilowattPerHorsepower = 0.746;
constexpr int kMostPoles = 1000;
constexpr int kLargestCrew = 100;
constexpr int kMostRotorBars = 10000;
constexpr int kFirstYear = 1880;
constexpr int kLastYear = 2199;

struct MotorRow {
  Motor motor;
  std::optional<double> rated_hp;
};

template <class Member>
auto of_motor(Member Motor::*member) {
  return within(&MotorRow::motor, member);
}

template <class Member>
auto of_order(Member NameplateOrder::*member) {
  return [member](MotorRow& row) -> Member& { return row.motor.ordered.*member; };
}

/// "lap", "form", "lap, form": how the coils lie and what they are made of, either or both.
bool set_winding(MotorRow& row, std::string_view cell, char) {
  constexpr std::string_view kBetween = " ,;/+";
  Winding winding;
  std::string text = lower_case(cell);
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find_first_of(kBetween, at), text.size());
    const std::string_view word = std::string_view(text).substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    const bool is_layout = word == "lap" || word == "concentric";
    if (!is_layout && word != "random" && word != "form") return false;
    if (is_layout && winding.layout != CoilLayout::unknown) return false;
    if (!is_layout && winding.coils != CoilKind::unknown) return false;
    if (is_layout) winding.layout = word == "lap" ? CoilLayout::lap : CoilLayout::concentric;
    if (!is_layout) winding.coils = word == "form" ? CoilKind::form : CoilKind::random;
  }
  row.motor.winding = winding;
  return true;
}

const std::vector<Column<MotorRow>>& motor_columns() {
  using Row = MotorRow;
  static const std::vector<Column<Row>> columns{
      text<Row>("motor", of_motor(&Motor::id), Need::required),
      text<Row>("description", of_motor(&Motor::description)),
      text<Row>("area", of_motor(&Motor::area)),
      text<Row>("lockout", of_motor(&Motor::lockout)),
      number<Row>("crew", whole_numbers(1, kLargestCrew), "", of_motor(&Motor::crew)),
      number<Row>("torque_nm", kAboveZero, "N m", of_motor(&Motor::torque_nm)),
      text<Row>("parts", of_motor(&Motor::parts)),
      number<Row>("rated_kw", kAboveZero, "kW", of_motor(&Motor::rated_kw)),
      number<Row>("rated_hp", kAboveZero, "hp", &Row::rated_hp),
      number<Row>("rated_v", kAboveZero, "V", of_motor(&Motor::rated_v)),
      number<Row>("rated_a", kAboveZero, "A", of_motor(&Motor::rated_a)),
      number<Row>("locked_rotor_a", kAboveZero, "A", of_motor(&Motor::locked_rotor_a)),
      choice<Row>("connection",
                  Words<Connection>{{"wye", Connection::wye},
                                    {"y", Connection::wye},
                                    {"star", Connection::wye},
                                    {"delta", Connection::delta},
                                    {"d", Connection::delta}},
                  of_motor(&Motor::connection)),
      choice<Row>(
          "fed_by",
          Words<Feed>{
              {"line", Feed::line}, {"soft_starter", Feed::soft_starter}, {"drive", Feed::drive}},
          of_motor(&Motor::fed_by)),
      number<Row>("poles", whole_numbers(2, kMostPoles, 2), "", of_motor(&Motor::poles)),
      number<Row>("rated_rpm", kAboveZero, "1/min", of_motor(&Motor::rated_rpm)),
      Column<Row>{{"winding", Need::optional, false,
                   "lap or concentric, random or form, or one of each (lap form)"},
                  set_winding},
      number<Row>("built", whole_numbers(kFirstYear, kLastYear), "", of_motor(&Motor::built)),
      choice<Row>("insulation",
                  Words<Insulation>{{"thermosetting", Insulation::thermosetting},
                                    {"thermoplastic", Insulation::thermoplastic}},
                  of_motor(&Motor::insulation)),
      choice<Row>(
          "insulation_class",
          Words<std::string>{
              {"a", "A"}, {"e", "E"}, {"b", "B"}, {"f", "F"}, {"h", "H"}, {"n", "N"}, {"r", "R"}},
          of_motor(&Motor::insulation_class)),
      number<Row>("shaft_mm", kAboveZero, "mm", of_motor(&Motor::shaft_mm)),
      choice<Row>("frame_standard",
                  Words<FrameStandard>{{"iec", FrameStandard::iec}, {"nema", FrameStandard::nema}},
                  of_motor(&Motor::frame_standard)),
      choice<Row>("mounting",
                  Words<Mounting>{{"resilient", Mounting::resilient}, {"rigid", Mounting::rigid}},
                  of_motor(&Motor::mounting)),
      number<Row>("rotor_bars", whole_numbers(2, kMostRotorBars), "", of_motor(&Motor::rotor_bars)),
      number<Row>("ordered_kw", kAboveZero, "kW", of_order(&NameplateOrder::kw)),
      number<Row>("ordered_v", kAboveZero, "V", of_order(&NameplateOrder::v)),
      number<Row>("ordered_a", kAboveZero, "A", of_order(&NameplateOrder::a)),
      number<Row>("ordered_poles", whole_numbers(2, kMostPoles, 2), "",
                  of_order(&NameplateOrder::poles)),
      number<Row>("ordered_rpm", kAboveZero, "1/min", of_order(&NameplateOrder::rpm)),
      temperature<Row>("conductor_limit_c", of_motor(&Motor::conductor_limit_c)),
      in_fahrenheit<Row>("conductor_limit_f", "conductor_limit_c",
                         of_motor(&Motor::conductor_limit_c)),
      number<Row>("lug_area_cm2", kAboveZero, "cm²", of_motor(&Motor::lug_area_cm2)),
      number<Row>("criticality", whole_numbers(1, 5), "", of_motor(&Motor::criticality)),
      number<Row>("downtime_cost_per_h", kZeroOrMore, "per hour",
                  of_motor(&Motor::downtime_cost_per_h)),
      number<Row>("repair_h", kZeroOrMore, "h", of_motor(&Motor::repair_h)),
      number<Row>("replacement_cost", kZeroOrMore, "", of_motor(&Motor::replacement_cost)),
      text<Row>("currency", of_motor(&Motor::currency)),
      moment<Row>("repaired_on", of_motor(&Motor::repaired_on)),
  };
  return columns;
}

std::optional<Error> motor_contradiction(const MotorRow& row) {
  if (!row.rated_hp || !row.motor.rated_kw) return std::nullopt;
  return cell_error("rated_hp", "the rating is given twice, in kW and in hp", "", "one of the two",
                    ErrorKind::conflict);
}

}  // namespace

void read_motors(const std::filesystem::path& folder, Survey& survey) {
  const auto sheet = Sheet::take_in(folder, kMotorsFile, survey);
  if (sheet) read_motors(*sheet, survey);
}

void read_motors(const Sheet& sheet, Survey& survey) {
  std::unordered_set<std::string> ids;
  for (auto& [row, line, extra] : read_rows(sheet, motor_columns(), survey.problems)) {
    auto error = motor_contradiction(row);
    if (!error && !ids.insert(row.motor.id).second) {
      error = cell_error("motor", "this motor has a row already", row.motor.id, "one row a motor",
                         ErrorKind::conflict);
    }
    if (error) {
      report(survey.problems, *error, sheet.file(), line);
      continue;
    }
    if (row.rated_hp) row.motor.rated_kw = *row.rated_hp * kKilowattPerHorsepower;
    row.motor.extra = std::move(extra);
    survey.motors.push_back(std::move(row.motor));
  }
}

}  // namespace ohmglow::records
