#include "ohmglow/kept_results.h"

#include "assessment/motor_rows.h"
#include "ohmglow/records.h"

#include <algorithm>
#include <iterator>
#include <numeric>
#include <tuple>
#include <unordered_map>

namespace ohmglow::assessment {
namespace {

using diagnosis::Assessment;
using diagnosis::ImageResult;
using diagnosis::ImageStatus;

const Motor* row_of(const Survey& survey) {
  return survey.motors.empty() ? nullptr : &survey.motors.front();
}

template <class Pairs>
void add_in_order(Pairs& pairs, std::vector<Problem>& problems) {
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& [place, problem] : pairs) problems.push_back(problem);
}

/// What is wrong with the marks of a file is said once, be its pages of several motors.
void drop_repeated(std::vector<std::pair<std::size_t, Problem>>& problems) {
  std::vector<std::pair<std::size_t, Problem>> once;
  for (auto& item : problems) {
    const bool is_new = std::none_of(
        once.begin(), once.end(), [&](const auto& known) { return known.second == item.second; });
    if (is_new) once.push_back(std::move(item));
  }
  problems = std::move(once);
}

}  // namespace

KeptResults::KeptResults(const Survey& survey, const severity::Policy& policy,
                         const diagnosis::Options& options, const MotorByMotor& parts,
                         std::vector<records::Journal> journals, std::vector<Problem> of_marks)
    : survey_(survey),
      policy_(policy),
      options_(options),
      parts_(parts),
      journals_(std::move(journals)),
      of_marks_(std::move(of_marks)),
      entries_(parts.motors().size()),
      sha256_(survey.images.size()) {}

/// Trials draw by the images' places in the survey, nothing else looks at them.
std::vector<std::size_t> KeptResults::numbers_of(std::size_t motor) const {
  if (options_.uncertainty != diagnosis::Uncertainty::monte_carlo) return {};
  return parts_.motors()[motor].images;
}

Result<std::vector<std::size_t>> KeptResults::take_over(std::span<const std::size_t> motors,
                                                        bool unchanged_files) {
  std::unordered_map<std::string_view, Entry> kept;
  for (const records::Journal& journal : journals_) {
    for (std::size_t i = 0; i < journal.size(); ++i) kept[journal.motor(i)] = {&journal, i};
  }
  std::vector<std::size_t> left;
  for (const std::size_t motor : motors) {
    const auto at = kept.find(parts_.motors()[motor].id);
    if (at == kept.end()) {
      left.push_back(motor);
      continue;
    }
    const auto& [journal, number] = at->second;
    Assessment its;
    its.survey = parts_.alone(motor);
    if (journal->rows(number) != records::hash_of_rows(its.survey, numbers_of(motor)) ||
        (unchanged_files && journal->stamps(number) != records::hash_of_stamps(its.survey))) {
      left.push_back(motor);
      continue;
    }
    const auto archive = journal->archive(number);
    if (!archive) return fail(archive.error());
    if (const auto restored = records::restore(*archive, its); !restored) {
      return fail(restored.error());
    }
    take_note(motor, at->second, its);
  }
  return left;
}

Result<void> KeptResults::add(std::size_t motor, const MotorState& state) {
  records::JournalEntry entry = records::journal_entry(state.assessment, state.for_reader);
  entry.rows = records::hash_of_rows(state.assessment.survey, numbers_of(motor));
  entry.stamps = records::hash_of_stamps(state.assessment.survey);
  records::Journal& journal = journals_.front();
  const auto number = journal.append(entry);
  if (!number) return fail(number.error());
  const std::lock_guard lock(mutex_);
  take_note(motor, {&journal, *number}, state.assessment);
  return {};
}

