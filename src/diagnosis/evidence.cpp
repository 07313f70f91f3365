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
  std::vector<Sentence> text{sentence("no winding resistance reading within {} days of {}",
                                      number(age_d, 0), day_text(component.day))};
  if (const ElectricalResult* nearest = nearest_reading(judging, component)) {
    const auto apart = std::chrono::abs(judging.days.day_of(nearest->taken_at) - component.day);
    text.push_back(sentence("the nearest, at {}, is {} days away", reading_text(*nearest),
                            number(static_cast<double>(apart.count()), 0)));
  }
  return {clauses(std::move(text)), sentence("reading age {} d (option)", number(age_d, 0))};
}

Evidence both_phases(const Judging& judging, const ComponentCase& component,
                     const ElectricalResult& reading) {
  return {sentence("heat names {}, resistance names {}",
                   phase_text(judging, judging.lug(component.hottest).phase),
                   named_phase_text(judging, *reading.resolution)),
          sentence("two independent witnesses, {}", sentence(kHouseRule))};
}

// Lugs that could not be measured are missing from the comparison: say so.
void say_unmeasured(Lines& lines, const Judging& judging, const ComponentResult& component) {
  for (const std::size_t image : component.images) {
    const auto& lugs = judging.result.images[image].lugs;
    for (std::size_t i = 0; i < lugs.size(); ++i) {
      if (lugs[i].temperature_c) continue;
      lines.push_back({sentence("{} could not be measured and is missing from the comparison",
                                lug_text(judging, {image, i})),
                       sentence(kHouseRule)});
    }
  }
}

}  // namespace

std::vector<Evidence> shared_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const ComponentResult& result = judging.result.components[index];
  if (const ElectricalResult* reading = judging.reading_of(index)) {
    if (component.hot && is_abnormal(*reading)) {
      lines.push_back(both_phases(judging, component, *reading));
    }
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
