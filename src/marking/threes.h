#pragma once
/// Three spots that may be the lugs of one component, and how likely that is.

#include "look.h"

namespace ohmglow::marking {

/// In order along the row or around the corner. What is "least" or "mean" is so of the three.
struct Three {
  std::array<std::size_t, 3> spots{};  ///< indices
  std::size_t place = 0;               ///< of the common radius
  double radius = 0;                   ///< common, pixels of the working picture
  double bend = 0;      ///< radians between the ways from one to the next; 0 in a straight row
  double evenness = 0;  ///< shorter over longer spacing
  double size = 0;      ///< smallest over largest radius
  double open = 0;      ///< greatest least share of a common rim seen where it is seen least
  double rim = 0;       ///< greatest mean share of a common rim
  double own_rim = 0;   ///< mean of each one's best rim
  double edges = 0;     ///< least likeness of the edges of two
  double edges_mean = 0;
  double warmth_mean = 0;  ///< likeness of the temperatures
  int fellows = 0;         ///< other spots of the picture with as good a rim
  double merit = 0;        ///< logarithm of odds
  double likely = 0;       ///< 0 … 1, with all readings of the same three lugs
};

/// Best first.
[[nodiscard]] std::vector<Three> threes(const Working& picture, const std::vector<SpotSeen>& seen);

}  // namespace ohmglow::marking
