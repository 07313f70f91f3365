#pragma once
/// The parts of the HTML report and what they share.

#include "ohmglow/diagnosis.h"
#include "ohmglow/report.h"
#include "ohmglow/report_contents.h"

// g++ 12 suspects a null pointer in the vector insertions that it inlines here.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wnull-dereference"
#include <kainjow/mustache.hpp>
#pragma GCC diagnostic pop

#include <string>

namespace ohmglow::report {

using Data = kainjow::mustache::data;
using Fields = kainjow::mustache::object;
using List = kainjow::mustache::list;

/// The finding's card, without its pictures.
[[nodiscard]] Data card_data(const Card& card, const diagnosis::Assessment& assessment);

/// What stands before the cards and behind them.
[[nodiscard]] Data page_data(const Contents& contents, const Extras& extras);

}  // namespace ohmglow::report
