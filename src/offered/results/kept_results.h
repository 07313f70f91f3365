#pragma once
/// The results of a survey in a journal: added motor by motor, ranked when all are there, and read
/// back by the page, so that a survey of any size fits into a modest memory. What was measured (the
/// rows, the marks, the hashes of their files) is kept beside the results: nothing that is written
/// from here looks at the survey's folder again.

#include "offered/diagnosis/motors.h"
#include "offered/diagnosis/ranking.h"
#include "offered/results/findings_writer.h"
#include "offered/results/journal.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::records {

class KeptResults {
 public:
  /// Keeps references to all but the journals and the problems; of the survey its images and marks
  /// are not looked at. What is added goes into the first journal. `of_marks` are problems of the
  /// folder of marks that belong to no image.
  KeptResults(const Survey& survey, const diagnosis::CutSurvey& cut, const severity::Policy& policy,
              const diagnosis::Options& options, std::vector<Journal> journals,
              std::vector<Problem> of_marks = {});

  /// A motor's part of the survey as its folder has it now.
  using Alone = std::function<Survey(std::size_t motor)>;
  /// Takes over what the journals hold of these motors, where their rows and marks are what they
  /// were; with `unchanged_files` only where their image files look as they did, too. The motors
  /// that are left. Errors: the journal cannot be read.
  [[nodiscard]] Result<std::vector<std::size_t>> take_over(std::span<const std::size_t> motors,
                                                           const Alone& alone,
                                                           bool unchanged_files);
  /// Adds a motor; from several threads at a time. Errors: the journal cannot be written.
  [[nodiscard]] Result<void> add(std::size_t motor, const diagnosis::MotorState& state);
  /// Ranks what there is. Nothing is added after.
  void rank();

  [[nodiscard]] diagnosis::Totals totals() const { return totals_; }
  /// Whether any image was measured or any reading worked out.
  [[nodiscard]] bool is_usable() const { return is_usable_; }
  [[nodiscard]] std::optional<std::size_t> worst_band() const;
  /// In the order of findings.json.
  [[nodiscard]] const std::vector<Problem>& problems() const { return problems_; }
  [[nodiscard]] const diagnosis::CutSurvey& cut() const { return cut_; }
  [[nodiscard]] const Survey& survey() const { return survey_; }

  /// The file of an image, and of its marks, as they were read; absent where they could not be.
  [[nodiscard]] std::optional<FileRecord> image_file(std::size_t image) const;
  [[nodiscard]] std::optional<FileRecord> marks_file(std::size_t image) const;

  /// Whether the image had a mark file when it was measured.
  [[nodiscard]] bool had_marks(std::size_t image) const { return marks_files_[image].was_there; }

  /// findings.json, in which the survey's folder is called so. Errors: those of the sink and of
  /// reading the journal.
  [[nodiscard]] Result<void> write_findings(const std::string& folder, const Sink& sink) const;
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
    const Journal* journal = nullptr;  ///< null: there is none yet
    std::size_t number = 0;
  };
  struct Place {
    std::uint32_t motor = 0;
    std::uint32_t number = 0;  ///< among the motor's own
  };
  struct RankedFinding {
    diagnosis::RankKey key;
    Place place;
    std::uint32_t lead = 0;  ///< of its case, among the motor's own
    int case_number = 0;
  };
  struct PlacedComponent {
    std::uint32_t first_image = 0;  ///< in the survey
    Place place;
  };
  /// A FileRecord without its path; a hash of zeros: the file could not be read.
  struct Fingerprint {
    bool was_there = false;
    std::uint64_t bytes = 0;
    std::array<std::uint8_t, 32> sha256{};
  };
  using PlacedProblem = std::pair<std::size_t, Problem>;

  [[nodiscard]] static Fingerprint fingerprint_of(std::uint64_t bytes, std::string_view sha256);
  [[nodiscard]] static std::optional<FileRecord> record_of(const Fingerprint& fingerprint,
                                                           std::string path);
  void take_note(std::size_t motor, Entry entry, const diagnosis::Assessment& its);
  void note_files(std::size_t motor, const diagnosis::Assessment& its);
  void note_problems(std::size_t motor, const diagnosis::Assessment& its);
  [[nodiscard]] Result<diagnosis::MotorState> state_of(std::size_t motor) const;
  [[nodiscard]] std::vector<std::size_t> numbers_of(std::size_t motor) const;
  [[nodiscard]] Result<std::vector<diagnosis::MotorState>> states_of(
      const std::vector<std::size_t>& motors) const;
  [[nodiscard]] Result<diagnosis::Assessment> together(
      const std::vector<std::size_t>& motors) const;

  const Survey& survey_;
  const diagnosis::CutSurvey& cut_;
  const severity::Policy& policy_;
  const diagnosis::Options& options_;
  std::vector<Journal> journals_;
  std::vector<Problem> of_marks_;

  std::mutex mutex_;            ///< guards what follows while motors are added
  std::vector<Entry> entries_;  ///< by motor
  std::vector<Fingerprint> image_files_;
  std::vector<Fingerprint> marks_files_;  ///< by image
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

}  // namespace ohmglow::records
