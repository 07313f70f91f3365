// By construction: the inputs say their own number.
#include "offered/assessment/hashed_ahead.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <string>

using namespace ohmglow;

TEST_CASE("inputs that are hashed ahead come as they would one after the other, with any threads") {
  constexpr std::size_t kCount = 2500;
  for (const unsigned jobs : {0U, 1U, 3U}) {
    std::atomic<std::size_t> asked = 0;
    const records::Inputs inputs{
        kCount, [&asked](std::size_t number) {
          ++asked;
          if (number % 7 == 0) return std::optional<FileRecord>();
          return std::optional<FileRecord>({std::to_string(number), number, "hash"});
        }};
    const auto ahead = assessment::hashed_ahead(inputs, jobs);
    REQUIRE(ahead.count == kCount);
    bool all_same = true;
    for (std::size_t i = 0; i < kCount; ++i) {
      const auto expected = inputs.record(i);
      const auto got = ahead.record(i);
      all_same = all_same && got.has_value() == expected.has_value() &&
                 (!got || (got->path == expected->path && got->bytes == expected->bytes));
    }
    CHECK(all_same);
    CHECK(asked == 2 * kCount);  // none was hashed twice
  }
}

TEST_CASE("a survey without inputs has none ahead") {
  const auto ahead = assessment::hashed_ahead({}, 2);
  CHECK(ahead.count == 0);
}
