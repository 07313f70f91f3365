#include "assessment/judge_measured.h"
#include "offered/diagnosis/lug_scope.h"
#include "ohmglow/sentence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::assessment {
namespace {

using diagnosis::Assessment;
using diagnosis::Budget;
using diagnosis::BudgetInput;
using diagnosis::Distribution;
using diagnosis::Finding;
using radiometry::Contribution;
using radiometry::Estimate;
using radiometry::InputKind;

enum class BelongsTo { mark, image, visit, lug };

struct KindRow {
  BelongsTo belongs;
  std::string_view unit;
  Distribution distribution;
};
/// In the order of InputKind.
constexpr std::array<KindRow, 13> kKinds{{
    {BelongsTo::mark, "", Distribution::truncated_normal},   // emissivity
    {BelongsTo::image, "°C", Distribution::normal},          // reflected
    {BelongsTo::image, "°C", Distribution::normal},          // air
    {BelongsTo::image, "", Distribution::truncated_normal},  // atmosphere_transmittance
    {BelongsTo::image, "", Distribution::truncated_normal},  // window_transmittance
    {BelongsTo::image, "°C", Distribution::normal},          // window
    {BelongsTo::visit, "K", Distribution::normal},           // camera
    {BelongsTo::mark, "K", Distribution::normal},            // noise
    {BelongsTo::mark, "K", Distribution::normal},            // nonuniformity
    {BelongsTo::image, "A", Distribution::normal},           // load
    {BelongsTo::image, "", Distribution::rectangular},       // load_exponent
    {BelongsTo::lug, "K", Distribution::normal},             // sound_scatter
    {BelongsTo::lug, "K", Distribution::normal},             // reference_choice
}};

struct Known {
  double value = 0;
  double u = 0;
};

/// Finds the inputs that a finding's contributions name.
class Inputs {
 public:
  Inputs(const Assessment& assessment, std::span<const Measured> measured, const Finding& finding,
         std::size_t image)
      : assessment_(assessment), measured_(measured), finding_(finding), own_image_(image) {}

  [[nodiscard]] BudgetInput row_of(const Contribution& part) const {
    const KindRow& kind = kKinds.at(static_cast<std::size_t>(part.input.kind));
    const std::size_t image = image_of(part.input, kind.belongs);
    const Known known = known_of(part.input, image);
    BudgetInput row;
    row.kind = part.input.kind;
    row.of = owner(part.input.scope, kind.belongs, image);
    row.unit = kind.unit;
    row.value = known.value;
    row.u = known.u;
    row.distribution = kind.distribution;
    row.sensitivity = known.u > 0 ? part.u_k / known.u : 0;
    row.u_k = part.u_k;
    return row;
  }

 private:
  [[nodiscard]] std::size_t image_of(const radiometry::Input& input, BelongsTo belongs) const {
    if (belongs == BelongsTo::visit) return own_image_;
    // What judge() adds bears the image's place in the assessment.
    if (belongs == BelongsTo::lug) return diagnosis::lug_of(input.scope).image;
    if (input.kind == InputKind::load || input.kind == InputKind::load_exponent) return input.scope;
    return index_of_image(belongs == BelongsTo::mark ? Scopes::image_of(input.scope) : input.scope);
  }

  /// Scopes number the images of the survey; a motor that is judged alone has few of them.
  [[nodiscard]] std::size_t index_of_image(std::size_t number) const {
    if (number < measured_.size() && measured_[number].scopes.image == number) return number;
    const auto at = std::find_if(
        measured_.begin(), measured_.end(),
        [number](const Measured& measured) { return measured.scopes.image == number; });
    return static_cast<std::size_t>(at - measured_.begin());
  }

  [[nodiscard]] const Spot& spot_of(std::uint32_t scope, std::size_t image) const {
    const Measured& how = measured_[image];
    const std::size_t mark = Scopes::index_of(scope);
    for (const auto& patch : {&how.basis.ambient, &how.basis.reflector}) {
      if (*patch && (*patch)->mark == mark) return **patch;
    }
    return *std::find_if(how.lugs.begin(), how.lugs.end(),
                         [mark](const Spot& spot) { return spot.mark == mark; });
  }

