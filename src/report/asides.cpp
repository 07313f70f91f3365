// What stands beside the ranked list.
#include "asides.h"

#include "contents.h"
#include "offered/vocabulary/number_text.h"
#include "words.h"

namespace ohmglow::report {
namespace {

using diagnosis::Aside;
using diagnosis::Assessment;

std::string amperes(const std::optional<double>& a) {
  return a ? decimals(*a, 1) + " A" : "";
}

std::string load_of(const Aside& aside) {
  std::string text = amperes(aside.load_a);
  if (aside.load_pct) text += ", " + say("{} % of rated", decimals(*aside.load_pct, 0));
  return text;
}

std::string warmest_lug(const Survey& survey, const Aside& aside) {
  std::string text = aside.phase ? phase_title(survey, *aside.phase) : "";
  if (aside.lug) text += (text.empty() ? "" : ", ") + say("lug {}", *aside.lug);
  if (aside.temperature_c) text += ", " + temperature_text(*aside.temperature_c, 1);
  return text;
}

std::string rise_of(const std::optional<radiometry::Estimate>& rise) {
  return rise ? difference_with_u(*rise) : "";
}

}  // namespace

Listing not_judged(const Assessment& a) {
  Listing list{"not-judged",
               tr("Not judged: a bad connection would not have shown in these images"),
               {{tr("Motor"), 0.9},
                {tr("Component"), 1.1},
                {tr("Load"), 0.9},
                {tr("Why not judged"), 2.4},
                {tr("Image again at"), 0.8, true},
                {tr("Next step"), 2.2}},
               {},
               tr("Every measured component was judged.")};
  for (const Aside& aside : a.not_judged) {
    list.rows.push_back({ListCell{aside.motor}, ListCell{aside.component}, or_dash(load_of(aside)),
                         ListCell{written(aside.why)}, or_dash(amperes(aside.image_again_from_a)),
                         or_dash(written(aside.next_step))});
  }
  return list;
}

Listing warm_even(const Assessment& a) {
  Listing list{
      "warm-even",
      tr("Warm and even: the table gives a band, but no lug is hotter than its neighbours"),
      {{tr("Motor"), 0.9},
       {tr("Component"), 1},
       {tr("Warmest lug"), 1.3},
       {tr("Rise over like"), 1, true},
       {tr("Over air"), 1, true},
       {tr("Band of the table"), 0.8},
       {tr("Why it is not a finding"), 2.2}},
      {},
      tr("No even component is warm enough for a band of the table.")};
  for (const Aside& aside : a.warm_even) {
    list.rows.push_back(
        {ListCell{aside.motor}, ListCell{aside.component}, ListCell{warmest_lug(a.survey, aside)},
         or_dash(rise_of(aside.rise_over_like)), or_dash(rise_of(aside.rise_over_air)),
         // Without the tint of a finding's.
         ListCell{band_title(a.policy, aside.grade)}, ListCell{written(aside.why)}});
  }
  return list;
}

}  // namespace ohmglow::report
