#pragma once
/// What each person acts on, put before everything else: gathered from a whole survey, or from its
/// findings page by page and its motors group by group.

#include "offered/report/report_contents.h"

#include <array>
#include <string>
#include <vector>

namespace ohmglow::report {

class AnswerOf {
 public:
  /// The next findings by rank, with the motors that they belong to. `page`: the file that their
  /// cards stand in; empty: the answer's own.
  void add_findings(const Lookup& findings, const std::string& page = "");
  /// Motors that were not added before, each with all that belongs to it.
  void add_motors(const Lookup& motors);

  [[nodiscard]] std::vector<AnswerGroup> groups() const;

 private:
  static constexpr std::size_t kNotSeen = 3;  ///< behind the three decisions

  void add(std::size_t group, AnswerLine line);
  [[nodiscard]] std::array<std::size_t, kNotSeen + 1> lines_shown() const;

  std::array<std::vector<AnswerLine>, kNotSeen + 1> lines_;
  std::array<std::size_t, kNotSeen + 1> counts_{};
};

[[nodiscard]] std::vector<AnswerGroup> answer_of(const Lookup& lookup);

/// "bad joint in this lug: 98 %"; empty where no probability is known.
[[nodiscard]] std::string how_sure(const diagnosis::Finding& finding,
                                   const diagnosis::ComponentResult* component);
/// The same as of an assessment.
[[nodiscard]] const diagnosis::ComponentResult* component_of(const Lookup& lookup,
                                                             const diagnosis::Finding& finding);
/// "terminal box, phase B, lug T2", with the other places of its case.
[[nodiscard]] std::string places_of_case(const diagnosis::Assessment& assessment,
                                         const diagnosis::Finding& lead);

}  // namespace ohmglow::report
