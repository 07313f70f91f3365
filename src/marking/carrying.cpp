#include "offered/marking/marking.h"
#include "offered/marking/proposing.h"
#include "offered/vocabulary/number_text.h"
#include "registration.h"
#include "snapping.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmglow::marking {
namespace {

/// Confidence below which marks are not carried: what another box reaches at times.
constexpr double kLeastConfidence = 0.75;

Error no_proposal(std::string why, std::string mend = {}) {
  return {.kind = ErrorKind::not_measurable,
          .what = "no proposal: " + std::move(why),
          .mend = std::move(mend)};
}

/// Half pixels: no scene is followed more finely than that.
PixelPoint half_pixels(const cv::Point2d& p) {
  return {std::round(2 * p.x) / 2, std::round(2 * p.y) / 2};
}

cv::Point2d point(const PixelPoint& p) {
  return {p.x, p.y};
}

/// A shape moved by the map; `by` is added before it, in pixels of the older image.
struct Moved {
  const cv::Matx33d& map;
  cv::Point2d by;

  [[nodiscard]] cv::Point2d place(const PixelPoint& p) const { return mapped(map, point(p) + by); }

  Shape operator()(const Circle& c) const {
    const double radius = c.radius * magnification(map, point(c.center) + by);
    return Circle{half_pixels(place(c.center)), std::round(10 * radius) / 10};
  }

  /// Upright as long as that puts its corners right to a twentieth of its shorter side, or a pixel.
  Shape operator()(const Rectangle& r) const {
    const std::array<PixelPoint, 4> corners{r.corner,
                                            {r.corner.x + r.size.x, r.corner.y},
                                            {r.corner.x + r.size.x, r.corner.y + r.size.y},
                                            {r.corner.x, r.corner.y + r.size.y}};
    Polygon turned;
    double left = 0;
    double right = 0;
    double top = 0;
    double bottom = 0;
    cv::Point2d middle;
    for (const PixelPoint& corner : corners) middle += place(corner) / 4;
    for (const PixelPoint& corner : corners) {
      const cv::Point2d at = place(corner);
      turned.points.push_back(half_pixels(at));
      (at.x < middle.x ? left : right) += at.x / 2;
      (at.y < middle.y ? top : bottom) += at.y / 2;
    }
    double most = 0;
    for (const PixelPoint& corner : corners) {
      const cv::Point2d at = place(corner);
      most = std::max({most, std::abs(at.x - (at.x < middle.x ? left : right)),
                       std::abs(at.y - (at.y < middle.y ? top : bottom))});
    }
    if (most > std::max(1.0, std::min(right - left, bottom - top) / 20)) return turned;
    const PixelPoint first = half_pixels({left, top});
    const PixelPoint last = half_pixels({right, bottom});
    return Rectangle{first, {last.x - first.x, last.y - first.y}};
  }

