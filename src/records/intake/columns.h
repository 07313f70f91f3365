#pragma once
/// The columns of a survey's tables as data: name, need, range, unit, and where the value goes.

#include "offered/tabular/tabular.h"
#include "offered/vocabulary/near_names.h"
#include "ohmglow/survey.h"
#include "records/files/json_text.h"
#include "records/files/range.h"
#include "records/files/shown.h"

#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace ohmglow::records {

/// What does not depend on the kind of row.
struct ColumnInfo {
  std::string_view name;
  Need need = Need::optional;
  bool numeric = false;
  std::string expected;  ///< what a good cell holds, for complaints
  /// What a bad cell probably means; unset where nothing suggests itself.
  std::function<std::string(std::string_view cell, char decimal_mark)> offer = {};
  /// The column that gives the same in another unit: a row fills one of the two.
  std::string_view other_unit = {};

  /// What a bad cell should hold, and what was probably meant by it.
  [[nodiscard]] std::string expected_for(std::string_view cell, char decimal_mark) const {
    return offer ? expected + offer(cell, decimal_mark) : expected;
  }
};

/// `set` puts a cell, neither empty nor with blanks around it, into a row; false if it is none of
/// what is expected.
template <class Row>
struct Column : ColumnInfo {
  std::function<bool(Row&, std::string_view cell, char decimal_mark)> set;
};

/// A member of a member, for std::invoke.
template <class Outer, class Middle, class Inner>
[[nodiscard]] auto within(Middle Outer::*middle, Inner Middle::*inner) {
  return [middle, inner](Outer& row) -> Inner& { return (row.*middle).*inner; };
}

/// " (did you mean 0.95?)" for a share that is written in percent and for a number with the other
/// decimal mark; else empty.
[[nodiscard]] std::string offer_number(std::string_view cell, const Range& range,
                                       std::string_view unit, char decimal_mark);

/// `slot` names a std::optional of the row that is made from the number.
template <class Row, class Slot>
[[nodiscard]] Column<Row> number(std::string_view name, Range range, std::string_view unit,
                                 Slot slot, Need need = Need::optional) {
  const auto set = [range, slot](Row& row, std::string_view cell, char decimal_mark) {
    using Value = typename std::remove_reference_t<std::invoke_result_t<Slot, Row&>>::value_type;
    const auto value = tabular::parse_number(cell, decimal_mark);
    if (!value || !range.contains(*value)) return false;
    std::invoke(slot, row) =
        Value(static_cast<std::conditional_t<std::is_class_v<Value>, double, Value>>(*value));
    return true;
  };
  const auto offer = [range, unit](std::string_view cell, char decimal_mark) {
    return offer_number(cell, range, unit, decimal_mark);
  };
  return {{name, need, true, range.describe(unit), offer}, set};
}

/// A temperature in °C. `slot` names a std::optional<Celsius> of the row.
template <class Row, class Slot>
[[nodiscard]] Column<Row> temperature(std::string_view name, Slot slot) {
  return number<Row>(name, kCelsius, "°C", slot);
}

/// The same temperature in °F, in a column of its own.
template <class Row, class Slot>
[[nodiscard]] Column<Row> in_fahrenheit(std::string_view name, std::string_view in_celsius,
                                        Slot slot) {
  const auto set = [slot](Row& row, std::string_view cell, char decimal_mark) {
    const auto value = tabular::parse_number(cell, decimal_mark);
    if (!value || !kFahrenheit.contains(*value)) return false;
    std::invoke(slot, row) = to_celsius(Fahrenheit{*value});
    return true;
  };
  Column<Row> column = number<Row>(name, kFahrenheit, "°F", slot);
  column.set = set;
  column.other_unit = in_celsius;
  return column;
}

/// `slot` names a std::string of the row.
template <class Row, class Slot>
[[nodiscard]] Column<Row> text(std::string_view name, Slot slot, Need need = Need::optional) {
  const auto set = [slot](Row& row, std::string_view cell, char) {
    if (cell.size() > kLongestText || has_control_characters(cell)) return false;
    std::invoke(slot, row) = cell;
    return true;
  };
  return {{name, need, false, "a text of at most 10 000 bytes without control characters"}, set};
}

/// `slot` names a std::optional<Moment> of the row.
template <class Row, class Slot>
[[nodiscard]] Column<Row> moment(std::string_view name, Slot slot) {
  const auto set = [slot](Row& row, std::string_view cell, char) {
    auto value = cell.size() > 40 ? std::nullopt : Moment::parse(cell);
    std::invoke(slot, row) = value;
    return value.has_value();
  };
  return {{name, Need::optional, false,
           "a date such as 2026-03-04 or 2026-03-04T10:11, from 1900 to 2199"},
          set};
}

/// One of several words, whatever their case.
template <class Value>
using Words = std::vector<std::pair<std::string_view, Value>>;

template <class Row, class Value, class Slot>
[[nodiscard]] Column<Row> choice(std::string_view name, Words<Value> words, Slot slot,
                                 Need need = Need::optional) {
  std::vector<std::string_view> names;
  for (const auto& word : words) names.push_back(word.first);
  const auto set = [words = std::move(words), slot](Row& row, std::string_view cell, char) {
    for (const auto& [word, value] : words) {
      if (lower_case(cell) != word) continue;
      std::invoke(slot, row) = value;
      return true;
    }
    return false;
  };
  const std::string expected = "one of " + listed(names);
  const auto offer = [names = std::move(names)](std::string_view cell, char) {
    return did_you_mean(near_names(cell, names));
  };
  return {{name, need, false, expected, offer}, set};
}

}  // namespace ohmglow::records
