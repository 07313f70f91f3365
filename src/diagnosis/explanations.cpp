#include "explanations.h"

#include "ohmglow/sentence.h"

// How to extend these tables.
//
// The numbers are house rules (common practice, no source): how often, of a hundred circuits with
// this cause, an electrician would see that fact. They need not be exact; a factor of two rarely
// changes which explanation leads. What must hold, and is tested: the priors sum to 1; for every
// cause, the facts of one kind sum to 1; so do the outcomes of a test.
//
// A new cause:  a value in Cause (and kCauses), its row in kCauseRows, a number at the end of every
//               line of likelihoods.
// A new fact:   a value in Fact (and kFacts) beside its kind, its row in kFactRows, and the place
//               in explain.cpp that sees it.
// A new test:   its outcomes and a row in kTestRows.
//
// Facts count as independent given the cause (naive Bayes): the probabilities are a way to order
// explanations, no measured frequency.

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<CauseRow, kCauses> kCauseRows{{
    {"sound", msg("nothing is wrong between the phases"), 0.60},
    {"lug_joint", msg("a bad joint in this lug"), 0.12},
    {"upstream_joint", msg("a bad joint or contact upstream, towards the supply"), 0.05},
    {"downstream_joint", msg("a bad joint downstream, towards the motor"), 0.05},
    {"switch_contact", msg("a worn contact in this disconnect or starter"), 0.05},
    {"winding", msg("a fault in the winding"), 0.03},
    {"unequal_load", msg("unequal currents that the motor or its circuit draws"), 0.03},
    {"unequal_supply", msg("unequal voltages of the supply"), 0.03},
    {"surface", msg("unequal surface finish: the emissivity is not what was entered"), 0.03},
    {"swapped_marking", msg("a bad joint, and lead markings that are swapped"), 0.01},
}};

// clang-format off
constexpr std::array<FactRow, kFacts> kFactRows{{
    //                                                    sound  lug   up   down  switch wind  load  supply surf  swap
    {msg("the lugs are even"),                               {0.95, 0.10, 0.93, 0.93, 0.25, 0.93, 0.25, 0.25, 0.10, 0.08}},
    {msg("one lug is hot, and the currents do not explain it"),
                                                        {0.03, 0.88, 0.05, 0.05, 0.73, 0.04, 0.10, 0.10, 0.88, 0.90}},
    {msg("the heat follows the currents squared"),           {0.02, 0.02, 0.02, 0.02, 0.02, 0.03, 0.65, 0.65, 0.02, 0.02}},

    {msg("the pairs are in balance, and would show this heat"),
                                                        {0.96, 0.06, 0.50, 0.08, 0.55, 0.15, 0.94, 0.95, 0.95, 0.05}},
    {msg("the pairs name the hot lug's phase"),              {0.01, 0.88, 0.04, 0.04, 0.33, 0.05, 0.02, 0.02, 0.02, 0.05}},
    {msg("the pairs name a phase whose lug is not the hot one"),
                                                        {0.02, 0.04, 0.44, 0.86, 0.10, 0.30, 0.02, 0.02, 0.02, 0.88}},
    {msg("one pair alone is high, as a winding makes it"),   {0.01, 0.02, 0.02, 0.02, 0.02, 0.50, 0.02, 0.01, 0.01, 0.02}},

    {msg("the supply's voltages are in balance"),            {0.95, 0.85, 0.75, 0.85, 0.80, 0.90, 0.85, 0.05, 0.95, 0.85}},
    {msg("the supply's voltages are out of balance"),        {0.05, 0.15, 0.25, 0.15, 0.20, 0.10, 0.15, 0.95, 0.05, 0.15}},

    {msg("the currents are alike"),                          {0.95, 0.85, 0.80, 0.80, 0.80, 0.30, 0.05, 0.05, 0.95, 0.85}},
    {msg("the currents are unequal"),                        {0.05, 0.15, 0.20, 0.20, 0.20, 0.70, 0.95, 0.95, 0.05, 0.15}},

    {msg("the lugs have one finish"),                        {0.95, 0.93, 0.95, 0.95, 0.93, 0.95, 0.95, 0.95, 0.40, 0.93}},
    {msg("the hot lug's finish differs or reflects strongly"),
                                                        {0.05, 0.07, 0.05, 0.05, 0.07, 0.05, 0.05, 0.05, 0.60, 0.07}},

    {msg("the component is a switching device"),             {0.40, 0.40, 0.40, 0.40, 0.95, 0.40, 0.40, 0.40, 0.40, 0.40}},
    {msg("the component is a connection point"),             {0.60, 0.60, 0.60, 0.60, 0.05, 0.60, 0.60, 0.60, 0.60, 0.60}},
}};

