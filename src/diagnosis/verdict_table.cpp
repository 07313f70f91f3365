#include "wording.h"

#include <array>
#include <string>

namespace ohmglow::diagnosis {
namespace {

struct Row {
  std::string_view id;
  std::string_view meaning;
  std::string_view next_step;
  std::string_view holds_test;  // the next test that this step is already, or that follows from it
  std::string_view other_test;  // and another
};

// In the order of Verdict.
constexpr std::array<Row, kFindingVerdicts> kVerdictRows{{
    {"open_phase",
     msg("One line carries no current while the other two run: the motor runs on two phases."),
     msg("Stop the motor now and do not restart it. Lock out and verify dead. From the supply to "
         "the motor, look in this phase for a blown fuse, an open contact, a broken cable or a "
         "burnt lug. Measure the three pairs of the winding before the motor runs again."),
     "", ""},
    {"confirmed",
     msg("The thermal image and the resistance test point to the same phase and agree in size: a "
         "bad connection in that phase."),
     msg("Lock out and verify dead. Open the connection of this phase; clean or replace what is "
         "burnt, loose or corroded; tighten to the stated torque. Measure the three pairs again "
         "and take a new image under load."),
     "", ""},
    {"phase_agrees",
     msg("The thermal image and the resistance test point to the same phase but differ in size: "
         "part of the extra resistance is elsewhere in this phase."),
     msg("Lock out and verify dead. Measure across this joint alone with a low-resistance meter, "
         "then at each point along the circuit. Repair the joint that is high."),
     "joint_resistance", "joint_drop"},
    {"phase_conflict",
     msg("The thermal image and the resistance test are both abnormal but point to different "
         "phases."),
     msg("Lock out and verify dead. Check the lead markings first: trace each lead from the lug to "
         "the point where the meter was connected, then measure the three pairs there again. If "
         "the two still disagree, look for two faults."),
     "lead_markings", "pairs_again"},
    {"heat_only", msg("A lug is hot, but the resistance readings show no fault in its joint."),
     msg("Lock out and verify dead. Check that the three lugs have the same finish and emissivity. "
         "Then measure across each joint with a low-resistance meter and compare the phases."),
     "joint_resistance", "joint_drop"},
    {"reading_only",
     msg("The resistance readings are unbalanced, but no lug stands out in the image."),
     msg("Lock out and verify dead. Measure line-to-line resistance at each point from the starter "
         "to the motor. The bad joint is between the last point that shows the unbalance and the "
         "first that does not."),
     "three_pairs", "winding_at_box"},
    {"no_reading",
     msg("There is no recent resistance test through this component to compare with the image."),
     msg("Lock out and verify dead. Measure winding resistance here on all three pairs, one after "
         "the other at the same winding temperature."),
     "three_pairs", ""},
    {"supply_unbalance",
     msg("The currents are unequal because the supply voltages are. They explain the heat."),
     msg("With the motor running, measure the three line voltages at the motor and towards the "
         "supply. Then lock out, verify dead and rotate the three motor leads one position. A high "
         "current that stays with the line comes from the supply."),
     "terminal_voltage", "lead_rotation"},
    {"load_unbalance", msg("The currents are unequal. They explain the heat."),
     msg("With the motor running, measure the three line voltages and currents together. Then lock "
         "out, verify dead and rotate the three motor leads one position. A high current that "
         "moves with the lead comes from the motor; one that stays with the line comes from the "
         "supply."),
     "terminal_voltage", "lead_rotation"},
    {"not_judged", msg("Not judged: a bad connection would not have shown in this image."),
     msg("Take the image again under more load."), "", ""},
    {"even", msg("No bad connection found: no lug is hotter than its neighbours."),
     msg("No repair needed. If all lugs run hot, check the load, the ventilation and the air "
         "temperature you entered."),
     "", ""},
    {"unmarked_hot_spot", msg("Something outside the marks is hot."),
     msg("Look at this place in the image and on site. If it is a connection, mark it and run the "
         "assessment again. If it is a reflection, or has the sun or a hot wall behind it, take "
         "the image from another side."),
     "", ""},
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
    return sentence("Take the image again under load and note the currents.");
  }
  return sentence(
      "Lock out and verify dead. Put tape of known emissivity on the lugs, then take the image "
      "again under load.");
}

Sentence next_step_of(Verdict verdict, const std::vector<std::string>& not_imaged) {
  Sentence step = sentence(row_of(verdict).next_step);
  if (verdict != Verdict::reading_only || not_imaged.empty()) return step;
  return sentences({std::move(step), sentence("Image under load: {}.", listed(not_imaged))});
}

bool holds_test(Verdict verdict, std::string_view test) {
  const Row& row = row_of(verdict);
  return !test.empty() && (test == row.holds_test || test == row.other_test);
}

std::vector<Sentence> cautions() {
  return {
      sentence("Only qualified people may open a live enclosure, with the arc-flash and shock "
               "protection that local rules require. Nothing in this result is permission to open "
               "one."),
      sentence("Measure resistance on dead equipment only: all sources disconnected, locked out, "
               "tagged and verified dead; capacitors discharged; drives and capacitors "
               "disconnected."),
      sentence("These findings help a qualified person decide. The limits are guidance; local "
               "codes and the responsible person come first."),
      sentence("A rise measured at low load understates the fault."),
      sentence("No hot spot does not prove a sound joint."),
  };
}

}  // namespace ohmglow::diagnosis