  Shape operator()(const Polygon& polygon) const {
    Polygon moved;
    for (const PixelPoint& p : polygon.points) moved.points.push_back(half_pixels(place(p)));
    return moved;
  }
};

/// A mark file of another size than its image, of the same aspect: the same marks on the image.
Result<std::vector<Mark>> marks_on_image(const MarkedImage& marked) {
  constexpr double kSameAspect = 0.01;
  const double across = static_cast<double>(marked.celsius.cols) / std::max(1, marked.marks.width);
  const double along = static_cast<double>(marked.celsius.rows) / std::max(1, marked.marks.height);
  if (std::abs(across / along - 1) > kSameAspect) {
    return fail(no_proposal("the marks of " + marked.marks.image + " are of another image size"));
  }
  std::vector<Mark> marks = marked.marks.marks;
  if (across == 1 && along == 1) return marks;
  for (Mark& mark : marks) mark.shape = std::visit(Moved{scaling(across), {}}, mark.shape);
  return marks;
}

cv::Rect2d mark_box(const Shape& shape, cv::Size image) {
  const auto region = region_of(shape, image);
  return region ? cv::Rect2d(region->box) : cv::Rect2d();
}

/// Where lugs stand beside the map's place, in pixels of the older image, and how well they are
/// found there. Patches of air have no edges to be found by.
struct FoundLugs {
  std::vector<cv::Point2d> by;  ///< of each mark
  double weakest = 1;           ///< agreement of the lug that is found again least
  double agreement = 0;         ///< mean over all lugs; one that has left tells nothing
};

FoundLugs look_for_lugs(const cv::Mat& celsius, const MarkedImage& marked,
                        const std::vector<Mark>& marks, const Laid& pictures) {
  const auto& [moved, from, to] = pictures;
  const double scale = from.scales.back();
  std::vector<cv::Rect2d> parts;
  std::vector<std::size_t> lugs;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i].role != MarkRole::lug) continue;
    const Shape there = std::visit(Moved{moved.map, {}}, marks[i].shape);
    if (!region_of(there, celsius.size())) continue;
    const cv::Rect2d box = mark_box(marks[i].shape, marked.celsius.size());
    const cv::Point2d first = mapped(scaling(scale), box.tl());
    parts.emplace_back(first.x, first.y, box.width * scale, box.height * scale);
    lugs.push_back(i);
  }
  const cv::Matx33d map = scaling(to.scales.back()) * moved.map * scaling(1 / scale);
  const auto found = snap(from.levels.back(), to.levels.back(), map, parts);
  FoundLugs result{std::vector<cv::Point2d>(marks.size())};
  const auto all = std::count_if(marks.begin(), marks.end(),
                                 [](const Mark& mark) { return mark.role == MarkRole::lug; });
  for (std::size_t i = 0; i < lugs.size(); ++i) {
    result.by[lugs[i]] = found[i].by / scale;
    result.weakest = std::min(result.weakest, found[i].agreement);
    result.agreement += found[i].agreement / static_cast<double>(all);
  }
  return result;
}

/// Share of like pairs whose lugs are all right, by evidence: a logistic curve fitted by greatest
/// likelihood to 1 094 drawn pairs of known truth, of which 116 show another box.
double confidence_of(const Movement& moved, const FoundLugs& lugs) {
  // A lug that is not found again lies by the map alone: nothing shows that it is there.
  constexpr double kFoundAgain = 0.3;
  constexpr double kByMapAlone = 0.88;
  const double evidence = (moved.agreement + lugs.agreement) / 2 * (1 - moved.rivalry / 4);
  const double confidence = 1 / (1 + std::exp(-20 * (evidence - 0.49)));
  return lugs.weakest < kFoundAgain ? std::min(confidence, kByMapAlone) : confidence;
}

std::string whole_degrees(double turn_deg) {
  return decimals(turn_deg, 0);
}

/// More than a person's hand turns a camera: it was held upside down, or the picture was turned.
bool is_half_turn(const Movement& moved) {
  return std::abs(moved.turn_deg) > 90;
}

std::string reason_of(const MarkedImage& marked, const Movement& moved, double resolution) {
  std::string text = "the marks of " + marked.marks.image;
  if (is_half_turn(moved)) text += ", turned by half a turn (180°)";
  const double turn_deg =
      is_half_turn(moved) ? std::remainder(moved.turn_deg - 180, 360) : moved.turn_deg;
  text += ", moved by " + decimals(moved.right_px, 1) + " pixels to the right and " +
          decimals(moved.down_px, 1) + " down";
  if (std::abs(turn_deg) >= 1) {
    text += ", turned by " + whole_degrees(std::abs(turn_deg)) + "° " +
            (turn_deg > 0 ? "clockwise" : "anticlockwise");
  }
  if (std::abs(moved.scale / resolution - 1) >= 0.02) {
    text += ", " + decimals(moved.scale / resolution, 2) + " times as large";
  }
  return text + " (likeness " + decimals(moved.likeness, 2) + ", edges " +
         decimals(moved.agreement, 2) + ")";
}

std::string note_of(const Movement& moved, const std::vector<std::string>& left_out) {
  std::string text;
  if (is_half_turn(moved)) {
    text +=
        "the picture is turned by half a turn against the older one: the marks are on the same "
        "lugs, so that their order in the picture is reversed; ";
  }
  if (!left_out.empty()) {
    text += "outside the picture and left out: ";
    for (std::size_t i = 0; i < left_out.size(); ++i) text += (i > 0 ? ", " : "") + left_out[i];
    text += "; ";
  }
  return text + "look whether each mark lies on its lug, and whether emissivities still hold";
}

}  // namespace

