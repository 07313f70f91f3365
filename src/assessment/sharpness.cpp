#include "assessment/sharpness.h"

#include "offered/imaging/edge_blur.h"
#include "offered/marking/marking.h"

#include <algorithm>
#include <map>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace ohmglow::assessment {
namespace {

/// Enough around a mark for an edge that runs along its rim.
constexpr int kMargin_px = 16;
constexpr double kBlock_px = 3;
constexpr double kStandardDeviations = 2;

cv::Rect grown(const cv::Rect& box, cv::Size image) {
  const cv::Rect larger(box.x - kMargin_px, box.y - kMargin_px, box.width + 2 * kMargin_px,
                        box.height + 2 * kMargin_px);
  return larger & cv::Rect({0, 0}, image);
}

const diagnosis::LugResult* hottest_of(const std::vector<diagnosis::LugResult>& lugs) {
  const diagnosis::LugResult* hottest = nullptr;
  for (const diagnosis::LugResult& lug : lugs) {
    if (!lug.temperature_c) continue;
    if (hottest == nullptr || lug.temperature_c->value() > hottest->temperature_c->value()) {
      hottest = &lug;
    }
  }
  return hottest;
}

}  // namespace

void judge_sharpness(diagnosis::ImageResult& result, const imaging::ThermalImage& image,
                     const MarkFile& marks) {
  const cv::Size size(image.width(), image.height());
  std::map<std::string, int> smaller_side_px;
  // The hottest lug's rim is the strongest edge; looking at the others too costs as much as
  // decoding.
  const auto* hottest = hottest_of(result.lugs);
  if (hottest == nullptr) return;
  cv::Rect around;
  for (const Mark& mark : marks.marks) {
    if (mark.role != MarkRole::lug) continue;
    const auto region = marking::region_of(mark.shape, size);
    if (!region) continue;
    smaller_side_px[mark.name] = std::min(region->box.width, region->box.height);
    if (mark.name == hottest->name) around = region->box;
  }
  if (around.empty()) return;
  const auto blur = imaging::edge_blur(image.celsius(grown(around, size)));
  if (!blur) return;
  result.edge_blur_px = blur->sigma_px;
  const double least_px = kBlock_px + 2 * kStandardDeviations * blur->sigma_px;
  for (diagnosis::LugResult& lug : result.lugs) {
    const auto side = smaller_side_px.find(lug.name);
    if (lug.temperature_c && side != smaller_side_px.end() && side->second < least_px)
      lug.raise(diagnosis::Flag::too_small);
  }
}

}  // namespace ohmglow::assessment
