#include "explanations.h"

#include "ohmglow/sentence.h"

// How to extend these tables.
//
// No number here was counted in plants. The facts' likelihoods were counted in a forward model of
// motors, meters and cameras (tests/population, set `tune`; `likelihoods.py` prints the rows), the
// outcomes of the tests are house rules. Priors are assumed; a policy may replace them. What must
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
    {"sound", msg("nothing is wrong between the phases"), 0.420},
    {"lug_joint", msg("a bad joint in this lug"), 0.170},
    {"double_conductor",
     msg("two conductors in one lug, or one of two lugs of this phase is bad: then the cold one"),
     0.030},
    {"switch_contact", msg("a worn contact in this disconnect or starter"), 0.050},
    {"upstream_joint", msg("a bad joint or contact upstream, towards the supply"), 0.030},
    {"downstream_joint", msg("a bad joint downstream, towards the motor"), 0.030},
    {"swapped_marking", msg("a bad joint, and lead markings that are swapped"), 0.020},
    {"winding", msg("a fault in the winding"), 0.040},
    {"meter_lead", msg("a bad clip or lead of the meter"), 0.040},
    {"unequal_load", msg("unequal currents that the motor or its circuit draws"), 0.040},
    {"unequal_supply", msg("unequal voltages of the supply"), 0.040},
    {"drive", msg("the unequal currents that a drive draws from its supply"), 0.020},
    {"unlike_emissivity", msg("unlike emissivity: one lug's surface is not what was entered"),
     0.030},
    {"reflection", msg("something warm mirrored in one lug"), 0.015},
    {"sun", msg("sun on one side"), 0.015},
    {"open_phase", msg("one line is open: the motor runs on two phases"), 0.010},
}};

