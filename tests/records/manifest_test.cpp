// Comparing two findings files value by value.
#include "offered/results/manifest.h"

#include "../findings_text.h"
#include "sample_assessment.h"
#include "survey_folder.h"

#include <nlohmann/json.hpp>

using OrderedJson = nlohmann::ordered_json;
using namespace ohmglow;
using records::compare_findings;

namespace {

std::vector<std::string> pointers(const records::ValueCheck& check) {
  std::vector<std::string> list;
  for (const auto& difference : check.differences) list.push_back(difference.pointer);
  return list;
}

records::ValueCheck compare(const OrderedJson& recorded, const OrderedJson& recomputed,
                            double tolerance = 0) {
  auto check = compare_findings(recorded.dump(), recomputed.dump(), tolerance);
  REQUIRE(check);
  return *check;
}

}  // namespace

TEST_CASE("findings that are equal value by value are the same, whatever their layout") {
  const std::string text = ohmglow::by_hand::findings_text(test::sample_assessment());
  const auto check = compare_findings(text, OrderedJson::parse(text).dump(), 0);
  REQUIRE(check);
  CHECK(check->different == 0);
  CHECK(check->compared > 100);
}

TEST_CASE("findings of the same bytes count as many values as a comparison of them") {
  const std::string text = ohmglow::by_hand::findings_text(test::sample_assessment());
  test::SurveyFolder folder("same-findings");
  folder.with("findings.json", text);
  const auto counted = records::check_of_same_findings(folder.path() / "findings.json");
  const auto compared = compare_findings(text, text, 0);
  REQUIRE(counted);
  REQUIRE(compared);
  CHECK(counted->is_done);
  CHECK(counted->compared == compared->compared);
  CHECK(counted->different == 0);
  folder.with("findings.json", text.substr(0, text.size() / 2));
  CHECK_FALSE(records::check_of_same_findings(folder.path() / "findings.json"));
  CHECK_FALSE(records::check_of_same_findings(folder.path() / "other.json"));
}

TEST_CASE("any one value of findings.json that is changed is found by its pointer") {
  const OrderedJson good =
      OrderedJson::parse(ohmglow::by_hand::findings_text(test::sample_assessment()));
  const OrderedJson flat = good.flatten();
  int tried = 0;
  for (const auto& [pointer, value] : flat.items()) {
    if (!value.is_number() || pointer == "/tool/version") continue;
    OrderedJson bad = good;
    const double number = value.get<double>();
    bad[OrderedJson::json_pointer(pointer)] = number == 0 ? 1e-300 : number * (1 + 4e-16);
    if (bad == good) continue;
    const auto check = compare(bad, good);
    INFO(pointer);
    CHECK(pointers(check) == std::vector<std::string>{pointer});
    ++tried;
  }
  CHECK(tried > 100);
}

TEST_CASE("the tolerance is relative, and holds for numbers alone") {
  const OrderedJson one{{"a", 1000.0}, {"b", "1000"}, {"c", 3}};
  CHECK(compare(one, {{"a", 1000.0000005}, {"b", "1000"}, {"c", 3}}, 1e-9).different == 0);
  CHECK(compare(one, {{"a", 1000.000002}, {"b", "1000"}, {"c", 3}}, 1e-9).different == 1);
  CHECK(compare(one, {{"a", 1000.0000005}, {"b", "1000"}, {"c", 3}}, 0).different == 1);
  CHECK(compare(one, {{"a", 1000.0}, {"b", "1001"}, {"c", 4}}, 1e-9).different == 2);
  CHECK(compare(one, {{"a", nullptr}, {"b", "1000"}, {"c", 3}}, 1e-9).different == 1);
}

