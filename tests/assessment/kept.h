#pragma once
// A survey's results kept as a run keeps them.

#include "offered/assessment/motor_by_motor.h"
#include "offered/results/kept_results.h"

#include <catch2/catch.hpp>
#include <memory>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::test {

class Kept {
 public:
  Kept(Survey survey, severity::Policy policy, const diagnosis::Options& judging)
      : survey_(std::move(survey)),
        cut_(diagnosis::cut(survey_)),
        policy_(std::move(policy)),
        judging_(judging) {
    auto journal = records::Journal::create({}, "");
    REQUIRE(journal);
    std::vector<records::Journal> journals;
    journals.push_back(std::move(*journal));
    results = std::make_unique<records::KeptResults>(survey_, cut_, policy_, judging_,
                                                     std::move(journals));
  }
  Kept(const Kept&) = delete;
  Kept& operator=(const Kept&) = delete;

  // Measures and judges all of it, as `assess` does.
  void assess() {
    assessment::Options options;
    options.judging = judging_;
    const assessment::MotorByMotor parts(survey_, ImageRows::of(survey_.images), cut_, policy_,
                                         options);
    std::vector<std::size_t> all(cut_.motors.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    parts.assess(all, [this](std::size_t motor, const diagnosis::MotorState& state) {
      return results->add(motor, state).has_value();
    });
    results->rank();
  }

  [[nodiscard]] std::string findings() const {
    std::string text;
    REQUIRE(results->write_findings(survey_.folder, [&text](std::string_view piece) {
      text += piece;
      return Result<void>();
    }));
    return text;
  }

 private:
  const Survey survey_;
  const diagnosis::CutSurvey cut_;
  const severity::Policy policy_;
  const diagnosis::Options judging_;

 public:
  std::unique_ptr<records::KeptResults> results;
};

}  // namespace ohmglow::test
