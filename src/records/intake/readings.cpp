#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::records {
namespace {

struct ReadingRow {
  Reading reading;
  PerPhase<std::optional<double>> values;
};

template <class Member>
auto of_reading(Member Reading::*member) {
  return within(&ReadingRow::reading, member);
}

auto value_at(std::size_t index) {
  return [index](ReadingRow& row) -> std::optional<double>& { return row.values.at(index); };
}

/// What a unit makes of a written number: value × times ÷ per. Two integers, so that 412 mohm are
/// the double that is nearest to 0.412 ohm.
struct Unit {
  std::string_view name;
  double times = 1;
  double per = 1;
};

struct TestRules {
  Test test;
  std::string_view name;
  std::vector<Unit> units;
  Range values;
};

const std::vector<TestRules>& tests() {
  static const std::vector<TestRules> rules{
      {Test::winding_resistance,
       "winding_resistance",
       {{"ohm"}, {.name = "mohm", .per = 1e3}, {.name = "uohm", .per = 1e6}},
       kAboveZero},
      {Test::line_current, "line_current", {{"a"}, {.name = "ka", .times = 1e3}}, kZeroOrMore},
      {Test::line_voltage, "line_voltage", {{"v"}, {.name = "kv", .times = 1e3}}, kAboveZero},
  };
  return rules;
}

const std::vector<Column<ReadingRow>>& reading_columns() {
  using Row = ReadingRow;
  static const std::vector<Column<Row>> columns = [] {
    Words<Test> words;
    for (const TestRules& rules : tests()) words.emplace_back(rules.name, rules.test);
    return std::vector<Column<Row>>{
        text<Row>("motor", of_reading(&Reading::motor), Need::required),
        choice<Row>("test", std::move(words), of_reading(&Reading::test), Need::required),
        moment<Row>("taken_at", of_reading(&Reading::taken_at)),
        text<Row>("place", of_reading(&Reading::place)),
        number<Row>("value_1", kAnyNumber, "", value_at(0), Need::required),
        number<Row>("value_2", kAnyNumber, "", value_at(1), Need::required),
        number<Row>("value_3", kAnyNumber, "", value_at(2), Need::required),
        text<Row>("unit", of_reading(&Reading::unit_as_written), Need::required),
        number<Row>("temperature_c", Range{.low = -kCelsiusZeroInKelvin}, "°C",
                    of_reading(&Reading::temperature_c)),
        number<Row>("load_pct", kZeroOrMore, "%", of_reading(&Reading::load_pct)),
        number<Row>("meter_u_pct", kZeroOrMore, "%", of_reading(&Reading::meter_u_pct)),
        number<Row>("resolution", kZeroOrMore, "", of_reading(&Reading::resolution)),
        text<Row>("note", of_reading(&Reading::note)),
    };
  }();
  return columns;
}

const TestRules& rules_of(Test test) {
  return *std::find_if(tests().begin(), tests().end(),
                       [test](const TestRules& rules) { return rules.test == test; });
}

/// Turns the three written values into ohm, ampere or volt. Returns what is wrong with them.
std::vector<Error> convert(ReadingRow& row) {
  const TestRules& rules = rules_of(row.reading.test);
  const auto unit =
      std::find_if(rules.units.begin(), rules.units.end(), [&row](const Unit& candidate) {
        return candidate.name == lower_case(row.reading.unit_as_written);
      });
  std::vector<Error> errors;
  if (unit == rules.units.end()) {
    std::vector<std::string_view> names;
    for (const Unit& candidate : rules.units) names.push_back(candidate.name);
    errors.push_back(cell_error("unit", "this unit does not fit " + std::string(rules.name),
                                row.reading.unit_as_written, "one of " + listed(names)));
    return errors;
  }
  if (row.reading.resolution) {
    row.reading.resolution = *row.reading.resolution * unit->times / unit->per;
  }
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    const double written = row.values.at(i).value_or(0);
    row.reading.values.at(i) = written * unit->times / unit->per;
    if (rules.values.contains(row.reading.values.at(i))) continue;
    errors.push_back(cell_error("value_" + std::to_string(i + 1),
                                "no such " + std::string(rules.name) + " can be",
                                fmt::format("{}", written), rules.values.describe(unit->name)));
  }
  return errors;
}

}  // namespace

std::string_view name_of(Test test) {
  return rules_of(test).name;
}
std::vector<Test> all_tests() {
  std::vector<Test> all;
  for (const TestRules& rules : tests()) all.push_back(rules.test);
  return all;
}
std::vector<std::string_view> units_of(Test test) {
  std::vector<std::string_view> names;
  for (const Unit& unit : rules_of(test).units) names.push_back(unit.name);
  return names;
}
std::string_view base_unit_of(Test test) {
  return rules_of(test).units.front().name;
}

std::vector<std::string_view> reading_column_names() {
  std::vector<std::string_view> names;
  for (const auto& column : reading_columns()) names.push_back(column.name);
  return names;
}

void read_readings(const std::filesystem::path& folder, Survey& survey) {
  const auto sheet = Sheet::take_in(folder, kReadingsFile, survey);
  if (!sheet) return;
  read_readings(*sheet, survey);
}

ReadReadings read_readings(const std::filesystem::path& folder) {
  Survey survey;
  read_readings(folder, survey);
  return {std::move(survey.readings), std::move(survey.problems)};
}

void read_readings(const Sheet& sheet, Survey& survey) {
  for (auto& [row, line, extra] : read_rows(sheet, reading_columns(), survey.problems)) {
    const std::vector<Error> errors = convert(row);
    for (const Error& error : errors) report(survey.problems, error, kReadingsFile, line);
    if (!errors.empty()) continue;
    row.reading.row = line;
    row.reading.extra = std::move(extra);
    survey.readings.push_back(std::move(row.reading));
  }
}

}  // namespace ohmglow::records
