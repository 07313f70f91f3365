#include "offered/results/kept_results.h"

#include "offered/intake/mark_files.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <iterator>
#include <map>
#include <numeric>
#include <set>
#include <tuple>
#include <unordered_map>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::ImageResult;
using diagnosis::ImageStatus;
using diagnosis::MotorRows;
using diagnosis::MotorState;

const Motor* row_of(const Survey& survey) {
  return survey.motors.empty() ? nullptr : &survey.motors.front();
}

void move_in_order(std::vector<std::pair<std::size_t, Problem>> placed,
                   std::vector<Problem>& problems) {
  std::stable_sort(placed.begin(), placed.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (auto& [place, problem] : placed) problems.push_back(std::move(problem));
}

/// A mark file's problem is reported once, even if the image's pages belong to several motors.
void drop_repeated(std::vector<std::pair<std::size_t, Problem>>& problems) {
  std::set<std::tuple<std::string, std::optional<long>, std::string, std::string>> said;
  std::erase_if(problems, [&said](const auto& item) {
    const auto& [file, row, column, message, is_remark] = item.second;
    return !said.emplace(file, row, column, message).second;
  });
}

}  // namespace

KeptResults::KeptResults(const Survey& survey, const diagnosis::CutSurvey& cut,
                         const severity::Policy& policy, const diagnosis::Options& options,
                         std::vector<Journal> journals, std::vector<Problem> of_marks)
    : survey_(survey),
      cut_(cut),
      policy_(policy),
      options_(options),
      journals_(std::move(journals)),
      of_marks_(std::move(of_marks)),
      entries_(cut.motors.size()),
      image_files_(cut.files.size()),
      marks_files_(cut.files.size()) {}

/// Trials draw by the images' places in the survey, nothing else looks at them.
std::vector<std::size_t> KeptResults::numbers_of(std::size_t motor) const {
  if (options_.uncertainty != diagnosis::Uncertainty::monte_carlo) return {};
  return cut_.motors[motor].images;
}

Result<std::vector<std::size_t>> KeptResults::take_over(std::span<const std::size_t> motors,
                                                        const Alone& alone, bool unchanged_files) {
  std::unordered_map<std::string_view, Entry> kept;
  for (const Journal& journal : journals_) {
    for (std::size_t i = 0; i < journal.size(); ++i) kept[journal.motor(i)] = {&journal, i};
  }
  std::vector<std::size_t> left;
  for (const std::size_t motor : motors) {
    const auto at = kept.find(cut_.motors[motor].id);
    if (at == kept.end()) {
      left.push_back(motor);
      continue;
    }
    const auto& [journal, number] = at->second;
    const Survey now = alone(motor);
    if (journal->rows(number) != hash_of_rows(now, numbers_of(motor)) ||
        (unchanged_files && journal->stamps(number) != hash_of_stamps(now))) {
      left.push_back(motor);
      continue;
    }
    const auto archive = journal->archive(number);
    if (!archive) return fail(archive.error());
    Assessment its;
    if (const auto restored = restore(*archive, its); !restored) return fail(restored.error());
    take_note(motor, at->second, its);
  }
  return left;
}

Result<void> KeptResults::add(std::size_t motor, const MotorState& state) {
  JournalEntry entry = journal_entry(state.assessment);
  entry.rows = hash_of_rows(state.assessment.survey, numbers_of(motor));
  entry.stamps = hash_of_stamps(state.assessment.survey);
  Journal& journal = journals_.front();
  const auto number = journal.append(entry);
  if (!number) return fail(number.error());
  const std::lock_guard lock(mutex_);
  take_note(motor, {&journal, *number}, state.assessment);
  return {};
}

KeptResults::Fingerprint KeptResults::fingerprint_of(std::uint64_t bytes, std::string_view sha256) {
  Fingerprint fingerprint{true};
  if (sha256.size() != 2 * fingerprint.sha256.size()) return fingerprint;
  fingerprint.bytes = bytes;
  for (std::uint8_t& byte : fingerprint.sha256) {
    std::from_chars(sha256.data(), sha256.data() + 2, byte, 16);
    sha256.remove_prefix(2);
  }
  return fingerprint;
}

