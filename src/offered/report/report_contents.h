#pragma once
/// What a report says, before it is laid out: the same words in HTML, PDF and spreadsheet. Texts
/// hold users' strings as they were written; whoever shows them makes them safe.

#include "offered/report/drawing.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"
#include "ohmglow/rotor.h"

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

namespace ohmglow::report {

/// An assessment with its members found by name, each in one step.
class Lookup {
 public:
  explicit Lookup(const diagnosis::Assessment& assessment);

  const diagnosis::Assessment& assessment;
  [[nodiscard]] const diagnosis::ImageResult* image(std::string_view file) const;
  [[nodiscard]] const ImageEntry* entry(std::string_view file) const;
  [[nodiscard]] const diagnosis::ComponentResult* component_of(std::string_view image_file) const;
  [[nodiscard]] const diagnosis::MotorResult* motor(std::string_view id) const;
  [[nodiscard]] const Motor* row(std::string_view motor) const;
  /// The row of circuit.csv, whatever the case of the place.
  [[nodiscard]] const CircuitStop* place(std::string_view motor, std::string_view place) const;

 private:
  template <class T>
  using ByName = std::unordered_map<std::string_view, const T*>;
  ByName<diagnosis::ImageResult> images_;
  ByName<ImageEntry> entries_;
  ByName<diagnosis::ComponentResult> components_;
  ByName<diagnosis::MotorResult> motors_;
  ByName<Motor> rows_;
  std::map<std::pair<std::string_view, std::string>, const CircuitStop*> places_;
};

struct Fact {
  std::string label;
  std::string value;  ///< empty: a person writes it by hand
};

/// The notes of readings.csv, where there are any, by what was worked out of their rows. They live
/// as long as the assessment.
using ReadingNotes = std::unordered_map<const diagnosis::ElectricalResult*, std::string_view>;
[[nodiscard]] ReadingNotes notes_of(const diagnosis::Assessment& assessment);

/// A count of something, with the level (0 to 4) of the band it belongs to.
struct Tally {
  std::size_t count = 0;
  std::string what;
  int level = 0;
};

struct ListColumn {
  std::string title;
  double weight = 1;  ///< share of the width
  bool is_number = false;
};
struct ListCell {
  std::string text;
  int level = 0;          ///< above 0: a band's name
  int finding = 0;        ///< above 0: leads to the finding of this rank
  bool blank = false;     ///< a dash that a narrow page may leave out
  std::string page = {};  ///< the file that the finding stands in, or that the cell leads to
};
/// A table with its heading. `when_empty` stands in its place where it has no rows.
struct Listing {
  std::string id;
  std::string caption;
  std::vector<ListColumn> columns;
  std::vector<std::vector<ListCell>> rows;
  std::string when_empty;
};

/// What a person acts on: one line a case, or a place that was not judged or seen.
struct AnswerLine {
  int rank = 0;  ///< of the finding that it leads to; 0: none
  int case_number = 0;
  int level = 0;
  std::string motor;
  std::string drives;  ///< the motor's description
  std::string where;
  std::string action;
  std::string sure;
  std::string page = {};  ///< the file that the finding stands in
};
/// Lines that ask for the same: "Stop now".
struct AnswerGroup {
  std::string id;
  std::string title;
  int level = 0;
  std::vector<AnswerLine> lines;
  std::size_t more = 0;  ///< that have no line here
  std::string when_empty;
};

/// One plain sentence: what to do about the case that a finding leads.
[[nodiscard]] std::string plain_action(const diagnosis::Finding& finding);

/// What a finding comes from, as far as heat and readings tell: the likeliest fault of the circuit
/// where it asks to open one, and what is likelier still. Null: nothing is known of it.
struct LikelyCause {
  const diagnosis::Explanation* cause = nullptr;
  const diagnosis::Explanation* likelier = nullptr;
};
[[nodiscard]] LikelyCause likely_cause(const diagnosis::Finding& finding,
                                       const diagnosis::ComponentResult* component);
/// The component that a finding is about, one by the readings alone too; null: the circuit.
[[nodiscard]] const diagnosis::ComponentResult* component_of(
    const diagnosis::Assessment& assessment, const diagnosis::Finding& finding);

/// A sweep or one end's air gap, with its picture; or what may lie behind those of a motor,
/// without.
struct RotorShown {
  std::string title;
  std::string result;
  int level = 0;
  std::vector<std::string> numbers;
  std::vector<std::string> open;  ///< what it cannot tell
  std::string next;               ///< test; empty: none
  Drawing drawing;
};

/// Sweeps first, then air gaps, in their order, then a motor each what may lie behind them.
/// `priors` are a policy's own (diagnosis::explain_rotor).
[[nodiscard]] std::vector<RotorShown> rotors_shown(
    const rotor::Rotors& rotors, const Survey& survey,
    const std::map<std::string, double>& priors = {});
/// Of the motors that have sweeps or air gaps in both surveys, before a repair and after it, all of
/// a motor's sweeps on one scale.
[[nodiscard]] std::vector<RotorShown> rotors_compared(const Survey& before, const Survey& after);
/// Its drawing, a complete <svg> element; empty without one.
[[nodiscard]] std::string rotor_svg(const RotorShown& rotor);

struct Contents {
  std::string site;
  std::string surveyed;  ///< the day; empty: not known
  std::vector<AnswerGroup> answer;
  std::vector<Fact> facts;  ///< who, when, by which rule
  std::vector<Tally> tallies;
  Listing by_component;  ///< how many findings of each band on each kind of component
  std::vector<std::string> cautions;
  std::vector<Fact> scope;  ///< what was inspected, in numbers
  Listing not_covered;      ///< what was not inspected, not observable or not measurable, and why
  Listing ranked;
  Listing not_judged;
  Listing warm_even;  ///< components with a band of the table that make no finding
  Listing even;       ///< the other components without a finding
  Listing readings;
  std::vector<RotorShown> rotors;
  Listing stretches;   ///< of circuits read at several places
  Listing parameters;  ///< that images were measured with
  Listing problems;
  std::vector<std::string> signs;  ///< who signs
};
[[nodiscard]] Contents contents_of(const Lookup& lookup);
struct Pieces;
/// The same of a survey that is read piece by piece: images of neighbouring motors alone share a
/// row of parameters. Errors: those of reading.
[[nodiscard]] Result<Contents> contents_of(const Pieces& survey);

struct Cause {
  std::string title;
  std::string percent;
  std::vector<std::string> arguments;  ///< for it and against it
};
struct NextTest {
  std::string title;
  std::string how;
  std::string worth;  ///< "0.42 bits, about 10 min"
};
struct BudgetRow {
  std::string name;
  std::string value;
  std::string u;
  std::string distribution;
  std::string sensitivity;
  std::string contribution;
  std::string share;
};
struct BudgetTable {
  std::string quantity;
  std::string value;
  std::string u;
  std::vector<BudgetRow> rows;
};

/// Everything a report says about one finding.
struct Card {
  int rank = 0;
  int level = 0;
  std::string band;
  std::string band_by;
  std::string headline;
  std::string verdict;
  std::string meaning;
  std::string sure;  ///< probability of the verdict; empty: not known
  int case_number = 0;
  std::string drives;                    ///< the motor's description
  std::string plain_action;              ///< the one of the first page
  std::string how_sure;                  ///< the likeliest explanation with its probability
  std::vector<Fact> decisive;            ///< the numbers that decide, five at most
  std::vector<std::string> reasons_for;  ///< of the likeliest explanation, three at most
  std::vector<std::string> reasons_against;
  std::string who;                ///< may do it
  std::vector<Fact> about_motor;  ///< a value that nobody recorded is empty
  std::vector<Fact> about_image;  ///< likewise
  std::vector<std::string> also;  ///< the other findings of its case
  bool has_next_test = false;     ///< whether the first of the tests comes before repair
  std::string action;
  std::string next_step;
  std::vector<Fact> numbers;
  std::vector<Fact> probabilities;
  std::vector<diagnosis::Evidence> evidence;
  std::vector<Cause> causes;
  std::vector<NextTest> tests;
  std::vector<std::string> flags;
  std::vector<std::string> cautions;  ///< beside those that every report shows
  std::vector<BudgetTable> budgets;
  std::string reading;                            ///< the resistance reading it was held against
  const diagnosis::ImageResult* image = nullptr;  ///< may be null, like the two below
  const diagnosis::ComponentResult* component = nullptr;
  const diagnosis::MotorResult* motor = nullptr;
};
[[nodiscard]] Card card_of(const Lookup& lookup, const diagnosis::Finding& finding);

/// "#b3262b" for "band-4": the colours of meaning.css on white paper.
[[nodiscard]] std::string colour_of(std::string_view name);

}  // namespace ohmglow::report
