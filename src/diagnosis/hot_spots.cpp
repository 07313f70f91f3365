#include "offered/diagnosis/lug_scope.h"
#include "wording.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kSpotMayBe =
    msg("it may be an unmarked connection, a part that runs warm by design (coil, transformer, "
        "heater), a reflection, or the sun or a hot wall behind it");

// The coolest lug measured on an image.
std::optional<LugIndex> coolest_of(const Judging& judging, std::size_t image) {
  std::optional<LugIndex> coolest;
  const auto& lugs = judging.result.images[image].lugs;
  for (std::size_t i = 0; i < lugs.size(); ++i) {
    if (!lugs[i].temperature_c) continue;
    const LugIndex at{image, i};
    if (!coolest || lugs[i].temperature_c->value() < judging.lug(*coolest).temperature_c->value()) {
      coolest = at;
    }
  }
  return coolest;
}

void fill_spot_rises(const Judging& judging, std::size_t image, LugResult& spot) {
  const auto& used = judging.result.images[image].used;
  if (used && used->air_c) {
    spot.rise_over_air = radiometry::Estimate::combine(1, *spot.temperature_c, -1, *used->air_c);
  }
  const auto coolest = coolest_of(judging, image);
  if (!coolest) return;
  const LugResult& like = judging.lug(*coolest);
  spot.reference = {*coolest};
  spot.reference_c = like.temperature_c->value();
  spot.sound_scatter = like.sound_scatter;
  const radiometry::Estimate scatter{
      0,
      {{{radiometry::InputKind::sound_scatter, scope_of(*coolest)}, like.sound_scatter.value()}}};
  spot.rise_over_like = radiometry::Estimate::combine(
      1, radiometry::Estimate::combine(1, *spot.temperature_c, -1, *like.temperature_c), 1,
      scatter);
}

void fill_spot_grade(const Judging& judging, LugResult& spot) {
  const severity::Policy& policy = judging.result.policy;
  const auto grade_with = [&](double factor) {
    const auto value = [factor](const std::optional<radiometry::Estimate>& rise) {
      return rise ? std::optional(rise->value() + factor * rise->u()) : std::nullopt;
    };
    return severity::grade(policy, value(spot.rise_over_like), value(spot.rise_over_air));
  };
  const bool guarded = judging.result.options.decision == severity::Decision::guarded;
  spot.simple_grade = grade_with(0);
  spot.grade = guarded ? grade_with(severity::kGuardFactor) : spot.simple_grade;
  spot.band_probability =
      severity::band_probabilities(policy, spot.rise_over_like, spot.rise_over_air);
  const auto limit = severity::first_like_limit(policy);
  if (!spot.rise_over_like || !limit) return;
  const double by_chance =
      boost::math::quantile(boost::math::normal(), policy.confidence) * spot.rise_over_like->u();
  spot.hot_from_k = std::max(limit->value, by_chance);
  spot.hot =
      limit->reached_by(spot.rise_over_like->value()) && spot.rise_over_like->value() >= by_chance;
}

std::vector<Evidence> spot_evidence(const Judging& judging, const ImageResult& image) {
  const LugResult& spot = image.outside->spot;
  const severity::Policy& policy = judging.result.policy;
  const Sentence name = sentence("the spot");
  Lines lines;
  add(lines,
      sentence("outside the marks, at pixel {}, {}: {}, the hottest of {} connected pixels",
               number(spot.hottest.x, 0), number(spot.hottest.y, 0),
               temperature(spot.temperature_c->value(), 1),
               number(static_cast<double>(spot.pixels), 0)),
      kHouseRule);
  add(lines,
      sentence("its surface is not known: emissivity {} was assumed; bare metal would be hotter",
               number(spot.emissivity.value(), 2)),
      kHouseRule);
  if (spot.rise_over_like) {
    say_rise(lines, policy, msg("{}: rise over like {}: {}"), name, *spot.rise_over_like,
             kOverLike);
  }
  if (spot.rise_over_air) {
    say_rise(lines, policy, msg("{}: rise over air {}: {}"), name, *spot.rise_over_air, kOverAir);
  }
  add(lines, sentence(kSpotMayBe), kCommonPractice);
  return lines;
}

Finding spot_finding(const Judging& judging, std::size_t index) {
  const ImageResult& image = judging.result.images[index];
  const LugResult& spot = image.outside->spot;
  Finding finding;
  finding.motor = judging.motor_result().motor;
  finding.component = image.component;
  finding.image = image.file;
  finding.image_index = index;
  finding.temperature_c = spot.temperature_c->value();
  finding.temperature_u_c = spot.temperature_c->u();
  finding.reference_c = spot.reference_c;
  finding.rise_over_like = spot.rise_over_like;
  finding.rise_over_air = spot.rise_over_air;
  finding.grade = spot.grade;
  finding.simple_grade = spot.simple_grade;
  finding.band_probability = spot.band_probability;
  finding.flags = spot.flags;
  finding.verdict = Verdict::unmarked_hot_spot;
  finding.next_step = next_step_of(Verdict::unmarked_hot_spot, {});
  finding.evidence = spot_evidence(judging, image);
  add_action(finding, judging.result.policy, judging.row);
  return finding;
}

// On an image without lugs: as warm as the policy lets warmth alone count beside like lugs, at its
// confidence. Any loaded lug is some kelvins over the air.
bool is_warm_over_air(const severity::Policy& policy, const LugResult& spot) {
  if (!spot.rise_over_air) return false;
  const double guard = boost::math::quantile(boost::math::normal(), policy.confidence);
  const auto by_air = severity::grade(
      policy, std::nullopt, spot.rise_over_air->value() - guard * spot.rise_over_air->u());
  return by_air.band && *by_air.band >= policy.air_alone_from.value_or(0);
}

}  // namespace

void grade_outside(Judging& judging) {
  for (std::size_t i = 0; i < judging.result.images.size(); ++i) {
    auto& outside = judging.result.images[i].outside;
    if (!outside) continue;
    fill_spot_rises(judging, i, outside->spot);
    fill_spot_grade(judging, outside->spot);
  }
}

std::vector<Finding> hot_spot_findings(const Judging& judging) {
  std::vector<Finding> findings;
  for (std::size_t i = 0; i < judging.result.images.size(); ++i) {
    const auto& outside = judging.result.images[i].outside;
    if (!outside || outside->is_background || !outside->spot.grade.band) continue;
    const LugResult& spot = outside->spot;
    // What lugs and spot are alike in the air is the component's own finding.
    const bool counts =
        spot.rise_over_like ? spot.hot : is_warm_over_air(judging.result.policy, spot);
    if (counts) {
      findings.push_back(spot_finding(judging, i));
    }
  }
  return findings;
}

}  // namespace ohmglow::diagnosis
