#include "ohmglow/rotor.h"

#include "offered/results/findings_texts.h"
#include "ohmglow/explanations.h"
#include "records/files/json_values.h"

namespace ohmglow::records {
namespace {

constexpr std::array<std::string_view, 3> kPairNames{"1-2", "2-3", "3-1"};

OrderedJson pattern_json(rotor::Pattern pattern) {
  return plain(rotor::id_of(pattern));
}

OrderedJson pairs_json(const rotor::Sweep& sweep) {
  OrderedJson list = OrderedJson::array();
  for (std::size_t i = 0; i < kPairNames.size(); ++i) {
    const rotor::PairSweep& pair = sweep.pairs.at(i);
    list.push_back({{"pair", kPairNames.at(i)},
                    {"mean_h", plain(pair.mean)},
                    {"peak_to_peak_pct", plain(pair.peak_to_peak)},
                    {"peak_drift_pct", or_null(pair.peak_drift)}});
  }
  return list;
}

OrderedJson harmonic_json(const rotor::Harmonic& harmonic) {
  return {{"order", harmonic.order},
          {"sequence", harmonic.sequence == rotor::Sequence::zero ? "zero" : "negative"},
          {"amplitude_pct", plain(harmonic.amplitude)},
          {"u_pct", plain(harmonic.u)}};
}

OrderedJson eccentricity_json(const std::optional<rotor::SweepEccentricity>& its) {
  if (!its) return {};
  return {{"kind", "dynamic"},
          {"value_pct", plain(its->value)},
          {"low_pct", plain(its->low)},
          {"high_pct", plain(its->high)},
          {"model", plainly(its->model)}};
}

OrderedJson sweep_json(const rotor::Sweep& sweep) {
  return {{"motor", sweep.motor},
          {"sweep", sweep.name},
          {"taken_at", or_null(sweep.taken_at)},
          {"angles", sweep.readings.size()},
          {"pattern", pattern_json(sweep.pattern)},
          {"also", list_of(sweep.also, pattern_json)},
          {"cannot_tell",
           list_of(sweep.cannot_tell, [](const Sentence& s) { return OrderedJson(plainly(s)); })},
          {"pairs", pairs_json(sweep)},
          {"harmonics", list_of(sweep.harmonics, harmonic_json)},
          {"closing_pct", or_null(sweep.closing)},
          {"eccentricity", eccentricity_json(sweep.eccentricity)},
          {"next_test", plainly(sweep.next_test)}};
}

OrderedJson end_json(MotorEnd end) {
  if (end == MotorEnd::unknown) return {};
  return end == MotorEnd::drive ? "drive" : "opposite";
}

OrderedJson gap_json(const rotor::AirGap& gap) {
  const auto size = [](const std::optional<rotor::Direction>& direction) {
    return direction ? plain(direction->size) : OrderedJson();
  };
  return {{"motor", gap.motor},
          {"end", end_json(gap.end)},
          {"mean_mm", plain(gap.mean)},
          {"max_deviation_pct", plain(gap.max_deviation)},
          {"spread_pct", plain(gap.spread)},
          {"eccentricity_pct", size(gap.offset)},
          {"smallest_at_deg", gap.offset ? OrderedJson(gap.offset->at_deg) : OrderedJson()},
          {"static_pct", size(gap.fixed)},
          {"dynamic_pct", size(gap.turning)},
          {"limit_pct", or_null(gap.limit)},
          {"result", plain(rotor::id_of(gap.result))},
          {"source", plain(rotor::kGapSource)}};
}

OrderedJson argument_json(const diagnosis::Argument& argument) {
  return {{"text", plainly(argument.text)},
          {"with_it", argument.with_it},
          {"overall", argument.overall}};
}

OrderedJson cause_json(const diagnosis::Explanation& cause) {
  return {{"id", cause.id},
          {"title", plainly(cause.title)},
          {"probability", cause.probability},
          {"in_favour", list_of(cause.in_favour, argument_json)},
          {"against", list_of(cause.against, argument_json)}};
}

OrderedJson test_json(const diagnosis::NextTest& test) {
  return {{"id", test.id},
          {"title", plainly(test.title)},
          {"how", plainly(test.how)},
          {"gain_bits", test.gain_bits},
          {"effort_min", test.effort_min}};
}

// Of every motor with a sweep or an air gap that tells something, in their order.
OrderedJson behind_json(const rotor::Rotors& rotors, const Survey& survey) {
  OrderedJson list = OrderedJson::array();
  for (const std::string& motor : rotors.motors()) {
    const auto its = diagnosis::explain_rotor(survey, motor, rotors);
    if (!its) continue;
    list.push_back({{"motor", motor},
                    {"seen", its->seen},
                    {"explanations", list_of(its->explanations, cause_json)},
                    {"next_tests", list_of(its->tests, test_json)}});
  }
  return list;
}

}  // namespace

std::string rotor_json(const rotor::Rotors& rotors, const Survey& survey) {
  const OrderedJson json{{"sweeps", list_of(rotors.sweeps, sweep_json)},
                         {"air_gaps", list_of(rotors.air_gaps, gap_json)},
                         {"behind", behind_json(rotors, survey)}};
  return dumped_lines(json);
}

}  // namespace ohmglow::records