// clang-format off
// Columns in the order of Cause:
// sound, lug_joint, double_conductor, switch_contact, upstream_joint, downstream_joint, swapped_marking, winding,
// meter_lead, unequal_load, unequal_supply, drive, unlike_emissivity, reflection, sun, open_phase
constexpr std::array<FactRow, kFacts> kFactRows{{
    {"heat_even", msg("the lugs are even"),
     {0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200}},
    {"heat_one_lug", msg("one lug alone is hot, and the currents do not explain it"),
     {0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200}},
    {"heat_uneven", msg("the three lugs differ from each other, and the currents do not explain it"),
     {0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200}},
    {"heat_two_lugs", msg("two lugs are hot and one is cool"),
     {0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200}},
    {"heat_follows_currents", msg("the heat follows the currents"),
     {0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200, 0.200}},

    {"heat_slight", msg("the hot lug stands out by little"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"heat_strong", msg("the hot lug stands far out"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"spot_whole", msg("the hot lug is warm all over"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"spot_part", msg("a part of the hot lug alone is warm"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"resistance_in_balance", msg("the pairs are in balance, and would show this heat"),
     {0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165, 0.165}},
    {"resistance_one_size", msg("the pairs name the hot lug's phase, and a fault of its size"),
     {0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167}},
    {"resistance_other_size", msg("the pairs name the hot lug's phase, but not a fault of its size"),
     {0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167}},
    {"resistance_names_other", msg("the pairs name a phase whose lug is not the hot one"),
     {0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167}},
    {"resistance_without_heat", msg("the pairs are out of balance, and no lug is hot"),
     {0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167}},
    {"resistance_one_pair", msg("one pair alone is high, as a winding or a clip makes it"),
     {0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167, 0.167}},

    {"stretch_sound", msg("the readings on either side find nothing between them"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"stretch_bad", msg("the readings on either side find the excess between them"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"joint_bad", msg("this joint itself measures high"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"joint_alike", msg("the three joints measure alike"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"voltage_balanced", msg("the supply's voltages are in balance"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"voltage_unbalanced", msg("the supply's voltages are out of balance"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"current_even", msg("the currents are alike"),
     {0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334}},
    {"current_unequal", msg("the currents are unequal"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},
    {"current_none", msg("one line carries no current"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},

    {"surface_alike", msg("the lugs have one finish"),
     {0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334}},
    {"surface_differs", msg("the hot lug's finish differs from its likes'"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},
    {"surface_bare", msg("the hot lug's surface is bare and reflects"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},

    {"place_switch", msg("the component is a switching device"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"place_connection", msg("the component is a connection point"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"feed_line", msg("the motor runs from the line"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},
    {"feed_drive", msg("the motor is fed by a drive"),
     {0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500, 0.500}},

    {"others_even", msg("the motor's other components are even"),
     {0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334}},
    {"others_same_phase", msg("the same phase is hot at another component of the motor"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},
    {"others_other_phase", msg("another phase is hot at another component of the motor"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},

    {"note_none", msg("the note tells of no sun and no reflection"),
     {0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334, 0.334}},
    {"note_sun", msg("the note tells of sun"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},
    {"note_reflection", msg("the note tells of a reflection"),
     {0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333, 0.333}},
}};

// Kinds in the order of Fact: [first, next kind's first).
constexpr std::array<Fact, 13> kKinds{Fact::heat_even, Fact::heat_slight, Fact::spot_whole, Fact::resistance_in_balance, Fact::stretch_sound, Fact::joint_bad, Fact::voltage_balanced, Fact::current_even, Fact::surface_alike, Fact::place_switch, Fact::feed_line, Fact::others_even, Fact::note_none};

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
    TestRow{"reimage_higher_load", msg("a new image at higher load"),
            msg("Take the image again at 70 % of rated current or more, half an hour after the "
                "change."),
            30, TestNeeds::nothing, kReimageHigherLoad},
    TestRow{"joint_resistance", msg("micro-ohms across each joint"),
            msg("De-energised, locked out and verified dead: measure across each of the three "
                "joints with a low-resistance meter and compare."),
            40, TestNeeds::nothing, kJointResistance},
    TestRow{"lead_rotation", msg("all three leads moved on by one position"),
            msg("De-energised, locked out and verified dead: move all three leads on by one "
                "position (the sense of rotation stays), run, and look which of line, lead or "
                "joint the high phase follows."),
            90, TestNeeds::nothing, kLeadRotation},
    TestRow{"joint_drop", msg("millivolts across each joint under load"),
            msg("Qualified people with the required protection: measure the voltage drop across "
                "each of the three joints under the same load and compare."),
            30, TestNeeds::nothing, kJointDrop},
    TestRow{"terminal_voltage", msg("line voltages at the terminals and at the supply, under load"),
            msg("Qualified people with the required protection: measure the three line voltages at "
                "the motor and at the supply under load."),
            25, TestNeeds::nothing, kTerminalVoltage},
    TestRow{"winding_at_box", msg("winding resistance at the terminal box, leads parted"),
            msg("De-energised, locked out and verified dead: part the motor leads from the cable "
                "in the terminal box and measure the three pairs of the winding alone."),
            45, TestNeeds::nothing, kWindingAtBox},
    TestRow{"emissivity_tape", msg("tape of known emissivity on all three lugs"),
            msg("De-energised, locked out and verified dead: put tape of known emissivity on all "
                "three lugs; run at the same load and take the image again."),
            35, TestNeeds::nothing, kEmissivityTape},
    TestRow{"contact_drop", msg("millivolts across each pole of the disconnect and starter"),
            msg("Qualified people with the required protection: measure the voltage drop across "
                "each closed pole under the same load and compare."),
            30, TestNeeds::nothing, kContactDrop},
    TestRow{"lead_markings", msg("each lead traced from the lug to the meter"),
            msg("De-energised, locked out and verified dead: trace each lead by continuity from "
                "the lug to where the meter was, and compare with the markings."),
            25, TestNeeds::nothing, kLeadMarkings},
    TestRow{"pairs_again", msg("the three pairs again, clips cleaned and moved"),
            msg("De-energised, locked out and verified dead: clean the contact points, clip on "
                "anew (four-wire where the meter can) and measure the three pairs again."),
            20, TestNeeds::reading, kPairsAgain},
    TestRow{"shade", msg("the image again in shade, or after dark"),
            msg("Shade the enclosure for half an hour, or come again after dark at the same load, "
                "and take the image again."),
            40, TestNeeds::nothing, kShade},
    TestRow{"other_angle", msg("the image from another side"),
            msg("Take the image again from two other sides: a mirrored spot moves over the lug, a "
                "warm lug does not."),
            5, TestNeeds::nothing, kOtherAngle},
    TestRow{"drive_output_currents", msg("line currents at the drive's output"),
            msg("Qualified people with the required protection: measure the three currents at the "
                "drive's output with a true-RMS clamp that states its lowest frequency."),
            20, TestNeeds::drive, kDriveOutputCurrents},
    TestRow{"three_pairs", msg("winding resistance of the three pairs"),
            msg("De-energised, locked out and verified dead: measure the three pairs through this "
                "component with a low-resistance meter."),
            30, TestNeeds::no_reading, kThreePairs},
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
