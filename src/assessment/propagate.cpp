#include "assessment/propagate.h"

#include "assessment/model.h"
#include "assessment/parallel.h"
#include "assessment/trials.h"
#include "offered/diagnosis/lug_scope.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmglow::assessment {
namespace {

using diagnosis::Assessment;
using diagnosis::LugIndex;
using diagnosis::LugResult;
using diagnosis::MonteCarlo;

/// Outputs of a lug in a trial, side by side.
enum Output : std::size_t { kTemperature, kOverLike, kOverAir, kOutputs };

/// The trials of one component at one visit: all of its lugs together, since they share inputs.
class ComponentTrials {
 public:
  ComponentTrials(const Assessment& assessment, const diagnosis::ComponentResult& component,
                  std::span<const Measured> measured)
      : assessment_(assessment), draws_(assessment.options.seed) {
    for (const std::size_t image : component.images) {
      const auto& result = assessment.images[image];
      first_lug_.push_back(lugs_.size());
      images_.push_back(image);
      models_.emplace_back(measured[image], result.used->uncertainties);
      for (std::size_t lug = 0; lug < result.lugs.size(); ++lug) lugs_.push_back({image, lug});
    }
    temperature_.resize(lugs_.size());
    air_.resize(images_.size());
    for (std::size_t i = 0; i < lugs_.size(); ++i) {
      if (lug(i).temperature_c) sampled_.push_back(i);
    }
  }

  [[nodiscard]] Sampled run() {
    return sample(sampled_.size() * kOutputs,
                  [this](std::uint64_t trial, std::span<double> row) { fill(trial, row); });
  }

  [[nodiscard]] std::size_t size() const { return sampled_.size(); }
  [[nodiscard]] LugIndex at(std::size_t i) const { return lugs_[sampled_[i]]; }

 private:
  [[nodiscard]] const LugResult& lug(std::size_t i) const {
    return assessment_.images[lugs_[i].image].lugs[lugs_[i].lug];
  }
  [[nodiscard]] std::size_t place_of(LugIndex at) const {
    const auto image = std::find(images_.begin(), images_.end(), at.image) - images_.begin();
    return first_lug_[static_cast<std::size_t>(image)] + at.lug;
  }

  void fill(std::uint64_t trial, std::span<double> row) {
    for (std::size_t i = 0; i < models_.size(); ++i) {
      models_[i].evaluate(draws_, trial,
                          std::span(temperature_).subspan(first_lug_[i], models_[i].lugs()),
                          air_[i]);
    }
    std::size_t image = 0;
    for (std::size_t s = 0; s < sampled_.size(); ++s) {
      const std::size_t i = sampled_[s];
      while (images_[image] != lugs_[i].image) ++image;
      const auto out = row.subspan(s * kOutputs, kOutputs);
      out[kTemperature] = temperature_[i];
      out[kOverLike] = temperature_[i] - reference_of(i) + scattered(i, trial);
      out[kOverAir] = temperature_[i] - air_[image];
    }
  }

  [[nodiscard]] double reference_of(std::size_t i) const {
    const auto& reference = lug(i).reference;
    double sum = 0;
    for (const LugIndex at : reference) sum += temperature_[place_of(at)];
    return sum / static_cast<double>(std::max<std::size_t>(reference.size(), 1));
  }

  /// What sound lugs scatter by and the choice of the reference add to a rise over like.
  [[nodiscard]] double scattered(std::size_t i, std::uint64_t trial) const {
    const LugResult& its = lug(i);
    if (its.reference.empty()) return 0;
    const auto scatter = [&](LugIndex at) {
      return draws_.normal({radiometry::InputKind::sound_scatter, diagnosis::scope_of(at)}, trial,
                           its.sound_scatter.value());
    };
    double sum = scatter(lugs_[i]);
    for (const LugIndex at : its.reference) {
      sum -= scatter(at) / static_cast<double>(its.reference.size());
    }
    return sum + draws_.normal({radiometry::InputKind::reference_choice,
                                diagnosis::scope_of(its.reference.front())},
                               trial, its.reference_choice.value());
  }

  const Assessment& assessment_;
  Draws draws_;
  std::vector<std::size_t> images_;
  std::vector<ImageModel> models_;
  std::vector<std::size_t> first_lug_;
  std::vector<LugIndex> lugs_;
  std::vector<std::size_t> sampled_;  ///< those of lugs_ that have a temperature
  std::vector<double> temperature_;
  std::vector<double> air_;
};

/// Shares of the bands, and of the trials without a result.
void count_bands(MonteCarlo& result, const severity::Policy& policy, const LugResult& lug,
                 const std::vector<double>& over_like, const std::vector<double>& over_air) {
  std::vector<std::size_t> in_band(policy.bands.size());
  std::size_t inside = 0;
  const auto given = [](bool has, double x) {
    return has ? std::optional<double>(x) : std::nullopt;
  };
  for (std::size_t t = 0; t < over_like.size(); ++t) {
    if ((lug.rise_over_like && !std::isfinite(over_like[t])) ||
        (lug.rise_over_air && !std::isfinite(over_air[t])))
      continue;
    ++inside;
    const auto grade = severity::grade(policy, given(lug.rise_over_like.has_value(), over_like[t]),
                                       given(lug.rise_over_air.has_value(), over_air[t]));
    if (grade.band) ++in_band[*grade.band];
  }
  for (const std::size_t count : in_band) {
    result.band_probability.push_back(
        inside > 0 ? static_cast<double>(count) / static_cast<double>(inside) : 0);
  }
  result.outside_share = 1 - static_cast<double>(inside) / static_cast<double>(over_like.size());
}

void run_component(Assessment& assessment, const diagnosis::ComponentResult& component,
                   std::span<const Measured> measured) {
  ComponentTrials trials(assessment, component, measured);
  const Sampled sampled = trials.run();
  for (std::size_t i = 0; i < trials.size(); ++i) {
    const LugIndex at = trials.at(i);
    LugResult& lug = assessment.images[at.image].lugs[at.lug];
    const std::size_t first = i * kOutputs;
    MonteCarlo result;
    result.trials = sampled.trials;
    result.is_stable = sampled.is_stable;
    result.temperature_c = sampled.spreads[first + kTemperature];
    if (lug.rise_over_like) result.over_like = sampled.spreads[first + kOverLike];
    if (lug.rise_over_air) result.over_air = sampled.spreads[first + kOverAir];
    count_bands(result, assessment.policy, lug, sampled.values[first + kOverLike],
                sampled.values[first + kOverAir]);
    lug.monte_carlo = std::move(result);
  }
}

}  // namespace

void propagate(Assessment& assessment, std::span<const Measured> measured, unsigned jobs) {
  share_out(assessment.components.size(), jobs, [&] {
    return [&](std::size_t c) { run_component(assessment, assessment.components[c], measured); };
  });
}

}  // namespace ohmglow::assessment