std::optional<FileRecord> KeptResults::record_of(const Fingerprint& fingerprint, std::string path) {
  if (fingerprint.sha256 == Fingerprint{}.sha256) return std::nullopt;
  return FileRecord{std::move(path), fingerprint.bytes,
                    fmt::format("{:02x}", fmt::join(fingerprint.sha256, ""))};
}

std::optional<FileRecord> KeptResults::image_file(std::size_t image) const {
  return record_of(image_files_.at(image), cut_.files.at(image));
}

std::optional<FileRecord> KeptResults::marks_file(std::size_t image) const {
  return record_of(marks_files_.at(image), marks_name(cut_.files.at(image)));
}

void KeptResults::note_files(std::size_t motor, const Assessment& its) {
  const MotorRows& rows = cut_.motors[motor];
  for (std::size_t i = 0; i < its.images.size(); ++i) {
    const ImageResult& image = its.images[i];
    image_files_[rows.images[i]] = fingerprint_of(image.bytes, image.sha256);
  }
  for (const FileRecord& file : its.survey.files) {
    for (std::size_t i = 0; i < its.images.size(); ++i) {
      if (file.path != marks_name(its.images[i].file)) continue;
      marks_files_[rows.images[i]] = fingerprint_of(file.bytes, file.sha256);
      break;
    }
  }
}

void KeptResults::take_note(std::size_t motor, Entry entry, const Assessment& its) {
  const MotorRows& rows = cut_.motors[motor];
  entries_[motor] = entry;
  note_files(motor, its);
  for (const ImageResult& image : its.images) {
    totals_.measured += image.status == ImageStatus::measured ? 1 : 0;
    totals_.unmarked += image.status == ImageStatus::unmarked ? 1 : 0;
    totals_.rejected += image.status == ImageStatus::rejected ? 1 : 0;
    is_usable_ = is_usable_ || image.status == ImageStatus::measured;
  }
  Place place{static_cast<std::uint32_t>(motor), 0};
  for (const diagnosis::ComponentResult& component : its.components) {
    const auto first = static_cast<std::uint32_t>(rows.images[component.images.front()]);
    components_.push_back({first, place});
    ++place.number;
  }
  place.number = 0;
  for (const diagnosis::Finding& finding : its.findings) {
    const auto lead =
        std::find_if(its.findings.begin(), its.findings.end(),
                     [&](const auto& other) { return other.case_id == finding.case_id; });
    findings_.push_back({diagnosis::rank_key(finding, row_of(its.survey)), place,
                         static_cast<std::uint32_t>(lead - its.findings.begin())});
    ++place.number;
  }
  totals_.warm_even += its.warm_even.size();
  totals_.not_judged += its.not_judged.size();
  for (const auto& reading : its.motors.front().electrical) {
    is_usable_ = is_usable_ || reading.problem.empty();
  }
  note_problems(motor, its);
}

void KeptResults::note_problems(std::size_t motor, const Assessment& its) {
  const MotorRows& rows = cut_.motors[motor];
  for (const Problem& problem : its.survey.problems) {
    std::size_t image = 0;
    for (std::size_t i = 0; i < its.survey.images.size(); ++i) {
      if (problem.file == marks_path({}, its.survey.images[i].file)) image = i;
    }
    marks_problems_.emplace_back(rows.images.at(image), problem);
  }
  for (std::size_t i = 0; i < its.images.size(); ++i) {
    for (Problem& problem : diagnosis::problems_of(its.images[i])) {
      image_problems_.emplace_back(rows.images[i], std::move(problem));
    }
  }
  for (const Problem& problem : its.problems) {
    reading_problems_.emplace_back(motor, problem);
  }
}

