// The contract of findings.json: names and order of its members, absent = null, plain numbers.
#include "../findings_text.h"
#include "offered/results/findings_texts.h"
#include "sample_assessment.h"
#include "survey_folder.h"

#include <limits>
#include <nlohmann/json.hpp>

using OrderedJson = nlohmann::ordered_json;
using ohmglow::by_hand::findings_text;
using ohmglow::records::look_json;
using ohmglow::records::readings_json;

namespace {

std::vector<std::string> keys(const OrderedJson& object) {
  std::vector<std::string> names;
  for (const auto& item : object.items()) names.push_back(item.key());
  return names;
}

OrderedJson sample() {
  return OrderedJson::parse(findings_text(test::sample_assessment()));
}

ohmglow::records::Look look_at(double scale) {
  ohmglow::records::Look look;
  look.file = "a.tif";
  look.image.pixels = cv::Mat(3, 4, CV_16U, cv::Scalar(0));
  look.image.format = "tiff";
  look.image.dtype = "uint16";
  look.image.pages = 2;
  look.stored = {.min = 1000, .max = 3000, .mean = 1500, .finite = 11, .no_data = 1};
  look.declaration =
      ohmglow::Declaration{scale, 300, ohmglow::TemperatureUnit::kelvin, "ImageDescription"};
  return look;
}

}  // namespace

TEST_CASE("the top of findings.json says which tool, survey, policy and options") {
  const OrderedJson json = sample();
  CHECK(keys(json) == std::vector<std::string>{"version", "tool", "survey", "policy", "options",
                                               "images", "components", "motors", "findings",
                                               "warm_even", "not_judged", "problems"});
  CHECK(json["version"] == 1);
  CHECK(json["tool"]["name"] == "ohmglow");
  CHECK(json["survey"] ==
        OrderedJson::parse(R"({"folder":"route 7","site":"Bexley Creek grain terminal",
      "surveyed_on":"2026-03-04","thermographer":"A. Reader","thermographer_level":"II",
      "thermographer_certificate":"BXC-II-031","camera":{"make":null,"model":"loan 2","serial":"BXC-0417",
      "calibrated_on":"2025-06-16","lens":"25 degrees"},"phase_names":["A","B","C"],
      "band":{"kind":"flat","from_um":8,"to_um":14,"file":null,"sha256":null,"a_um":null,
      "b_um_k":null,"c":null}})"));
  CHECK(
      json["options"] ==
      OrderedJson::parse(
          R"({"reference":"median","reading_age_d":90,"tests_by_effort":false,"unconfirmed":"skip","as_of":"2026-03-09",
            "uncertainty":"monte-carlo","seed":7,"decision":"guarded","guard_factor":1.64})"));
  CHECK(json["policy"]["id"] == "neta_mts");
  CHECK(json["policy"]["bands"][0]["over_like_c"] == OrderedJson{{"from", 1}});
  CHECK(json["policy"]["bands"][1]["over_like_c"] == OrderedJson{{"above", 3}});
  CHECK(json["policy"]["bands"][2]["over_like_c"].is_null());
  CHECK(json["policy"]["bands"][0]["failure_per_year"] == 0.02);
  CHECK(json["policy"]["failure_source"] == "assumed");
  CHECK(json["policy"]["judgement"] == OrderedJson::parse(R"({"confidence":0.95,
      "sound_scatter":{"share_of_rise":0.09,"least_c":0.3,"source":"common practice, no source"}})"));
  CHECK(json["policy"]["over_air_alone"]["from"] == "monitor");
  CHECK(json["policy"]["priors"].is_null());
}

