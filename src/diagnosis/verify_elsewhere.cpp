// What the second survey shows that the first one did not, and what it did not look at again.

#include "verifying.h"
#include "wording.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace ohmglow::diagnosis {
namespace {

std::string band_of(const Assessment& assessment, const severity::Grade& grade) {
  return grade.band ? assessment.policy.bands.at(*grade.band).id : "";
}

bool is_of(const Finding& finding, const LugChange& lug) {
  return finding.motor == lug.motor && finding.lug == lug.lug &&
         (folded(finding.component) == folded(lug.component) ||
          folded(finding.component) == folded(lug.component_after));
}

const LugChange* change_of(const Verification& all, const Finding& finding) {
  const auto at = std::find_if(all.lugs.begin(), all.lugs.end(),
                               [&](const LugChange& lug) { return is_of(finding, lug); });
  return at == all.lugs.end() ? nullptr : &*at;
}

bool has_finding(const Assessment& assessment, const Finding& wanted) {
  return std::any_of(assessment.findings.begin(), assessment.findings.end(),
                     [&](const Finding& known) {
                       return known.motor == wanted.motor && known.lug == wanted.lug &&
                              folded(known.component) == folded(wanted.component);
                     });
}

// Where somebody must look: "terminal box, T3 (phase C)".
Sentence place_of(const Side& side, const std::string& component, const std::string& lug,
                  Phase phase) {
  if (component.empty()) return lug_title(side, lug, phase);
  return layout("{}, {}", component, lug_title(side, lug, phase));
}

Sentence rise_now(const Finding& finding, const severity::Policy& policy) {
  const auto& like = finding.rise_over_like;
  const auto& air = finding.rise_over_air;
  const auto limit = severity::first_like_limit(policy);
  const bool stands_out = like && limit && limit->reached_by(like->value());
  if (!stands_out && air) return sentence("{} over the air", rise_text(*air, 1));
  if (like) return sentence("{} over its like lugs", rise_text(*like, 1));
  return sentence("hot");
}

Sentence rise_then(const LugChange& lug) {
  if (!lug.before) return sentence("not measured in the first survey");
  return sentence("{} before", difference(lug.before->rise_k, 1));
}

// A lug is a new fault where the second survey finds one and the first did not see it as one. Warm
// alike counts only under no more load than before.
bool is_new(const LugChange& lug, const Finding& finding, const Assessment& before) {
  if (lug.fault_before || has_finding(before, finding)) return false;
  if (lug.fault_after) return lug.change != Change::even;
  if (!lug.before || !lug.after) return true;
  const auto& was = lug.before->load;
  const auto& is = lug.after->load;
  constexpr double kNoMoreLoad = 1.1;
  return !was || !is || is->value() <= kNoMoreLoad * was->value();
}

void add_lugs(std::vector<NewFault>& faults, const Verification& all, const Side& before,
              const Side& after) {
  for (const Finding& finding : after.assessment.findings) {
    if (!finding.image || has_finding(before.assessment, finding)) continue;
    NewFault fault{finding.motor,
                   finding.component,
                   finding.lug,
                   finding.phase,
                   band_of(after.assessment, finding.grade),
                   {}};
    if (!finding.lug) {
      fault.what = sentence("{}: hot outside every mark", place_text(finding.component));
      faults.push_back(std::move(fault));
      continue;
    }
    const LugChange* lug = change_of(all, finding);
    if (!lug || !is_new(*lug, finding, before.assessment)) continue;
    fault.what =
        layout("{}: {}, {}", place_of(after, finding.component, *finding.lug, *finding.phase),
               rise_now(finding, after.assessment.policy), rise_then(*lug));
    faults.push_back(std::move(fault));
  }
  for (const LugChange& lug : all.lugs) {
    const bool found = std::any_of(faults.begin(), faults.end(), [&](const NewFault& fault) {
      return fault.motor == lug.motor && fault.lug == lug.lug;
    });
    if (found || lug.fault_before || lug.change != Change::worse) continue;
    faults.push_back(
        {lug.motor, lug.component, lug.lug, lug.phase, "",
         layout("{}: {}", place_of(after, lug.component, lug.lug, lug.phase), lug.reason)});
  }
  for (const LugChange& lug : all.lugs) {
    if (lug.like_lugs.empty() || lug.change != Change::unchanged) continue;
    faults.push_back({lug.motor,
                      lug.component,
                      {},
                      {},
                      "",
                      layout("{}: {}", place_text(lug.component), lug.like_lugs)});
  }
}

bool is_known_elsewhere(const Verification& all, const ReadingChange& reading) {
  return std::any_of(all.readings.begin(), all.readings.end(), [&](const ReadingChange& other) {
    return other.motor == reading.motor && other.fault_before && other.fault_after &&
           other.change != Change::moved && other.phase == reading.phase;
  });
}

void add_readings(std::vector<NewFault>& faults, const Verification& all, const Side& after) {
  for (const ReadingChange& reading : all.readings) {
    const bool is_ohms = reading.after && reading.after->phase;
    const bool has_moved = reading.change == Change::moved;
    const bool is_new = reading.fault_after && !reading.fault_before;
    if (!is_ohms || !(has_moved || is_new)) continue;
    if (!reading.before && is_known_elsewhere(all, reading)) continue;
    NewFault fault{reading.motor, reading.place, {}, reading.after->phase, "", {}};
    fault.what = sentence("{}: {} stands out, {}", reading_title(reading.test, reading.place),
                          phase_title(after, *reading.after->phase), reading.reason);
    faults.push_back(std::move(fault));
  }
}

// The stretch that the circuit's largest excess lies in, where the readings tell.
const SegmentResult* worst_stretch(const MotorResult* motor) {
  constexpr double kAsGoodAsSure = 0.9;
  if (!motor) return nullptr;
  const SegmentResult* worst = nullptr;
  for (const SegmentResult& segment : motor->segments) {
    const bool shows = segment.excess.value() > kCoverage * segment.excess_u.value();
    if (!shows || segment.probability < kAsGoodAsSure) continue;
    if (!worst || segment.excess > worst->excess) worst = &segment;
  }
  return worst;
}

void add_stretches(std::vector<NewFault>& faults, const Verification& all, const Side& before,
                   const Side& after) {
  for (const MotorResult& motor : after.assessment.motors) {
    const bool is_still_bad =
        std::any_of(all.readings.begin(), all.readings.end(), [&](const ReadingChange& reading) {
          return reading.motor == motor.motor && reading.fault_after &&
                 reading.test == Test::winding_resistance;
        });
    const SegmentResult* was = worst_stretch(before.assessment.find_motor(motor.motor));
    const SegmentResult* is = worst_stretch(&motor);
    if (!is_still_bad || !was || !is) continue;
    if (folded(was->from) == folded(is->from) && folded(was->to) == folded(is->to)) continue;
    const Filling to = is->to.empty() ? Filling(sentence("the motor")) : Filling(is->to);
    faults.push_back({motor.motor,
                      is->from,
                      {},
                      is->phase,
                      "",
                      sentence("from {} to {}: {} is {} above the others", place_text(is->from), to,
                               phase_title(after, is->phase), resistance(is->excess))});
  }
}

}  // namespace

