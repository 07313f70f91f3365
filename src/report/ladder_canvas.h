#pragma once
/// Where everything on a phase ladder stands. One unit is about one CSS pixel where the drawing is
/// 340 px wide; letters are sized to stay readable at 320.

#include "axis.h"
#include "ladder.h"
#include "offered/report/drawing.h"
#include "offered/report/plain_text.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::report::ladder {

inline constexpr double kWidth = 340;
inline constexpr double kLeft = 40;
inline constexpr double kRight = 272;
inline constexpr double kColumn = (kRight - kLeft) / 3;
inline constexpr double kHead = 30;
inline constexpr double kUpperHeight = 196;
inline constexpr double kLabelRoom = 32;  // above the highest whisker, for a name and a number
inline constexpr double kLowerHeight = 78;
inline constexpr double kLetter = 12;
inline constexpr double kSmallLetter = 10.5;
inline constexpr double kCaptionLetter = 10;
inline constexpr double kTightLetter = 9;  // where several lugs share a phase
inline constexpr double kCharacter =
    0.56;  // mean width of a letter of a sans-serif face, in its size
inline constexpr double kLineSpacing = 12;
inline constexpr double kSideRoom = kWidth - kRight - 8;

struct Span {
  double from, to;
};
struct SideLabel {
  double wanted;
  std::vector<std::string> lines;
  bool italic = false;  ///< of a line, not of a zone
};

/// The drawing while it grows: what both halves use.
class Canvas {
 public:
  explicit Canvas(const Ladder& shown)
      : ladder(shown), line(shown.has_upper_half ? kHead + kUpperHeight : kHead) {}

  const Ladder& ladder;
  const double line;  ///< where the two halves meet
  Drawing drawing;

  void add(Drawn item) { drawing.items.push_back(std::move(item)); }
  void text(double x, double y, std::string words, Anchor anchor, double size = kSmallLetter,
            bool bold = false, bool italic = false, Attributes attributes = {});
  void horizontal(double from, double y, double to, Colour colour, double width);
  /// A mark on the scale at the left, with its number.
  void tick(double y, const std::string& number, const char* css_class);
  void shape(Phase phase, double x, double y, double size, bool open);
  /// Tinted bands of a scale, and their names beside it, pushed away from the line where they would
  /// meet. `away` is -1 above the line and 1 below it.
  void zones(const Axis& axis, const std::vector<LadderZone>& all, double unit);
  void side_labels(std::vector<SideLabel> labels, double away);

  static double centre(std::size_t phase) {
    return kLeft + kColumn * (static_cast<double>(phase) + 0.5);
  }
  static Ink ink_of(std::size_t phase);
  static Ink ink_of_band(int level);
  /// What fits into `room` at a letter size.
  static std::string fitted(std::string_view words, double room, double size) {
    return shorten(printable(words), static_cast<int>(room / (size * kCharacter)));
  }
};

/// What stands beside a scale, in two lines at most.
[[nodiscard]] std::vector<std::string> side_lines(std::string_view words);
[[nodiscard]] std::vector<SideLabel> zone_labels(const Axis& axis,
                                                 const std::vector<LadderZone>& all, double unit);

/// Temperatures over the tinted bands of the policy.
void draw_upper_half(Canvas& canvas);
/// Resistance over the lowest leg, mirrored.
void draw_lower_half(Canvas& canvas);

}  // namespace ohmglow::report::ladder
