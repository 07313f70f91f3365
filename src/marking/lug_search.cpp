#include "contrast.h"
#include "groups.h"
#include "offered/marking/marking.h"
#include "offered/marking/proposing.h"
#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

/// Below it there is no proposal.
constexpr double kLeastLikely = 0.8;
/// Of proposals that were surer still, about as many were right.
constexpr double kMostSure = 0.97;
/// Another reading apart from the best one, as likely as this share of it, makes both unsure.
constexpr double kRival = 0.02;
/// Within so many radii of a lug, spots belong to it: the corners where its cable leaves, say.
constexpr double kOwn = 2.5;
/// A mark stays inside its lug: edges are blurred.
constexpr double kMarkShare = 0.6;
constexpr double kLeastMark_px = 2.5;  ///< holds a 3×3 block
/// A bend, or a slant of the row, up to which the order of the phases is plain, radians.
constexpr double kPlain = 0.45;

Error no_lugs(std::string why) {
  return {.kind = ErrorKind::not_measurable,
          .what = "no proposal: " + std::move(why),
          .mend = "mark it by hand"};
}

/// The lugs found, in pixels of the original, in the order of the phases.
struct LugsFound {
  std::vector<PixelPoint> centers;
  double radius = 0;
  bool row = true;         ///< counted from the left, else from the top
  bool plain = true;       ///< level or plumb, and straight
  double faintest = 0;     ///< how sure the least sure one is, 0 … 1
  std::size_t before = 0;  ///< lugs out of the frame before the first
};

double along(const PixelPoint& a, const PixelPoint& b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

/// Whether two readings of the picture share no lug.
bool are_apart(const std::vector<LugSeen>& seen, const Group& a, const Group& b) {
  return std::all_of(a.lugs.begin(), a.lugs.end(), [&](std::size_t one) {
    return std::all_of(b.lugs.begin(), b.lugs.end(), [&](std::size_t other) {
      return along(seen[one].center, seen[other].center) > kOwn * std::max(a.radius, b.radius);
    });
  });
}

LugsFound lugs_of(cv::Size picture, const std::vector<LugSeen>& seen, const Group& group) {
  LugsFound lugs;
  lugs.radius = group.radius;
  lugs.faintest = 1;
  for (const std::size_t id : group.lugs) {
    lugs.centers.push_back(seen[id].center);
    lugs.radius = std::min(lugs.radius, seen[id].radius);
    lugs.faintest = std::min(lugs.faintest, 1 / (1 + std::exp(-seen[id].merit)));
  }
  const double dx = std::abs(lugs.centers.front().x - lugs.centers.back().x);
  const double dy = std::abs(lugs.centers.front().y - lugs.centers.back().y);
  lugs.row = dx >= dy;
  lugs.plain = group.bend < kPlain && std::atan2(std::min(dx, dy), std::max(dx, dy)) < kPlain;
  std::sort(lugs.centers.begin(), lugs.centers.end(),
            [&lugs](const PixelPoint& a, const PixelPoint& b) {
              return lugs.row ? a.x < b.x : a.y < b.y;
            });
  // Of two, those at the end of a row whose beginning is out of the frame.
  if (lugs.centers.size() == 2) {
    const PixelPoint next = past(lugs.centers[0], lugs.centers[1]);
    const bool goes_on =
        next.x < 0 || next.y < 0 || next.x > picture.width || next.y > picture.height;
    if (!goes_on) lugs.before = 1;
  }
  return lugs;
}

double halves(double x) {
  return std::round(2 * x) / 2;
}

std::vector<Mark> lug_marks(const LugsFound& lugs, const PhaseNames& names, double confidence) {
  std::vector<Mark> marks;
  for (std::size_t i = 0; i < lugs.centers.size(); ++i) {
    const Phase phase = kPhases.at(i + lugs.before);
    const PixelPoint& center = lugs.centers[i];
    Mark mark;
    mark.name = names.at(index_of(phase));
    mark.phase = phase;
    mark.shape = Circle{{halves(center.x), halves(center.y)},
                        std::max(kLeastMark_px, halves(kMarkShare * lugs.radius))};
    mark.origin = MarkOrigin::proposed;
    mark.confidence = confidence;
    marks.push_back(std::move(mark));
  }
  return marks;
}

/// The plainest patch among the cooler parts of the picture, clear of the lugs.
std::optional<Mark> air_patch(const cv::Mat& image, const LugsFound& lugs, double confidence) {
  const int side = std::max(9, std::min(image.cols, image.rows) / 12) | 1;
  if (side >= std::min(image.cols, image.rows)) return std::nullopt;
  cv::Mat mean;
  cv::Mat square;
  cv::boxFilter(image, mean, CV_64F, {side, side});
  cv::sqrBoxFilter(image, square, CV_64F, {side, side});
  const cv::Mat variance = square - mean.mul(mean);
  std::vector<float> values(image.begin<float>(), image.end<float>());
  const auto cool = values.begin() + static_cast<std::ptrdiff_t>(values.size() * 2 / 5);
  std::nth_element(values.begin(), cool, values.end());
  const double cool_c = *cool;
  // Plain: hardly more than the pixels' own noise and a faint slope.
  const double plain_k = 2 * pixel_noise_k(image) + 0.05;
  double best = plain_k * plain_k;
  std::optional<cv::Point> at;
  for (int y = side; y < image.rows - side; ++y) {
    for (int x = side; x < image.cols - side; ++x) {
      if (variance.at<double>(y, x) >= best || mean.at<double>(y, x) > cool_c) continue;
      const bool near =
          std::any_of(lugs.centers.begin(), lugs.centers.end(), [&](const PixelPoint& center) {
            return along(center, {x + 0.0, y + 0.0}) < 2 * lugs.radius + side;
          });
      if (near) continue;
      best = variance.at<double>(y, x);
      at = cv::Point(x, y);
    }
  }
  if (!at) return std::nullopt;
  Mark mark;
  mark.name = "air patch";
  mark.role = MarkRole::ambient;
  mark.shape =
      Rectangle{{at->x - side / 2 + 0.0, at->y - side / 2 + 0.0}, {side - 1.0, side - 1.0}};
  mark.origin = MarkOrigin::proposed;
  mark.confidence = confidence;
  return mark;
}

std::string_view way_of(const Group& group, const LugsFound& lugs) {
  constexpr double kTriangle = 1.3;  // radians
  if (group.bend > kTriangle) return "in a triangle";
  if (group.bend > kPlain) return "on an arc";
  if (!lugs.plain) return "in a slanted row";
  return lugs.row ? "in a row" : "in a column";
}

std::string note_of(const LugsFound& lugs) {
  std::string note = std::string("the phases are counted from the ") + (lugs.row ? "left" : "top");
  if (lugs.centers.size() == 2) {
    note += lugs.before == 1 ? ", the first lug being out of the frame"
                             : ", the last lug being out of the frame";
  }
  if (!lugs.plain) note += ", a guess where lugs lie so";
  return note + ": confirm their order, and that these are the lugs";
}

}  // namespace