TEST_CASE("an image carries its hash, parameters and lugs") {
  const OrderedJson image = sample()["images"][0];
  CHECK(image["file"] == "be2/box.tif");
  CHECK(image["page"] == 3);
  CHECK(image["status"] == "measured");
  CHECK(image["taken_at"] == "2026-03-04T10:11");
  CHECK(image["load_a"] == OrderedJson::parse("[41.0,null,43.0]"));
  CHECK(image["edge_blur_px"] == 0.75);
  CHECK(image["outside"]["hottest"] == OrderedJson::parse("[200,30]"));
  CHECK(image["outside"]["pixels"] == 37);
  CHECK(image["outside"]["is_background"] == false);
  CHECK(image["outside"]["temperature_c"] == 55.5);
  CHECK(image["parameters"] ==
        OrderedJson::parse(
            R"({"declaration":"0.01 × stored + 0 K, by images.csv","saved_emissivity":0.95,
      "saved_reflected_c":22.0,"reflected_c":21.25,"reflected_from":"reflector mark","air_c":19.5,"air_u_c":0.75,
      "air_from":"images.csv","atmosphere_transmittance":0.99,"window_transmittance":0.7,"window_reflectance":0.125,
      "window_c":23.0,"window_reflected_c":20.5,"uncertainties":{"emissivity_u":0.02,"reflected_u_c":1.5,"air_u_c":0.5,
      "camera_u_c":0.875,"noise_k":0.0625,"window_u":0.01,"atmosphere_u":0.0,"nonuniformity_k":0.1,"load_u_pct":2.0}})"));
  CHECK(
      image["lugs"][0] ==
      OrderedJson::parse(R"({"name":"T1","phase":1,"phase_name":"A","temperature_c":71.5,"u_c":1.25,
      "max_c":72.5,"mean_c":66.5,"p95_c":70.5,"pixels":81,"hottest":[12.5,34.0],"rise_over_like_c":22.5,
      "rise_over_like_u_c":0.375,"rise_over_air_c":52.0,"rise_over_air_u_c":1.375,"reference_c":49.0,
      "sound_scatter_c":3.125,"hot_from_c":6.25,"hot":true,
      "projected_rise_c":31.5,"projected_rise_low_c":28.5,"projected_rise_high_c":33.5,"projected_rise_u_c":1.5,
      "monte_carlo":null,"band":"urgent","band_by":"like","band_simple":"monitor","band_probability":{"watch":0.0,"plan":0.125,"monitor":0.25,"urgent":0.625},"emissivity":0.9,
      "flags":["low_load","too_small"]})"));
}

TEST_CASE("what is absent stands there as null, never left out") {
  const OrderedJson json = sample();
  CHECK(keys(json["images"][0]) == keys(json["images"][1]));
  CHECK(keys(json["images"][0]["lugs"][0]) == keys(json["images"][0]["lugs"][1]));
  CHECK(keys(json["findings"][0]) == keys(json["findings"][1]));
  const OrderedJson electrical = json["motors"][0]["electrical"];
  CHECK(keys(electrical[0]) == keys(electrical[1]));
  CHECK(json["images"][1]["sha256"].is_null());
  CHECK(json["images"][1]["parameters"].is_null());
  const OrderedJson lug = json["images"][0]["lugs"][1];
  for (const auto* name : {"temperature_c", "u_c", "rise_over_like_c", "rise_over_air_u_c",
                           "projected_rise_c", "band_probability"}) {
    INFO(name);
    CHECK(lug[name].is_null());
  }
  CHECK(lug["band"] == "none");
  CHECK(lug["band_by"] == "none");
  CHECK(json["problems"][1] ==
        OrderedJson::parse(R"({"file":null,"row":null,"column":null,"message":"nothing else"})"));
}

