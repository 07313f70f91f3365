#include "assessment/workbench_inside.h"

#include <mutex>

namespace ohmglow::assessment {
KeptPtr measured(const MotorCase& its, std::size_t i, const OpenedFile& file, PixelTables& tables) {
  auto kept = std::make_shared<Kept>();
  kept->band = its.band;
  kept->stamp = file.stamp;
  kept->result = measure_entry(case_of(*its.band, its.survey, i, its.scopes[i], its.unconfirmed),
                               file.opened, tables, &kept->how);
  return kept;
}

Workbench::Inside::Inside(Survey its_survey, severity::Policy its_policy,
                          WorkbenchOptions its_options)
    : policy(std::move(its_policy)),
      options(std::move(its_options)),
      pixels(options.kept_pixel_bytes, options.limits),
      survey(std::move(its_survey)) {
  index_survey();
}

Slot* Workbench::Inside::slot_of(std::string_view motor) {
  const auto at = slot_index.find(motor);
  return at == slot_index.end() ? nullptr : &slots[at->second];
}

void Workbench::Inside::touch(Slot& slot) {
  slot.generation = ++generations;
  slot.state = nullptr;
  for (const std::size_t place : slot.images) {
    if (kept[place] == nullptr) next = std::min(next, place);
  }
  ++revision;
}

void Workbench::Inside::put(Slot& slot, std::size_t place, KeptPtr measured) {
  const bool was_there = kept[place] != nullptr;
  const bool is_there = measured != nullptr;
  kept[place] = std::move(measured);
  if (was_there && !is_there) ++slot.pending;
  if (!was_there && is_there) --slot.pending;
}

void Workbench::Inside::index_survey() {
  slots.clear();
  slot_index.clear();
  rows.clear();
  places.clear();
  band =
      std::make_shared<Result<radiometry::BandRadiance>>(radiometry::BandRadiance::of(survey.band));
  diagnosis::CutSurvey its_motors = diagnosis::cut(survey);
  visits = std::move(its_motors.visits);
  kept.assign(survey.images.size(), nullptr);
  next = 0;
  for (diagnosis::MotorRows& its : its_motors.motors) {
    slot_index.emplace(its.id, slots.size());
    Slot& slot = slots.emplace_back();
    static_cast<diagnosis::MotorRows&>(slot) = std::move(its);
    slot.generation = ++generations;
    slot.pending = slot.images.size();
  }
  for (std::size_t i = 0; i < survey.motors.size(); ++i) rows.emplace(survey.motors[i].id, i);
  for (std::size_t i = 0; i < survey.images.size(); ++i) {
    places[survey.images[i].file].push_back(i);
  }
  ++revision;
}

const Motor* Workbench::Inside::row_of(std::string_view motor) const {
  const auto at = rows.find(motor);
  return at == rows.end() ? nullptr : &survey.motors[at->second];
}

MotorCase Workbench::Inside::gather(const Slot& slot) const {
  MotorCase its{slot.generation,
                slot.id,
                diagnosis::rows_alone(survey, ImageRows::of(survey.images), slot),
                slot.images,
                {},
                {},
                band,
                options.judging.unconfirmed};
  for (const std::size_t place : slot.images) {
    its.scopes.push_back({static_cast<std::uint32_t>(place), visits[place]});
    its.kept.push_back(kept[place]);
  }
  return its;
}

diagnosis::MotorState Workbench::Inside::judged(const MotorCase& its,
                                                const diagnosis::Options& how) const {
  std::vector<diagnosis::ImageResult> results;
  std::vector<Measured> basis;
  for (const KeptPtr& one : its.kept) {
    results.push_back(one->result);
    basis.push_back(one->how);
  }
  return {judge_measured(its.id, its.survey, std::move(results), basis, policy, how, 1),
          its.places};
}

MotorStatePtr Workbench::Inside::settled(std::string_view motor) {
  PixelTables tables;
  while (true) {
    MotorCase its;
    {
      const std::shared_lock lock(mutex);
      const Slot* slot = slot_of(motor);
      if (slot == nullptr) return nullptr;
      if (slot->state != nullptr) return slot->state;
      its = gather(*slot);
    }
    for (std::size_t i = 0; i < its.kept.size(); ++i) {
      if (its.kept[i] != nullptr) continue;
      const auto file = pixels.open(its.survey.folder, its.survey.images[i]);
      its.kept[i] = measured(its, i, *file, tables);
    }
    const auto state = std::make_shared<const diagnosis::MotorState>(judged(its, options.judging));
    const std::unique_lock lock(mutex);
    Slot* slot = slot_of(motor);
    // Something changed meanwhile: what was worked out is of the past.
    if (slot == nullptr || slot->generation != its.generation) continue;
    for (std::size_t i = 0; i < its.places.size(); ++i) put(*slot, its.places[i], its.kept[i]);
    slot->state = state;
    ++revision;
    return state;
  }
}

bool Workbench::Inside::measure_next(PixelTables& tables) {
  MotorCase its;
  std::size_t place = 0;
  {
    const std::unique_lock lock(mutex);
    while (next < kept.size() && kept[next] != nullptr) ++next;
    if (next == kept.size()) return false;
    place = next++;
    Slot one = *slot_of(survey.images[place].motor);
    one.images = {place};
    one.readings.clear();
    one.circuit.clear();
    its = gather(one);
  }
  const ImageEntry& entry = its.survey.images.front();
  const OpenedFile file{records::stamp_of(std::filesystem::path(its.survey.folder) / entry.file),
                        open_stored(its.survey.folder, entry, options.limits)};
  const KeptPtr result = measured(its, 0, file, tables);
  {
    const std::unique_lock lock(mutex);
    Slot* slot = slot_of(its.id);
    if (slot == nullptr || slot->generation != its.generation) return true;
    put(*slot, place, result);
    if (slot->pending > 0) return true;
  }
  static_cast<void>(settled(its.id));
  return true;
}

std::vector<std::string> Workbench::Inside::not_judged() const {
  const std::shared_lock lock(mutex);
  std::vector<std::string> left;
  for (const Slot& slot : slots) {
    if (slot.state == nullptr) left.push_back(slot.id);
  }
  return left;
}

}  // namespace ohmglow::assessment
