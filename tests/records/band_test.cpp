// The camera's band in survey.json: docs/survey-folder.md says what it may be; a broken one stops
// the run before anything is measured.
#include "offered/files/folder.h"
#include "offered/intake/calibration_points.h"
#include "offered/results/instrument_records.h"
#include "ohmglow/radiometry.h"
#include "survey_folder.h"

#include <nlohmann/json.hpp>

using test::SurveyFolder;

namespace {

constexpr const char* kLens = "wavelength_um;response\n7,5;0\n9,0;1\n14,0;0,6\n";

ohmglow::Error response_error(std::string_view table) {
  return SurveyFolder("band_response_bad")
      .with("lens.csv", table)
      .with("survey.json", R"({"spectral_response":"lens.csv"})")
      .error();
}

}  // namespace

TEST_CASE("without a word about it the band is 8 to 14 µm, flat") {
  CHECK(std::get<ohmglow::FlatBand>(SurveyFolder("band_none").survey().band) ==
        ohmglow::FlatBand{});
}

TEST_CASE("each of the three ways to name a band is read") {
  const auto flat =
      SurveyFolder("band_flat").with("survey.json", R"({"band_um":[7.5,13]})").survey();
  CHECK(std::get<ohmglow::FlatBand>(flat.band).from.value() == 7.5);
  const auto fitted =
      SurveyFolder("band_fit")
          .with("survey.json", R"({"calibration":{"a_um":9.3,"b_um_k":-12,"c":6800}})")
          .survey();
  CHECK(std::get<ohmglow::SakumaHattori>(fitted.band).b_um_k == -12);
  const SurveyFolder folder("band_response");
  const auto lens = SurveyFolder("band_response")
                        .with("optics/lens.csv", kLens)
                        .with("survey.json", R"({"spectral_response":"./optics/lens.csv"})")
                        .survey();
  const auto& response = std::get<ohmglow::SpectralResponse>(lens.band);
  CHECK(response.file == "optics/lens.csv");
  REQUIRE(response.points.size() == 3);
  CHECK(response.points[2].response == 0.6);
  const std::string_view text(kLens);
  CHECK(response.sha256 == ohmglow::records::sha256(std::as_bytes(std::span(text))));
  // The table's ending is that of a matrix of temperatures: it is none of the images.
  CHECK(lens.images.empty());
  CHECK(lens.problems.empty());
}

TEST_CASE("a broken response names its file, row and column") {
  const auto row = response_error("wavelength_um,response\n8,1\n9,much\n14,1\n");
  CHECK(row.place.file == "lens.csv");
  CHECK(row.place.row == 3);
  CHECK(row.place.column == "response");
  CHECK(test::contains(response_error("wavelength_um,response\n9,1\n8,1\n").what, "rise"));
  CHECK(response_error("um,response\n9,1\n8,1\n").place.file == "lens.csv");
  CHECK(response_error("wavelength_um,response\n").place.file == "lens.csv");
}

TEST_CASE("a response that is not there, or outside the folder, and two ways at once are refused") {
  const auto error = [](std::string_view json) {
    return SurveyFolder("band_bad").with("survey.json", json).error();
  };
  CHECK(error(R"({"spectral_response":"none.csv"})").kind == ohmglow::ErrorKind::missing);
  const auto outside = error(R"({"spectral_response":"../lens.csv"})");
  CHECK(outside.kind == ohmglow::ErrorKind::outside_survey);
  CHECK(outside.place.column == "spectral_response");
  const auto both = error(R"({"band_um":[8,14],"calibration":{"a_um":9,"b_um_k":1,"c":1}})");
  CHECK(both.kind == ohmglow::ErrorKind::conflict);
  CHECK(error(R"({"band_um":[14,8]})").place.column == "band_um");
  CHECK(error(R"({"calibration":{"a_um":9,"b_um_k":-3000,"c":1}})").place.column == "calibration");
}

TEST_CASE("calibration points are read whole, or refused with the row") {
  const SurveyFolder folder("calibration_points");
  test::write(folder.path() / "points.csv",
              "temperature_c\tsignal\tu_signal\n0\t35,2\t0,1\n50\t76\t0,1\n");
  const auto points = ohmglow::records::read_calibration_points(folder.path() / "points.csv");
  REQUIRE(points);
  CHECK(points->size() == 2);
  CHECK(points->front().signal == 35.2);
  test::write(folder.path() / "bad.csv", "temperature_c,signal\n0,35.2\n,76\n");
  const auto bad = ohmglow::records::read_calibration_points(folder.path() / "bad.csv");
  REQUIRE_FALSE(bad);
  CHECK(bad.error().place.row == 3);
  CHECK_FALSE(ohmglow::records::read_calibration_points(folder.path() / "none.csv"));
}
