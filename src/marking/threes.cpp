#include "threes.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace ohmglow::marking {
namespace {

constexpr double kLeastEvenness = 0.64;
constexpr double kNearest = 2.1;  ///< spacing in radii
constexpr double kFarthest = 20;
constexpr double kLeastRim = 0.3;
constexpr double kLeastSize = 0.35;
constexpr double kMostBend = 2.2;  ///< radians; an equilateral triangle has 2.09
constexpr std::size_t kMostLookedAt = 250;

double apart(const SpotSeen& a, const SpotSeen& b) {
  return std::hypot(a.center.x - b.center.x, a.center.y - b.center.y);
}

/// What spots look like at each radius, and the likeness of two, worked out once.
class Likenesses {
 public:
  Likenesses(const Working& picture, const std::vector<SpotSeen>& seen)
      : picture_(picture), seen_(seen), looks_(seen.size() * kRadii) {}

  Likeness of(std::size_t a, std::size_t b, std::size_t place) {
    if (a > b) std::swap(a, b);
    const auto [known, is_new] =
        known_.try_emplace((a * seen_.size() + b) * kRadii + place, Likeness{});
    if (is_new) known->second = likeness(look(a, place), look(b, place));
    return known->second;
  }

 private:
  const Look& look(std::size_t spot, std::size_t place) {
    auto& look = looks_[spot * kRadii + place];
    if (!look) look = look_of(picture_, seen_[spot].center, radius_at(place));
    return *look;
  }

