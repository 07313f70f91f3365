#include "groups.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace ohmglow::marking {
namespace {

constexpr double kLeastEvenness = 0.75;
constexpr double kNearest = 2.1;  ///< spacing in radii
constexpr double kFarthest = 20;
constexpr double kLeastRim = 0.3;
constexpr double kLeastLook = 0.42;
constexpr double kLeastOwnRim = 0.7;
constexpr double kLeastSize = 0.4;
constexpr double kMostBend = 2.2;  ///< radians; an equilateral triangle has 2.09
constexpr std::size_t kMostLookedAt = 250;

double apart(const SpotSeen& a, const SpotSeen& b) {
  const double dx = a.center.x - b.center.x;
  const double dy = a.center.y - b.center.y;
  return std::sqrt(dx * dx + dy * dy);
}

/// What spots look like at each radius, and the likeness of two, worked out once.
class Likenesses {
 public:
  Likenesses(const Working& picture, const std::vector<SpotSeen>& seen)
      : picture_(picture),
        seen_(seen),
        looks_(seen.size() * kRadii),
        leaving_(seen.size() * kRadii) {}

  Likeness of(std::size_t a, std::size_t b, std::size_t place) {
    if (a > b) std::swap(a, b);
    const auto [known, is_new] =
        known_.try_emplace((a * seen_.size() + b) * kRadii + place, Likeness{});
    if (is_new) known->second = likeness(look(a, place), look(b, place));
    return known->second;
  }

