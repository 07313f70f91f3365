// The commands about the camera and its surfaces, as a user runs them.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <cmath>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

/// Words that scipy and numpy print.
json python(const std::string& script) {
  const fs::path file = fresh_folder("instrument-python") / "ask.py";
  write(file,
        "import json\nimport numpy as np\nfrom scipy import constants, integrate, optimize\n"
        "c1, c2 = 2 * constants.h * constants.c**2, constants.h * constants.c / constants.k\n"
        "def band(t, low=8e-6, high=14e-6):\n"
        "    return integrate.quad(lambda w: c1 / w**5 / np.expm1(c2 / (w * (t + 273.15))), low,\n"
        "                          high, epsabs=0, epsrel=1e-12)[0]\n"
        "def inverse(l, *ends):\n"
        "    return optimize.brentq(lambda t: band(t, *ends) - l, -60, 1500, xtol=1e-10)\n" +
            script);
  const Outcome answer = shell(std::string(OHMGLOW_PYTHON) + " '" + file.string() + "'");
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  return json::parse(answer.out);
}

/// A survey of one image, of one temperature but for a patch of another.
fs::path survey_of(const std::string& name, double patch_c, const std::string& survey_json,
                   const std::string& row) {
  const fs::path folder = fresh_folder(name);
  std::string matrix;
  for (int y = 0; y < 24; ++y) {
    for (int x = 0; x < 32; ++x)
      matrix += (x != 0 ? "," : "") +
                (x >= 6 && x < 18 && y >= 6 && y < 18 ? std::to_string(patch_c) : "24.5");
    matrix += "\n";
  }
  write(folder / "a.csv", matrix);
  write(folder / "survey.json", survey_json);
  write(folder / "images.csv", row);
  const Outcome marked =
      run("mark a.csv --lug T1 --rectangle 7,7,9,9 --reflector foil "
          "--rectangle 22,4,6,6",
          folder);
  INFO(marked.err);
  REQUIRE(marked.exit_code == 0);
  return folder;
}

const std::string kRow =
    "file,motor,component,emissivity,reflected_c,air_c,window_transmittance,window_c,unit,scale\n"
    "a.csv,BE-1,terminal box,0.9,,22,0.85,25,c,1\n";

}  // namespace

TEST_CASE("calibration prints coefficients that survey.json takes and that measure as they say") {
  const fs::path folder = fresh_folder("calibration");
  const json points =
      python("print(json.dumps([[t, band(t, 7.5e-6, 13e-6)] for t in range(-20, 260, 15)]))");
  std::string table = "temperature_c,signal\n";
  for (const json& point : points) table += point[0].dump() + "," + point[1].dump() + "\n";
  write(folder / "points.csv", table);
  const Outcome text = run("calibration points.csv", folder);
  INFO(text.err);
  CHECK(text.exit_code == 0);
  CHECK(text.out.find("\"calibration\": {\"a_um\": ") != std::string::npos);
  const Outcome printed = run("calibration points.csv --json", folder);
  REQUIRE(printed.exit_code == 0);
  write(folder / "fit.json", printed.out);
  CHECK(check_schema("calibration.schema.json", folder / "fit.json").err.empty());
  const json fit = json::parse(printed.out);
  // Greatest residual of a fit from -20 to 250 °C in 7.5 to 13 µm: 4.7 mK, computed with scipy.
  CHECK(fit["worst_k"].get<double>() < 0.006);
  CHECK(fit["worst_k"].get<double>() > 0.001);
  CHECK(fit["points"].size() == points.size());
  CHECK(fit["degrees_of_freedom"] == points.size() - 3);
}

