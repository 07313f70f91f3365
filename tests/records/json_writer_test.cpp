// The text of the writer is the one that the library of trees makes of the same values.

#include "offered/files/json_writer.h"

#include "records/files/json_text.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <limits>
#include <random>

using namespace ohmglow;
using namespace ohmglow::records;

namespace {

// The library's own text.
std::string by_library(const OrderedJson& value, int indent = -1) {
  return value.dump(indent, ' ', false, OrderedJson::error_handler_t::replace);
}

}  // namespace

TEST_CASE("numbers have the digits that the tree writes") {
  // Source: nlohmann's JSON library.
  std::mt19937_64 random(7);
  std::vector<double> numbers{0,    -0.0, 1,      -1,    0.1,  1e-5, 1e-4, 123456789.0, 1e15,
                              1e16, 1e17, 5e-324, 1e308, 22.0, 2e21, 1e22, -273.15};
  for (int i = 0; i < 20'000; ++i) {
    const std::uint64_t bits = random();
    double number = 0;
    std::memcpy(&number, &bits, sizeof number);
    numbers.push_back(number);
    numbers.push_back(static_cast<double>(bits % 100'000) / 100);
  }
  numbers.push_back(std::numeric_limits<double>::quiet_NaN());
  numbers.push_back(std::numeric_limits<double>::infinity());
  for (const double number : numbers) {
    CAPTURE(number);
    REQUIRE(line_text(number) == by_library(OrderedJson(number)));
  }
  CHECK(line_text(std::numeric_limits<std::int64_t>::min()) == "-9223372036854775808");
  CHECK(line_text(std::numeric_limits<std::uint64_t>::max()) == "18446744073709551615");
  CHECK(line_text(true) == "true");
  CHECK(line_text(std::optional<int>()) == "null");
}

TEST_CASE("texts are escaped, and mended, as the tree does it") {
  // Source: nlohmann's JSON library; the malformed ones after Unicode's table 3-7.
  std::vector<std::string> texts{"",
                                 "lug T1",
                                 "22 °C × 3 Ω — “so”",
                                 "a \"quoted\" \\ word",
                                 std::string("nul\0inside", 10),
                                 "tab\tand\nbreak\x1f\x7f",
                                 "\xC0\x80",
                                 "\xED\xA0\x80",
                                 "\xF4\x90\x80\x80",
                                 "\xE2\x82",
                                 "ends in \xF0\x9F\x94",
                                 "\xF0\x9F\x94\xA5 hot",
                                 "\x80 alone"};
  std::mt19937 random(3);
  for (int i = 0; i < 20'000; ++i) {
    std::string text;
    for (auto length = random() % 6; length > 0; --length) {
      text += static_cast<char>(random() % 3 == 0 ? random() % 256 : 0x80 + random() % 0x80);
    }
    texts.push_back(text);
  }
  for (const std::string& text : texts) {
    CAPTURE(text);
    REQUIRE(line_text(text) == by_library(OrderedJson(text)));
  }
}

TEST_CASE("objects and arrays are laid out as the tree lays them out") {
  const std::vector<int> numbers{1, 2, 3};
  const std::vector<std::string> none;
  const auto inner = [&](JsonWriter& json) {
    JsonObject object(json);
    object("numbers", numbers);
    object("none", none);
    object("text", "T\"1");
  };
  const auto empty = [](JsonWriter& json) { const JsonObject object(json); };
  const auto whole = [&](JsonWriter& json) {
    JsonObject object(json);
    object("a \"name\"", 1.5);
    object("inner", inner);
    object("empty", empty);
    object("doubled", each(numbers, [](int number) { return 2 * number; }));
    object("known", std::optional(7));
    object("not_known", std::optional<double>());
  };
  const OrderedJson tree{
      {"a \"name\"", 1.5},
      {"inner", {{"numbers", numbers}, {"none", OrderedJson::array()}, {"text", "T\"1"}}},
      {"empty", OrderedJson::object()},
      {"doubled", {2, 4, 6}},
      {"known", 7},
      {"not_known", nullptr}};
  CHECK(line_text(whole) == by_library(tree));
  CHECK(lines_text(whole) == by_library(tree, 1));
  CHECK(line_text(tree) == by_library(tree));
  CHECK(lines_text(tree) == by_library(tree, 1));
  // Two levels deep, each line but the first begins two further in.
  std::string moved = by_library(tree, 1);
  for (std::size_t at = moved.find('\n'); at != std::string::npos; at = moved.find('\n', at + 3)) {
    moved.insert(at + 1, "  ");
  }
  CHECK(lines_text(whole, 2) == moved);
}
