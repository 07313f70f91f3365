#pragma once
/// The results of a survey in a journal: added motor by motor, ranked when all are there, and read
/// back by the page, so that a survey of any size fits into a modest memory.

#include "ohmglow/findings_writer.h"
#include "ohmglow/journal.h"
#include "ohmglow/motor_by_motor.h"
#include "ohmglow/ranking.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::assessment {

class KeptResults {
 public:
  /// Keeps references to all but the journals and the problems. What is added goes into the first
  /// journal. `of_marks` are problems of the folder of marks that belong to no image.
  KeptResults(const Survey& survey, const severity::Policy& policy,
              const diagnosis::Options& options, const MotorByMotor& parts,
              std::vector<records::Journal> journals, std::vector<Problem> of_marks = {});

  /// Takes over what the journals hold of these motors. `unchanged_files`: only where their image
  /// files look as they did. The motors that are left. Errors: the journal cannot be read.
  [[nodiscard]] Result<std::vector<std::size_t>> take_over(std::span<const std::size_t> motors,
                                                           bool unchanged_files);
  /// Adds a motor; from several threads at a time. Errors: the journal cannot be written.
  [[nodiscard]] Result<void> add(std::size_t motor, const MotorState& state);
  /// Ranks what there is. Nothing is added after.
  void rank();

  [[nodiscard]] diagnosis::Totals totals() const;
  /// Whether any image was measured or any reading worked out.
  [[nodiscard]] bool is_usable() const { return is_usable_; }
  [[nodiscard]] std::optional<std::size_t> worst_band() const;
  /// In the order of findings.json.
  [[nodiscard]] const std::vector<Problem>& problems() const { return problems_; }
  /// Lower-case hexadecimal; empty for an image that could not be read.
  [[nodiscard]] std::string sha256_of(std::size_t image) const;

  /// findings.json, in which the survey's folder is called so. Errors: those of the sink and of
  /// reading the journal.
  [[nodiscard]] Result<void> write_findings(const std::string& folder,
                                            const records::Sink& sink) const;
  /// `count` findings from the one that ranks `first`, counted from 0, with the motors that they
  /// belong to and nothing else of the survey.
  [[nodiscard]] Result<diagnosis::Assessment> page(std::size_t first, std::size_t count) const;
  [[nodiscard]] std::size_t motor_count() const { return entries_.size(); }
  /// `count` motors from the `first`, counted from 0, in the order of findings.json, with all that
  /// belongs to them and nothing else of the survey. Findings are ranked among themselves.
  [[nodiscard]] Result<diagnosis::Assessment> motors(std::size_t first, std::size_t count) const;
  /// All of it.
  [[nodiscard]] Result<diagnosis::Assessment> whole() const;

 private:
  struct Entry {
    const records::Journal* journal = nullptr;  ///< null: there is none yet
    std::size_t number = 0;
  };
  struct Place {
    std::uint32_t motor = 0;
    std::uint32_t number = 0;  ///< among the motor's own
  };
  struct RankedFinding {
    diagnosis::RankKey key;
    Place place;
  };
  struct PlacedComponent {
    std::uint32_t first_image = 0;  ///< in the survey
    Place place;
  };
  using Sha256 = std::array<std::uint8_t, 32>;  ///< all 0: not known
  using PlacedProblem = std::pair<std::size_t, Problem>;

  void take_note(std::size_t motor, Entry entry, const diagnosis::Assessment& its);
  void note_problems(std::size_t motor, const diagnosis::Assessment& its);
  [[nodiscard]] std::vector<Problem> unknown_motors() const;
  [[nodiscard]] Result<MotorState> state_of(std::size_t motor) const;
  [[nodiscard]] std::vector<std::size_t> numbers_of(std::size_t motor) const;
  [[nodiscard]] Result<std::vector<MotorState>> states_of(
      const std::vector<std::size_t>& motors) const;
  [[nodiscard]] Result<diagnosis::Assessment> together(
      const std::vector<std::size_t>& motors) const;

  const Survey& survey_;
  const severity::Policy& policy_;
  const diagnosis::Options& options_;
  const MotorByMotor& parts_;
  std::vector<records::Journal> journals_;
  std::vector<Problem> of_marks_;

  std::mutex mutex_;            ///< guards what follows while motors are added
  std::vector<Entry> entries_;  ///< by motor
  std::vector<Sha256> sha256_;  ///< by image
  std::vector<PlacedComponent> components_;
  std::vector<RankedFinding> findings_;
  // Until they are ranked:
  std::vector<PlacedProblem> marks_problems_;    ///< by image
  std::vector<PlacedProblem> image_problems_;    ///< by image
  std::vector<PlacedProblem> reading_problems_;  ///< by motor
  std::vector<Problem> problems_;                ///< first those of the survey and its marks
  std::size_t problems_of_survey_ = 0;           ///< how many these are
  diagnosis::Totals totals_;
  bool is_usable_ = false;
};

}  // namespace ohmglow::assessment