TEST_CASE("calibration refuses too few points and a falling signal, naming the file and the row") {
  const fs::path folder = fresh_folder("calibration-bad");
  write(folder / "few.csv", "temperature_c,signal\n0,35\n50,76\n100,137\n");
  const Outcome few = run("calibration few.csv", folder);
  CHECK(few.exit_code == 3);
  CHECK(few.err.find("at least 4") != std::string::npos);
  write(folder / "falling.csv", "temperature_c,signal\n0,35\n50,76\n100,70\n150,215\n");
  CHECK(run("calibration falling.csv", folder).err.find("does not rise") != std::string::npos);
  write(folder / "words.csv", "temperature_c,signal\n0,35\n50,warm\n");
  CHECK(run("calibration words.csv", folder).err.find("row 3, column signal") != std::string::npos);
  CHECK(run("calibration none.csv", folder).exit_code == 3);
  CHECK(run("calibration", folder).exit_code == 2);
}

TEST_CASE("a survey's band, response and calibration change the temperature as scipy has it") {
  // scipy.integrate.quad and brentq: stored 60 °C as apparent temperature, emissivity 0.6,
  // reflected 22 °C, seen flat from 3 to 5 µm or from 8 to 14 µm.
  const json expected = python(
      "print(json.dumps([inverse((band(60, *e) - .4 * band(22, *e)) / .6, *e)\n"
      "                  for e in ((8e-6, 14e-6), (3e-6, 5e-6))]))");
  const std::string row =
      "file,motor,component,emissivity,reflected_c,air_c\na.csv,BE-1,terminal box,0.6,22,22\n";
  struct Case {
    std::string json;
    std::string kind;
    double expected_c;
  };
  const std::vector<Case> cases{
      {"{}", "flat", expected[0]},
      {R"({"band_um":[3,5]})", "flat", expected[1]},
      {R"({"spectral_response":"lens.csv"})", "spectral_response", expected[1]},
      {R"({"calibration":{"a_um":9.335907,"b_um_k":178.7685,"c":6815.4168}})", "calibration",
       expected[0]}};
  for (const Case& one : cases) {
    const fs::path folder = fresh_folder("bands");
    std::string matrix;
    for (int i = 0; i < 24; ++i) matrix += "60,60,60,60,60,60,60,60,60,60,60,60,60,60,60,60\n";
    write(folder / "a.csv", matrix);
    write(folder / "lens.csv", "wavelength_um,response\n3,1\n5,1\n");
    write(folder / "survey.json", one.json);
    write(folder / "images.csv", row);
    REQUIRE(run("mark a.csv --lug T1 --rectangle 3,3,8,8", folder).exit_code == 0);
    const Outcome assessed = run("assess . --json -o out", folder);
    INFO(one.json << assessed.err);
    const json findings = json::parse(assessed.out);
    CHECK(findings["survey"]["band"]["kind"] == one.kind);
    CHECK(check_schema("findings.schema.json", folder / "out/findings.json").err.empty());
    // 1 mK of the table; the calibration is itself a fit of 5.3 mK, amplified by 1/0.6.
    CHECK(findings["images"][0]["lugs"][0]["temperature_c"].get<double>() ==
          Approx(one.expected_c).epsilon(0).margin(one.kind == "calibration" ? 0.02 : 2e-3));
    CHECK(text_of(folder / "out/report.html").find("Camera") != std::string::npos);
  }
  const fs::path broken = fresh_folder("bands-broken");
  write(broken / "survey.json", R"({"band_um":[14,8]})");
  const Outcome refused = run("assess .", broken);
  CHECK(refused.exit_code == 3);
  CHECK(refused.err.find("survey.json, column band_um") != std::string::npos);
}

