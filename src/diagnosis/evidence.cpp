#include "wording.h"

#include <algorithm>
#include <iterator>

namespace ohmglow::diagnosis {
namespace {

void append(Lines& lines, Lines more) {
  std::move(more.begin(), more.end(), std::back_inserter(lines));
}

// The resistance reading that comes nearest, where none is near enough.
const ElectricalResult* nearest_reading(const Judging& judging, const ComponentCase& component) {
  const ElectricalResult* nearest = nullptr;
  const auto distance = [&](const ElectricalResult& r) {
    return std::chrono::abs(judging.days.day_of(r.taken_at) - component.day);
  };
  for (const ElectricalResult& r : judging.motor_result().electrical) {
    if (r.test != Test::winding_resistance || !r.problem.empty()) continue;
    if (!nearest || distance(r) < distance(*nearest)) nearest = &r;
  }
  return nearest;
}

Evidence absent_reading(const Judging& judging, const ComponentCase& component) {
  const int age_d = judging.result.options.reading_age_d;
  Sentence age = sentence("option: readings count for {} days", number(age_d, 0));
  if (!component.counted.empty()) {
    const ElectricalResult& beyond = judging.motor_result().electrical[component.counted.front()];
    return {
        sentence("no resistance test covers this component: the one at {} was taken nearer to the "
                 "motor",
                 reading_text(beyond)),
        std::move(age)};
  }
  std::vector<Sentence> text{
      sentence("no resistance test within {} days of {} to compare with the image",
               number(age_d, 0), day_text(component.day))};
  if (const ElectricalResult* nearest = nearest_reading(judging, component)) {
    const auto apart = std::chrono::abs(judging.days.day_of(nearest->taken_at) - component.day);
    text.push_back(sentence("the nearest, at {}, is {} days apart", reading_text(*nearest),
                            number(static_cast<double>(apart.count()), 0)));
  }
  return {clauses(std::move(text)), std::move(age)};
}

Evidence both_phases(const Judging& judging, const ComponentCase& component,
                     const ElectricalResult& reading) {
  return {sentence("the image points to {}, the resistance test to {}",
                   phase_text(judging, judging.lug(component.hottest).phase),
                   named_phase_text(judging, *reading.resolution)),
          sentence("two independent witnesses, {}", sentence(kHouseRule))};
}

// "not recorded" is said once a component: the rise may still have been growing.
void say_running_time(Lines& lines, const Judging& judging, const ComponentResult& component) {
  const auto& images = judging.result.survey.images;
  const bool recorded = std::any_of(
      component.images.begin(), component.images.end(),
      [&](std::size_t image) { return images[image].parameters.running_min.has_value(); });
  if (recorded || component.verdict == Verdict::even) return;
  lines.push_back(
      {sentence("running time at this load not recorded (running_min): if the lugs were "
                "still warming up, the rise is understated"),
       sentence(kHouseRule)});
}

Evidence joint_text(const Judging& judging, const JointResult& joint,
                    const ComponentResult& component) {
  const std::string& place = component.component;
  const auto& x = joint.joints;
  Sentence text = sentence(
      joint.bad ? msg("joints of {}: {}, {} and {}; {} is {} % above the lowest: bad joint")
                : msg("joints of {}: {}, {} and {}; {} is {} % above the lowest: alike"),
      place, resistance(x[0]), resistance(x[1]), resistance(x[2]), phase_text(judging, joint.phase),
      number(joint.over_lowest_pct, 0));
  return {std::move(text),
          sentence(msg("ANSI/NETA: investigate what deviates from similar connections by more than "
                       "50 % of the lowest value (from memory); the meter's u at the policy's "
                       "confidence"))};
}

// A second reading beyond the component leaves it its own stretch.
void say_stretch(Lines& lines, const Judging& judging, const OhmWitness& ohms) {
  if (!ohms.beyond) return;
  const auto& electrical = judging.motor_result().electrical;
  lines.push_back(
      {sentence(ohms.abnormal
                    ? msg("this component lies between the readings at {} and {}: there {} has {} "
                          "more than the other two")
                    : msg("this component lies between the readings at {} and {}: no phase stands "
                          "out there ({}: {})"),
                place_text(electrical[ohms.reading].place),
                place_text(electrical[*ohms.beyond].place), phase_text(judging, ohms.phase),
                excess_text(ohms.excess, ohms.excess_u)),
       sentence(msg("the legs of one reading less those of the other (Kirchhoff)"))});
}

void say_explained(Lines& lines, const Judging& judging, const OhmWitness& ohms) {
  if (!ohms.explained_by) return;
  lines.push_back({sentence("the heat at {} accounts for the excess of this reading",
                            judging.result.components[*ohms.explained_by].component),
                   sentence("one excess, one joint: {}", sentence(kHouseRule))});
}

// Lugs that could not be measured are missing from the comparison: say so.
void say_unmeasured(Lines& lines, const Judging& judging, const ComponentResult& component) {
  for (const std::size_t image : component.images) {
    const auto& lugs = judging.result.images[image].lugs;
    for (std::size_t i = 0; i < lugs.size(); ++i) {
      if (lugs[i].temperature_c) continue;
      lines.push_back(
          {sentence("{} could not be measured and was not compared", lug_text(judging, {image, i})),
           sentence(kHouseRule)});
    }
  }
}

}  // namespace

std::vector<Evidence> shared_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const ComponentResult& result = judging.result.components[index];
  if (component.open_phase) {
    lines.push_back(open_phase_evidence(judging, result.load_a, *component.open_phase));
  }
  if (!result.why_not_judged.empty()) {
    lines.push_back({result.why_not_judged, sentence(kHouseRule)});
  }
  say_running_time(lines, judging, result);
  if (const JointResult* joint = judging.joint_of(index)) {
    lines.push_back(joint_text(judging, *joint, result));
  }
  if (const ElectricalResult* reading = judging.reading_of(index)) {
    if (component.hot && reading->abnormal && component.ohms->abnormal &&
        !component.ohms->explained_by) {
      lines.push_back(both_phases(judging, component, *reading));
    }
    say_stretch(lines, judging, *component.ohms);
    say_explained(lines, judging, *component.ohms);
    append(lines, reading_evidence(judging, *reading, component.counted, result.load_a));
  } else {
    lines.push_back(absent_reading(judging, component));
  }
  append(lines, plausibility_evidence(judging, index));
  append(lines, supply_evidence(judging, index));
  say_unmeasured(lines, judging, result);
  return lines;
}

}  // namespace ohmglow::diagnosis
