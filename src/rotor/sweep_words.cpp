#include "rotor/sweep_words.h"

#include <array>
#include <cmath>

namespace ohmglow::rotor {
namespace {

struct PatternWords {
  Pattern pattern;
  std::string_view id;
  std::string_view title;
  std::string_view cannot_tell;
  std::string_view next_test;
};

constexpr std::array<PatternWords, 7> kPatterns{{
    {Pattern::sweep_even, "sweep_even", msg("even: nothing stands above the scatter"),
     msg("An even sweep is no proof of an even gap: four poles and more, parallel circuits and an "
         "intact cage at mains frequency hide it."),
     msg("Where the gap must be proved, take it by feeler gauge at eight places of both ends.")},
    {Pattern::once_a_turn, "once_a_turn", msg("one cycle a turn, in phase in all pairs"),
     msg("A rotor that is off both in the bore and on its own axis, and a bent shaft look the "
         "same; only the product of the two parts is seen."),
     msg("Take the gap by feeler gauge at four positions of the rotor, and the shaft's runout.")},
    {Pattern::pole_pattern, "pole_pattern",
     msg("as many cycles a turn as poles, shifted from pair to pair"),
     msg("Broken or high-resistance bars, a magnetised rotor, keyways and the grain of the "
         "laminations look the same."),
     msg("Demagnetise the rotor and repeat the sweep; then a growler, or the current at load over "
         "the slip.")},
    {Pattern::pairs_differ, "pairs_differ", msg("the pairs' means differ"),
     msg("Turns, joints and coils of unequal span look the same as a rotor off the centre of the "
         "bore; a second rotor or an earlier sweep tells them apart."),
     msg("Hold the winding resistance of the three pairs, and an earlier sweep or a sister motor, "
         "against it.")},
    {Pattern::drifting, "drifting", msg("the second turn does not repeat the first"),
     msg("Whether the winding warmed or the meter wandered does not show."),
     msg("Let motor and meter come to one temperature and repeat the sweep, with a tenth of a turn "
         "over the full one.")},
    {Pattern::too_noisy, "too_noisy", msg("too noisy"),
     msg("Patterns smaller than the scatter do not show."),
     msg("Repeat the sweep with the motor disconnected, the leads clamped and the same current in "
         "every reading.")},
    {Pattern::aliased, "aliased", msg("the bars' ripple falls onto a pattern that is looked for"),
     msg("The ripple of the bars cannot be told from the rotor's own pattern at these steps."),
     msg("Repeat the sweep with another number of steps.")},
}};

// Below a fifth of the mains frequency the answer hangs on the machine's own figures.
constexpr double kMains_hz = 60;
constexpr Hertz kMainsLike{12};

const PatternWords& words_of(Pattern pattern) {
  return kPatterns.at(static_cast<std::size_t>(pattern));
}

// The first of the usual numbers of steps at which the ripple falls on nothing that is looked for.
std::optional<int> better_steps(int bars, int poles) {
  for (const int steps : {40, 72, 48, 60, 90}) {
    const int rest = bars % steps;
    const int folded = std::min(rest, steps - rest);
    if (folded != 0 && folded != 1 && folded != poles) return steps;
  }
  return std::nullopt;
}

}  // namespace

std::string_view id_of(Pattern pattern) {
  return words_of(pattern).id;
}
Sentence title_of(Pattern pattern) {
  return sentence(words_of(pattern).title);
}

std::vector<Sentence> left_open(const Sweep& sweep, const Open& open) {
  std::vector<Sentence> said{sentence(words_of(sweep.pattern).cannot_tell)};
  for (const Pattern other : sweep.also) said.push_back(sentence(words_of(other).cannot_tell));
  if (sweep.shows(Pattern::pole_pattern) && open.poles == 2 && !sweep.eccentricity) {
    said.push_back(sentence("On two poles a rotor that is off its own axis looks the same too."));
  }
  if (sweep.shows(Pattern::once_a_turn) && !open.has_overlap) {
    said.push_back(sentence("No angle was taken twice: drift over the turn looks much the same."));
  }
  if (sweep.shows(Pattern::pairs_differ) && open.layout == CoilLayout::concentric) {
    said.push_back(sentence("Pairs of a concentric winding differ by build."));
  }
  if (open.frequency_hz && *open.frequency_hz >= kMainsLike) {
    const double share = std::fabs(standstill_sensitivity(open.frequency_hz->value() / kMains_hz));
    said.push_back(
        sentence("At {} Hz a sound cage leaves about {} % of a change of the gap in the reading.",
                 short_number(open.frequency_hz->value()), number(100 * share, 1)));
  }
  if (!open.poles) {
    said.push_back(sentence("The poles are not known: their pattern was not looked for."));
  } else if (!open.sees_poles) {
    said.push_back(
        sentence("The poles' pattern needs more than {} angles.", number(2 * *open.poles, 0)));
  }
  if (!open.has_overlap) {
    said.push_back(sentence("Drift is only seen where the sweep goes on past a full turn."));
  }
  if (!open.bars && open.steps) {
    said.push_back(
        sentence("The bars are not counted: their ripple may pass for a pattern at equal steps."));
  }
  return said;
}

Sentence next_test_of(const Sweep& sweep, const Open& open) {
  if (sweep.pattern == Pattern::aliased && open.bars) {
    if (const auto steps = better_steps(*open.bars, open.poles.value_or(0))) {
      return sentence("Repeat the sweep with {} steps a turn.", number(*steps, 0));
    }
  }
  return sentence(words_of(sweep.pattern).next_test);
}

Sentence model_of(double gap_share, double shaft_return) {
  return sentence(
      "sinusoidal two-pole winding, {} of the reading following the main gap, shaft return {} (0 "
      "free, 1 none), rotor alike all round",
      short_number(gap_share), short_number(shaft_return));
}

}  // namespace ohmglow::rotor
