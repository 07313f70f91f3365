#include "explanations.h"

#include "ohmglow/sentence.h"

// How to extend these tables.
//
// No number here was counted in plants. The facts' likelihoods were counted in a forward model of
// motors, meters and cameras (tests/population, set `tune`; `likelihoods.py` prints the rows), which
// has no rotors: those of the rotor's facts, and the outcomes of the tests, are house rules. Priors are assumed; a policy may replace them. What must
// hold, and is tested: the priors sum to 1; for every cause, the facts of one kind sum to 1; so do
// the outcomes of a test.
//
// A new cause:  a value in Cause (and kCauses), its row in kCauseRows, a number at the end of every
//               line of likelihoods.
// A new fact:   a value in Fact (and kFacts) beside its kind, its row in kFactRows, and the place
//               in explain.cpp that sees it.
// A new test:   its outcomes and a row in kTestRows.

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<CauseRow, kCauses> kCauseRows{{
    {"sound", msg("no fault between the phases"), 0.331},
    {"lug_joint", msg("bad joint at this lug"), 0.229},
    {"double_conductor",
     msg("parallel conductors or lugs on this phase, and the colder one is bad"), 0.032},
    {"switch_contact", msg("worn contact in this disconnect or starter"), 0.032},
    {"upstream_joint", msg("bad joint or contact upstream, towards the supply"), 0.032},
    {"downstream_joint", msg("bad joint downstream, towards the motor"), 0.032},
    {"swapped_marking", msg("bad joint, with the lead markings swapped"), 0.020},
    {"winding", msg("fault in the winding"), 0.050},
    {"meter_lead", msg("bad clip or test lead of the meter"), 0.041},
    {"unequal_load", msg("unequal currents from the motor or its circuit"), 0.046},
    {"unequal_supply", msg("unequal supply voltages"), 0.046},
    {"drive", msg("unequal input currents of a drive"), 0.028},
    {"unlike_emissivity", msg("wrong emissivity: one lug's surface is not what was entered"),
     0.028},
    {"reflection", msg("reflection of something warm in one lug"), 0.018},
    {"sun", msg("sun on one side"), 0.018},
    {"open_phase", msg("open line: the motor runs on two phases"), 0.017},
}};