void KeptResults::take_note(std::size_t motor, Entry entry, const Assessment& its) {
  const MotorRows& rows = parts_.motors()[motor];
  entries_[motor] = entry;
  for (std::size_t i = 0; i < its.images.size(); ++i) {
    const ImageResult& image = its.images[i];
    totals_.measured += image.status == ImageStatus::measured ? 1 : 0;
    totals_.unmarked += image.status == ImageStatus::unmarked ? 1 : 0;
    totals_.rejected += image.status == ImageStatus::rejected ? 1 : 0;
    is_usable_ = is_usable_ || image.status == ImageStatus::measured;
    std::copy_n(image.sha256.begin(), std::min(image.sha256.size(), sizeof(Sha256)),
                sha256_[rows.images[i]].begin());
  }
  for (std::size_t i = 0; i < its.components.size(); ++i) {
    components_.push_back({rows.images[its.components[i].images.front()], {motor, i}});
  }
  for (std::size_t i = 0; i < its.findings.size(); ++i) {
    findings_.push_back({diagnosis::rank_key(its.findings[i], row_of(its.survey)), {motor, i}});
  }
  for (const auto& reading : its.motors.front().electrical) {
    is_usable_ = is_usable_ || reading.problem.empty();
  }
  note_problems(motor, its);
}

void KeptResults::note_problems(std::size_t motor, const Assessment& its) {
  const MotorRows& rows = parts_.motors()[motor];
  for (const Problem& problem : its.survey.problems) {
    std::size_t image = 0;
    for (std::size_t i = 0; i < its.survey.images.size(); ++i) {
      if (problem.file == records::marks_path({}, its.survey.images[i].file)) image = i;
    }
    marks_problems_.emplace_back(rows.images.at(image), problem);
  }
  for (std::size_t i = 0; i < its.images.size(); ++i) {
    for (const std::string& problem : its.images[i].problems) {
      image_problems_.push_back({rows.images[i], {its.images[i].file, std::nullopt, "", problem}});
    }
  }
  for (const Problem& problem : problems_of_readings(its)) {
    reading_problems_.emplace_back(motor, problem);
  }
}

void KeptResults::rank() {
  std::sort(components_.begin(), components_.end(),
            [](const auto& a, const auto& b) { return a.first_image < b.first_image; });
  std::sort(findings_.begin(), findings_.end(), [](const auto& a, const auto& b) {
    if (diagnosis::comes_before(a.key, b.key)) return true;
    if (diagnosis::comes_before(b.key, a.key)) return false;
    return std::tie(a.place.motor, a.place.number) < std::tie(b.place.motor, b.place.number);
  });
  problems_ = survey_.problems;
  drop_repeated(marks_problems_);
  add_in_order(marks_problems_, problems_);
  problems_.insert(problems_.end(), of_marks_.begin(), of_marks_.end());
  add_in_order(image_problems_, problems_);
  auto unknown = diagnosis::unknown_motors(survey_);
  std::move(unknown.begin(), unknown.end(), std::back_inserter(problems_));
  add_in_order(reading_problems_, problems_);
  totals_.findings = findings_.size();
  totals_.problems = problems_.size();
}

Totals KeptResults::totals() const {
  return totals_;
}

std::optional<std::size_t> KeptResults::worst_band() const {
  return findings_.empty() ? std::nullopt : findings_.front().key.band;
}

std::string KeptResults::sha256_of(std::size_t image) const {
  const Sha256& hash = sha256_.at(image);
  return hash.front() == '\0' ? std::string() : std::string(hash.begin(), hash.end());
}

Result<void> KeptResults::write_findings(const std::string& folder,
                                         const records::Sink& sink) const {
  Survey head = head_of(survey_);
  head.folder = folder;
  records::FindingsWriter writer(sink, head, policy_, options_);
  Result<void> read;
  const auto put = [&read](const Result<std::string>& text, auto write) {
    if (text) {
      write(*text);
    } else if (read) {
      read = fail(text.error());
    }
  };
  const auto item = [&writer](const std::string& text) { writer.item(text); };
  std::vector<Place> images(survey_.images.size());
  for (std::size_t motor = 0; motor < entries_.size(); ++motor) {
    const auto& places = parts_.motors()[motor].images;
    for (std::size_t i = 0; i < places.size(); ++i) images[places[i]] = {motor, i};
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
        [&](const std::string& text) { writer.finding(i + 1, text); });
  }
  writer.end_list();
  writer.begin_list("problems");
  for (const Problem& problem : problems_) writer.problem(problem);
  writer.end_list();
  auto written = writer.finish();
  return read ? written : read;
}