TEST_CASE("a finding carries both witnesses") {
  const OrderedJson finding = sample()["findings"][0];
  CHECK(finding["evidence"] ==
        OrderedJson::parse(R"([{"text":"22.5 K over like","source":"ANSI/NETA Table 100.18"},
                                              {"text":"the box was wet","source":null}])"));
  CHECK(finding["cautions"].size() == ohmglow::diagnosis::cautions().size());
  OrderedJson rest = finding;
  rest.erase("evidence");
  rest.erase("cautions");
  CHECK(rest ==
        OrderedJson::parse(
            R"({"rank":1,"case":1,"case_id":"BE-2/terminal box/1","leads_case":true,
      "also":["starter load side"],"decision":"stop_now","motor":"BE-2","component":"terminal box","image":"be2/box.tif","phase":1,
      "phase_name":"A","lug":"T1","temperature_c":71.5,"temperature_u_c":1.25,"reference_c":49.0,
      "rise_over_like_c":22.5,"rise_over_like_u_c":0.375,"rise_over_air_c":52.0,"rise_over_air_u_c":1.375,
      "relative_difference":0.4375,"band":"urgent","band_by":"limit","band_simple":"plan",
      "band_probability":{"watch":0.0,"plan":0.125,"monitor":0.25,"urgent":0.625},"projected_rise_c":31.5,
      "projected_rise_low_c":28.5,"projected_rise_high_c":33.5,"projected_rise_u_c":1.5,
      "budget":[{"quantity":"rise_over_like","value_c":22.5,"u_c":0.375,"inputs":[{"input":"emissivity","of":"T1",
      "value":0.9,"unit":null,"u":0.02,"distribution":"truncated_normal","sensitivity":-18.75,"contribution_c":-0.375,
      "share":1.0}]}],
      "monte_carlo":{"trials":20000,"stable":true,"outside_share":0.125,
      "temperature":{"mean_c":71.625,"u_c":1.25,"low_c":69.0,"high_c":74.5},
      "rise_over_like":{"mean_c":22.625,"u_c":0.5,"low_c":21.75,"high_c":23.75},"rise_over_air":null},"load_a":41.0,"load_pct":80.5,"expected_loss":1250.5,"verdict":"confirmed",
      "electrical_phase":1,"electrical_phase_name":"A","resistance_unbalance_pct":8.5,"leg_unbalance_pct":16.5,
      "excess_ohm":0.0498,"excess_w":83.5,"flags":["low_load"],"action":"Open, clean and remake the connection.",
      "next_step":"Measure the drop across the lug."})"));
}

TEST_CASE("readings carry their legs, windings, excess and what they point to") {
  const OrderedJson electrical = sample()["motors"][0]["electrical"];
  CHECK(electrical[0] ==
        OrderedJson::parse(
            R"({"test":"winding_resistance","place":"motor terminals","taken_at":"2026-03-05",
      "values":[0.412,0.3625,0.4125],"unit":"ohm","meter_u_pct":0.5,"resolution":0.0005,
      "unbalance_pct":8.5,"unbalance_u_pct":0.25,"phase":1,"phase_name":"A","phase_probability":0.75,
      "phase_agreed":true,"excess_ohm":0.0498,"excess_u_ohm":0.0005,
      "excess_w":83.5,"excess_u_w":2.5,"excess_at_a":41.0,"legs_ohm":[0.231,0.181,0.1815],"leg_unbalance_pct":16.5,
      "windings_ohm":[0.75,0.5,0.625],"points_to":"lead","note":"two pairs are high: their common lead",
      "referred_25c_ohm":[0.4,0.35,0.405],"first_pair_drift_pct":null,"drift_taken_off":false,"band":"plan","negative_sequence_pct":null,"derating":null,
      "abnormal":false,"farthest":null,"joint":null,"problem":null})"));
  CHECK(electrical[1]["unit"] == "v");
  CHECK(electrical[1]["negative_sequence_pct"] == 1.15);
  CHECK(electrical[1]["derating"] == 0.98);
  CHECK(electrical[1]["abnormal"] == true);
  CHECK(electrical[1]["farthest"] == 2);
  CHECK(electrical[1]["band"].is_null());
  CHECK(electrical[2]["unit"] == "a");
  CHECK(electrical[2]["problem"] == "all three currents are zero");
  CHECK(electrical[3]["joint"] ==
        OrderedJson::parse(R"({"phase":1,"phase_name":"A","joints_ohm":[0.00025,6.25e-5,6.25e-5],
      "excess_ohm":0.0001875,"excess_u_ohm":5e-6,"over_lowest_pct":300.0,"bad":true})"));
}

TEST_CASE("what stands beside the ranked list says why") {
  const OrderedJson json = sample();
  CHECK(json["warm_even"] == OrderedJson::parse(R"([{"motor":"BE-2","component":"starter load side",
      "image":"be2/starter.tif","phase":2,"phase_name":"B","lug":"T2","temperature_c":38.5,
      "rise_over_like_c":1.125,"rise_over_like_u_c":0.5,"rise_over_air_c":19.0,"rise_over_air_u_c":1.25,
      "band":"plan","band_by":"air","verdict":"even","load_a":41.0,"load_pct":80.5,"image_again_from_a":null,
      "why":"the lugs are warm alike: 19.0 K over the air","next_step":"Check the load."}])"));
  CHECK(json["not_judged"] ==
        OrderedJson::parse(R"([{"motor":"BE-2","component":"disconnect","image":null,"phase":null,
      "phase_name":null,"lug":null,"temperature_c":null,"rise_over_like_c":null,"rise_over_like_u_c":null,
      "rise_over_air_c":null,"rise_over_air_u_c":null,"band":"none","band_by":"none","verdict":"not_judged",
      "load_a":6.0,"load_pct":12.5,"image_again_from_a":20.5,"why":"too little current","next_step":null}])"));
}