// Kinds in the order of Fact: [first, next kind's first).
constexpr std::array<Fact, 6> kKinds{Fact::heat_even,        Fact::resistance_in_balance,
                                     Fact::voltage_balanced, Fact::current_even,
                                     Fact::surface_alike,    Fact::place_switch};

constexpr std::array kReimage{
    OutcomeRow{msg("the rise grows with the current squared"), {0.10, 0.90, 0.10, 0.10, 0.85, 0.10, 0.85, 0.85, 0.45, 0.90}},
    OutcomeRow{msg("it does not"),                             {0.90, 0.10, 0.90, 0.90, 0.15, 0.90, 0.15, 0.15, 0.55, 0.10}},
};
constexpr std::array kAcrossJoints{
    OutcomeRow{msg("this joint is higher than the others"),    {0.02, 0.95, 0.04, 0.04, 0.10, 0.03, 0.03, 0.03, 0.03, 0.85}},
    OutcomeRow{msg("the three joints are alike"),              {0.98, 0.05, 0.96, 0.96, 0.90, 0.97, 0.97, 0.97, 0.97, 0.15}},
};
constexpr std::array kRotation{
    OutcomeRow{msg("the high phase stays with the line"),      {0.04, 0.05, 0.80, 0.04, 0.75, 0.04, 0.20, 0.90, 0.03, 0.05}},
    OutcomeRow{msg("it goes along with the motor lead"),       {0.04, 0.05, 0.05, 0.80, 0.04, 0.85, 0.70, 0.03, 0.03, 0.05}},
    OutcomeRow{msg("it does neither: it stays at the joint"),  {0.04, 0.80, 0.05, 0.06, 0.15, 0.03, 0.03, 0.02, 0.86, 0.80}},
    OutcomeRow{msg("nothing stands out"),                      {0.88, 0.10, 0.10, 0.10, 0.06, 0.08, 0.07, 0.05, 0.08, 0.10}},
};
constexpr std::array kMillivolts{
    OutcomeRow{msg("this joint drops more than the others"),   {0.03, 0.93, 0.05, 0.05, 0.12, 0.05, 0.10, 0.10, 0.04, 0.90}},
    OutcomeRow{msg("the three drops are alike"),               {0.97, 0.07, 0.95, 0.95, 0.88, 0.95, 0.90, 0.90, 0.96, 0.10}},
};
constexpr std::array kTerminalVoltage{
    OutcomeRow{msg("unequal at the terminals and at the supply"), {0.04, 0.05, 0.05, 0.05, 0.05, 0.06, 0.10, 0.93, 0.04, 0.05}},
    OutcomeRow{msg("unequal at the terminals only"),           {0.02, 0.30, 0.70, 0.25, 0.70, 0.06, 0.15, 0.03, 0.02, 0.30}},
    OutcomeRow{msg("equal at the terminals"),                  {0.94, 0.65, 0.25, 0.70, 0.25, 0.88, 0.75, 0.04, 0.94, 0.65}},
};
constexpr std::array kWindingAlone{
    OutcomeRow{msg("the winding is out of balance by itself"), {0.02, 0.03, 0.02, 0.55, 0.02, 0.92, 0.05, 0.02, 0.02, 0.03}},
    OutcomeRow{msg("the winding is in balance"),               {0.98, 0.97, 0.98, 0.45, 0.98, 0.08, 0.95, 0.98, 0.98, 0.97}},
};
constexpr std::array kTape{
    OutcomeRow{msg("the rise goes when the lugs are taped"),   {0.50, 0.03, 0.40, 0.40, 0.05, 0.40, 0.05, 0.05, 0.93, 0.03}},
    OutcomeRow{msg("the rise stays"),                          {0.50, 0.97, 0.60, 0.60, 0.95, 0.60, 0.95, 0.95, 0.07, 0.97}},
};
constexpr std::array kContactDrop{
    OutcomeRow{msg("one pole drops more than the others"),     {0.03, 0.06, 0.15, 0.05, 0.93, 0.05, 0.12, 0.10, 0.04, 0.06}},
    OutcomeRow{msg("the poles are alike"),                     {0.97, 0.94, 0.85, 0.95, 0.07, 0.95, 0.88, 0.90, 0.96, 0.94}},
};
constexpr std::array kMarkings{
    OutcomeRow{msg("a lead is not where its marking says"),    {0.03, 0.04, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.95}},
    OutcomeRow{msg("every lead is where its marking says"),    {0.97, 0.96, 0.97, 0.97, 0.97, 0.97, 0.97, 0.97, 0.97, 0.05}},
};
constexpr std::array kThreePairs{
    OutcomeRow{kFactRows[3].text, kFactRows[3].likelihood},
    OutcomeRow{kFactRows[4].text, kFactRows[4].likelihood},
    OutcomeRow{kFactRows[5].text, kFactRows[5].likelihood},
    OutcomeRow{kFactRows[6].text, kFactRows[6].likelihood},
};
// clang-format on

