#include "wording.h"

#include <array>
#include <string>

namespace ohmglow::diagnosis {
namespace {

struct Row {
  std::string_view id;
  std::string_view meaning;
  std::string_view next_step;
};

// In the order of Verdict.
constexpr std::array<Row, kFindingVerdicts> kVerdictRows{{
    {"open_phase",
     msg("One line carries no current while the others run: the motor runs on two phases."),
     msg("Stop the motor now; do not start it again. De-energise, lock out and verify dead; look "
         "for "
         "a blown fuse, an open contact, a parted cable or a burnt lug in this phase, from the "
         "supply "
         "to the motor, and measure the three pairs of the winding before it runs again.")},
    {"confirmed",
     msg("Heat and resistance name the same phase and one size of fault: a bad connection in that "
         "phase."),
     msg("De-energise, lock out and verify dead; open the connection of this phase, clean or "
         "replace "
         "what is burnt, loose or corroded, tighten to the stated torque, measure the three pairs "
         "again, and take a new image under load.")},
    {"phase_agrees",
     msg("Heat and resistance name the same phase but not the same size: part of the excess is "
         "elsewhere in this phase."),
     msg("De-energised, locked out and verified dead, measure across this joint alone with a "
         "low-resistance meter, then at one place after the other along the circuit: mend the "
         "joint that makes the excess.")},
    {"phase_conflict",
     msg("Heat and resistance are both abnormal, but they name different phases."),
     msg("Check the lead markings first: de-energised, locked out and verified dead, trace each "
         "lead "
         "from the lug to the meter and measure the three pairs again at this place; if they still "
         "disagree, look for two faults.")},
    {"heat_only", msg("A lug is hot, and the readings name no fault in its joint."),
     msg("Check that the three lugs have the same finish and emissivity; then, de-energised, "
         "locked "
         "out and verified dead, measure across each joint alone with a low-resistance meter and "
         "compare the three phases.")},
    {"reading_only",
     msg("The readings are out of balance while no lug stands out: the fault shows in the readings "
         "alone."),
     msg("De-energised, locked out and verified dead, measure the three pairs at one place after "
         "the "
         "other along the circuit: the fault lies where the unbalance comes or goes.")},
    {"no_reading",
     msg("No resistance reading that looks through this component is recent enough to hold against "
         "the image."),
     msg("De-energised, locked out and verified dead, measure the three pairs of winding "
         "resistance "
         "at this place, one after the other at the same winding temperature.")},
    {"supply_unbalance",
     msg("The currents are unequal, the supply's voltages are out of balance, and no heat is left "
         "that the currents do not account for."),
     msg("Measure the three line voltages at the motor and towards the supply under load; "
         "de-energised, move all three leads on by one position: a high current that stays with "
         "the "
         "supply line comes from the supply.")},
    {"load_unbalance",
     msg("The currents are unequal, and no heat is left that they do not account for."),
     msg("Measure the three line voltages and currents together under load; de-energised, move all "
         "three leads on by one position: a high current that goes along with the motor lead comes "
         "from the motor, one that stays with the line comes from the supply.")},
    {"not_judged",
     msg("No fault could have shown here: this image calls the component neither sound nor bad."),
     msg("Take the image again under more load.")},
    {"even", msg("Nothing abnormal between the phases."),
     msg("Nothing to mend between the phases.")},
    {"unmarked_hot_spot", msg("Something is hot that no mark covers."),
     msg("Look at the place on the image and on site. If it is a connection, mark it and assess "
         "again; if it mirrors something or has the sun or a hot wall behind it, take the image "
         "again from another side.")},
}};
static_assert(!kVerdictRows.back().id.empty());

const Row& row_of(Verdict verdict) {
  return kVerdictRows.at(static_cast<std::size_t>(verdict));
}

}  // namespace

std::string_view id_of(Verdict verdict) {
  return row_of(verdict).id;
}
std::string_view meaning_of(Verdict verdict) {
  return row_of(verdict).meaning;
}

Sentence image_again(const ComponentResult& component) {
  if (component.image_again_from) {
    return sentence("Take the image again at {} A or more, half an hour after the load came on.",
                    in_amperes(*component.image_again_from));
  }
  if (!component.mean_load_a || component.mean_load_a->value() <= 0) {
    return sentence("Take the image again under load, and note the currents.");
  }
  return sentence(
      "De-energised, locked out and verified dead, put tape of known emissivity on the lugs; then "
      "take the image again under load.");
}

Sentence next_step_of(Verdict verdict, const std::vector<std::string>& not_imaged) {
  Sentence step = sentence(row_of(verdict).next_step);
  if (verdict != Verdict::reading_only || not_imaged.empty()) return step;
  return sentences({std::move(step),
                    sentence("Not imaged yet, to be seen under load: {}.", listed(not_imaged))});
}

std::vector<Sentence> cautions() {
  return {
      sentence("Only qualified people open an energised enclosure, with the arc-flash and shock "
               "protection "
               "that local rules require; nothing in this result is permission to open one."),
      sentence(
          "Resistance is measured on de-energised equipment only: all sources disconnected, locked "
          "out and tagged, verified dead, capacitors discharged, drives and capacitors "
          "disconnected."),
      sentence(
          "These findings help a qualified person decide; the limits are guidance, local codes and "
          "the licensed person come first."),
      sentence("A rise measured at low load understates the fault."),
      sentence("The absence of a hot spot does not prove that a joint is sound."),
  };
}

}  // namespace ohmglow::diagnosis
