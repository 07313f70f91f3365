#include "ohmglow/sentence.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <catch2/catch.hpp>
#include <cstdint>
#include <cstring>
#include <limits>

using namespace ohmglow;

namespace {

using Translations = std::vector<std::pair<std::string, std::string>>;

/// A catalogue as GNU gettext's manual lays one out: a header, a table of the messages, one of the
/// translations, and the texts, each with a zero at its end.
class Mo {
 public:
  explicit Mo(const Translations& pairs) {
    const auto count = static_cast<std::uint32_t>(pairs.size());
    for (const std::uint32_t word : {0x950412deU, 0U, count, 28U, 28U + 8 * count, 0U, 0U}) {
      put(word);
    }
    std::string texts;
    const std::uint32_t start = 28 + 16 * count;
    const auto add = [&](const std::string& text) {
      put(static_cast<std::uint32_t>(text.size()));
      put(start + static_cast<std::uint32_t>(texts.size()));
      texts += text + '\0';
    };
    for (const auto& [message, translated] : pairs) add(message);
    for (const auto& [message, translated] : pairs) add(translated);
    bytes_ += texts;
  }
  /// Must not outlive this.
  [[nodiscard]] Reader reader() const {
    Reader reader;
    reader.language = "test";
    reader.decimal_mark = ',';
    reader.catalogue = std::make_shared<const Catalogue>(Catalogue::from_mo(bytes_).value());
    return reader;
  }

 private:
  void put(std::uint32_t word) {
    std::string four(sizeof word, '\0');
    std::memcpy(four.data(), &word, sizeof word);
    bytes_ += four;
  }

  std::string bytes_;
};

Reader american() {
  Reader reader;
  reader.scale = TemperatureScale::fahrenheit;
  return reader;
}

}  // namespace

TEST_CASE("a sentence is its message with its fillings in their order", "[sentence]") {
  CHECK(plainly(Sentence{}) == "");
  CHECK(Sentence{}.empty());
  CHECK(plainly(layout("as it stands {}")) == "as it stands {}");
  CHECK(plainly(layout("{} at {}", number(2.345, 2), std::string("panel {}"))) ==
        "2.35 at panel {}");
  CHECK(plainly(layout("{1} before {0}", std::string("b"), std::string("a"))) == "a before b");
  CHECK(plainly(layout("{} {} {}", resistance(Ohm{0.00052}), short_number(15),
                       short_number(0.25))) == "0.52 mΩ 15 0.25");
  CHECK(plainly(layout("{}, {}", number(-0.0001, 1), number(-7, 0))) == "0.0, −7");
}

TEST_CASE("sentences nest, and stand in lists", "[sentence]") {
  const Sentence phase = layout("phase {}", std::string("B"));
  CHECK(plainly(layout("{} ({})", std::string("T2"), phase)) == "T2 (phase B)");
  CHECK(plainly(layout("seen: {}", List{{std::string("a"), Sentence{}, phase}})) ==
        "seen: a, phase B");
  CHECK(plainly(layout("seen: {}", List{})) == "seen: ");
  CHECK(plainly(clauses({layout("one"), {}, layout("two")})) == "one; two");
  CHECK(plainly(sentences({layout("One."), layout("Two.")})) == "One. Two.");
  CHECK(plainly(sentences({clauses({layout("one"), layout("two")}), layout("Three.")})) ==
        "one; two Three.");
  CHECK(clauses({layout("one"), {}}) == layout("one"));
  CHECK(clauses({}).empty());
}

TEST_CASE("temperatures are in the reader's unit, bare or with it", "[sentence]") {
  const Sentence air = layout("air {}", temperature(20, 1));
  const Sentence rise =
      layout("{} ± {} {}", bare(difference(10, 1)),
             one_more_place_below(0.0995, bare(difference(0.09, 1))), kDifferenceUnit);
  CHECK(plainly(air) == "air 20.0 °C");
  CHECK(plainly(rise) == "10.0 ± 0.09 K");
  // 1 K is 1.8 °F of interval: NIST SP 811 (2008), appendix B, from memory. 0.162 °F is no longer
  // small.
  CHECK(written(air, american()) == "air 68.0 °F");
  CHECK(written(rise, american()) == "18.0 ± 0.2 °F");
  CHECK(written(layout("from {}", trimmed(temperature(90, 3))), american()) == "from 194 °F");
  CHECK(written(layout("{} {}", bare(temperature(-60, 0)), kTemperatureUnit), american()) ==
        "−76 °F");
  CHECK(plainly(number(std::numeric_limits<double>::quiet_NaN(), 1)) == "nan");
}

TEST_CASE("a translation has the decimal mark and the order of its language", "[sentence]") {
  const Mo mo({{"{} in {}", "in {1} sind {0}"}, {"phase {}", "Phase {}"}});
  const Sentence excess =
      layout("{} in {}", resistance(Ohm{0.0125}), layout("phase {}", std::string("B")));
  CHECK(written(excess, mo.reader()) == "in Phase B sind 12,5 mΩ");
  CHECK(written(layout("{}", short_number(0.50)), mo.reader()) == "0,5");
  CHECK(plainly(excess) == "12.5 mΩ in phase B");
}

TEST_CASE("a translation that does not take its fillings gives way to English", "[sentence]") {
  const std::string slip = GENERATE(as<std::string>(), "nur {}", "{} {} {}", "{0} {2}", "{} {",
                                    "} {}", "{} {x}", "{0} {0}", "{:.1f} {}", "{} {-1}", "");
  const Mo mo({{"{} of {}", slip}});
  CHECK(written(layout("{} of {}", number(1.5, 1), number(2, 0)), mo.reader()) == "1,5 of 2");
}

TEST_CASE("the reader of the thread reads what nobody else is named for", "[sentence]") {
  const Reader reader = american();
  const WritingFor writing_for(reader);
  const Sentence air = layout("air {}", temperature(0, 0));
  CHECK(written(air) == "air 32 °F");
  CHECK(plainly(air) == "air 0 °C");
}

TEST_CASE("sentences are equal by what they say, not by how it reads", "[sentence]") {
  CHECK(layout("{}", number(1, 0)) == layout("{}", number(1, 0)));
  CHECK_FALSE(layout("{}", number(1, 0)) == layout("{}", std::string("1")));
  CHECK_FALSE(layout("{}", number(1, 0)) == layout("{}", number(1, 1)));
  CHECK_FALSE(layout("{}", List{{number(1, 0)}}) ==
              layout("{}", List{{number(1, 0)}, List::Between::blanks}));
}

TEST_CASE("a value and its uncertainty share unit and decimals in the reader's own unit",
          "[sentence]") {
  // JCGM 100:2008, 7.2.6; 1 K is 1.8 °F of interval (NIST SP 811, from memory).
  const Sentence rise = layout("{}", plus_minus(difference(10, 1), 1));
  CHECK(plainly(rise) == "10.0 ± 1.0 K");
  CHECK(written(rise, american()) == "18.0 ± 1.8 °F");
  const Sentence lug = layout("{}", plus_minus(temperature(37, 1), 1));
  CHECK(plainly(lug) == "37.0 ± 1.0 °C");
  CHECK(written(lug, american()) == "98.6 ± 1.8 °F");
  CHECK(plainly(layout("{}", plus_minus(resistance(Ohm{27e-6}), 0.15e-3))) == "0.03 ± 0.15 mΩ");
  CHECK(plainly(layout("{} %", plus_minus(number(2.26, 2), 0.16))) == "2.26 ± 0.16 %");
}
