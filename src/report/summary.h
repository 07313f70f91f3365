#pragma once
/// What is counted of a survey: of all of it at once, or of one group of its motors after another.

#include "offered/report/report_contents.h"
#include "words.h"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace ohmglow::report {

class Summary {
 public:
  /// Motors that were not added before, each with all that belongs to it.
  void add(const diagnosis::Assessment& motors);

  [[nodiscard]] std::vector<Tally> tallies(const severity::Policy& policy,
                                           std::size_t problems) const;
  /// Rows are kinds of component as the survey names them, columns bands from severe to mild.
  [[nodiscard]] Listing by_component(const severity::Policy& policy) const;
  [[nodiscard]] std::vector<Fact> scope_in_numbers() const;

 private:
  struct Kind {
    std::size_t seen = 0;
    std::map<std::size_t, std::size_t> by_band;
  };
  void add_images(const diagnosis::Assessment& motors);

  std::map<std::string, Kind> kinds_;
  std::map<std::size_t, std::size_t> by_band_;
  Counts images_;
  std::size_t motors_listed_ = 0;
  std::size_t motors_measured_ = 0;
  std::size_t components_measured_ = 0;
  std::size_t lugs_ = 0;
  std::size_t lugs_lost_ = 0;
  std::size_t readings_ = 0;
};

}  // namespace ohmglow::report