Result<MotorState> KeptResults::state_of(std::size_t motor, Words words) const {
  MotorState state;
  state.images = parts_.motors()[motor].images;
  state.assessment.survey = parts_.alone(motor);
  state.assessment.policy = policy_;
  state.assessment.options = options_;
  const auto [journal, number] = entries_[motor];
  auto archive = words == Words::of_reader ? journal->archive_for_reader(number)
                                           : Result<std::string>(std::string());
  if (archive && archive->empty()) archive = journal->archive(number);
  if (!archive) return fail(archive.error());
  if (const auto restored = records::restore(*archive, state.assessment); !restored) {
    return fail(restored.error());
  }
  return state;
}

Result<std::vector<MotorState>> KeptResults::states_of(const std::vector<std::size_t>& motors,
                                                       Words words) const {
  std::vector<MotorState> states;
  states.reserve(motors.size());
  for (const std::size_t motor : motors) {
    auto state = state_of(motor, words);
    if (!state) return fail(state.error());
    states.push_back(std::move(*state));
  }
  return states;
}

Result<Assessment> KeptResults::together(const std::vector<std::size_t>& motors,
                                         Words words) const {
  auto states = states_of(motors, words);
  if (!states) return fail(states.error());
  Survey survey = head_of(survey_);
  for (MotorState& state : *states) {
    std::iota(state.images.begin(), state.images.end(), survey.images.size());
    append_rows(survey, state.assessment.survey);
  }
  return put_together(std::move(survey), policy_, options_, std::move(*states));
}

Result<Assessment> KeptResults::motors(std::size_t first, std::size_t count, Words words) const {
  std::vector<std::size_t> some(std::min(entries_.size(), first + count) - first);
  std::iota(some.begin(), some.end(), first);
  return together(some, words);
}

Result<Assessment> KeptResults::page(std::size_t first, std::size_t count, Words words) const {
  const std::size_t end = std::min(findings_.size(), first + count);
  std::vector<std::size_t> motors;
  for (std::size_t i = first; i < end; ++i) motors.push_back(findings_[i].place.motor);
  std::sort(motors.begin(), motors.end());
  motors.erase(std::unique(motors.begin(), motors.end()), motors.end());
  auto together = this->together(motors, words);
  if (!together) return together;
  Assessment& page = *together;
  // Its findings stand in the order of the whole list, some of them outside the page.
  std::size_t next = 0;
  for (std::size_t i = 0; i < findings_.size(); ++i) {
    if (!std::binary_search(motors.begin(), motors.end(), findings_[i].place.motor)) continue;
    page.findings[next++].rank = static_cast<int>(i + 1);
  }
  std::erase_if(page.findings, [&](const diagnosis::Finding& finding) {
    const auto at = static_cast<std::size_t>(finding.rank);
    return at <= first || at > end;
  });
  return together;
}

Result<Assessment> KeptResults::whole(Words words) const {
  std::vector<std::size_t> all(entries_.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  auto states = states_of(all, words);
  if (!states) return fail(states.error());
  Survey survey = survey_;
  for (MotorState& state : *states) survey.marks.merge(state.assessment.survey.marks);
  for (const auto& [image, problem] : marks_problems_) survey.problems.push_back(problem);
  survey.problems.insert(survey.problems.end(), of_marks_.begin(), of_marks_.end());
  return put_together(std::move(survey), policy_, options_, std::move(*states));
}

}  // namespace ohmglow::assessment
