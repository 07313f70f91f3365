#include "rotor_words.h"

#include "words.h"

#include <fmt/format.h>

namespace ohmglow::report {
namespace {

constexpr int kSevere = 4;
constexpr int kUndecided = 1;
constexpr double kMillihenryPerHenry = 1e3;

std::string dated(const std::string& what, const std::optional<Moment>& at) {
  return at && what != at->text ? fmt::format("{}, {}", what, at->text) : what;
}

}  // namespace

std::string sweep_title(const rotor::Sweep& sweep) {
  return dated(sweep.name, sweep.taken_at);
}

std::string patterns_in_words(const rotor::Sweep& sweep) {
  std::vector<Sentence> parts{rotor::title_of(sweep.pattern)};
  for (const rotor::Pattern other : sweep.also) parts.push_back(rotor::title_of(other));
  return written(clauses(std::move(parts)));
}

std::vector<std::string> sweep_numbers(const rotor::Sweep& sweep, const Survey& survey) {
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < sweep.pairs.size(); ++i) {
    const rotor::PairSweep& pair = sweep.pairs.at(i);
    std::string line = written(sentence(
        "pair {}: mean {} mH, peak to peak {} %", pair_name(survey, i),
        number(pair.mean.value() * kMillihenryPerHenry, 4), number(pair.peak_to_peak.value(), 2)));
    if (pair.peak_drift) {
      line += ", " + written(sentence("peaks apart by {} %", number(pair.peak_drift->value(), 2)));
    }
    lines.push_back(std::move(line));
  }
  std::string rest =
      written(sentence("{} angles, scatter {} %", std::to_string(sweep.readings.size()),
                       number(sweep.scatter.value(), 3)));
  for (const rotor::Harmonic& harmonic : sweep.harmonics) {
    const bool is_pattern = (harmonic.order == 1) == (harmonic.sequence == rotor::Sequence::zero);
    if (!is_pattern) continue;
    const ohmglow::List value =
        plus_minus(number(harmonic.amplitude.value(), 3), harmonic.u.value());
    rest += "; ";
    if (harmonic.order == 0) rest += written(sentence("means apart by {} %", value));
    if (harmonic.order == 1) rest += written(sentence("once a turn {} %", value));
    if (harmonic.order > 1) {
      rest += written(sentence("{} times a turn {} %", std::to_string(harmonic.order), value));
    }
  }
  lines.push_back(std::move(rest));
  if (sweep.closing) {
    lines.push_back(written(
        sentence("a turn later the readings are {} % higher", number(sweep.closing->value(), 3))));
  }
  if (sweep.eccentricity) {
    const rotor::SweepEccentricity& its = *sweep.eccentricity;
    lines.push_back(written(sentence(
        "turning (dynamic) eccentricity {} % of the gap, 95 % interval {} to {} %",
        number(its.value.value(), 1), number(its.low.value(), 1), number(its.high.value(), 1))));
    lines.push_back(written(sentence("model: {}", its.model)));
  }
  return lines;
}

std::string explanation_in_words(const diagnosis::Explanation& likeliest) {
  return say("likeliest: {}, {}", written(likeliest.title),
             probability_text(likeliest.probability));
}

std::vector<std::string> explanations_in_words(const diagnosis::Explained& explained) {
  constexpr double kInQuestion = 0.05;
  std::vector<std::string> lines;
  const diagnosis::Explanation& likeliest = explained.explanations.front();
  for (const auto& argument : likeliest.in_favour) {
    lines.push_back(say("for it: {}", written(argument.text)));
  }
  for (const auto& argument : likeliest.against) {
    lines.push_back(say("against it: {}", written(argument.text)));
  }
  for (const diagnosis::Explanation& other : explained.explanations) {
    if (&other == &likeliest || other.probability < kInQuestion) continue;
    lines.push_back(say("or: {}, {}", written(other.title), probability_text(other.probability)));
  }
  lines.push_back(tr("These shares rest on assumed tables, not on counted motors."));
  return lines;
}

std::string rotor_test_in_words(const diagnosis::Explained& explained) {
  if (explained.tests.empty()) return {};
  const diagnosis::NextTest& test = explained.tests.front();
  return fmt::format("{}. {}", written(test.title), written(test.how));
}

std::string gap_title(const rotor::AirGap& gap) {
  switch (gap.end) {
    case MotorEnd::drive:
      return dated(tr("drive end"), gap.taken_at);
    case MotorEnd::opposite:
      return dated(tr("opposite end"), gap.taken_at);
    case MotorEnd::unknown:
      break;
  }
  return dated(tr("end not known"), gap.taken_at);
}

std::string title_of(rotor::Conformity conformity) {
  switch (conformity) {
    case rotor::Conformity::pass:
      return tr("pass");
    case rotor::Conformity::fail:
      return tr("fail");
    case rotor::Conformity::too_close:
      return tr("too close to say");
    case rotor::Conformity::not_done:
      break;
  }
  return tr("not done");
}

int level_of(rotor::Conformity conformity) {
  switch (conformity) {
    case rotor::Conformity::fail:
      return kSevere;
    case rotor::Conformity::pass:
      return 0;
    case rotor::Conformity::too_close:
    case rotor::Conformity::not_done:
      break;
  }
  return kUndecided;
}

std::string gap_result_in_words(const rotor::AirGap& gap) {
  if (!gap.limit) {
    return written(sentence("{}: largest deviation {} % of the mean", title_of(gap.result),
                            number(gap.max_deviation.value(), 2)));
  }
  return written(sentence("{}: largest deviation {} % of the mean, limit {} % ({})",
                          title_of(gap.result), number(gap.max_deviation.value(), 2),
                          short_number(gap.limit->value()), std::string(rotor::kGapSource)));
}

std::vector<std::string> gap_numbers(const rotor::AirGap& gap) {
  std::vector<std::string> lines{written(sentence(
      "mean {} mm, smallest {} mm, (largest - smallest) / mean {} %", number(gap.mean.value(), 3),
      number(gap.smallest.value(), 3), number(gap.spread.value(), 2)))};
  if (gap.offset) {
    lines.push_back(
        written(sentence("rotor off by {} % of the gap, smallest gap at {}°",
                         number(gap.offset->size.value(), 2), number(gap.offset->at_deg, 0))));
  }
  if (gap.fixed && gap.turning) {
    lines.push_back(
        written(sentence("fixed (static) {} % at {}°, turning (dynamic) {} % at {}° from the mark",
                         number(gap.fixed->size.value(), 2), number(gap.fixed->at_deg, 0),
                         number(gap.turning->size.value(), 2), number(gap.turning->at_deg, 0))));
  }
  return lines;
}

}  // namespace ohmglow::report
