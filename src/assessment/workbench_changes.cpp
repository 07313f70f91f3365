#include "assessment/same_rows.h"
#include "assessment/workbench_inside.h"

#include <iterator>
#include <mutex>
#include <utility>

namespace ohmglow::assessment {
namespace {

/// The image's row in a motor's own part of the survey.
std::optional<std::size_t> index_in(const MotorCase& its, std::size_t place) {
  const auto at = std::find(its.places.begin(), its.places.end(), place);
  if (at == its.places.end()) return std::nullopt;
  return static_cast<std::size_t>(at - its.places.begin());
}

void put_marks(Survey& survey, const std::string& file, std::optional<MarkFile> marks) {
  survey.marks.erase(file);
  if (marks) survey.marks.emplace(file, std::move(*marks));
}

const std::string kMarks = "marks/";

/// What is wrong with a file now, in place of what was.
void put_problems(Survey& survey, const std::string& file, std::vector<Problem> problems) {
  std::erase_if(survey.problems, [&file](const Problem& known) { return known.file == file; });
  std::move(problems.begin(), problems.end(), std::back_inserter(survey.problems));
}

const MarkFile* marks_of_image(const Survey& survey, const std::string& file) {
  const auto at = survey.marks.find(file);
  return at == survey.marks.end() ? nullptr : &at->second;
}

/// All that measuring looks at of a motor's row, which may be null.
std::optional<SquareCentimetre> lug_area_of(const Motor* row) {
  return row != nullptr ? row->lug_area_cm2 : std::nullopt;
}

bool is_same_row(const Motor* a, const Motor* b) {
  return a == nullptr || b == nullptr ? a == b : *a == *b;
}

bool has_same_head(const Survey& a, const Survey& b) {
  return a.band == b.band && a.folder == b.folder && a.phase_names == b.phase_names &&
         a.surveyed_on == b.surveyed_on;
}

/// What was known before a survey took the place of another.
struct Before {
  Survey survey;
  std::vector<KeptPtr> kept;
  std::vector<std::uint32_t> visits;
  std::vector<Slot> slots;
  std::map<std::string, std::size_t, std::less<>> slot_index;
  std::map<std::string, std::size_t, std::less<>> rows;
  bool marks_are_kept = false;  ///< moved over to the new survey as they were

  [[nodiscard]] const Motor* row_of(const std::string& motor) const {
    const auto at = rows.find(motor);
    return at == rows.end() ? nullptr : &survey.motors[at->second];
  }
  [[nodiscard]] bool has_same_marks(const Survey& now, const std::string& file) const {
    if (marks_are_kept) return true;
    const MarkFile* a = marks_of_image(survey, file);
    const MarkFile* b = marks_of_image(now, file);
    return a == nullptr || b == nullptr ? a == b : *a == *b;
  }
  /// Whether what was measured on an image would come out the same now.
  [[nodiscard]] bool holds_for(std::size_t i, const Survey& now, std::uint32_t visit,
                               const Motor* row) const {
    if (i >= kept.size() || kept[i] == nullptr || visits[i] != visit) return false;
    const ImageEntry& entry = now.images[i];
    return says_the_same(survey.images[i], entry) && has_same_marks(now, entry.file) &&
           lug_area_of(row_of(entry.motor)) == lug_area_of(row);
  }

