#include "groups.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/core.hpp>
#include <optional>

namespace ohmglow::marking {
namespace {

// As in tests/scenes/lug_groups.py, by which the second network was trained.
constexpr double kLeastEvenness = 0.65;
constexpr double kNearest = 1.9;  ///< spacing in radii
constexpr double kFarthest = 12;
constexpr double kLeastSize = 0.55;  ///< smallest radius over largest, of three
constexpr double kLeastSizeOfTwo = 0.6;
constexpr double kMostBend = 2.3;  ///< radians; an equilateral triangle has 2.09
constexpr double kOut = 0.5;       ///< of a radius
constexpr double kNobody = -5;     ///< merit of a lug that is not there

using Seen = std::vector<LugSeen>;

double apart(const PixelPoint& a, const PixelPoint& b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

bool holds(const Group& group, std::size_t lug) {
  return std::find(group.lugs.begin(), group.lugs.end(), lug) != group.lugs.end();
}

/// The best merits of two lugs that are clear of the group's.
std::array<double, 2> best_others(const Seen& seen, const Group& group) {
  constexpr double kClear = 1.2;  // in radii of the larger
  std::array best{kNobody, kNobody};
  std::size_t count = 0;
  for (std::size_t k = 0; k < seen.size() && count < best.size(); ++k) {  // the surest first
    const bool clear =
        !holds(group, k) && std::all_of(group.lugs.begin(), group.lugs.end(), [&](std::size_t id) {
          return apart(seen[k].center, seen[id].center) >
                 kClear * std::max(seen[k].radius, seen[id].radius);
        });
    if (clear) best.at(count++) = seen[k].merit;
  }
  return best;
}

/// The best merit of a further lug near a place.
double merit_at(const Seen& seen, const Group& group, const PixelPoint& place, double reach) {
  double best = kNobody;
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (!holds(group, k) && apart(seen[k].center, place) < reach) {
      best = std::max(best, seen[k].merit);
    }
  }
  return best;
}

struct Steps {
  double step = 0;                ///< mean spacing, pixels
  std::array<double, 2> goes_on;  ///< merits of lugs where the row goes on, or between two
};

Steps steps_of(const Seen& seen, const Group& group) {
  const PixelPoint& a = seen[group.lugs.front()].center;
  const PixelPoint& b = seen[group.lugs[1]].center;
  Steps steps;
  if (group.lugs.size() == 2) {
    steps.step = apart(a, b);
    const PixelPoint between{(a.x + b.x) / 2, (a.y + b.y) / 2};
    steps.goes_on = {std::max(merit_at(seen, group, past(b, a), 0.3 * steps.step),
                              merit_at(seen, group, past(a, b), 0.3 * steps.step)),
                     merit_at(seen, group, between, 0.25 * steps.step)};
    return steps;
  }
  const PixelPoint& c = seen[group.lugs[2]].center;
  steps.step = (apart(a, b) + apart(b, c)) / 2;
  const double back = merit_at(seen, group, past(b, a), 0.3 * steps.step);
  const double on = merit_at(seen, group, past(b, c), 0.3 * steps.step);
  steps.goes_on = {std::max(back, on), std::min(back, on)};
  return steps;
}

/// What the second network is told of a group: how sure, how large, how alike, how they lie, what
/// else is there, and what the first one makes of them.
void describe(cv::Size picture, const Seen& seen, const Group& group, cv::Mat row) {
  std::vector<double> merits;
  double smallest = seen[group.lugs[0]].radius;
  double largest = smallest;
  for (const std::size_t id : group.lugs) {
    merits.push_back(seen[id].merit);
    smallest = std::min(smallest, seen[id].radius);
    largest = std::max(largest, seen[id].radius);
  }
  std::sort(merits.begin(), merits.end());
  const bool is_two = group.lugs.size() == 2;
  cv::Mat mean = cv::Mat::zeros(1, seen[group.lugs[0]].features.cols, CV_32F);
  for (const std::size_t id : group.lugs) mean += seen[id].features / (is_two ? 2.0 : 3.0);
  cv::Mat spread = cv::Mat::zeros(mean.size(), CV_32F);
  std::vector<double> unlike;
  for (std::size_t i = 0; i < group.lugs.size(); ++i) {
    const cv::Mat& own = seen[group.lugs[i]].features;
    spread += cv::abs(own - mean) / (is_two ? 2.0 : 3.0);
    for (std::size_t j = 0; j < i; ++j) {
      unlike.push_back(cv::norm(own, seen[group.lugs[j]].features));
    }
  }
  double unlike_mean = 0;
  for (const double each : unlike) unlike_mean += each / static_cast<double>(unlike.size());
  const std::array<double, 2> others = best_others(seen, group);
  const Steps steps = steps_of(seen, group);
  const double off_right_angle = (group.bend - CV_PI / 2) / 0.15;
  const std::array said{
      merits[0] / 3,
      (is_two ? merits[0] : merits[1]) / 3,
      merits.back() / 3,
      std::log2(group.radius / std::min(picture.width, picture.height)) + 4,
      std::log2(largest / smallest),
      (1 - group.evenness) * 4,
      group.bend,
      group.bend > 1.75 ? 1.0 : 0.0,
      std::exp(-off_right_angle * off_right_angle),
      std::log2(steps.step / group.radius) - 2,
      others[0] / 3,
      others[1] / 3,
      steps.goes_on[0] / 3,
      steps.goes_on[1] / 3,
      is_two ? 1.0 : 0.0,
      *std::max_element(unlike.begin(), unlike.end()) / 5,
      unlike_mean / 5,
      std::pow(std::min(std::exp(merits[0]), 1e3), 0.25) / 3,
  };
  int at = 0;
  for (const double each : said) row.at<float>(at++) = static_cast<float>(each);
  mean.copyTo(row.colRange(at, at + mean.cols));
  spread.copyTo(row.colRange(at + mean.cols, at + 2 * mean.cols));
}

constexpr int kSaid = 18;

std::optional<Group> three_of(const Seen& seen, std::array<std::size_t, 3> ids) {
  const auto side = [&](std::size_t i, std::size_t j) {
    return apart(seen[ids.at(i)].center, seen[ids.at(j)].center);
  };
  // The one opposite the longest side stands between the others.
  if (side(1, 2) > side(0, 1) && side(1, 2) > side(0, 2)) {
    std::swap(ids[0], ids[1]);
  } else if (side(0, 1) >= side(0, 2)) {
    std::swap(ids[1], ids[2]);
  }
  const std::array radii{seen[ids[0]].radius, seen[ids[1]].radius, seen[ids[2]].radius};
  const auto [smallest, largest] = std::minmax_element(radii.begin(), radii.end());
  if (*smallest < kLeastSize * *largest) return {};
  const double one = side(0, 1);
  const double other = side(1, 2);
  Group group;
  group.lugs.assign(ids.begin(), ids.end());
  group.radius = (radii[0] + radii[1] + radii[2]) / 3;
  group.evenness = std::min(one, other) / std::max(one, other);
  if (group.evenness < kLeastEvenness || std::min(one, other) < kNearest * group.radius ||
      std::max(one, other) > kFarthest * group.radius) {
    return {};
  }
  const PixelPoint& a = seen[ids[0]].center;
  const PixelPoint& b = seen[ids[1]].center;
  const PixelPoint& c = seen[ids[2]].center;
  const double along = (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y);
  group.bend = std::acos(std::clamp(along / (one * other), -1.0, 1.0));
  if (group.bend > kMostBend) return {};
  return group;
}

std::optional<Group> two_of(cv::Size picture, const Seen& seen, std::size_t i, std::size_t j) {
  Group group;
  group.lugs = {i, j};
  group.radius = (seen[i].radius + seen[j].radius) / 2;
  const auto [smaller, larger] = std::minmax(seen[i].radius, seen[j].radius);
  const double step = apart(seen[i].center, seen[j].center);
  const auto is_out = [&](const PixelPoint& place) {
    const double out = kOut * group.radius;
    return place.x < -out || place.y < -out || place.x > picture.width - 1 + out ||
           place.y > picture.height - 1 + out;
  };
  if (smaller < kLeastSizeOfTwo * larger || step < kNearest * group.radius ||
      step > kFarthest * group.radius ||
      (!is_out(past(seen[i].center, seen[j].center)) &&
       !is_out(past(seen[j].center, seen[i].center)))) {
    return {};
  }
  return group;
}

/// Whether two are readings of the same lugs.
bool are_same(const Seen& seen, const Group& a, const Group& b) {
  constexpr double kSame = 0.6;  // of a radius
  return a.lugs.size() == b.lugs.size() &&
         std::all_of(a.lugs.begin(), a.lugs.end(), [&](std::size_t one) {
           return std::any_of(b.lugs.begin(), b.lugs.end(), [&](std::size_t other) {
             return apart(seen[one].center, seen[other].center) < kSame * seen[one].radius;
           });
         });
}

/// The share of each reading, and of those that mean the same, in all there are and in there being
/// no lugs at all, whose merit is 0.
void weigh(const Seen& seen, std::vector<Group>& found) {
  if (found.empty()) return;
  const double top = std::max(0.0, found.front().merit);
  double all = std::exp(-top);
  for (const Group& group : found) all += std::exp(group.merit - top);
  for (Group& group : found) {
    double same = 0;
    for (const Group& other : found) {
      if (are_same(seen, group, other)) same += std::exp(other.merit - top);
    }
    group.likely = same / all;
  }
}

}  // namespace

std::vector<Group> groups(cv::Size picture, const std::vector<LugSeen>& seen, const Sight& sight) {
  std::vector<Group> found;
  const auto add = [&found](std::optional<Group> group) {
    if (group) found.push_back(std::move(*group));
  };
  for (std::size_t i = 0; i < seen.size(); ++i) {
    for (std::size_t j = i + 1; j < seen.size(); ++j) {
      add(two_of(picture, seen, i, j));
      for (std::size_t k = j + 1; k < seen.size(); ++k) add(three_of(seen, {i, j, k}));
    }
  }
  if (found.empty()) return found;
  cv::Mat rows(static_cast<int>(found.size()), kSaid + 2 * seen[0].features.cols, CV_32F);
  for (std::size_t i = 0; i < found.size(); ++i) {
    describe(picture, seen, found[i], rows.row(static_cast<int>(i)));
  }
  const std::vector<double> merits = sight.group_merits(rows);
  for (std::size_t i = 0; i < found.size(); ++i) found[i].merit = merits[i];
  std::stable_sort(found.begin(), found.end(),
                   [](const Group& a, const Group& b) { return a.merit > b.merit; });
  constexpr std::size_t kMost = 120;
  if (found.size() > kMost) found.resize(kMost);
  weigh(seen, found);
  return found;
}

}  // namespace ohmglow::marking
