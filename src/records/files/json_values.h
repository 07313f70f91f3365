#pragma once
/// Values as findings.json writes them: plain numbers, absent = null.

#include "ohmglow/phase.h"
#include "ohmglow/quantity.h"
#include "ohmglow/radiometry.h"
#include "ohmglow/survey.h"
#include "records/files/json_text.h"

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

inline OrderedJson plain(double value) {
  return value;
}
inline OrderedJson plain(int value) {
  return value;
}
inline OrderedJson plain(long value) {
  return value;
}
inline OrderedJson plain(std::size_t value) {
  return value;
}
inline OrderedJson plain(const std::string& value) {
  return value;
}
inline OrderedJson plain(std::string_view value) {
  return value;
}
inline OrderedJson plain(const Moment& moment) {
  return moment.text;
}
inline OrderedJson plain(const radiometry::Estimate& estimate) {
  return estimate.value();
}
inline OrderedJson plain(Phase phase) {
  return number_of(phase);
}
template <class Unit>
OrderedJson plain(Quantity<Unit> quantity) {
  return quantity.value();
}

template <class Value>
OrderedJson or_null(const std::optional<Value>& value) {
  return value ? plain(*value) : OrderedJson();
}

/// The standard uncertainty of an estimate.
inline OrderedJson u_or_null(const std::optional<radiometry::Estimate>& estimate) {
  return estimate ? OrderedJson(estimate->u()) : OrderedJson();
}

inline OrderedJson text_or_null(const std::string& text) {
  return text.empty() ? OrderedJson() : OrderedJson(text);
}

template <class Value>
OrderedJson three(const std::array<Value, 3>& values) {
  return {plain(values[0]), plain(values[1]), plain(values[2])};
}
template <class Value>
OrderedJson three(const std::array<std::optional<Value>, 3>& values) {
  return {or_null(values[0]), or_null(values[1]), or_null(values[2])};
}
template <class Value>
OrderedJson three_or_null(const std::optional<std::array<Value, 3>>& values) {
  return values ? three(*values) : OrderedJson();
}

template <class Items, class ToJson>
OrderedJson list_of(const Items& items, ToJson to_json) {
  OrderedJson list = OrderedJson::array();
  for (const auto& item : items) list.push_back(to_json(item));
  return list;
}

}  // namespace ohmglow::records
