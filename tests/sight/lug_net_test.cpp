// The networks as OpenCV runs them, against PyTorch, by which they were trained: torch.csv was
// written with their weights by tests/scenes/train_lugs.py (PyTorch 1.13.1).
#include "offered/sight/sight.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

using namespace ohmglow;

namespace {

/// As torch_picture() of the trainer: three warm spots with their cables before a rippled ground.
cv::Mat picture() {
  cv::Mat celsius(120, 160, CV_32F);
  for (int v = 0; v < celsius.rows; ++v) {
    for (int u = 0; u < celsius.cols; ++u) {
      double value = 20 + 0.2 * std::sin(0.7 * u) * std::cos(0.9 * v) + 0.01 * v;
      for (const double middle : {40.0, 80.0, 120.0}) {
        const double right = u - middle;
        const double down = v - 50.0;
        value += 10 / (1 + std::exp(2 * (std::hypot(right, down) - 9)));
        if (down > 0) value += 4 / (1 + std::exp(2 * (std::abs(right) - 6)));
      }
      celsius.at<float>(v, u) = static_cast<float>(value);
    }
  }
  return celsius;
}

/// Rows by the word that each begins with.
std::map<std::string, std::vector<std::vector<double>>> said_by_torch() {
  std::ifstream file(std::string(OHMGLOW_SOURCE_DIR) + "/tests/sight/torch.csv");
  std::map<std::string, std::vector<std::vector<double>>> rows;
  for (std::string line; std::getline(file, line);) {
    std::istringstream cells(line);
    std::string cell;
    std::getline(cells, cell, ',');
    auto& row = rows[cell].emplace_back();
    while (std::getline(cells, cell, ',')) row.push_back(std::stod(cell));
  }
  return rows;
}

constexpr double kNoise_k = 0.05;

}  // namespace

TEST_CASE("OpenCV sees the lugs that PyTorch sees, and what it makes of them") {
  const auto expected = said_by_torch()["lug"];
  const auto seen = sight::sight().lugs(picture(), kNoise_k);
  REQUIRE(expected.size() >= 3);
  // Where two are almost as sure, or one almost too faint, rounding decides: the surest are
  // compared.
  REQUIRE(seen.size() >= 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CAPTURE(i);
    CHECK(seen[i].center.x == Approx(expected[i][0]).margin(0.05));
    CHECK(seen[i].center.y == Approx(expected[i][1]).margin(0.05));
    CHECK(seen[i].radius == Approx(expected[i][2]).margin(0.05));
    CHECK(seen[i].merit == Approx(expected[i][3]).margin(0.02));
    REQUIRE(static_cast<std::size_t>(seen[i].features.cols) == expected[i].size() - 4);
    for (int k = 0; k < seen[i].features.cols; ++k) {
      CHECK(seen[i].features.at<float>(k) == Approx(expected[i][4 + k]).margin(0.03));
    }
  }
}

TEST_CASE("OpenCV ranks groups as PyTorch does") {
  const auto rows = said_by_torch()["group"];
  REQUIRE(rows.size() >= 3);
  cv::Mat given(static_cast<int>(rows.size()), static_cast<int>(rows[0].size()) - 1, CV_32F);
  for (int i = 0; i < given.rows; ++i) {
    for (int k = 0; k < given.cols; ++k) given.at<float>(i, k) = static_cast<float>(rows[i][k + 1]);
  }
  const auto merits = sight::sight().group_merits(given);
  REQUIRE(merits.size() == rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) CHECK(merits[i] == Approx(rows[i][0]).margin(1e-3));
}