  /// The motor as it was, if nothing that it depends on has changed; else null.
  [[nodiscard]] const Slot* same_as(const Slot& slot, const Survey& now, const Motor* row) const {
    const auto at = slot_index.find(slot.id);
    if (at == slot_index.end()) return nullptr;
    const Slot& then = slots[at->second];
    const auto same = [](const auto& a, const auto& of_a, const auto& b, const auto& of_b) {
      return std::equal(of_a.begin(), of_a.end(), of_b.begin(), of_b.end(),
                        [&](std::size_t i, std::size_t j) { return says_the_same(a[i], b[j]); });
    };
    const bool holds = then.images == slot.images && then.pending == 0 && slot.pending == 0 &&
                       is_same_row(row_of(slot.id), row) &&
                       same(survey.readings, then.readings, now.readings, slot.readings) &&
                       same(survey.shop_tests, then.shop_tests, now.shop_tests, slot.shop_tests) &&
                       same(survey.circuit, then.circuit, now.circuit, slot.circuit) &&
                       same(survey.sweeps, then.sweeps, now.sweeps, slot.sweeps) &&
                       same(survey.air_gaps, then.air_gaps, now.air_gaps, slot.air_gaps);
    return holds ? &then : nullptr;
  }
};

}  // namespace

std::optional<diagnosis::MotorState> Workbench::try_out(std::string_view motor,
                                                        std::optional<std::size_t> image,
                                                        const Draft& draft) {
  MotorCase its;
  while (true) {
    if (inside_->settled(motor) == nullptr) return std::nullopt;
    const std::shared_lock lock(inside_->mutex);
    const Slot* slot = inside_->slot_of(motor);
    if (slot == nullptr) return std::nullopt;
    if (slot->pending > 0) continue;
    its = inside_->gather(*slot);
    break;
  }
  const auto index = image ? index_in(its, *image) : std::nullopt;
  if (index) {
    ImageEntry& entry = its.survey.images[*index];
    if (draft.entry) entry = *draft.entry;
    if (draft.marks) put_marks(its.survey, entry.file, draft.marks);
    // One file may stand for several images of the motor: its marks are theirs.
    PixelTables tables;
    for (std::size_t i = 0; i < its.places.size(); ++i) {
      if (i != *index && its.survey.images[i].file != entry.file) continue;
      const auto file = inside_->pixels.open(its.survey.folder, its.survey.images[i]);
      its.kept[i] = measured(its, i, *file, tables);
    }
  }
  if (draft.readings) its.survey.readings = *draft.readings;
  diagnosis::Options how = inside_->options.judging;
  how.uncertainty = diagnosis::Uncertainty::linear;
  return inside_->judged(its, how);
}

void Workbench::change_marks(const std::string& file, std::optional<MarkFile> marks,
                             std::vector<Problem> problems) {
  const std::unique_lock lock(inside_->mutex);
  Survey& survey = inside_->survey;
  put_marks(survey, file, std::move(marks));
  put_problems(survey, kMarks + file + ".json", std::move(problems));
  const auto at = inside_->places.find(file);
  if (at == inside_->places.end()) return;
  for (const std::size_t place : at->second) {
    Slot& slot = *inside_->slot_of(survey.images[place].motor);
    inside_->put(slot, place, nullptr);
    inside_->touch(slot);
  }
}

bool Workbench::change_readings(std::vector<Reading> readings,
                                const std::vector<ShopTest>& shop_tests,
                                std::vector<Problem> problems) {
  const std::unique_lock lock(inside_->mutex);
  Inside& in = *inside_;
  if (shop_tests != in.survey.shop_tests) return false;
  std::map<std::string_view, std::vector<std::size_t>> by_motor;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (in.slot_of(readings[i].motor) == nullptr) return false;
    by_motor[readings[i].motor].push_back(i);
  }
  // A motor that readings alone name comes and goes with them.
  for (const Slot& slot : in.slots) {
    if (slot.images.empty() && in.row_of(slot.id) == nullptr) return false;
  }
  const auto then = std::exchange(in.survey.readings, std::move(readings));
  put_problems(in.survey, in.survey.tables.readings, std::move(problems));
  for (Slot& slot : in.slots) {
    const auto before = std::exchange(slot.readings, by_motor[slot.id]);
    const bool same = std::equal(before.begin(), before.end(), slot.readings.begin(),
                                 slot.readings.end(), [&](std::size_t i, std::size_t j) {
                                   return says_the_same(then[i], in.survey.readings[j]);
                                 });
    if (!same) in.touch(slot);
  }
  return true;
}

void Workbench::change_image(std::size_t place, ImageEntry entry) {
  const std::unique_lock lock(inside_->mutex);
  ImageEntry& known = inside_->survey.images.at(place);
  Slot& slot = *inside_->slot_of(known.motor);
  entry.file = known.file;
  entry.motor = known.motor;
  entry.component = known.component;
  entry.taken_at = known.taken_at;
  const bool same = says_the_same(known, entry);
  known = std::move(entry);
  if (same) return;
  inside_->put(slot, place, nullptr);
  inside_->touch(slot);
}

void Workbench::change_survey(Survey survey) {
  const std::unique_lock lock(inside_->mutex);
  inside_->exchange(std::move(survey), false);
}

void Workbench::change_tables(Survey tables) {
  const std::unique_lock lock(inside_->mutex);
  tables.marks = std::move(inside_->survey.marks);
  for (const Problem& problem : inside_->survey.problems) {
    if (problem.file.starts_with(kMarks)) tables.problems.push_back(problem);
  }
  inside_->exchange(std::move(tables), true);
}

void Workbench::Inside::exchange(Survey other, bool marks_are_kept) {
  const std::uint64_t revision_before = revision;
  const Before before{std::exchange(survey, std::move(other)),
                      kept,
                      visits,
                      slots,
                      slot_index,
                      rows,
                      marks_are_kept};
  const BandPtr band_before = band;
  index_survey();
  if (!has_same_head(before.survey, survey)) return;
  band = band_before;
  for (std::size_t i = 0; i < kept.size(); ++i) {
    Slot& slot = *slot_of(survey.images[i].motor);
    if (before.holds_for(i, survey, visits[i], row_of(slot.id))) put(slot, i, before.kept[i]);
  }
  bool all_hold = slots.size() == before.slots.size() && kept.size() == before.kept.size();
  for (Slot& slot : slots) {
    if (const Slot* then = before.same_as(slot, survey, row_of(slot.id))) {
      slot.state = then->state;
      slot.generation = then->generation;
    } else {
      all_hold = false;
    }
  }
  if (all_hold) revision = revision_before;
}

void Workbench::look_again(std::string_view motor) {
  MotorCase its;
  {
    const std::shared_lock lock(inside_->mutex);
    const Slot* slot = inside_->slot_of(motor);
    if (slot == nullptr) return;
    its = inside_->gather(*slot);
  }
  std::vector<std::size_t> changed;
  for (std::size_t i = 0; i < its.places.size(); ++i) {
    const auto now =
        records::stamp_of(std::filesystem::path(its.survey.folder) / its.survey.images[i].file);
    if (its.kept[i] != nullptr && its.kept[i]->stamp != now) changed.push_back(i);
  }
  if (changed.empty()) return;
  const std::unique_lock lock(inside_->mutex);
  Slot* slot = inside_->slot_of(motor);
  if (slot == nullptr || slot->generation != its.generation) return;
  for (const std::size_t i : changed) inside_->put(*slot, its.places[i], nullptr);
  inside_->touch(*slot);
}

}  // namespace ohmglow::assessment
