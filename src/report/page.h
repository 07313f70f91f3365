#pragma once
/// The parts of the HTML report and what they share.

#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "ohmglow/diagnosis.h"

// g++ 12 suspects a null pointer in the vector insertions that it inlines here.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wnull-dereference"
#include <kainjow/mustache.hpp>
#pragma GCC diagnostic pop

#include <string>
#include <vector>

namespace ohmglow::report {

using Data = kainjow::mustache::data;
using Fields = kainjow::mustache::object;
using List = kainjow::mustache::list;

/// The finding's card, without its pictures.
[[nodiscard]] Data card_data(const Card& card, const diagnosis::Assessment& assessment);

/// What stands before the cards of report.html and behind them.
[[nodiscard]] Data report_data(const Contents& contents, const Extras& extras);

[[nodiscard]] Data listing_data(const Listing& listing);
[[nodiscard]] List fact_list(const std::vector<Fact>& facts);
[[nodiscard]] List text_list(const std::vector<std::string>& texts);
/// Sweeps and air gaps, for the partial that shows one.
[[nodiscard]] List rotor_list(const std::vector<RotorShown>& rotors);
/// What every page needs: its style sheet, and the partial that writes a listing.
void set_frame(Data& data, const Extras& extras);

}  // namespace ohmglow::report
