#include "offered/assessment/hashed_ahead.h"

#include "assessment/parallel.h"

#include <algorithm>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace ohmglow::assessment {
namespace {

/// Enough to keep every core busy, and few in memory.
constexpr std::size_t kAtOnce = 1024;

class Ahead {
 public:
  Ahead(records::Inputs inputs, unsigned jobs) : inputs_(std::move(inputs)), jobs_(jobs) {}

  std::optional<FileRecord> record(std::size_t number) {
    if (number < first_ || number >= first_ + records_.size()) hash_from(number);
    return records_[number - first_];
  }

 private:
  void hash_from(std::size_t number) {
    first_ = number;
    records_.assign(std::min(kAtOnce, inputs_.count - number), std::nullopt);
    share_out(records_.size(), jobs_, [this] {
      return [this](std::size_t i) { records_[i] = inputs_.record(first_ + i); };
    });
  }

  records::Inputs inputs_;
  unsigned jobs_;
  std::size_t first_ = 0;
  std::vector<std::optional<FileRecord>> records_;
};

}  // namespace

records::Inputs hashed_ahead(records::Inputs inputs, unsigned jobs) {
  const std::size_t count = inputs.count;
  const auto ahead = std::make_shared<Ahead>(std::move(inputs), jobs);
  return {count, [ahead](std::size_t number) { return ahead->record(number); }};
}

}  // namespace ohmglow::assessment
