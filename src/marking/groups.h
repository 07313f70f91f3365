#pragma once
/// Spots that may be the lugs of one component, and how likely that is: three, or two where the
/// third would lie out of the frame.

#include "look.h"

namespace ohmglow::marking {

/// In order along the row or around the corner. What is "least" or "mean" is so of all its lugs.
struct Group {
  std::vector<std::size_t> spots;  ///< indices
  std::size_t place = 0;           ///< of the common radius
  double radius = 0;               ///< common, pixels of the working picture
  double bend = 0;      ///< radians between the ways from one to the next; 0 in a straight row
  double evenness = 0;  ///< shorter over longer spacing
  double rim = 0;       ///< greatest least share of a common rim
  double own_rim = 0;   ///< mean of each one's best rim
  double edges = 0;     ///< least likeness of the edges of two
  double leaving = 0;   ///< least clearness of a conductor that leaves
  double second = 0;    ///< mean clearness of a second one
  int goes_on = 0;      ///< ends of the row at which a further spot lies in step
  int fellows = 0;      ///< other spots of the picture with as good a rim
  double merit = 0;     ///< logarithm of odds
  double likely = 0;    ///< 0 … 1, with all readings of the same three lugs
};

/// Best first.
[[nodiscard]] std::vector<Group> groups(const Working& picture, const std::vector<SpotSeen>& seen);

/// Of the readings of the first one's lugs, by their palms and by their nuts, say, that with the
/// fullest rims.
[[nodiscard]] const Group& fullest(const std::vector<SpotSeen>& seen,
                                   const std::vector<Group>& found);

}  // namespace ohmglow::marking