Result<Proposal> carry_marks(const cv::Mat& celsius, const MarkedImage& marked) {
  const auto marks = marks_on_image(marked);
  if (!marks) return fail(marks.error());
  const auto pictures = laid(marked.celsius, celsius);
  if (!pictures) return fail(no_proposal(pictures.error().what + " (" + marked.marks.image + ")"));
  const Movement* const moved = &pictures->movement;
  if (moved->agreement < kLeastLikeness) {
    return fail(no_proposal("the picture is too unlike " + marked.marks.image + " (edges " +
                                decimals(moved->agreement, 2) + ", at least " +
                                decimals(kLeastLikeness, 2) + ")",
                            "mark it by hand"));
  }
  for (const Mark& mark : *marks) {
    const auto region = region_of(mark.shape, marked.celsius.size());
    if (!region) return fail(no_proposal("the mark " + mark.name + ": " + region.error().what));
  }
  const FoundLugs lugs = look_for_lugs(celsius, marked, *marks, *pictures);
  const double confidence = confidence_of(*moved, lugs);
  Proposal proposal;
  proposal.confidence = std::round(100 * confidence) / 100;
  std::vector<std::string> left_out;
  for (std::size_t i = 0; i < marks->size(); ++i) {
    Mark mark = (*marks)[i];
    mark.shape = std::visit(Moved{moved->map, lugs.by[i]}, mark.shape);
    if (!region_of(mark.shape, celsius.size())) {
      left_out.push_back(mark.name);
      continue;
    }
    mark.origin = MarkOrigin::carried;
    mark.carried_from = marked.marks.image;
    mark.confidence = proposal.confidence;
    mark.confirmed.reset();  // that was said of the older image
    proposal.marks.push_back(std::move(mark));
  }
  std::stable_partition(proposal.marks.begin(), proposal.marks.end(),
                        [](const Mark& mark) { return mark.role == MarkRole::lug; });
  if (proposal.marks.empty() || proposal.marks.front().role != MarkRole::lug) {
    const bool had = std::any_of(marks->begin(), marks->end(),
                                 [](const Mark& mark) { return mark.role == MarkRole::lug; });
    return fail(no_proposal(had ? "every lug of " + marked.marks.image + " would leave the image"
                                : marked.marks.image + " has no lug marked"));
  }
  if (confidence < kLeastConfidence) {
    return fail(no_proposal(
        "the lugs of " + marked.marks.image + " are not found again (confidence " +
            decimals(proposal.confidence, 2) + ", at least " + decimals(kLeastConfidence, 2) + ")",
        "mark it by hand"));
  }
  const double resolution = std::max(celsius.cols, celsius.rows) /
                            static_cast<double>(std::max(marked.celsius.cols, marked.celsius.rows));
  proposal.reason = reason_of(marked, *moved, resolution);
  proposal.note = note_of(*moved, left_out);
  return proposal;
}

Result<Proposal> carry_surest(const cv::Mat& celsius, std::span<const MarkedImage> same_place) {
  /// Nothing is gained by looking at more images than this sure one.
  constexpr double kSure = 0.97;
  Result<Proposal> surest = fail(no_proposal("there is no marked image of the same place"));
  for (const MarkedImage& marked : same_place) {
    auto carried = carry_marks(celsius, marked);
    if (surest && (!carried || carried->confidence <= surest->confidence)) continue;
    surest = std::move(carried);
    if (surest && surest->confidence >= kSure) break;
  }
  return surest;
}

Result<Proposal> propose(const cv::Mat& celsius, std::span<const MarkedImage> same_place,
                         const PhaseNames& phase_names, const OpenSight& open_sight) {
  if (auto carried = carry_surest(celsius, same_place)) return carried;
  const auto sight = open_sight();
  if (!sight) return fail(sight.error());
  return find_lugs(celsius, phase_names, *sight);
}

}  // namespace ohmglow::marking