TEST_CASE("emissivity by a contact thermometer is what the balance of scipy has") {
  // scipy.integrate.quad over Planck's law: a spot of 70 °C and emissivity 0.78 behind a window of
  // 25 °C that lets 85 % through, before a reflector patch that the camera sees at 24.5 °C.
  const json scene = python(
      "tau = .85\n"
      "reflected = inverse((band(24.5) - (1 - tau) * band(25)) / tau)\n"
      "signal = tau * (.78 * band(70) + .22 * band(reflected)) + (1 - tau) * band(25)\n"
      "print(json.dumps([inverse(signal), reflected]))");
  const fs::path folder = survey_of("contact", scene[0], "{}", kRow);
  const Outcome printed =
      run("emissivity a.csv --mark T1 --contact-c 70 --contact-u 0.5 --json", folder);
  INFO(printed.err);
  REQUIRE(printed.exit_code == 0);
  write(folder / "e.json", printed.out);
  CHECK(check_schema("emissivity.schema.json", folder / "e.json").err.empty());
  const json measured = json::parse(printed.out);
  // The matrix holds six decimals, the pixels single precision.
  CHECK(measured["emissivity"].get<double>() == Approx(0.78).epsilon(0).margin(1e-4));
  CHECK(measured["reflected_c"].get<double>() ==
        Approx(scene[1].get<double>()).epsilon(0).margin(2e-3));
  double squares = 0;
  for (const auto& part : measured["budget"].items())
    squares += part.value().get<double>() * part.value().get<double>();
  CHECK(measured["emissivity_u"].get<double>() == Approx(std::sqrt(squares)));
  // Sensitivity to the contact temperature by a difference of two runs.
  const json warmer =
      json::parse(run("emissivity a.csv --mark T1 --contact-c 70.5 --json", folder).out);
  CHECK(measured["budget"]["contact"].get<double>() ==
        Approx(warmer["emissivity"].get<double>() - measured["emissivity"].get<double>())
            .epsilon(0.02));

  CHECK_FALSE(json_of(folder / "marks/a.csv.json")["marks"][0].contains("emissivity"));
  REQUIRE(run("emissivity a.csv --mark T1 --contact-c 70 --write", folder).exit_code == 0);
  const json mark = json_of(folder / "marks/a.csv.json")["marks"][0];
  CHECK(mark["emissivity"].get<double>() == Approx(0.78).epsilon(0).margin(2e-4));
  CHECK(check_schema("marks.schema.json", folder / "marks/a.csv.json").err.empty());
  // And assess then has the spot at the contact's temperature.
  const json assessed = json::parse(run("assess . --json", folder).out);
  CHECK(assessed["images"][0]["lugs"][0]["temperature_c"].get<double>() ==
        Approx(70).epsilon(0).margin(0.02));
}

TEST_CASE("emissivity refuses a spot near the reflected temperature, and what cannot be") {
  const fs::path folder = survey_of("contact-bad", 30, "{}", kRow);
  const Outcome near = run("emissivity a.csv --mark T1 --contact-c 31", folder);
  CHECK(near.exit_code == 3);
  CHECK(near.err.find("reflected temperature") != std::string::npos);
  CHECK(near.err.find("--force") != std::string::npos);
  CHECK(run("emissivity a.csv --mark T1 --contact-c 31 --force", folder).exit_code == 0);
  const Outcome cold = run("emissivity a.csv --mark T1 --contact-c 10 --force", folder);
  CHECK(cold.exit_code == 3);
  CHECK(cold.err.find("would be") != std::string::npos);
  const Outcome unknown = run("emissivity a.csv --mark T7 --contact-c 60", folder);
  CHECK(unknown.exit_code == 3);
  CHECK(unknown.err.find("T1, foil") != std::string::npos);
  for (const char* line : {"emissivity a.csv --mark T1", "emissivity", "emissivity --mark T1",
                           "emissivity a.csv --mark T1 --contact-c warm",
                           "emissivity a.csv --mark T1 --contact-c 60 --contact-u -1"})
    CHECK(run(line, folder).exit_code == 2);
}

TEST_CASE("the list of materials keeps to its schema and names sources") {
  const fs::path folder = fresh_folder("materials");
  const Outcome printed = run("emissivity --materials --json", folder);
  REQUIRE(printed.exit_code == 0);
  write(folder / "materials.json", printed.out);
  CHECK(check_schema("materials.schema.json", folder / "materials.json").err.empty());
  CHECK(run("emissivity --materials", folder).out.find("vinyl_tape") != std::string::npos);
}
