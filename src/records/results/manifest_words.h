#pragma once
/// The words of options and policies in findings.json and manifest.json, for writing and reading.

#include "offered/results/manifest.h"
#include "records/files/json_text.h"

namespace ohmglow::records {

inline constexpr WordTable<PolicyOrigin, 3> kPolicyOrigins{
    {{"built_in", PolicyOrigin::built_in},
     {"survey_file", PolicyOrigin::survey_file},
     {"other_file", PolicyOrigin::other_file}}};
inline constexpr WordTable<diagnosis::Reference, 2> kReferences{
    {{"coolest", diagnosis::Reference::coolest}, {"median", diagnosis::Reference::median}}};
inline constexpr WordTable<diagnosis::Uncertainty, 2> kUncertainties{
    {{"linear", diagnosis::Uncertainty::linear},
     {"monte-carlo", diagnosis::Uncertainty::monte_carlo}}};
inline constexpr WordTable<diagnosis::Unconfirmed, 2> kUnconfirmed{
    {{"measure", diagnosis::Unconfirmed::measure}, {"skip", diagnosis::Unconfirmed::skip}}};
inline constexpr WordTable<severity::Decision, 2> kDecisions{
    {{"simple", severity::Decision::simple}, {"guarded", severity::Decision::guarded}}};
inline constexpr WordTable<std::string_view, 2> kDetails{{{"brief", "brief"}, {"full", "full"}}};
inline constexpr WordTable<std::string_view, 2> kPapers{{{"a4", "a4"}, {"letter", "letter"}}};
inline constexpr WordTable<std::string_view, 2> kUnits{{{"c", "c"}, {"f", "f"}}};
inline constexpr WordTable<std::string_view, 2> kDecimalMarks{
    {{"point", "point"}, {"comma", "comma"}}};

}  // namespace ohmglow::records