TEST_CASE("an item that is gone does not make those behind it look different") {
  const auto finding = [](const std::string& lug, double t) {
    return OrderedJson{
        {"motor", "BE-01"}, {"component", "box"}, {"lug", lug}, {"temperature_c", t}};
  };
  const OrderedJson three{{"findings", {finding("T1", 50), finding("T2", 40), finding("T3", 30)}}};
  const OrderedJson two{{"findings", {finding("T1", 50), finding("T3", 31)}}};
  const auto check = compare(three, two);
  CHECK(pointers(check) == std::vector<std::string>{"/findings/1", "/findings/2/temperature_c"});
  CHECK(check.differences[0].recomputed.empty());
  CHECK(check.differences[1].where == "findings, BE-01, box, T3: temperature_c");
  CHECK(check.differences[1].recorded == "30.0");
  CHECK(check.differences[1].recomputed == "31.0");
  const auto other_way = compare(two, three);
  CHECK(other_way.different == 2);
}

TEST_CASE(
    "a component that was taken from beside the list does not make the others look different") {
  const auto aside = [](const std::string& component, double load) {
    return OrderedJson{{"motor", "BE-01"}, {"component", component}, {"load_a", load}};
  };
  for (const char* list : {"not_judged", "warm_even"}) {
    const OrderedJson three{{list, {aside("box", 5), aside("starter", 6), aside("drive", 7)}}};
    const OrderedJson two{{list, {aside("box", 5), aside("drive", 8)}}};
    const auto check = compare(three, two);
    CHECK(pointers(check) == std::vector<std::string>{"/" + std::string(list) + "/1",
                                                      "/" + std::string(list) + "/2/load_a"});
    CHECK(check.differences[1].where == std::string(list) + ", BE-01, drive: load_a");
  }
}

TEST_CASE("items that are called the same are paired in their order") {
  const OrderedJson one{{"images", {{{"file", "a.tif"}, {"x", 1}}, {{"file", "a.tif"}, {"x", 2}}}}};
  OrderedJson two = one;
  two["images"][1]["x"] = 3;
  CHECK(pointers(compare(one, two)) == std::vector<std::string>{"/images/1/x"});
}

TEST_CASE("a recorded text that is no JSON, or repeats a member, is an error") {
  CHECK_FALSE(compare_findings("{", "{}", 0));
  CHECK_FALSE(compare_findings("", "{}", 0));
  CHECK_FALSE(compare_findings(R"({"a":1,"a":2})", R"({"a":2})", 0));
}

TEST_CASE("a manifest is read back as it was written") {
  records::Manifest manifest;
  manifest.tool_version = "0.1.0";
  manifest.arithmetic = records::this_arithmetic();
  manifest.survey_folder = "../a survey";
  manifest.survey_from_output = "../../a survey";
  manifest.options.judging.seed = 0xffff'ffff'ffff'ffffU;
  manifest.options.judging.uncertainty = diagnosis::Uncertainty::monte_carlo;
  manifest.options.judging.decision = severity::Decision::guarded;
  manifest.options.judging.as_of = std::chrono::sys_days{std::chrono::days{20000}};
  manifest.options.judging.reading_age_d = 12;
  manifest.options.max_pixels = 123;
  manifest.options.formats = {"json", "csv"};
  manifest.policy = {"plant.json", records::PolicyOrigin::other_file, " {\n}\t\n"};
  manifest.findings_sha256 = std::string(64, 'a');
  manifest.inputs = {{"route/ä b.tif", 12, std::string(64, 'b')}, {"x.csv", 0, ""}};
  manifest.outputs = {records::record_of("ranked.csv", "abc")};
  // FIPS 180-4 example, as NIST publishes it for "abc" (from memory).
  CHECK(manifest.outputs[0].sha256 ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  const auto folder = test::output("manifest/manifest.json").parent_path();
  test::write(folder / "manifest.json", records::manifest_json(manifest));
  std::string text;
  const auto read = records::read_manifest(folder, &text);
  if (!read) FAIL(sentence_with_place(read.error()));
  CHECK(text == records::manifest_json(manifest));
  CHECK(records::manifest_json(*read) == text);
  CHECK(read->options.judging.seed == manifest.options.judging.seed);
}
