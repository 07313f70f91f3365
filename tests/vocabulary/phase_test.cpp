// Lead numbering of NEMA MG 1, part 2: T1, T4, T7, T10 belong to phase 1 and so on (from memory).
#include "ohmglow/phase.h"

#include <catch2/catch.hpp>

using namespace ohmglow;

TEST_CASE("leads joined in one lug lie on a phase only where all of them do") {
  CHECK(phase_from_name("T1/T7") == Phase::one);
  CHECK(phase_from_name("t2+T5+T8") == Phase::two);
  CHECK_FALSE(phase_from_name("T1/T6"));  // a delta's T1 and T6 share a terminal: to be declared
  CHECK_FALSE(
      phase_from_name("T1/"
                      "/T4"));
  CHECK_FALSE(phase_from_name("/T1"));
  CHECK_FALSE(phase_from_name("/"));
}

TEST_CASE("twelve leads map onto three phases") {
  for (int lead = 1; lead <= 12; ++lead) {
    const auto phase = phase_from_name("T" + std::to_string(lead));
    REQUIRE(phase);
    CHECK(number_of(*phase) == (lead - 1) % 3 + 1);
  }
}