  const Working& picture_;
  const std::vector<SpotSeen>& seen_;
  std::vector<std::optional<Look>> looks_;
  std::unordered_map<std::size_t, Likeness> known_;
};

/// The rim that three spots have in common, at the largest radius at which it is seen nearly as
/// well as at the best one: a lug has a rim, and so has its nut.
bool share_rim(const std::array<const SpotSeen*, 3>& spots, Three& three) {
  constexpr double kNearly = 0.85;
  const auto& [a, b, c] = spots;
  std::array<float, kRadii> least{};
  for (std::size_t i = 0; i < kRadii; ++i) {
    const float open = std::min({a->open.at(i), b->open.at(i), c->open.at(i)});
    least.at(i) = (std::min({a->rims.at(i), b->rims.at(i), c->rims.at(i)}) + open) / 2;
    const float sum = a->rims.at(i) + b->rims.at(i) + c->rims.at(i) + a->open.at(i) +
                      b->open.at(i) + c->open.at(i);
    three.open = std::max<double>(three.open, open);
    three.rim = std::max<double>(three.rim, sum / 6);
  }
  const float best = *std::max_element(least.begin(), least.end());
  if (best < kLeastRim) return false;
  three.place = kRadii - 1;
  while (least.at(three.place) < kNearly * best) --three.place;
  three.radius = radius_at(three.place);
  return true;
}

std::optional<Three> three_of(const std::vector<SpotSeen>& seen, std::array<std::size_t, 3> ids) {
  // The one opposite the longest side stands between the others.
  const double side_01 = apart(seen[ids[0]], seen[ids[1]]);
  const double side_02 = apart(seen[ids[0]], seen[ids[2]]);
  const double side_12 = apart(seen[ids[1]], seen[ids[2]]);
  if (side_12 >= side_01 && side_12 >= side_02) {
    std::swap(ids[0], ids[1]);
  } else if (side_01 >= side_02 && side_01 >= side_12) {
    std::swap(ids[1], ids[2]);
  }
  const SpotSeen& a = seen[ids[0]];
  const SpotSeen& b = seen[ids[1]];
  const SpotSeen& c = seen[ids[2]];
  const double one = apart(a, b);
  const double other = apart(b, c);
  Three three;
  three.spots = ids;
  three.evenness = std::min(one, other) / std::max(one, other);
  if (three.evenness < kLeastEvenness) return {};
  const auto [least, most] = std::minmax({a.radius, b.radius, c.radius});
  three.size = least / most;
  const double along = (b.center.x - a.center.x) * (c.center.x - b.center.x) +
                       (b.center.y - a.center.y) * (c.center.y - b.center.y);
  three.bend = std::acos(std::clamp(along / (one * other), -1.0, 1.0));
  if (three.bend > kMostBend || !share_rim({&a, &b, &c}, three)) return {};
  if (std::min(one, other) < kNearest * three.radius ||
      std::max(one, other) > kFarthest * three.radius) {
    return {};
  }
  three.own_rim = (a.rim + b.rim + c.rim) / 3;
  return three;
}

/// Other spots with as good a rim, clear of the three: a field of like things is no component.
int fellows(const std::vector<SpotSeen>& seen, const Three& three) {
  constexpr double kAsGood = 0.9;
  constexpr double kClear = 2.5;  // in radii of the larger
  double least = 1;
  for (const std::size_t id : three.spots) least = std::min(least, seen[id].rim);
  return static_cast<int>(std::count_if(seen.begin(), seen.end(), [&](const SpotSeen& other) {
    return other.rim > kAsGood * least &&
           std::all_of(three.spots.begin(), three.spots.end(), [&](std::size_t id) {
             return apart(other, seen[id]) > kClear * std::max(other.radius, seen[id].radius);
           });
  }));
}

void look_closely(Likenesses& likenesses, Three& three) {
  const auto [i, j, k] = three.spots;
  const std::array<Likeness, 3> alike{likenesses.of(i, j, three.place),
                                      likenesses.of(j, k, three.place),
                                      likenesses.of(i, k, three.place)};
  three.edges = std::min({alike[0].edges, alike[1].edges, alike[2].edges});
  three.edges_mean = (alike[0].edges + alike[1].edges + alike[2].edges) / 3;
  three.warmth_mean = (alike[0].warmth + alike[1].warmth + alike[2].warmth) / 3;
}

/// Logarithm of the odds that three spots are the lugs, against other readings of the picture. The
/// weights were fitted to made-up scenes (conditional logit); what each says is plain: full rims,
/// alike in edges and in warmth, evenly spaced, of one size, with no fellows, rather on a line or
/// on an equal triangle. A right angle is what the screws in a cover's corners make.
constexpr double kNone = 19.7;  ///< that there are no lugs

double merit_of(const Three& three) {
  const double off_right_angle = (three.bend - CV_PI / 2) / 0.15;
  return 24.0 * three.own_rim + 4.8 * three.edges + 2.0 * three.edges_mean +
         1.4 * three.warmth_mean + 2.6 * std::log(three.evenness) + 0.7 * std::log(three.size) -
         2.5 * std::log(three.radius) - 2.9 * std::min(three.bend, 1.2) -
         3.1 * std::exp(-off_right_angle * off_right_angle) + (three.bend > 1.75 ? 2.7 : 0) -
         1.5 * std::log1p(three.fellows);
}

/// Whether two are readings of the same three lugs, by their palms and by their nuts, say.
bool are_same(const std::vector<SpotSeen>& seen, const Three& a, const Three& b) {
  constexpr double kSame = 0.6;  // of a radius
  return std::all_of(a.spots.begin(), a.spots.end(), [&](std::size_t one) {
    return std::any_of(b.spots.begin(), b.spots.end(), [&](std::size_t other) {
      return apart(seen[one], seen[other]) < kSame * std::max(a.radius, b.radius);
    });
  });
}

/// The share of each reading, and of those that mean the same, in all there are, and in there being
/// no lugs at all.
void weigh(const std::vector<SpotSeen>& seen, std::vector<Three>& found) {
  if (found.empty()) return;
  const double top = std::max(kNone, found.front().merit);
  double all = std::exp(kNone - top);
  for (const Three& three : found) all += std::exp(three.merit - top);
  for (Three& three : found) {
    double same = 0;
    for (const Three& other : found) {
      if (other.merit > top - 6 && are_same(seen, three, other)) {
        same += std::exp(other.merit - top);
      }
    }
    three.likely = same / all;
  }
}

bool by_merit(const Three& a, const Three& b) {
  return a.merit > b.merit;
}

}  // namespace

std::vector<Three> threes(const Working& picture, const std::vector<SpotSeen>& seen) {
  std::vector<Three> found;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    if (seen[i].rim < kLeastRim) continue;
    for (std::size_t j = i + 1; j < seen.size(); ++j) {
      const double size = seen[i].radius / seen[j].radius;
      if (seen[j].rim < kLeastRim || std::min(size, 1 / size) < kLeastSize) continue;
      for (std::size_t k = j + 1; k < seen.size(); ++k) {
        if (seen[k].rim < kLeastRim) continue;
        if (auto three = three_of(seen, {i, j, k})) {
          // Looking at pixels is expensive: those of poor rims are left out.
          three->merit = (three->rim + three->open) * std::sqrt(three->evenness);
          found.push_back(*three);
        }
      }
    }
  }
  std::stable_sort(found.begin(), found.end(), by_merit);
  if (found.size() > kMostLookedAt) found.resize(kMostLookedAt);
  Likenesses likenesses(picture, seen);
  for (Three& three : found) {
    look_closely(likenesses, three);
    three.fellows = fellows(seen, three);
    three.merit = merit_of(three);
  }
  std::stable_sort(found.begin(), found.end(), by_merit);
  weigh(seen, found);
  return found;
}

}  // namespace ohmglow::marking