  [[nodiscard]] Known known_of(const radiometry::Input& input, std::size_t image) const {
    if (input.kind == InputKind::sound_scatter) return {0, lug_of(input).sound_scatter.value()};
    if (input.kind == InputKind::reference_choice) return {0, choice_of(input)};
    const auto& scene = measured_[image].basis.scene;
    const auto& u = assessment_.images[image].used->uncertainties;
    switch (input.kind) {
      case InputKind::emissivity: {
        const Spot& spot = spot_of(input.scope, image);
        return {spot.emissivity.value(), spot.emissivity_u};
      }
      case InputKind::reflected:
        return {scene.reflected.value(), u.reflected.value()};
      case InputKind::air:
        return {scene.air.value(), u.air.value()};
      case InputKind::atmosphere_transmittance:
        return {scene.atmosphere_transmittance.value(), u.atmosphere_transmittance};
      case InputKind::window_transmittance:
        return {scene.window_transmittance.value(), u.window_transmittance};
      case InputKind::window:
        return {scene.window.value(), 0};
      case InputKind::camera:
        return {0, u.camera.value()};
      case InputKind::noise:
        return {0, u.noise.value() / std::sqrt(spot_of(input.scope, image).pixels)};
      case InputKind::nonuniformity:
        return {0, u.nonuniformity.value()};
      case InputKind::load:
        return {finding_.load_a.value_or(0), finding_.load_a.value_or(0) * u.load.value() / 100};
      case InputKind::load_exponent:
        return {severity::kLoadExponent, severity::load_exponent_u()};
      case InputKind::sound_scatter:
      case InputKind::reference_choice:
        break;
    }
    return {};
  }

  [[nodiscard]] const diagnosis::LugResult& lug_of(const radiometry::Input& input) const {
    const diagnosis::LugIndex at = diagnosis::lug_of(input.scope);
    return assessment_.images[at.image].lugs[at.lug];
  }
  /// The reference bears the scope; those held against it bear the value.
  [[nodiscard]] double choice_of(const radiometry::Input& input) const {
    const diagnosis::LugIndex reference = diagnosis::lug_of(input.scope);
    for (const auto& lug : assessment_.images[own_image_].lugs) {
      const bool counts_from = !lug.reference.empty() &&
                               lug.reference.front().image == reference.image &&
                               lug.reference.front().lug == reference.lug;
      if (counts_from && lug.reference_choice.value() > 0) return lug.reference_choice.value();
    }
    return 0;
  }

  [[nodiscard]] Sentence owner(std::uint32_t scope, BelongsTo belongs, std::size_t image) const {
    if (belongs == BelongsTo::visit) return sentence("the camera at this visit");
    const std::string& file = assessment_.images[image].file;
    if (belongs == BelongsTo::lug) {
      const std::string& name = assessment_.images[image].lugs[diagnosis::lug_of(scope).lug].name;
      return image == own_image_ ? layout("{}", name) : sentence("{} of {}", name, file);
    }
    if (belongs == BelongsTo::image) {
      return image == own_image_ ? sentence("this image") : layout("{}", file);
    }
    const auto marks = assessment_.survey.marks.find(file);
    const std::size_t index = Scopes::index_of(scope);
    const std::string name =
        marks != assessment_.survey.marks.end() && index < marks->second.marks.size()
            ? marks->second.marks[index].name
            : std::to_string(index + 1);
    return image == own_image_ ? layout("{}", name) : sentence("{} of {}", name, file);
  }

  const Assessment& assessment_;
  std::span<const Measured> measured_;
  const Finding& finding_;
  std::size_t own_image_;
};

Budget budget_of(std::string quantity, const Estimate& estimate, const Inputs& inputs) {
  Budget budget{std::move(quantity), estimate.value(), estimate.u(), {}};
  for (const Contribution& part : estimate.parts()) {
    if (part.u_k == 0) continue;
    BudgetInput row = inputs.row_of(part);
    row.share = part.u_k * part.u_k / (budget.u * budget.u);
    budget.inputs.push_back(std::move(row));
  }
  return budget;
}

}  // namespace

void add_budgets(Assessment& assessment, std::span<const Measured> measured) {
  for (Finding& finding : assessment.findings) {
    if (!finding.image_index || !finding.lug) continue;
    const std::size_t image = *finding.image_index;
    const auto& lugs = assessment.images[image].lugs;
    const auto lug = std::find_if(lugs.begin(), lugs.end(), [&finding](const auto& candidate) {
      return candidate.name == *finding.lug;
    });
    const Inputs inputs(assessment, measured, finding, image);
    const std::array<std::pair<const char*, const std::optional<Estimate>*>, 4> quantities{
        {{"temperature", &lug->temperature_c},
         {"rise_over_like", &finding.rise_over_like},
         {"rise_over_air", &finding.rise_over_air},
         {"projected_rise", &finding.projected}}};
    for (const auto& [name, estimate] : quantities) {
      if (*estimate) finding.budget.push_back(budget_of(name, **estimate, inputs));
    }
  }
}

}  // namespace ohmglow::assessment
