#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"
#include "records/intake/written_units.h"

#include <fmt/format.h>
#include <map>
#include <tuple>
#include <utility>

namespace ohmglow::records {
namespace {

constexpr Range kTurn{.low = -360, .high = 360};

struct GapRow {
  AirGapReading reading;
  std::optional<double> rotor_deg;
  std::optional<double> position_deg;
  std::optional<double> gap;         ///< in the row's unit
  std::optional<double> resolution;  ///< likewise
};

template <class Member>
auto of_gap(Member AirGapReading::*member) {
  return within(&GapRow::reading, member);
}

const Words<MotorEnd>& ends() {
  static const Words<MotorEnd> words{{"drive", MotorEnd::drive}, {"opposite", MotorEnd::opposite}};
  return words;
}

const std::vector<Column<GapRow>>& gap_columns() {
  using Row = GapRow;
  static const std::vector<Column<Row>> columns{
      text<Row>("motor", of_gap(&AirGapReading::motor), Need::required),
      moment<Row>("taken_at", of_gap(&AirGapReading::taken_at)),
      choice<Row>("end", ends(), of_gap(&AirGapReading::end)),
      number<Row>("rotor_deg", kTurn, "degrees", &Row::rotor_deg),
      number<Row>("position_deg", kTurn, "degrees", &Row::position_deg, Need::required),
      number<Row>("gap", kAboveZero, "", &Row::gap, Need::required),
      text<Row>("unit", of_gap(&AirGapReading::unit_as_written), Need::required),
      number<Row>("resolution", kAboveZero, "", &Row::resolution),
      text<Row>("note", of_gap(&AirGapReading::note)),
  };
  return columns;
}

std::optional<Error> convert(GapRow& row) {
  const WrittenUnit* unit = unit_named(length_units(), row.reading.unit_as_written);
  if (unit == nullptr)
    return no_such_unit(length_units(), row.reading.unit_as_written, "an air gap");
  row.reading.rotor_deg = row.rotor_deg.value_or(0);
  row.reading.position_deg = row.position_deg.value_or(0);
  row.reading.gap = Millimetre{unit->in_base(row.gap.value_or(0))};
  if (row.resolution) row.reading.resolution = Millimetre{unit->in_base(*row.resolution)};
  return std::nullopt;
}

/// Where the places of one end stand already, and in which unit.
class Ends {
 public:
  std::optional<Error> misfit(const AirGapReading& reading) {
    const auto key = std::tuple(reading.motor, reading.end, day_of(reading));
    const auto unit = units_.try_emplace(key, lower_case(reading.unit_as_written)).first;
    if (unit->second != lower_case(reading.unit_as_written)) {
      return cell_error("unit", "this end mixes units", reading.unit_as_written,
                        fmt::format("\"{}\", as its first row has it", unit->second),
                        ErrorKind::conflict);
    }
    const auto [at, is_new] = places_.try_emplace(
        std::tuple_cat(key, std::tuple(reading.rotor_deg, reading.position_deg)), reading.row);
    if (is_new) return std::nullopt;
    return cell_error("position_deg", "this end has a gap at this place already",
                      fmt::format("{}", reading.position_deg),
                      fmt::format("each place once for a position of the rotor (it stands in row "
                                  "{})",
                                  at->second.value_or(0)),
                      ErrorKind::conflict);
  }

 private:
  static std::string day_of(const AirGapReading& reading) {
    return reading.taken_at ? reading.taken_at->text : std::string();
  }

  using End = std::tuple<std::string, MotorEnd, std::string>;
  std::map<End, std::string> units_;
  std::map<std::tuple<std::string, MotorEnd, std::string, double, double>, std::optional<long>>
      places_;
};

/// What is left of a row that cannot be used: which end was not taken whole.
AirGapReading without_gap(const Sheet& sheet, std::size_t index) {
  AirGapReading reading;
  reading.motor = sheet.cell(index, "motor");
  const std::string end = lower_case(sheet.cell(index, "end"));
  for (const auto& [word, value] : ends()) {
    if (end == word) reading.end = value;
  }
  const std::string taken_at = sheet.cell(index, "taken_at");
  reading.taken_at = Moment::parse(taken_at.substr(0, 40));
  reading.row = sheet.number(index);
  return reading;
}

}  // namespace

std::vector<std::string_view> air_gap_units() {
  std::vector<std::string_view> names;
  for (const WrittenUnit& unit : length_units()) names.push_back(unit.name);
  return names;
}

std::vector<std::string_view> air_gap_column_names() {
  std::vector<std::string_view> names;
  for (const auto& column : gap_columns()) names.push_back(column.name);
  return names;
}

void read_air_gaps(const std::filesystem::path& folder, Survey& survey) {
  if (const auto sheet = Sheet::take_in(folder, kAirGapFile, survey)) {
    read_air_gaps(*sheet, survey);
  }
}

void read_air_gaps(const Sheet& sheet, Survey& survey) {
  RowReader<GapRow> reader(sheet, gap_columns());
  if (!reader.bind(survey.problems)) return;
  Ends known;
  for (std::size_t i = 0; i < sheet.rows(); ++i) {
    auto row = reader.read(i, survey.problems);
    std::optional<Error> error;
    if (row) {
      error = convert(row->value);
      row->value.reading.row = row->number;
      if (!error) error = known.misfit(row->value.reading);
    }
    if (error) report(survey.problems, *error, sheet.file(), sheet.number(i));
    if (row && !error) {
      row->value.reading.extra = std::move(row->extra);
      survey.air_gaps.push_back(std::move(row->value.reading));
    } else if (AirGapReading lost = without_gap(sheet, i); !lost.motor.empty()) {
      survey.air_gaps.push_back(std::move(lost));
    }
  }
}

}  // namespace ohmglow::records