// clang-format off
// Columns in the order of Cause:
// sound, lug_joint, double_conductor, switch_contact, upstream_joint, downstream_joint, swapped_marking, winding,
// meter_lead, unequal_load, unequal_supply, drive, unlike_emissivity, reflection, sun, open_phase
constexpr std::array<FactRow, kFacts> kFactRows{{
    {"heat_even", msg("the lugs are equally warm"),
     {0.992, 0.024, 0.059, 0.047, 0.994, 0.957, 0.035, 0.772, 0.990, 0.864, 0.295, 0.705, 0.570, 0.029, 0.447, 0.031}},
    {"heat_one_lug", msg("one lug is hot and current does not explain it"),
     {0.005, 0.952, 0.563, 0.924, 0.003, 0.006, 0.959, 0.016, 0.006, 0.004, 0.036, 0.010, 0.156, 0.966, 0.056, 0.012}},
    {"heat_uneven", msg("all three lugs differ and current does not explain it"),
     {0.001, 0.022, 0.374, 0.025, 0.001, 0.001, 0.001, 0.006, 0.001, 0.006, 0.011, 0.028, 0.019, 0.001, 0.471, 0.001}},
    {"heat_two_lugs", msg("two lugs are hot, one is cool"),
     {0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.006, 0.006, 0.001, 0.251, 0.001, 0.022, 0.953}},
    {"heat_follows_currents", msg("the heat follows the currents"),
     {0.001, 0.001, 0.003, 0.003, 0.001, 0.035, 0.004, 0.205, 0.002, 0.120, 0.652, 0.256, 0.004, 0.003, 0.004, 0.003}},

    {"heat_slight", msg("the hot lug stands out only a little"),
     {0.683, 0.129, 0.160, 0.121, 0.260, 0.484, 0.032, 0.195, 0.260, 0.911, 0.668, 0.533, 0.568, 0.285, 0.268, 0.259}},
    {"heat_strong", msg("the hot lug stands out clearly"),
     {0.317, 0.871, 0.840, 0.879, 0.740, 0.516, 0.968, 0.805, 0.740, 0.089, 0.332, 0.467, 0.432, 0.715, 0.732, 0.741}},

    {"spot_whole", msg("the hot lug is warm all over"),
     {0.976, 0.999, 0.998, 0.998, 0.944, 0.988, 0.997, 0.996, 0.944, 0.993, 0.999, 0.993, 0.994, 0.119, 0.994, 0.997}},
    {"spot_part", msg("only part of the hot lug is warm"),
     {0.024, 0.001, 0.002, 0.002, 0.056, 0.012, 0.003, 0.004, 0.056, 0.007, 0.001, 0.007, 0.006, 0.881, 0.006, 0.003}},

    {"resistance_in_balance", msg("the pairs are balanced, though a joint this hot would show in them"),
     {0.988, 0.675, 0.946, 0.662, 0.962, 0.935, 0.506, 0.315, 0.694, 0.982, 0.963, 0.990, 0.992, 0.937, 0.977, 0.656}},
    {"resistance_one_size", msg("the pairs point to the hot lug's phase and agree in size"),
     {0.001, 0.214, 0.006, 0.104, 0.001, 0.001, 0.003, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.007, 0.003, 0.011}},
    {"resistance_other_size", msg("the pairs point to the hot lug's phase but differ in size"),
     {0.001, 0.088, 0.003, 0.102, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.003, 0.001, 0.005}},
    {"resistance_names_other", msg("the pairs point to another phase than the hot lug"),
     {0.001, 0.001, 0.002, 0.002, 0.001, 0.001, 0.472, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.003, 0.001, 0.004}},
    {"resistance_without_heat", msg("the pairs are unbalanced and no lug is hot"),
     {0.007, 0.011, 0.017, 0.012, 0.031, 0.061, 0.007, 0.145, 0.159, 0.001, 0.029, 0.003, 0.002, 0.020, 0.007, 0.029}},
    {"resistance_one_pair", msg("only one pair is high, which points to a winding or a test clip"),
     {0.002, 0.011, 0.026, 0.118, 0.004, 0.001, 0.011, 0.537, 0.144, 0.014, 0.005, 0.004, 0.003, 0.030, 0.011, 0.295}},

    {"stretch_sound", msg("the readings on either side show no excess between them"),
     {0.667, 0.333, 0.667, 0.667, 0.667, 0.500, 0.667, 0.917, 0.667, 0.667, 0.667, 0.667, 0.667, 0.667, 0.667, 0.667}},
    {"stretch_bad", msg("the readings on either side place the excess between them"),
     {0.333, 0.667, 0.333, 0.333, 0.333, 0.500, 0.333, 0.083, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},

    {"joint_bad", msg("this joint itself measures high"),
     {0.011, 0.924, 0.375, 0.050, 0.250, 0.250, 0.750, 0.058, 0.050, 0.075, 0.050, 0.094, 0.094, 0.094, 0.107, 0.125}},
    {"joint_alike", msg("the three joints measure alike"),
     {0.989, 0.076, 0.625, 0.950, 0.750, 0.750, 0.250, 0.942, 0.950, 0.925, 0.950, 0.906, 0.906, 0.906, 0.893, 0.875}},

    {"voltage_balanced", msg("the supply voltages are balanced"),
     {0.999, 0.963, 0.984, 0.985, 0.996, 0.968, 0.977, 0.991, 0.991, 0.996, 0.013, 0.181, 0.982, 0.980, 0.977, 0.978}},
    {"voltage_unbalanced", msg("the supply voltages are unbalanced"),
     {0.001, 0.037, 0.016, 0.015, 0.004, 0.032, 0.023, 0.009, 0.009, 0.004, 0.987, 0.819, 0.018, 0.020, 0.023, 0.022}},

    {"current_even", msg("the currents are balanced"),
     {0.976, 0.931, 0.993, 0.993, 0.966, 0.937, 0.990, 0.436, 0.964, 0.152, 0.013, 0.573, 0.986, 0.992, 0.968, 0.038}},
    {"current_unequal", msg("the currents are unbalanced"),
     {0.023, 0.068, 0.006, 0.006, 0.033, 0.062, 0.009, 0.563, 0.035, 0.847, 0.986, 0.426, 0.013, 0.007, 0.031, 0.007}},
    {"current_none", msg("one line carries no current"),
     {0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.955}},

    {"surface_alike", msg("all lugs have the same finish"),
     {0.521, 0.922, 0.895, 0.884, 0.883, 0.974, 0.902, 0.990, 0.883, 0.985, 0.944, 0.984, 0.678, 0.373, 0.987, 0.895}},
    {"surface_differs", msg("the hot lug's finish differs from the others"),
     {0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001}},
    {"surface_bare", msg("the hot lug is bare metal and reflects"),
     {0.478, 0.077, 0.104, 0.115, 0.116, 0.025, 0.097, 0.009, 0.116, 0.014, 0.055, 0.015, 0.321, 0.626, 0.012, 0.104}},

    {"place_switch", msg("the component is a switching device"),
     {0.661, 0.578, 0.692, 0.988, 0.250, 0.997, 0.570, 0.639, 0.651, 0.653, 0.683, 0.673, 0.652, 0.731, 0.039, 0.630}},
    {"place_connection", msg("the component is a connection point"),
     {0.339, 0.422, 0.308, 0.012, 0.750, 0.003, 0.430, 0.361, 0.349, 0.347, 0.317, 0.327, 0.348, 0.269, 0.961, 0.370}},

    {"feed_line", msg("the motor runs from the line"),
     {0.999, 0.924, 0.994, 0.996, 0.999, 0.887, 0.992, 0.998, 0.998, 0.998, 0.998, 0.035, 0.997, 0.995, 0.991, 0.994}},
    {"feed_drive", msg("the motor is fed by a drive"),
     {0.001, 0.076, 0.006, 0.004, 0.001, 0.113, 0.008, 0.002, 0.002, 0.002, 0.002, 0.965, 0.003, 0.005, 0.009, 0.006}},

    {"others_even", msg("the motor's other components show no hot lug"),
     {0.839, 0.961, 0.966, 0.986, 0.679, 0.234, 0.979, 0.183, 0.679, 0.739, 0.130, 0.949, 0.503, 0.076, 0.679, 0.052}},
    {"others_same_phase", msg("the same phase is hot at another of the motor's components"),
     {0.139, 0.015, 0.029, 0.012, 0.277, 0.295, 0.018, 0.811, 0.277, 0.254, 0.849, 0.044, 0.403, 0.921, 0.277, 0.637}},
    {"others_other_phase", msg("a different phase is hot at another of the motor's components"),
     {0.022, 0.024, 0.005, 0.002, 0.044, 0.471, 0.003, 0.006, 0.044, 0.007, 0.021, 0.007, 0.094, 0.003, 0.044, 0.311}},

    {"note_none", msg("the note mentions neither sun nor reflection"),
     {0.705, 0.705, 0.968, 0.705, 0.926, 0.920, 0.705, 0.705, 0.705, 0.705, 0.705, 0.705, 0.705, 0.705, 0.111, 0.705}},
    {"note_sun", msg("the note mentions sun"),
     {0.279, 0.279, 0.030, 0.279, 0.070, 0.076, 0.279, 0.279, 0.279, 0.279, 0.279, 0.279, 0.279, 0.279, 0.886, 0.279}},
    {"note_reflection", msg("the note mentions a reflection"),
     {0.016, 0.016, 0.002, 0.016, 0.004, 0.004, 0.016, 0.016, 0.016, 0.016, 0.016, 0.016, 0.016, 0.016, 0.003, 0.016}},

    {"rotor_even", msg("the sweep and the air gap are even"),
     {0.900, 0.900, 0.900, 0.900, 0.900, 0.900, 0.900, 0.450, 0.900, 0.400, 0.900, 0.900, 0.900, 0.900, 0.900, 0.900}},
    {"rotor_uneven", msg("the air gap is out, or the sweep changes with the rotor"),
     {0.080, 0.080, 0.080, 0.080, 0.080, 0.080, 0.080, 0.100, 0.080, 0.500, 0.080, 0.080, 0.080, 0.080, 0.080, 0.080}},
    {"rotor_pairs_differ", msg("the pairs' inductance differs over the whole turn"),
     {0.020, 0.020, 0.020, 0.020, 0.020, 0.020, 0.020, 0.450, 0.020, 0.100, 0.020, 0.020, 0.020, 0.020, 0.020, 0.020}},
}};

// Kinds in the order of Fact: [first, next kind's first).
constexpr std::array<Fact, 14> kKinds{Fact::heat_even, Fact::heat_slight, Fact::spot_whole, Fact::resistance_in_balance, Fact::stretch_sound, Fact::joint_bad, Fact::voltage_balanced, Fact::current_even, Fact::surface_alike, Fact::place_switch, Fact::feed_line, Fact::others_even, Fact::note_none, Fact::rotor_even};

constexpr std::array kReimageHigherLoad{
    OutcomeRow{msg("the rise grows with the current squared"),
               {0.100, 0.900, 0.900, 0.850, 0.100, 0.100, 0.900, 0.100, 0.100, 0.850, 0.850, 0.850, 0.450, 0.100, 0.100, 0.800}},
    OutcomeRow{msg("it does not"),
               {0.900, 0.100, 0.100, 0.150, 0.900, 0.900, 0.100, 0.900, 0.900, 0.150, 0.150, 0.150, 0.550, 0.900, 0.900, 0.200}},
};
constexpr std::array kJointResistance{
    OutcomeRow{msg("this joint is higher than the others"),
               {0.020, 0.950, 0.600, 0.100, 0.030, 0.030, 0.850, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030}},
    OutcomeRow{msg("the three joints are alike"),
               {0.980, 0.050, 0.400, 0.900, 0.970, 0.970, 0.150, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970}},
};
constexpr std::array kLeadRotation{
    OutcomeRow{msg("the high phase stays with the line"),
               {0.040, 0.050, 0.040, 0.750, 0.800, 0.040, 0.050, 0.040, 0.040, 0.200, 0.900, 0.900, 0.040, 0.040, 0.040, 0.700}},
    OutcomeRow{msg("it goes along with the motor lead"),
               {0.040, 0.050, 0.040, 0.040, 0.040, 0.800, 0.050, 0.850, 0.040, 0.700, 0.030, 0.040, 0.040, 0.040, 0.040, 0.200}},
    OutcomeRow{msg("it does neither: it stays at the joint"),
               {0.030, 0.800, 0.800, 0.150, 0.050, 0.060, 0.800, 0.030, 0.030, 0.030, 0.030, 0.030, 0.860, 0.860, 0.860, 0.030}},
    OutcomeRow{msg("nothing stands out"),
               {0.890, 0.100, 0.120, 0.060, 0.110, 0.100, 0.100, 0.080, 0.890, 0.070, 0.040, 0.030, 0.060, 0.060, 0.060, 0.070}},
};
constexpr std::array kJointDrop{
    OutcomeRow{msg("this joint drops more than the others"),
               {0.030, 0.930, 0.600, 0.120, 0.050, 0.050, 0.900, 0.050, 0.050, 0.100, 0.100, 0.100, 0.050, 0.050, 0.050, 0.050}},
    OutcomeRow{msg("the three drops are alike"),
               {0.970, 0.070, 0.400, 0.880, 0.950, 0.950, 0.100, 0.950, 0.950, 0.900, 0.900, 0.900, 0.950, 0.950, 0.950, 0.950}},
};
constexpr std::array kTerminalVoltage{
    OutcomeRow{msg("unequal at the terminals and at the supply"),
               {0.040, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.100, 0.930, 0.050, 0.050, 0.050, 0.050, 0.050}},
    OutcomeRow{msg("unequal at the terminals only"),
               {0.020, 0.300, 0.100, 0.700, 0.700, 0.250, 0.300, 0.060, 0.020, 0.150, 0.030, 0.020, 0.020, 0.020, 0.020, 0.900}},
    OutcomeRow{msg("equal at the terminals"),
               {0.940, 0.650, 0.850, 0.250, 0.250, 0.700, 0.650, 0.890, 0.930, 0.750, 0.040, 0.930, 0.930, 0.930, 0.930, 0.050}},
};
constexpr std::array kWindingAtBox{
    OutcomeRow{msg("the winding is out of balance by itself"),
               {0.020, 0.030, 0.020, 0.020, 0.020, 0.300, 0.020, 0.940, 0.020, 0.100, 0.020, 0.020, 0.020, 0.020, 0.020, 0.020}},
    OutcomeRow{msg("the winding is in balance"),
               {0.980, 0.970, 0.980, 0.980, 0.980, 0.700, 0.980, 0.060, 0.980, 0.900, 0.980, 0.980, 0.980, 0.980, 0.980, 0.980}},
};
constexpr std::array kEmissivityTape{
    OutcomeRow{msg("the rise goes when the lugs are taped"),
               {0.500, 0.030, 0.030, 0.050, 0.400, 0.400, 0.030, 0.400, 0.400, 0.050, 0.050, 0.050, 0.950, 0.930, 0.100, 0.030}},
    OutcomeRow{msg("the rise stays"),
               {0.500, 0.970, 0.970, 0.950, 0.600, 0.600, 0.970, 0.600, 0.600, 0.950, 0.950, 0.950, 0.050, 0.070, 0.900, 0.970}},
};
constexpr std::array kContactDrop{
    OutcomeRow{msg("one pole drops more than the others"),
               {0.050, 0.060, 0.050, 0.930, 0.300, 0.050, 0.050, 0.050, 0.050, 0.120, 0.100, 0.100, 0.050, 0.050, 0.050, 0.300}},
    OutcomeRow{msg("the poles are alike"),
               {0.950, 0.940, 0.950, 0.070, 0.700, 0.950, 0.950, 0.950, 0.950, 0.880, 0.900, 0.900, 0.950, 0.950, 0.950, 0.700}},
};
constexpr std::array kLeadMarkings{
    OutcomeRow{msg("a lead is not where its marking says"),
               {0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.950, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030, 0.030}},
    OutcomeRow{msg("every lead is where its marking says"),
               {0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.050, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970, 0.970}},
};
constexpr std::array kPairsAgain{
    OutcomeRow{msg("the unbalance is gone"),
               {0.500, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.920, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050, 0.050}},
    OutcomeRow{msg("the unbalance stays"),
               {0.500, 0.950, 0.950, 0.950, 0.950, 0.950, 0.950, 0.950, 0.080, 0.950, 0.950, 0.950, 0.950, 0.950, 0.950, 0.950}},
};
constexpr std::array kShade{
    OutcomeRow{msg("the rise goes"),
               {0.300, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.060, 0.150, 0.500, 0.930, 0.060}},
    OutcomeRow{msg("the rise stays"),
               {0.700, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.940, 0.850, 0.500, 0.070, 0.940}},
};
constexpr std::array kOtherAngle{
    OutcomeRow{msg("the warm spot moves"),
               {0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.040, 0.150, 0.950, 0.150, 0.040}},
    OutcomeRow{msg("it stays"),
               {0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.960, 0.850, 0.050, 0.850, 0.960}},
};
constexpr std::array kDriveOutputCurrents{
    OutcomeRow{msg("equal at the output"),
               {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.080, 0.500, 0.930, 0.500, 0.500, 0.500, 0.300}},
    OutcomeRow{msg("unequal at the output"),
               {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.920, 0.500, 0.070, 0.500, 0.500, 0.500, 0.700}},
};
constexpr std::array kThreePairs{
    OutcomeRow{kFactRows[9].text, kFactRows[9].likelihood},
    OutcomeRow{kFactRows[10].text, kFactRows[10].likelihood},
    OutcomeRow{kFactRows[11].text, kFactRows[11].likelihood},
    OutcomeRow{kFactRows[12].text, kFactRows[12].likelihood},
    OutcomeRow{kFactRows[13].text, kFactRows[13].likelihood},
    OutcomeRow{kFactRows[14].text, kFactRows[14].likelihood},
};
// clang-format on

constexpr std::array kTestRows{
    TestRow{"reimage_higher_load", msg("a new image at 70 % of rated current or more"),
            msg("Take the image again at 70 % of rated current or more, half an hour after the "
                "load came on."),
            30, TestNeeds::low_load, WhileMotor::runs, kReimageHigherLoad},
    TestRow{"joint_resistance", msg("resistance across each joint, in micro-ohms"),
            msg("Lock out and verify dead. Measure across each of the three joints with a "
                "low-resistance meter and compare."),
            40, TestNeeds::no_joint_reading, WhileMotor::is_locked_out, kJointResistance},
    TestRow{"lead_rotation", msg("the three motor leads rotated one position"),
            msg("Lock out and verify dead. Rotate the three motor leads one position (1→2→3→1; the "
                "motor turns the same way). Run, and see whether the high phase moves with the "
                "lead, stays with the line or stays at the joint."),
            90, TestNeeds::nothing, WhileMotor::is_locked_out, kLeadRotation},
    TestRow{"joint_drop", msg("voltage drop across each joint"),
            msg("Qualified people with the required protection: measure the voltage drop across "
                "each of the three joints at the same load and compare."),
            30, TestNeeds::no_joint_reading, WhileMotor::runs, kJointDrop},
    TestRow{"terminal_voltage", msg("line voltages at the motor and at the supply"),
            msg("Qualified people with the required protection: measure the three line voltages at "
                "the motor and at the supply under load."),
            25, TestNeeds::no_voltage, WhileMotor::runs, kTerminalVoltage},
    TestRow{"winding_at_box", msg("winding resistance at the terminal box, leads disconnected"),
            msg("Lock out and verify dead. Disconnect the motor leads from the cable in the "
                "terminal box and measure the three pairs of the winding alone."),
            45, TestNeeds::nothing, WhileMotor::is_locked_out, kWindingAtBox},
    TestRow{"emissivity_tape", msg("tape of known emissivity on all three lugs, then a new image"),
            msg("Lock out and verify dead. Put tape of known emissivity on all three lugs, run at "
                "the same load and take the image again."),
            35, TestNeeds::nothing, WhileMotor::is_locked_out, kEmissivityTape},
    TestRow{"contact_drop", msg("voltage drop across each pole of the disconnect or starter"),
            msg("Qualified people with the required protection: measure the voltage drop across "
                "each closed pole at the same load and compare."),
            30, TestNeeds::nothing, WhileMotor::runs, kContactDrop},
    TestRow{"lead_markings", msg("each lead traced from the lug to the meter"),
            msg("Lock out and verify dead. Trace each lead by continuity from the lug to the point "
                "where the meter was connected, and compare with the markings."),
            25, TestNeeds::reading, WhileMotor::is_locked_out, kLeadMarkings},
    TestRow{"pairs_again", msg("the three pairs again, with clips cleaned and moved"),
            msg("Lock out and verify dead. Clean the contact points, clip on again (four-wire if "
                "the meter can) and measure the three pairs again."),
            20, TestNeeds::reading, WhileMotor::is_locked_out, kPairsAgain},
    TestRow{"shade", msg("the image again in shade or after dark"),
            msg("Shade the enclosure for half an hour, or come back after dark at the same load, "
                "and take the image again."),
            40, TestNeeds::nothing, WhileMotor::runs, kShade},
    TestRow{"other_angle", msg("the image from another side"),
            msg("Take the image from two other sides. A reflection moves over the lug; a warm lug "
                "does not."),
            5, TestNeeds::nothing, WhileMotor::runs, kOtherAngle},
    TestRow{"drive_output_currents", msg("line currents at the drive output"),
            msg("Qualified people with the required protection: measure the three currents at the "
                "drive output with a true-RMS clamp that states its lowest frequency."),
            20, TestNeeds::drive, WhileMotor::runs, kDriveOutputCurrents},
    TestRow{"three_pairs", msg("winding resistance of the three pairs"),
            msg("Lock out and verify dead. Measure the three pairs through this component with a "
                "low-resistance meter."),
            30, TestNeeds::no_reading, WhileMotor::is_locked_out, kThreePairs},
};

}  // namespace

const std::array<CauseRow, kCauses>& cause_rows() {
  return kCauseRows;
}
const FactRow& row_of(Fact fact) {
  return kFactRows.at(static_cast<std::size_t>(fact));
}
std::span<const Fact> fact_kinds() {
  return kKinds;
}
std::span<const TestRow> test_rows() {
  return kTestRows;
}

}  // namespace ohmglow::diagnosis