TEST_CASE("a motor's stretches say where the excess lies and what was not looked at") {
  CHECK(
      sample()["motors"][0]["segments"] ==
      OrderedJson::parse(
          R"([{"from":"starter","to":"motor terminals","resistance_ohm":[0.051,0.001,0.001],"phase":1,
      "phase_name":"A","excess_ohm":0.05,"excess_u_ohm":0.0005,"probability":0.96875,"expected_cable_ohm":0.001,
      "imaged":["starter"],"not_imaged":["motor terminals"]},
      {"from":"motor terminals","to":null,"resistance_ohm":[0.2,0.2,0.2],"phase":1,"phase_name":"A","excess_ohm":0.0,
      "excess_u_ohm":0.0005,"probability":0.0,"expected_cable_ohm":null,"imaged":[],"not_imaged":[]}])"));
}

TEST_CASE("a component names its images, its reading and its currents") {
  CHECK(sample()["components"][0] ==
        OrderedJson::parse(R"({"motor":"BE-2","component":"terminal box","visit":"2026-03-04",
      "images":["be2/box.tif"],"verdict":"confirmed","reading":0,"joint_reading":3,"load_a":[41.0,null,43.0],"mean_load_a":42.0,
      "visible_at_rated_c":2.75,"why_not_judged":"too little current","image_again_from_a":20.5,
      "evidence":[{"text":"pairs differ by 8.5 %","source":"common practice"}],
      "next_step":"Measure the drop across the lug.","verdict_probability":null,"seen":[],
      "explanations":[],"next_tests":[]})"));
  CHECK(sample()["motors"][0]["verdict"] == "confirmed");
  CHECK(sample()["motors"][0]["places_not_imaged"] == OrderedJson::parse(R"(["disconnect"])"));
}

TEST_CASE("a motor says where it is, how it is locked out, what the work takes, and why not seen") {
  OrderedJson motor = sample()["motors"][0];
  for (const char* other : {"verdict", "places_not_imaged", "electrical", "segments"}) {
    motor.erase(other);
  }
  CHECK(motor == OrderedJson::parse(R"({"motor":"BE-2","description":"Bucket elevator 2",
      "area":"work house","lockout":"MCC-1, breaker 4","criticality":4,"crew":2,"torque_nm":15.0,
      "parts":"three lugs","places":[
      {"place":"disconnect","area":null,"lockout":"SB-1","torque_nm":6.5,"parts":null,
       "not_inspected":"key not at hand"},
      {"place":"terminal box","area":null,"lockout":null,"torque_nm":null,"parts":null,
       "not_inspected":null}]})"));
}

TEST_CASE("the same assessment gives the same text, indented, with a final line end") {
  const std::string text = findings_text(test::sample_assessment());
  CHECK(text == findings_text(test::sample_assessment()));
  CHECK(text.ends_with("\n}\n"));
  CHECK(test::contains(text, "\n \"images\": [\n  {\n   \"file\": \"be2/box.tif\","));
  // The parts are written one by one; whole, they must look as one document would.
  CHECK(text == OrderedJson::parse(text).dump(1) + "\n");
  const std::string bare = findings_text(test::bare_assessment());
  CHECK(bare == OrderedJson::parse(bare).dump(1) + "\n");
}

TEST_CASE("numbers come back as the doubles that they were") {
  auto assessment = test::sample_assessment();
  const double awkward = 1.0 / 3;
  assessment.findings[0].load_a = awkward;
  assessment.findings[0].temperature_c = 1e-17;
  const OrderedJson json = OrderedJson::parse(findings_text(assessment));
  CHECK(json["findings"][0]["load_a"].get<double>() == awkward);
  CHECK(json["findings"][0]["temperature_c"].get<double>() == 1e-17);
}