  const Leaving& leaving(std::size_t spot, std::size_t place) {
    auto& leaving = leaving_[spot * kRadii + place];
    if (!leaving) leaving = conductors(picture_, seen_[spot].center, radius_at(place));
    return *leaving;
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
  std::vector<std::optional<Leaving>> leaving_;
  std::unordered_map<std::size_t, Likeness> known_;
};

/// The rim that the spots have in common, at the largest radius at which it is seen nearly as well
/// as at the best one: a lug has a rim, and so has its nut.
bool share_rim(const std::vector<SpotSeen>& seen, Group& group) {
  constexpr double kNearly = 0.85;
  std::array<float, kRadii> least{};
  for (std::size_t i = 0; i < kRadii; ++i) {
    float rim = 1;
    float open = 1;
    for (const std::size_t id : group.spots) {
      rim = std::min(rim, seen[id].rims.at(i));
      open = std::min(open, seen[id].open.at(i));
    }
    least.at(i) = (rim + open) / 2;
  }
  group.rim = *std::max_element(least.begin(), least.end());
  if (group.rim < kLeastRim) return false;
  group.place = kRadii - 1;
  while (least.at(group.place) < kNearly * group.rim) --group.place;
  group.radius = radius_at(group.place);
  for (const std::size_t id : group.spots) {
    group.own_rim += seen[id].rim / static_cast<double>(group.spots.size());
  }
  return true;
}

bool are_spaced(double spacing, double radius) {
  return spacing >= kNearest * radius && spacing <= kFarthest * radius;
}

std::optional<Group> three_of(const std::vector<SpotSeen>& seen, std::array<std::size_t, 3> ids) {
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
  Group group;
  group.evenness = std::min(one, other) / std::max(one, other);
  if (group.evenness < kLeastEvenness) return {};
  const double along = (b.center.x - a.center.x) * (c.center.x - b.center.x) +
                       (b.center.y - a.center.y) * (c.center.y - b.center.y);
  group.bend = std::acos(std::clamp(along / (one * other), -1.0, 1.0));
  if (group.bend > kMostBend) return {};
  group.spots.assign(ids.begin(), ids.end());
  if (!share_rim(seen, group) || !are_spaced(one, group.radius) ||
      !are_spaced(other, group.radius)) {
    return {};
  }
  return group;
}

/// Whether the third of a row of which `a` and `b` are two would lie out of the picture.
bool is_out(const Working& picture, const SpotSeen& a, const SpotSeen& b, double radius) {
  constexpr double kOut = 0.8;  // of a radius
  const double x = 2 * b.center.x - a.center.x;
  const double y = 2 * b.center.y - a.center.y;
  return x < -kOut * radius || y < -kOut * radius || x > picture.size.width - 1 + kOut * radius ||
         y > picture.size.height - 1 + kOut * radius;
}

std::optional<Group> two_of(const Working& picture, const std::vector<SpotSeen>& seen,
                            std::size_t i, std::size_t j) {
  Group group;
  group.spots = {i, j};
  group.evenness = 1;
  if (!share_rim(seen, group) || !are_spaced(apart(seen[i], seen[j]), group.radius)) return {};
  if (!is_out(picture, seen[i], seen[j], group.radius) &&
      !is_out(picture, seen[j], seen[i], group.radius)) {
    return {};
  }
  return group;
}

/// Other spots with as good a rim, clear of the group: a field of like things is no component.
int fellows(const std::vector<SpotSeen>& seen, const Group& group) {
  constexpr double kAsGood = 0.9;
  constexpr double kClear = 2.5;  // in radii of the larger
  double least = 1;
  for (const std::size_t id : group.spots) least = std::min(least, seen[id].rim);
  return static_cast<int>(std::count_if(seen.begin(), seen.end(), [&](const SpotSeen& other) {
    return other.rim > kAsGood * least &&
           std::all_of(group.spots.begin(), group.spots.end(), [&](std::size_t id) {
             return apart(other, seen[id]) > kClear * std::max(other.radius, seen[id].radius);
           });
  }));
}

/// At how many ends the row goes on, in steps that shrink or grow as they do along it.
int goes_on(const std::vector<SpotSeen>& seen, const Group& group) {
  constexpr double kAsGood = 0.75;
  constexpr double kBeside = 0.3;  // in steps
  if (group.spots.size() < 3) return 0;
  double least = 1;
  for (const std::size_t id : group.spots) least = std::min(least, seen[id].rim);
  int ends = 0;
  for (const bool back : {false, true}) {
    const SpotSeen& a = seen[group.spots[back ? 2 : 0]];
    const SpotSeen& b = seen[group.spots[1]];
    const SpotSeen& c = seen[group.spots[back ? 0 : 2]];
    const double grows = apart(b, c) / apart(a, b);
    const double step = grows * apart(b, c);
    SpotSeen next;
    next.center = {c.center.x + grows * (c.center.x - b.center.x),
                   c.center.y + grows * (c.center.y - b.center.y)};
    ends += std::any_of(seen.begin(), seen.end(), [&](const SpotSeen& other) {
      return other.rim > kAsGood * least && apart(other, next) < kBeside * step &&
             other.radius < 2 * c.radius && other.radius > c.radius / 2;
    });
  }
  return ends;
}

void look_closely(Likenesses& likenesses, Group& group) {
  group.edges = 1;
  group.leaving = 1;
  const double share = 1.0 / static_cast<double>(group.spots.size());
  for (std::size_t i = 0; i < group.spots.size(); ++i) {
    for (std::size_t j = i + 1; j < group.spots.size(); ++j) {
      const double edges = likenesses.of(group.spots[i], group.spots[j], group.place).edges;
      group.edges = std::min(group.edges, edges);
    }
    const Leaving& leaving = likenesses.leaving(group.spots[i], group.place);
    group.leaving = std::min(group.leaving, leaving.first);
    group.second += share * leaving.second;
  }
}

/// Logarithm of the odds that these are the lugs, against other readings of the picture. The
/// weights were fitted to made-up scenes (conditional logit); what each says is plain: full rims,
/// alike, evenly spaced, ends of conductors, with no fellows, rather on a line or on an equal
/// triangle. A right angle is what the screws in a cover's corners make.
constexpr double kNone = 2.6;  ///< that there are no lugs
constexpr double kTwo = -3.5;  ///< that only two are in the frame

double merit_of(const Group& group) {
  const double off_right_angle = (group.bend - CV_PI / 2) / 0.15;
  return 11.2 * group.own_rim + 7.5 * group.edges - 3.4 * std::log(group.radius) -
         3.4 * std::min(group.bend, 1.2) - 2.9 * std::exp(-off_right_angle * off_right_angle) +
         (group.bend > 1.75 ? 2.7 : 0) - 1.9 * std::log1p(group.fellows) - 1.0 * group.goes_on +
         3.0 * group.leaving - 3.6 * group.second + (group.spots.size() == 2 ? kTwo : 0);
}

/// Whether two are readings of the same lugs, by their palms and by their nuts, say.
bool are_same(const std::vector<SpotSeen>& seen, const Group& a, const Group& b, double reach) {
  return a.spots.size() == b.spots.size() &&
         std::all_of(a.spots.begin(), a.spots.end(), [&](std::size_t one) {
           return std::any_of(b.spots.begin(), b.spots.end(), [&](std::size_t other) {
             return apart(seen[one], seen[other]) < reach;
           });
         });
}

/// The share of each reading, and of those that mean the same, in all there are, and in there being
/// no lugs at all.
void weigh(const std::vector<SpotSeen>& seen, std::vector<Group>& found) {
  if (found.empty()) return;
  constexpr double kSame = 0.6;  // of a radius
  const double top = std::max(kNone, found.front().merit);
  double all = std::exp(kNone - top);
  for (const Group& group : found) all += std::exp(group.merit - top);
  for (Group& group : found) {
    double same = 0;
    for (const Group& other : found) {
      if (other.merit > top - 6 &&
          are_same(seen, group, other, kSame * std::max(group.radius, other.radius))) {
        same += std::exp(other.merit - top);
      }
    }
    group.likely = same / all;
  }
}

/// Whether a row runs into the distance: sizes and steps shrink together, as of lamps in a hall.
bool recedes(const std::vector<SpotSeen>& seen, const Group& three) {
  constexpr double kMostRowBend = 0.3;   // radians
  constexpr double kLeastShrink = 0.25;  // logarithm, from first to last
  constexpr double kSame = 0.3;          // logarithm, of the two steps
  if (three.bend > kMostRowBend) return false;
  const SpotSeen& a = seen[three.spots[0]];
  const SpotSeen& b = seen[three.spots[1]];
  const SpotSeen& c = seen[three.spots[2]];
  const double one = std::log(b.radius / a.radius);
  const double other = std::log(c.radius / b.radius);
  const double steps = std::log(apart(b, c) / apart(a, b));
  return std::abs(one + other) > kLeastShrink && std::abs(one - other) < kSame && one * other > 0 &&
         steps * one > 0;
}

/// Whether a fourth like the three lies on their line, in step or between them: a row that goes on
/// is no component.
bool has_fourth(Likenesses& likenesses, const std::vector<SpotSeen>& seen, const Group& three) {
  constexpr double kMostRowBend = 0.6;  // radians
  constexpr double kAsGood = 0.85;
  constexpr double kAsLike = 0.8;
  constexpr double kBeside = 0.3;  // in steps
  if (three.bend > kMostRowBend) return false;
  const SpotSeen& a = seen[three.spots[0]];
  const SpotSeen& b = seen[three.spots[1]];
  const SpotSeen& c = seen[three.spots[2]];
  const double step = (apart(a, b) + apart(b, c)) / 2;
  const auto on_line = [](const SpotSeen& from, const SpotSeen& to, double part) {
    SpotSeen place;
    place.center = {from.center.x + part * (to.center.x - from.center.x),
                    from.center.y + part * (to.center.y - from.center.y)};
    return place;
  };
  const std::array<SpotSeen, 4> places{on_line(a, b, -1), on_line(a, b, 0.5), on_line(b, c, 0.5),
                                       on_line(b, c, 2)};
  const double rim = kAsGood * std::min({a.rim, b.rim, c.rim});
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const bool on = std::any_of(places.begin(), places.end(), [&](const SpotSeen& place) {
      return apart(seen[i], place) < kBeside * step;
    });
    if (!on || seen[i].rim < rim) continue;
    const bool alike = std::all_of(three.spots.begin(), three.spots.end(), [&](std::size_t id) {
      return apart(seen[i], seen[id]) > 1.5 * three.radius &&
             likenesses.of(i, id, three.place).edges > kAsLike * three.edges;
    });
    if (alike) return true;
  }
  return false;
}

/// Whether a third spot like the two is in the frame after all.
bool has_third(Likenesses& likenesses, const std::vector<SpotSeen>& seen, const Group& two) {
  constexpr double kAsGood = 0.85;
  constexpr double kAsLike = 0.8;
  constexpr double kClear = 1.5;  // in radii
  const SpotSeen& a = seen[two.spots[0]];
  const SpotSeen& b = seen[two.spots[1]];
  SpotSeen between;
  between.center = {(a.center.x + b.center.x) / 2, (a.center.y + b.center.y) / 2};
  const double rim = kAsGood * std::min(a.rim, b.rim);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    if (seen[i].rim < rim) continue;
    if (apart(seen[i], between) < 0.25 * apart(a, b) && seen[i].radius > 0.4 * two.radius &&
        apart(a, b) > 3.5 * two.radius) {
      return true;
    }
    const bool alike = std::all_of(two.spots.begin(), two.spots.end(), [&](std::size_t id) {
      return apart(seen[i], seen[id]) > kClear * two.radius &&
             likenesses.of(i, id, two.place).edges > kAsLike * two.edges;
    });
    if (alike) return true;
  }
  return false;
}

