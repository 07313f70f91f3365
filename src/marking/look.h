#pragma once
/// What a spot looks like, and how alike two look.

#include "spots.h"

#include <array>

namespace ohmglow::marking {

/// The surroundings of a spot out to 1.6 radii, on rings about its middle: temperatures and edges,
/// each with mean 0 and length 1. How warm a lug is and how far it stands out drop out.
struct Look {
  static constexpr int kRings = 8;
  static constexpr int kAngles = 32;
  using Rings = std::array<std::array<float, kAngles>, kRings>;
  Rings warmth;
  /// Cosine and sine of twice the angle between slope and direction from the middle, times the
  /// slope's length: an edge looks the same whichever side of it is warmer.
  Rings along;
  Rings across;
};

struct Likeness {
  double warmth = 0;
  double edges = 0;
};

[[nodiscard]] Look look_of(const Working& picture, const PixelPoint& center, double radius);

/// Of warmth and of edges, each 0 … 1. One of the two may be turned: lugs on an arc point different
/// ways. A hot lug may be light where its cool fellow is dark, so that edges alone may make them
/// alike.
[[nodiscard]] Likeness likeness(const Look& a, const Look& b);

/// How clearly conductors leave a spot, 0 … 1: strips with two edges. A lug is the end of one, and
/// a piece of a cable is none.
struct Leaving {
  double first = 0;   ///< the clearest
  double second = 0;  ///< the clearest of those that leave to the other side
};

[[nodiscard]] Leaving conductors(const Working& picture, const PixelPoint& center, double radius);

}  // namespace ohmglow::marking