TEST_CASE("a number that JSON does not have becomes null") {
  auto assessment = test::sample_assessment();
  assessment.findings[0].load_a = std::numeric_limits<double>::quiet_NaN();
  assessment.findings[0].load_pct = std::numeric_limits<double>::infinity();
  const OrderedJson json = OrderedJson::parse(findings_text(assessment));
  CHECK(json["findings"][0]["load_a"].is_null());
  CHECK(json["findings"][0]["load_pct"].is_null());
}

TEST_CASE("text that is not UTF-8 is mended, not thrown at") {
  auto assessment = test::sample_assessment();
  assessment.findings[0].motor =
      "F\xFC"
      "ller \"x\"\n";
  assessment.problems[0].message = "\xFF\xFE";
  const std::string text = findings_text(assessment);
  CHECK(OrderedJson::parse(text)["findings"][0]["motor"] == "F\xEF\xBF\xBDller \"x\"\n");
}

TEST_CASE("readings_json holds the electrical side alone") {
  const OrderedJson json = OrderedJson::parse(readings_json(test::sample_assessment()));
  CHECK(keys(json) == std::vector<std::string>{"version", "motors", "problems"});
  CHECK(keys(json["motors"][0]) ==
        std::vector<std::string>{"motor", "electrical", "segments", "advice"});
  CHECK(json["motors"][0]["electrical"] == sample()["motors"][0]["electrical"]);
}

TEST_CASE("look_json shows stored values and, where declared, temperatures") {
  const OrderedJson json = OrderedJson::parse(look_json(look_at(0.01), "a.tif", {}));
  CHECK(keys(json) == std::vector<std::string>{"file", "format", "width", "height", "dtype",
                                               "pages", "declared", "stored", "temperature_c",
                                               "no_data", "problems"});
  CHECK(json["width"] == 4);
  CHECK(json["height"] == 3);
  CHECK(json["pages"] == 2);
  CHECK(json["no_data"] == 1);
  CHECK(
      json["declared"] ==
      OrderedJson::parse(R"({"scale":0.01,"offset":300.0,"unit":"k","from":"ImageDescription"})"));
  CHECK(json["stored"] == OrderedJson::parse(R"({"min":1000.0,"max":3000.0,"mean":1500.0})"));
  // 0.01 × 1000 + 300 K = 310 K = 36.85 °C (SI Brochure, 9th ed., 2.3.1).
  CHECK(json["temperature_c"]["min"].get<double>() == Approx(36.85));
  CHECK(json["temperature_c"]["max"].get<double>() == Approx(56.85));
  CHECK(json["temperature_c"]["mean"].get<double>() == Approx(41.85));
}

TEST_CASE("a negative scale turns stored order round") {
  const OrderedJson json = OrderedJson::parse(look_json(look_at(-0.01), "a.tif", {}));
  CHECK(json["temperature_c"]["min"].get<double>() < json["temperature_c"]["max"].get<double>());
}

TEST_CASE(
    "an undeclared image still shows its stored values, and half a declaration is shown as found") {
  auto look = look_at(1);
  look.declaration.reset();
  const OrderedJson bare =
      OrderedJson::parse(look_json(look, "a.tif", {"no scale, offset and unit"}));
  CHECK(bare["declared"].is_null());
  CHECK(bare["temperature_c"].is_null());
  CHECK(bare["stored"]["max"] == 3000);
  CHECK(bare["problems"][0] == "no scale, offset and unit");
  look.image.embedded.emplace();
  look.image.embedded->scale = 0.5;
  look.image.embedded->from = "GDAL_METADATA";
  CHECK(OrderedJson::parse(look_json(look, "a.tif", {}))["declared"] ==
        OrderedJson::parse(R"({"scale":0.5,"offset":null,"unit":null,"from":"GDAL_METADATA"})"));
}

TEST_CASE("a file that is no image shows its problems alone") {
  const OrderedJson json = OrderedJson::parse(look_json(std::nullopt, "x.bin", {"not an image"}));
  CHECK(json["file"] == "x.bin");
  CHECK(json["format"].is_null());
  CHECK(json["problems"] == OrderedJson::parse(R"(["not an image"])"));
}
