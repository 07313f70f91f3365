#pragma once
/// The parts of the HTML report and what they share.

#include "ohmglow/diagnosis.h"
#include "ohmglow/report.h"

// g++ 12 suspects a null pointer in the vector insertions that it inlines here.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wnull-dereference"
#include <kainjow/mustache.hpp>
#pragma GCC diagnostic pop

#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>

namespace ohmglow::report {

using Data = kainjow::mustache::data;
using Fields = kainjow::mustache::object;
using List = kainjow::mustache::list;

/// An assessment with its members found by name, each in one step.
class Lookup {
 public:
  explicit Lookup(const diagnosis::Assessment& assessment);

  const diagnosis::Assessment& assessment;
  [[nodiscard]] const diagnosis::ImageResult* image(std::string_view file) const;
  [[nodiscard]] const ImageEntry* entry(std::string_view file) const;
  [[nodiscard]] const diagnosis::ComponentResult* component_of(std::string_view image_file) const;
  [[nodiscard]] const diagnosis::MotorResult* motor(std::string_view id) const;

 private:
  template <class T>
  using ByName = std::unordered_map<std::string_view, const T*>;
  ByName<diagnosis::ImageResult> images_;
  ByName<ImageEntry> entries_;
  ByName<diagnosis::ComponentResult> components_;
  ByName<diagnosis::MotorResult> motors_;
};

/// The finding's card, without its picture.
[[nodiscard]] Data card_data(const Lookup& lookup, const diagnosis::Finding& finding);

/// Everything before the cards, and everything behind them.
[[nodiscard]] Data head_data(const Lookup& lookup, std::string style);
[[nodiscard]] Data tail_data(const Lookup& lookup);

}  // namespace ohmglow::report
