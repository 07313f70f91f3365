#include "offered/assessment/workbench.h"

#include "assessment/parallel.h"
#include "assessment/workbench_inside.h"

#include <atomic>
#include <map>
#include <mutex>

namespace ohmglow::assessment {

Workbench::Workbench(Survey survey, severity::Policy policy, WorkbenchOptions options)
    : inside_(std::make_unique<Inside>(std::move(survey), std::move(policy), std::move(options))) {}

Workbench::~Workbench() = default;

// --- measuring
// -----------------------------------------------------------------------------------------

void Workbench::measure_all(const std::function<bool(std::size_t, std::size_t)>& go_on) {
  const unsigned jobs = inside_->options.jobs;
  const std::size_t threads = std::max(jobs != 0 ? jobs : std::thread::hardware_concurrency(), 1U);
  std::atomic<bool> goes_on = true;
  std::mutex one_at_a_time;
  share_out(threads, jobs, [&] {
    return [&, tables = PixelTables{}](std::size_t) mutable {
      while (goes_on && inside_->measure_next(tables)) {
        const std::lock_guard lock(one_at_a_time);
        const Progress at = progress();
        if (!go_on(at.done, at.total)) goes_on = false;
      }
    };
  });
  const auto left = inside_->not_judged();
  share_out(left.size(), jobs, [&] {
    return [&](std::size_t i) {
      if (goes_on) static_cast<void>(inside_->settled(left[i]));
    };
  });
}

Workbench::Progress Workbench::progress() const {
  const std::shared_lock lock(inside_->mutex);
  std::size_t pending = 0;
  for (const Slot& slot : inside_->slots) pending += slot.pending;
  const std::size_t total = inside_->kept.size();
  return {total - pending, total};
}

std::uint64_t Workbench::revision() const {
  return inside_->revision;
}

// --- looking
// -------------------------------------------------------------------------------------------

void Workbench::with_survey(const std::function<void(const Survey&)>& look) const {
  const std::shared_lock lock(inside_->mutex);
  look(inside_->survey);
}

const severity::Policy& Workbench::policy() const {
  return inside_->policy;
}

const WorkbenchOptions& Workbench::options() const {
  return inside_->options;
}

std::optional<std::size_t> Workbench::find_image(std::string_view file,
                                                 std::optional<int> page) const {
  const std::shared_lock lock(inside_->mutex);
  const auto at = inside_->places.find(file);
  if (at == inside_->places.end()) return std::nullopt;
  for (const std::size_t place : at->second) {
    const int its_page = inside_->survey.images[place].parameters.page.value_or(1);
    if (!page || its_page == *page) return place;
  }
  return std::nullopt;
}

std::vector<std::string> Workbench::motors() const {
  const std::shared_lock lock(inside_->mutex);
  std::vector<std::string> ids;
  for (const Slot& slot : inside_->slots) ids.push_back(slot.id);
  return ids;
}

MotorStatePtr Workbench::motor(std::string_view id) {
  return inside_->settled(id);
}

MotorStatePtr Workbench::known(std::string_view id) const {
  const std::shared_lock lock(inside_->mutex);
  const Slot* slot = inside_->slot_of(id);
  return slot == nullptr ? nullptr : slot->state;
}

std::vector<MotorStatePtr> Workbench::judged() const {
  const std::shared_lock lock(inside_->mutex);
  std::vector<MotorStatePtr> states;
  for (const Slot& slot : inside_->slots) {
    if (slot.state != nullptr) states.push_back(slot.state);
  }
  return states;
}

std::shared_ptr<const RankedList> Workbench::ranked() {
  std::vector<MotorStatePtr> states;
  const auto list = std::make_shared<RankedList>();
  {
    const std::shared_lock lock(inside_->mutex);
    list->revision = inside_->revision;
    if (inside_->ranked && inside_->ranked->revision == list->revision) return inside_->ranked;
    for (const Slot& slot : inside_->slots) {
      if (slot.state != nullptr) states.push_back(slot.state);
    }
  }
  std::vector<diagnosis::ToRank> order;
  std::vector<Ranked> places;
  for (const MotorStatePtr& state : states) {
    const auto& findings = state->assessment.findings;
    for (std::size_t i = 0; i < findings.size(); ++i) {
      order.push_back({&findings[i], state->row(), places.size()});
      places.push_back({state, i});
    }
  }
  diagnosis::sort_by_rank(order);
  std::map<std::string_view, int> cases;
  for (const diagnosis::ToRank& next : order) {
    list->findings.push_back(places[next.number]);
    const int number = static_cast<int>(cases.size()) + 1;
    list->findings.back().case_number = cases.emplace(next.finding->case_id, number).first->second;
  }
  const std::unique_lock lock(inside_->mutex);
  if (!inside_->ranked || inside_->ranked->revision < list->revision) inside_->ranked = list;
  return list;
}

Result<imaging::ThermalImage> Workbench::image(std::size_t place) {
  std::filesystem::path folder;
  ImageEntry entry;
  {
    const std::shared_lock lock(inside_->mutex);
    folder = inside_->survey.folder;
    entry = inside_->survey.images.at(place);
  }
  return declared(inside_->pixels.open(folder, entry)->opened, entry);
}

Judged Workbench::whole() {
  while (true) {
    for (const std::string& id : inside_->not_judged()) static_cast<void>(motor(id));
    Judged judged;
    {
      const std::shared_lock lock(inside_->mutex);
      judged.survey = inside_->survey;
      for (const Slot& slot : inside_->slots) judged.motors.push_back(slot.state);
    }
    const auto& motors = judged.motors;
    if (std::find(motors.begin(), motors.end(), nullptr) == motors.end()) return judged;
  }
}

}  // namespace ohmglow::assessment
