// Dates as people and programs write them: the forms of ISO 8601-1:2019, 5.2.2 and 5.4 (clauses
// from memory).

#include "ohmglow/survey.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace std::chrono;

namespace {

const sys_days kDay = year{2026} / 3 / 4;

}  // namespace

TEST_CASE("a day, a clock and any zone are read, and the written clock is what counts") {
  for (const char* text :
       {"2026-03-04T23:30:15", "2026-03-04T23:30:15Z", "2026-03-04T23:30:15+01:00",
        "2026-03-04T23:30:15-08:00", "2026-03-04T23:30:15+0530", "2026-03-04T23:30:15.25",
        "2026-03-04T23:30:15.123456789Z", "2026-03-04 23:30:15"}) {
    INFO(text);
    const auto moment = Moment::parse(text);
    REQUIRE(moment);
    CHECK(moment->text == text);
    CHECK(moment->day == kDay);
    CHECK(moment->time == sys_seconds{kDay} + 23h + 30min + 15s);
  }
  for (const char* text : {"2026-03-04T23:30", "2026-03-04T23:30Z", "2026-03-04T23:30+01:00"}) {
    INFO(text);
    REQUIRE(Moment::parse(text));
    CHECK(Moment::parse(text)->time == sys_seconds{kDay} + 23h + 30min);
  }
  CHECK(Moment::parse("2026-03-04")->time == sys_seconds{kDay});
}

TEST_CASE("what is no date is refused, and so is what follows one") {
  for (const char* text :
       {"", "yesterday", "04.03.2026", "2026-02-30", "2026-03-04T", "2026-03-04T25:00",
        "2026-03-04T10:61", "2026-03-04T10:00 o'clock", "2026-3"}) {
    INFO(text);
    CHECK(!Moment::parse(text));
  }
}

TEST_CASE("a year that no thermographer sees is refused, not turned into another") {
  for (const char* text : {"3026-03-04", "1857-01-23T10:00", "0199-12-31", "199-12-31",
                           "2200-01-01", "1899-12-31T23:59:59Z"}) {
    INFO(text);
    CHECK(!Moment::parse(text));
  }
  CHECK(Moment::parse("1900-01-01")->day == sys_days{year{1900} / 1 / 1});
  CHECK(Moment::parse("2199-12-31T23:59")->time == sys_days{year{2199} / 12 / 31} + 23h + 59min);
}

TEST_CASE("a clock is hours and minutes, with seconds after another colon") {
  CHECK(Moment::parse("2026-03-04T8:05")->time == sys_days{kDay} + 8h + 5min);
  CHECK(Moment::parse("2026-03-04  08:05")->time == sys_days{kDay} + 8h + 5min);
  for (const char* text : {"2026-03-04T23:5959", "2026-03-0423:30", "2026-03-04T23:59:.9",
                           "2026-03-04T24:00", "2026-03-04T23:59:60", "2026-03-04T10:00+1:0"}) {
    INFO(text);
    CHECK(!Moment::parse(text));
  }
}