Sentence phase_title(const Side& side, Phase phase) {
  return sentence("phase {}", side.assessment.survey.phase_names.at(index_of(phase)));
}

Sentence lug_title(const Side& side, const std::string& lug, Phase phase) {
  return layout("{} ({})", lug, phase_title(side, phase));
}

Sentence reading_title(Test test, const std::string& place) {
  Sentence name;
  switch (test) {
    case Test::winding_resistance:
      name = sentence("winding resistance");
      break;
    case Test::line_current:
      name = sentence("line current");
      break;
    case Test::line_voltage:
      name = sentence("line voltage");
      break;
    case Test::joint_resistance:
      name = sentence("resistance of a joint");
      break;
    case Test::joint_drop:
      name = sentence("voltage drop of a joint");
      break;
  }
  return place.empty() ? name : sentence("{} at {}", std::move(name), place);
}

std::vector<NewFault> find_new_faults(const Verification& all, const Side& before,
                                      const Side& after) {
  std::vector<NewFault> faults;
  add_lugs(faults, all, before, after);
  add_readings(faults, all, after);
  add_stretches(faults, all, before, after);
  return faults;
}

std::vector<OpenFinding> find_open(const Verification& all, const Side& before) {
  std::vector<OpenFinding> open;
  std::set<int> told;
  for (const Finding& finding : before.assessment.findings) {
    Sentence why;
    if (finding.lug) {
      const LugChange* lug = change_of(all, finding);
      if (lug && !lug->after) why = lug->reason;
    } else if (finding.image) {
      const bool seen = std::any_of(all.lugs.begin(), all.lugs.end(), [&](const LugChange& lug) {
        return lug.motor == finding.motor && lug.after &&
               folded(lug.component) == folded(finding.component);
      });
      if (!seen) why = sentence("the component was not imaged in the second survey");
    } else {
      const bool seen =
          std::any_of(all.readings.begin(), all.readings.end(), [&](const ReadingChange& reading) {
            return reading.motor == finding.motor && reading.fault_before && reading.after;
          });
      if (!seen) why = sentence("not measured again");
    }
    if (why.empty() || !told.insert(finding.case_number).second) continue;
    open.push_back({finding.case_number, finding.rank, finding.motor, finding.component,
                    finding.lug, finding.phase, band_of(before.assessment, finding.grade),
                    std::move(why)});
  }
  return open;
}

}  // namespace ohmglow::diagnosis
