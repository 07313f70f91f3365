#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"
#include "records/intake/written_units.h"

#include <algorithm>
#include <fmt/format.h>
#include <numbers>
#include <variant>

namespace ohmglow::records {
namespace {

using AnyTest = std::variant<Test, ShopTestKind>;

/// A row of either kind: what both have stands in `reading`.
struct ReadingRow {
  Reading reading;
  AnyTest test;
  PerPhase<std::optional<double>> values;
  std::optional<double> value_1_again;
  std::optional<double> value_u;  ///< in the row's unit
  std::optional<Volt> test_v;
};

template <class Member>
auto of_reading(Member Reading::*member) {
  return within(&ReadingRow::reading, member);
}

auto value_at(std::size_t index) {
  return [index](ReadingRow& row) -> std::optional<double>& { return row.values.at(index); };
}

struct TestRules {
  Test test;
  std::string_view name;
  std::vector<WrittenUnit> units;  ///< the usual one first
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

/// Which of the three values a test on the bench has.
enum class Values { one, one_or_two, any, three };

struct ShopTestRules {
  ShopTestKind kind;
  std::string_view name;
  std::string_view base_unit;
  std::vector<WrittenUnit> units;  ///< the usual one first
  Range range;
  Values values;
  std::string_view has;  ///< the same for complaints
};

const std::vector<ShopTestRules>& shop_tests() {
  static const std::vector<WrittenUnit> lengths(length_units().begin(), length_units().end());
  static const std::vector<ShopTestRules> rules{
      {ShopTestKind::insulation_resistance,
       "insulation_resistance",
       "ohm",
       {{.name = "megaohm", .times = 1e6},
        {.name = "kiloohm", .times = 1e3},
        {.name = "gigaohm", .times = 1e9}},
       kAboveZero,
       Values::one_or_two,
       "value_1 after one minute and value_2 after ten"},
      {ShopTestKind::vibration,
       "vibration",
       "mm_s_rms",
       {{"mm_s_rms"}, {.name = "in_s_peak", .times = 25.4, .per = std::numbers::sqrt2}},
       kZeroOrMore,
       Values::any,
       "value_1 horizontal, value_2 vertical, value_3 axial"},
      {ShopTestKind::runout, "runout", "mm", lengths, kZeroOrMore, Values::one, "value_1 alone"},
      {ShopTestKind::impedance,
       "impedance",
       "ohm",
       {{"ohm"}},
       kAboveZero,
       Values::three,
       "the pairs 1-2, 2-3 and 3-1"},
  };
  return rules;
}

const ShopTestRules& rules_of(ShopTestKind kind) {
  return *std::find_if(shop_tests().begin(), shop_tests().end(),
                       [kind](const ShopTestRules& rules) { return rules.kind == kind; });
}

/// Where a row is a test on the bench the three values are no longer all required.
std::vector<Column<ReadingRow>> columns_with(Need of_values) {
  using Row = ReadingRow;
  Words<AnyTest> words;
  for (const TestRules& rules : tests()) words.emplace_back(rules.name, rules.test);
  for (const ShopTestRules& rules : shop_tests()) words.emplace_back(rules.name, rules.kind);
  return {
      text<Row>("motor", of_reading(&Reading::motor), Need::required),
      choice<Row>("test", std::move(words), &Row::test, Need::required),
      moment<Row>("taken_at", of_reading(&Reading::taken_at)),
      text<Row>("place", of_reading(&Reading::place)),
      number<Row>("value_1", kAnyNumber, "", value_at(0), of_values),
      number<Row>("value_2", kAnyNumber, "", value_at(1), of_values),
      number<Row>("value_3", kAnyNumber, "", value_at(2), of_values),
      text<Row>("unit", of_reading(&Reading::unit_as_written), Need::required),
      number<Row>("value_u", kZeroOrMore, "", &Row::value_u),
      temperature<Row>("temperature_c", of_reading(&Reading::temperature_c)),
      in_fahrenheit<Row>("temperature_f", "temperature_c", of_reading(&Reading::temperature_c)),
      number<Row>("load_pct", kZeroOrMore, "%", of_reading(&Reading::load_pct)),
      number<Row>("meter_u_pct", kZeroOrMore, "%", of_reading(&Reading::meter_u_pct)),
      number<Row>("resolution", kZeroOrMore, "", of_reading(&Reading::resolution)),
      number<Row>("lead_ohm", kZeroOrMore, "ohm", of_reading(&Reading::lead_ohm)),
      number<Row>("lead_u_ohm", kZeroOrMore, "ohm", of_reading(&Reading::lead_u_ohm)),
      number<Row>("value_1_again", kAnyNumber, "", &Row::value_1_again),
      number<Row>("test_v", kAboveZero, "V", &Row::test_v),
      text<Row>("note", of_reading(&Reading::note)),
  };
}

const std::vector<Column<ReadingRow>>& reading_columns() {
  static const std::vector<Column<ReadingRow>> columns = columns_with(Need::required);
  return columns;
}

/// Of a table that has tests on the bench among its rows.
const std::vector<Column<ReadingRow>>& reading_columns_of(const Sheet& sheet) {
  static const std::vector<Column<ReadingRow>> columns = columns_with(Need::optional);
  for (const std::string& cell : sheet.column("test")) {
    const std::string name = lower_case(cell);
    for (const ShopTestRules& rules : shop_tests()) {
      if (name == rules.name) return columns;
    }
  }
  return reading_columns();
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

std::string value_column(std::size_t index) {
  return "value_" + std::to_string(index + 1);
}

Error missing_value(std::size_t index, std::string_view expected) {
  return cell_error(value_column(index), "the cell is empty", "", std::string(expected),
                    ErrorKind::missing);
}

/// A meter's uncertainty in the unit of the row, as a share of the smallest of the three values.
std::optional<Error> take_value_u(ReadingRow& row) {
  if (!row.value_u) return std::nullopt;
  if (row.reading.meter_u_pct) return given_twice("value_u", "meter_u_pct");
  double least = *row.values[0];
  for (const auto& value : row.values) least = std::min(least, *value);
  if (!(least > 0)) {
    return cell_error("value_u", "the uncertainty of no current cannot be used",
                      fmt::format("{}", *row.value_u), "an empty cell");
  }
  row.reading.meter_u_pct = 100 * *row.value_u / least;
  return std::nullopt;
}

/// The first pair once more, at the end: it tells of a winding that cools.
std::optional<Error> take_value_again(ReadingRow& row, const TestRules& rules,
                                      const WrittenUnit& unit) {
  if (!row.value_1_again) return std::nullopt;
  const std::string found = fmt::format("{}", *row.value_1_again);
  if (rules.test != Test::winding_resistance) {
    return cell_error("value_1_again", "this says nothing of " + std::string(rules.name), found,
                      "an empty cell: it belongs to winding_resistance", ErrorKind::conflict);
  }
  const double again = unit.in_base(*row.value_1_again);
  row.reading.value_1_again = again;
  if (rules.values.contains(again)) return std::nullopt;
  return cell_error("value_1_again", "no such " + std::string(rules.name) + " can be", found,
                    rules.values.describe(unit.name));
}

/// Turns the three written values into ohm, ampere or volt. Returns what is wrong with them.
std::vector<Error> convert(ReadingRow& row) {
  row.reading.test = std::get<Test>(row.test);
  const TestRules& rules = rules_of(row.reading.test);
  std::vector<Error> errors;
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    if (!row.values.at(i)) errors.push_back(missing_value(i, kAnyNumber.describe()));
  }
  if (row.test_v) {
    errors.push_back(cell_error("test_v", "this says nothing of " + std::string(rules.name),
                                fmt::format("{}", row.test_v->value()),
                                "an empty cell: it belongs to insulation_resistance",
                                ErrorKind::conflict));
  }
  const WrittenUnit* unit = unit_named(rules.units, row.reading.unit_as_written);
  if (unit == nullptr) {
    errors.push_back(no_such_unit(rules.units, row.reading.unit_as_written, rules.name));
  }
  if (!errors.empty()) return errors;
  if (row.reading.resolution) row.reading.resolution = unit->in_base(*row.reading.resolution);
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    const double written = *row.values.at(i);
    row.reading.values.at(i) = unit->in_base(written);
    if (rules.values.contains(row.reading.values.at(i))) continue;
    errors.push_back(cell_error(value_column(i), "no such " + std::string(rules.name) + " can be",
                                fmt::format("{}", written), rules.values.describe(unit->name)));
  }
  if (!errors.empty()) return errors;
  if (auto error = take_value_again(row, rules, *unit)) errors.push_back(std::move(*error));
  if (auto error = take_value_u(row)) errors.push_back(std::move(*error));
  if (auto error = bad_leads(row.reading, rules)) errors.push_back(std::move(*error));
  return errors;
}

/// What is wrong with the cells that a test on the bench fills or leaves empty.
std::vector<Error> misplaced(const ReadingRow& row, const ShopTestRules& rules) {
  std::vector<Error> errors;
  const auto none = [&rules, &errors](std::string_view column, bool is_given) {
    if (!is_given) return;
    errors.push_back(cell_error(column, "this says nothing of " + std::string(rules.name), "",
                                "an empty cell", ErrorKind::conflict));
  };
  none("value_1_again", row.value_1_again.has_value());
  none("load_pct", row.reading.load_pct.has_value());
  none("meter_u_pct", row.reading.meter_u_pct.has_value());
  none("resolution", row.reading.resolution.has_value());
  none("lead_ohm", row.reading.lead_ohm.has_value());
  none("lead_u_ohm", row.reading.lead_u_ohm.has_value());
  none("test_v", row.test_v && rules.kind != ShopTestKind::insulation_resistance);
  const bool has_any = std::any_of(row.values.begin(), row.values.end(),
                                   [](const auto& value) { return value.has_value(); });
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    const bool may_be = i == 0 || rules.values == Values::any || rules.values == Values::three ||
                        (rules.values == Values::one_or_two && i == 1);
    const bool must_be =
        rules.values == Values::three || (i == 0 && (rules.values != Values::any || !has_any));
    if (row.values.at(i) && !may_be) {
      errors.push_back(cell_error(value_column(i), std::string(rules.name) + " has no such value",
                                  fmt::format("{}", *row.values.at(i)),
                                  "an empty cell: the test has " + std::string(rules.has),
                                  ErrorKind::conflict));
    }
    if (!row.values.at(i) && must_be) errors.push_back(missing_value(i, rules.has));
  }
  return errors;
}

/// Puts a test on the bench into its own unit. Returns what is wrong with it.
std::vector<Error> convert(ReadingRow& row, ShopTest& test) {
  const ShopTestRules& rules = rules_of(std::get<ShopTestKind>(row.test));
  std::vector<Error> errors = misplaced(row, rules);
  const WrittenUnit* unit = unit_named(rules.units, row.reading.unit_as_written);
  if (unit == nullptr) {
    errors.push_back(no_such_unit(rules.units, row.reading.unit_as_written, rules.name));
  }
  if (!errors.empty()) return errors;
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    if (!row.values.at(i)) continue;
    test.values.at(i) = unit->in_base(*row.values.at(i));
    if (rules.range.contains(*test.values.at(i))) continue;
    errors.push_back(cell_error(value_column(i), "no such " + std::string(rules.name) + " can be",
                                fmt::format("{}", *row.values.at(i)),
                                rules.range.describe(unit->name)));
  }
  test.kind = rules.kind;
  test.unit = rules.base_unit;
  if (row.value_u) test.value_u = unit->in_base(*row.value_u);
  test.test_v = row.test_v;
  Reading& reading = row.reading;
  test.motor = std::move(reading.motor);
  test.taken_at = std::move(reading.taken_at);
  test.place = std::move(reading.place);
  test.unit_as_written = std::move(reading.unit_as_written);
  test.temperature_c = reading.temperature_c;
  test.note = std::move(reading.note);
  return errors;
}

}  // namespace

