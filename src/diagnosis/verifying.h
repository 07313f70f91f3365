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
[[nodiscard]] std::vector<LugChange> compare_lugs(const Side& before, const Side& after,
                                                  const VerifyOptions& options);
// verify_readings.cpp
[[nodiscard]] std::vector<ReadingChange> compare_readings(const Side& before, const Side& after);
// Whether the second survey holds a reading of a motor that the first one does not.
[[nodiscard]] bool has_newer_reading(const Side& before, const Side& after, std::string_view motor);
// verify_money.cpp: fills saved_w, money and assumptions.
void count_money(MotorChange& motor, const std::vector<ReadingChange>& readings,
                 const Survey& survey, const VerifyOptions& options);
[[nodiscard]] std::vector<CurrencyTotal> totals_of(const std::vector<MotorChange>& motors);

}  // namespace ohmglow::diagnosis