bool by_merit(const Group& a, const Group& b) {
  return a.merit > b.merit;
}

}  // namespace

std::vector<Group> groups(const Working& picture, const std::vector<SpotSeen>& seen) {
  std::vector<Group> found;
  const auto add = [&found](std::optional<Group> group) {
    if (!group) return;
    // Looking at pixels is expensive: those of poor rims are left out.
    group->merit = (group->own_rim + group->rim) * std::sqrt(group->evenness);
    found.push_back(std::move(*group));
  };
  for (std::size_t i = 0; i < seen.size(); ++i) {
    for (std::size_t j = i + 1; j < seen.size(); ++j) {
      const double size = seen[i].radius / seen[j].radius;
      if (std::min(size, 1 / size) < kLeastSize) continue;
      add(two_of(picture, seen, i, j));
      for (std::size_t k = j + 1; k < seen.size(); ++k) add(three_of(seen, {i, j, k}));
    }
  }
  std::stable_sort(found.begin(), found.end(), by_merit);
  if (found.size() > kMostLookedAt) found.resize(kMostLookedAt);
  Likenesses likenesses(picture, seen);
  for (Group& group : found) {
    look_closely(likenesses, group);
    group.fellows = fellows(seen, group);
    group.goes_on = goes_on(seen, group);
    group.merit = merit_of(group);
  }
  std::erase_if(found, [&](const Group& group) {
    return group.edges < kLeastLook || group.own_rim < kLeastOwnRim ||
           (group.spots.size() == 2 ? has_third(likenesses, seen, group)
                                    : recedes(seen, group) || has_fourth(likenesses, seen, group));
  });
  std::stable_sort(found.begin(), found.end(), by_merit);
  weigh(seen, found);
  return found;
}

const Group& fullest(const std::vector<SpotSeen>& seen, const std::vector<Group>& found) {
  constexpr double kBeside = 0.35;  // of a radius
  const Group& best = found.front();
  const Group* full = &best;
  for (const Group& other : found) {
    if (other.own_rim > full->own_rim && are_same(seen, best, other, kBeside * best.radius)) {
      full = &other;
    }
  }
  return *full;
}

}  // namespace ohmglow::marking