Result<Proposal> find_lugs(const cv::Mat& celsius, const PhaseNames& phase_names,
                           const Sight& sight) {
  if (celsius.empty() || std::min(celsius.cols, celsius.rows) < 24) {
    return fail(no_lugs("the image is too small"));
  }
  const cv::Mat image = filled(celsius);
  if (image.empty()) return fail(no_lugs("most pixels hold no data"));
  const std::vector<LugSeen> seen = sight.lugs(image, pixel_noise_k(image));
  if (seen.size() < 2) {
    return fail(no_lugs("fewer than two spots look like lugs"));
  }
  const std::vector<Group> found = groups(image.size(), seen, sight);
  if (found.empty()) {
    return fail(no_lugs("no three like spots lie as the lugs of a component do"));
  }
  const Group& best = found.front();
  const auto rival = std::find_if(found.begin(), found.end(), [&](const Group& other) {
    return other.likely > kRival * best.likely && are_apart(seen, best, other);
  });
  if (rival != found.end()) {
    return fail(no_lugs("more than one row of three like spots is there"));
  }
  if (best.likely < kLeastLikely) {
    return fail(no_lugs("the spots most like lugs are a component's with a likelihood of " +
                        decimals(best.likely, 2) + ", and " + decimals(kLeastLikely, 2) +
                        " is asked for"));
  }
  const LugsFound lugs = lugs_of(image.size(), seen, best);
  Proposal proposal;
  proposal.confidence = std::round(100 * std::min(best.likely, kMostSure)) / 100;
  proposal.marks = lug_marks(lugs, phase_names, proposal.confidence);
  if (auto patch = air_patch(image, lugs, proposal.confidence)) {
    proposal.marks.push_back(std::move(*patch));
  }
  proposal.reason = best.lugs.size() == 2
                        ? std::string("two like spots, a third is out of the frame")
                        : "three like spots " + std::string(way_of(best, lugs)) +
                              ", the shorter spacing " + decimals(best.evenness, 2) +
                              " of the longer";
  proposal.reason +=
      ", the least sure one a lug with a likelihood of " + decimals(lugs.faintest, 2);
  proposal.note = note_of(lugs);
  return proposal;
}

}  // namespace ohmglow::marking