constexpr std::array kTestRows{
    TestRow{"reimage_higher_load", msg("a new image at higher load"),
            msg("Take the image again at 70 % of rated current or more, half an hour after the "
                "change."),
            30, false, kReimage},
    TestRow{
        "joint_resistance", msg("micro-ohms across each joint"),
        msg("De-energised, locked out and verified dead: measure across each of the three joints "
            "with a low-resistance meter and compare."),
        40, false, kAcrossJoints},
    TestRow{
        "lead_rotation", msg("all three leads moved on by one position"),
        msg("De-energised, locked out and verified dead: move all three leads on by one position "
            "(the sense of rotation stays), run, and look which of line, lead or joint the high "
            "phase follows."),
        90, false, kRotation},
    TestRow{
        "joint_drop", msg("millivolts across each joint under load"),
        msg("Qualified people with the required protection: measure the voltage drop across each "
            "of the three joints under the same load and compare."),
        30, false, kMillivolts},
    TestRow{"terminal_voltage", msg("line voltages at the terminals and at the supply, under load"),
            msg("Qualified people with the required protection: measure the three line voltages at "
                "the motor and at the supply under load."),
            25, false, kTerminalVoltage},
    TestRow{
        "winding_at_box", msg("winding resistance at the terminal box, leads parted"),
        msg("De-energised, locked out and verified dead: part the motor leads from the cable in "
            "the terminal box and measure the three pairs of the winding alone."),
        45, false, kWindingAlone},
    TestRow{"emissivity_tape", msg("tape of known emissivity on all three lugs"),
            msg("De-energised, locked out and verified dead: put tape of known emissivity on all "
                "three lugs; run at the same load and take the image again."),
            40, false, kTape},
    TestRow{
        "contact_drop", msg("millivolts across each pole of the disconnect and starter"),
        msg("Qualified people with the required protection: measure the voltage drop across each "
            "closed pole under the same load and compare."),
        30, false, kContactDrop},
    TestRow{
        "lead_markings", msg("each lead traced from the lug to the meter"),
        msg("De-energised, locked out and verified dead: trace each lead by continuity from the "
            "lug to where the meter was, and compare with the markings."),
        25, false, kMarkings},
    TestRow{"three_pairs", msg("winding resistance of the three pairs"),
            msg("De-energised, locked out and verified dead: measure the three pairs through this "
                "component with a low-resistance meter."),
            30, true, kThreePairs},
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
