#pragma once
/// The images of a survey by their places, wherever they are kept.

#include "ohmglow/survey.h"

#include <cstddef>
#include <functional>
#include <utility>
#include <vector>

namespace ohmglow {

/// An entry is made when it is asked for, so that a large survey need not hold them all. From
/// several threads at a time.
class ImageRows {
 public:
  using At = std::function<ImageEntry(std::size_t place)>;

  ImageRows() = default;
  ImageRows(std::size_t size, At at) : size_(size), at_(std::move(at)) {}
  /// Those of a survey in memory, which must stay where it is.
  [[nodiscard]] static ImageRows of(const std::vector<ImageEntry>& images) {
    return {images.size(), [&images](std::size_t place) { return images[place]; }};
  }

  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] ImageEntry operator[](std::size_t place) const { return at_(place); }

 private:
  std::size_t size_ = 0;
  At at_;
};

}  // namespace ohmglow
