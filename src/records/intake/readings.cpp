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
  std::vector<Unit> units;  ///< the usual one first
  Range values;
  bool has_leads = false;  ///< a two-wire meter reads the resistance of its leads along
};

const std::vector<TestRules>& tests() {
  static const std::vector<TestRules> rules{
      {Test::winding_resistance,
       "winding_resistance",
       {{"ohm"}, {.name = "mohm", .per = 1e3}, {.name = "uohm", .per = 1e6}},
       kAboveZero,
       true},
      {Test::line_current, "line_current", {{"a"}, {.name = "ka", .times = 1e3}}, kZeroOrMore},
      {Test::line_voltage, "line_voltage", {{"v"}, {.name = "kv", .times = 1e3}}, kAboveZero},
      {Test::joint_resistance,
       "joint_resistance",
       {{.name = "uohm", .per = 1e6}, {.name = "mohm", .per = 1e3}, {"ohm"}},
       kAboveZero,
       true},
      {Test::joint_drop, "joint_drop", {{.name = "mv", .per = 1e3}, {"v"}}, kAboveZero},
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
        temperature<Row>("temperature_c", of_reading(&Reading::temperature_c)),
        in_fahrenheit<Row>("temperature_f", "temperature_c", of_reading(&Reading::temperature_c)),
        number<Row>("load_pct", kZeroOrMore, "%", of_reading(&Reading::load_pct)),
        number<Row>("meter_u_pct", kZeroOrMore, "%", of_reading(&Reading::meter_u_pct)),
        number<Row>("resolution", kZeroOrMore, "", of_reading(&Reading::resolution)),
        number<Row>("lead_ohm", kZeroOrMore, "ohm", of_reading(&Reading::lead_ohm)),
        number<Row>("lead_u_ohm", kZeroOrMore, "ohm", of_reading(&Reading::lead_u_ohm)),
        text<Row>("note", of_reading(&Reading::note)),
    };
  }();
  return columns;
}

const TestRules& rules_of(Test test) {
  return *std::find_if(tests().begin(), tests().end(),
                       [test](const TestRules& rules) { return rules.test == test; });
}

/// The meter's leads are those of a resistance test, and have less than what was read.
std::optional<Error> bad_leads(const Reading& reading, const TestRules& rules) {
  if (!reading.lead_ohm && !reading.lead_u_ohm) return std::nullopt;
  const std::string_view column = reading.lead_ohm ? "lead_ohm" : "lead_u_ohm";
  const double ohm = (reading.lead_ohm ? *reading.lead_ohm : *reading.lead_u_ohm).value();
  const std::string found = fmt::format("{}", ohm);
  if (!rules.has_leads) {
    return cell_error(column, "leads say nothing of " + std::string(rules.name), found,
                      "an empty cell: they count for resistances alone", ErrorKind::conflict);
  }
  const double least = *std::min_element(reading.values.begin(), reading.values.end());
  if (!reading.lead_ohm || ohm < least) return std::nullopt;
  return cell_error(column, "the leads have as much as what was read with them", found,
                    fmt::format("less than {} ohm, in ohm whatever the unit of the row", least),
                    ErrorKind::conflict);
}

/// Turns the three written values into ohm, ampere or volt. Returns what is wrong with them.
std::vector<Error> convert(ReadingRow& row) {
  const TestRules& rules = rules_of(row.reading.test);
  const std::string& unit_written = row.reading.unit_as_written;
  const auto unit = std::find_if(
      rules.units.begin(), rules.units.end(),
      [&](const Unit& candidate) { return candidate.name == lower_case(unit_written); });
  std::vector<Error> errors;
  if (unit == rules.units.end()) {
    std::vector<std::string_view> names;
    for (const Unit& candidate : rules.units) names.push_back(candidate.name);
    errors.push_back(
        cell_error("unit", "this unit does not fit " + std::string(rules.name), unit_written,
                   "one of " + listed(names) + did_you_mean(near_names(unit_written, names))));
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
  if (errors.empty()) {
    if (auto error = bad_leads(row.reading, rules)) errors.push_back(std::move(*error));
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
  const auto& units = rules_of(test).units;
  return std::find_if(units.begin(), units.end(),
                      [](const Unit& unit) { return unit.times == 1 && unit.per == 1; })
      ->name;
}

std::vector<std::string_view> reading_column_names() {
  std::vector<std::string_view> names;
  for (const auto& column : reading_columns()) names.push_back(column.name);
  return names;
}

std::string readings_header() {
  std::string header;
  for (const auto& column : reading_columns()) {
    if (!column.other_unit.empty()) continue;
    header.append(header.empty() ? "" : ",").append(column.name);
  }
  return header + '\n';
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
    for (const Error& error : errors) report(survey.problems, error, sheet.file(), line);
    if (!errors.empty()) continue;
    row.reading.row = line;
    row.reading.extra = std::move(extra);
    survey.readings.push_back(std::move(row.reading));
  }
}

}  // namespace ohmglow::records