void KeptResults::rank() {
  std::sort(components_.begin(), components_.end(),
            [](const auto& a, const auto& b) { return a.first_image < b.first_image; });
  // A motor's own findings are in order already.
  const auto& motors = cut_.motors;
  std::sort(findings_.begin(), findings_.end(), [&motors](const auto& a, const auto& b) {
    if (diagnosis::comes_before(a.key, b.key)) return true;
    if (diagnosis::comes_before(b.key, a.key)) return false;
    if (a.place.motor == b.place.motor) return a.place.number < b.place.number;
    return motors[a.place.motor].id < motors[b.place.motor].id;
  });
  std::map<std::pair<std::uint32_t, std::uint32_t>, int> cases;  // by motor and lead
  for (RankedFinding& finding : findings_) {
    const int next = static_cast<int>(cases.size()) + 1;
    finding.case_number =
        cases.emplace(std::pair(finding.place.motor, finding.lead), next).first->second;
  }
  totals_.cases = cases.size();
  problems_ = survey_.problems;
  drop_repeated(marks_problems_);
  move_in_order(std::exchange(marks_problems_, {}), problems_);
  std::move(of_marks_.begin(), of_marks_.end(), std::back_inserter(problems_));
  problems_of_survey_ = problems_.size();
  move_in_order(std::exchange(image_problems_, {}), problems_);
  auto unknown = diagnosis::unknown_motors(survey_, cut_);
  std::move(unknown.begin(), unknown.end(), std::back_inserter(problems_));
  move_in_order(std::exchange(reading_problems_, {}), problems_);
  totals_.findings = findings_.size();
  totals_.problems = problems_.size();
}

std::optional<std::size_t> KeptResults::worst_band() const {
  return findings_.empty() ? std::nullopt : findings_.front().key.band;
}

Result<void> KeptResults::write_findings(const std::string& folder, const Sink& sink) const {
  Survey head = diagnosis::head_of(survey_);
  head.folder = folder;
  FindingsWriter writer(sink, head, policy_, options_);
  Result<void> read;
  const auto put = [&read](const Result<std::string>& text, auto write) {
    if (text) {
      write(*text);
    } else if (read) {
      read = fail(text.error());
    }
  };
  const auto item = [&writer](const std::string& text) { writer.item(text); };
  std::vector<Place> images(cut_.files.size());
  for (std::size_t motor = 0; motor < entries_.size(); ++motor) {
    Place place{static_cast<std::uint32_t>(motor), 0};
    for (const std::size_t image : cut_.motors[motor].images) {
      images[image] = place;
      ++place.number;
    }
  }
  writer.begin_list("images");
  for (const auto& [motor, i] : images) {
    const auto [journal, number] = entries_[motor];
    put(journal->image(number, i), item);
  }
  writer.end_list();
  writer.begin_list("components");
  for (const auto& [first, place] : components_) {
    const auto [journal, number] = entries_[place.motor];
    put(journal->component(number, place.number), item);
  }
  writer.end_list();
  writer.begin_list("motors");
  for (const auto& [journal, number] : entries_) put(journal->result(number), item);
  writer.end_list();
  writer.begin_list("findings");
  for (std::size_t i = 0; i < findings_.size(); ++i) {
    const Place place = findings_[i].place;
    const auto [journal, number] = entries_[place.motor];
    put(journal->finding(number, place.number),
        [&](const std::string& text) { writer.finding(i + 1, findings_[i].case_number, text); });
  }
  writer.end_list();
  const auto put_asides = [&](std::string_view name, auto count, auto text) {
    writer.begin_list(name);
    for (const auto& [journal, number] : entries_) {
      for (std::size_t i = 0; i < (journal->*count)(number); ++i) {
        put((journal->*text)(number, i), item);
      }
    }
    writer.end_list();
  };
  put_asides("warm_even", &Journal::warm_even_count, &Journal::warm_even);
  put_asides("not_judged", &Journal::not_judged_count, &Journal::not_judged);
  writer.begin_list("problems");
  for (const Problem& problem : problems_) writer.problem(problem);
  writer.end_list();
  auto written = writer.finish();
  return read ? written : read;
}

