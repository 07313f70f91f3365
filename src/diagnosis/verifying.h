#pragma once
// What the steps of verify() share.

#include "judging.h"
#include "offered/diagnosis/verification.h"

namespace ohmglow::diagnosis {

// An assessment with the days that its entries without a date count from.
struct Side {
  const Assessment& assessment;
  Days days;
};

// One lug as the first or the second survey saw it.
struct SeenLug {
  const ComponentResult* component = nullptr;
  const ImageResult* image = nullptr;
  const LugResult* lug = nullptr;
};

// verify_lugs.cpp
struct ComparedLugs {
  std::vector<LugChange> lugs;
  std::vector<Sentence> renamed;
};
[[nodiscard]] ComparedLugs compare_lugs(const Side& before, const Side& after,
                                        const VerifyOptions& options);
// verify_readings.cpp
[[nodiscard]] std::vector<ReadingChange> compare_readings(const Side& before, const Side& after);
// Whether the second survey holds a reading of a motor that the first one does not.
[[nodiscard]] bool has_newer_reading(const Side& before, const Side& after, std::string_view motor);
// The day from which on a reading of the second survey says how the repair came out: that of the
// repair, else the survey's first day. Nothing where neither is known.
[[nodiscard]] std::optional<std::chrono::sys_days> proves_from(const Side& after,
                                                               std::string_view motor);
// verify_elsewhere.cpp
[[nodiscard]] std::vector<NewFault> find_new_faults(const Verification& all, const Side& before,
                                                    const Side& after);
[[nodiscard]] std::vector<OpenFinding> find_open(const Verification& all, const Side& before);
// "T2 (phase B)"
[[nodiscard]] Sentence lug_title(const Side& side, const std::string& lug, Phase phase);
// "phase B"
[[nodiscard]] Sentence phase_title(const Side& side, Phase phase);
// "winding resistance at starter"
[[nodiscard]] Sentence reading_title(Test test, const std::string& place);
// verify_money.cpp: fills saved_w, money and assumptions.
void count_money(MotorChange& motor, const std::vector<ReadingChange>& readings,
                 const Assessment& after, const VerifyOptions& options);
[[nodiscard]] std::vector<CurrencyTotal> totals_of(const std::vector<MotorChange>& motors);

}  // namespace ohmglow::diagnosis