std::string_view name_of(Test test) {
  return rules_of(test).name;
}
std::string_view name_of(ShopTestKind kind) {
  return rules_of(kind).name;
}
std::vector<std::string_view> units_of(ShopTestKind kind) {
  std::vector<std::string_view> names;
  for (const WrittenUnit& unit : rules_of(kind).units) names.push_back(unit.name);
  return names;
}
std::vector<ShopTestKind> all_shop_tests() {
  std::vector<ShopTestKind> all;
  for (const ShopTestRules& rules : shop_tests()) all.push_back(rules.kind);
  return all;
}
std::vector<Test> all_tests() {
  std::vector<Test> all;
  for (const TestRules& rules : tests()) all.push_back(rules.test);
  return all;
}
std::vector<std::string_view> units_of(Test test) {
  std::vector<std::string_view> names;
  for (const WrittenUnit& unit : rules_of(test).units) names.push_back(unit.name);
  return names;
}
std::string_view base_unit_of(Test test) {
  const auto& units = rules_of(test).units;
  return std::find_if(units.begin(), units.end(),
                      [](const WrittenUnit& unit) { return unit.times == 1 && unit.per == 1; })
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
  return {std::move(survey.readings), std::move(survey.shop_tests), std::move(survey.problems)};
}

void read_readings(const Sheet& sheet, Survey& survey) {
  for (auto& [row, line, extra] : read_rows(sheet, reading_columns_of(sheet), survey.problems)) {
    const bool is_shop_test = std::holds_alternative<ShopTestKind>(row.test);
    ShopTest test;
    const std::vector<Error> errors = is_shop_test ? convert(row, test) : convert(row);
    for (const Error& error : errors) report(survey.problems, error, sheet.file(), line);
    if (!errors.empty()) continue;
    const auto keep = [line = line, &extra = extra](auto& rows, auto& one) {
      one.row = line;
      one.extra = std::move(extra);
      rows.push_back(std::move(one));
    };
    if (is_shop_test) {
      keep(survey.shop_tests, test);
    } else {
      keep(survey.readings, row.reading);
    }
  }
}

}  // namespace ohmglow::records