Result<MotorState> KeptResults::state_of(std::size_t motor) const {
  MotorState state;
  state.images = cut_.motors[motor].images;
  state.assessment.survey = diagnosis::head_of(survey_);
  state.assessment.policy = policy_;
  state.assessment.options = options_;
  const auto [journal, number] = entries_[motor];
  const auto archive = journal->archive(number);
  if (!archive) return fail(archive.error());
  if (const auto restored = restore(*archive, state.assessment); !restored) {
    return fail(restored.error());
  }
  return state;
}

Result<std::vector<MotorState>> KeptResults::states_of(
    const std::vector<std::size_t>& motors) const {
  std::vector<MotorState> states;
  states.reserve(motors.size());
  for (const std::size_t motor : motors) {
    auto state = state_of(motor);
    if (!state) return fail(state.error());
    states.push_back(std::move(*state));
  }
  return states;
}

namespace {

/// Adds the rows and marks of another survey of the same head.
void append_rows(Survey& survey, const Survey& other) {
  const auto append = [](auto& to, const auto& from) {
    to.insert(to.end(), from.begin(), from.end());
  };
  append(survey.motors, other.motors);
  append(survey.images, other.images);
  append(survey.readings, other.readings);
  append(survey.shop_tests, other.shop_tests);
  append(survey.circuit, other.circuit);
  append(survey.sweeps, other.sweeps);
  append(survey.air_gaps, other.air_gaps);
  survey.marks.insert(other.marks.begin(), other.marks.end());
}

}  // namespace

Result<Assessment> KeptResults::together(const std::vector<std::size_t>& motors) const {
  auto states = states_of(motors);
  if (!states) return fail(states.error());
  Survey survey = diagnosis::head_of(survey_);
  for (MotorState& state : *states) {
    std::iota(state.images.begin(), state.images.end(), survey.images.size());
    append_rows(survey, state.assessment.survey);
  }
  return diagnosis::put_together(std::move(survey), policy_, options_, std::move(*states));
}

Result<Assessment> KeptResults::motors(std::size_t first, std::size_t count) const {
  std::vector<std::size_t> some(std::min(entries_.size(), first + count) - first);
  std::iota(some.begin(), some.end(), first);
  return together(some);
}

Result<Assessment> KeptResults::page(std::size_t first, std::size_t count) const {
  const std::size_t end = std::min(findings_.size(), first + count);
  std::vector<std::size_t> motors;
  for (std::size_t i = first; i < end; ++i) motors.push_back(findings_[i].place.motor);
  std::sort(motors.begin(), motors.end());
  motors.erase(std::unique(motors.begin(), motors.end()), motors.end());
  auto together = this->together(motors);
  if (!together || motors.empty()) return together;
  // Its findings stand in the order of the whole list: those of the page follow one another.
  auto& its = together->findings;
  const Place top = findings_[first].place;
  const std::string& motor = cut_.motors[top.motor].id;
  std::uint32_t number = 0;  // among the motor's own
  const auto begin = std::find_if(its.begin(), its.end(), [&](const diagnosis::Finding& finding) {
    return finding.motor == motor && number++ == top.number;
  });
  its.erase(its.begin(), begin);
  its.erase(its.begin() + static_cast<std::ptrdiff_t>(end - first), its.end());
  for (std::size_t i = 0; i < its.size(); ++i) {
    its[i].rank = static_cast<int>(first + i + 1);
    its[i].case_number = findings_[first + i].case_number;
  }
  return together;
}

Result<Assessment> KeptResults::whole() const {
  std::vector<std::size_t> all(entries_.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  auto states = states_of(all);
  if (!states) return fail(states.error());
  Survey survey = survey_;
  survey.images.resize(cut_.files.size());
  for (MotorState& state : *states) {
    Survey& its = state.assessment.survey;
    for (std::size_t i = 0; i < its.images.size(); ++i) {
      survey.images[state.images[i]] = its.images[i];
    }
    survey.marks.merge(its.marks);
  }
  survey.problems.assign(problems_.begin(),
                         problems_.begin() + static_cast<std::ptrdiff_t>(problems_of_survey_));
  return diagnosis::put_together(std::move(survey), policy_, options_, std::move(*states));
}

}  // namespace ohmglow::records
