// Source: RFC 4180 as read by Python's csv module; formula cells: OWASP "CSV injection" (from
// memory).
#include "fixture.h"
#include "offered/report/report.h"

#include <catch2/catch.hpp>

namespace ohmglow::report {

TEST_CASE("the ranked list reads the same in Python's csv") {
  const auto a = report_test::bexley_creek();
  const std::string path = report_test::write_output("ranked.csv", ranked_csv(a));
  CHECK(report_test::python("check_csv.py", {path,
                                             "0",
                                             "rank",
                                             "1",
                                             "0",
                                             "motor",
                                             "BE-1",
                                             "0",
                                             "component",
                                             "terminal box",
                                             "0",
                                             "image",
                                             "be-1_box.tiff",
                                             "0",
                                             "phase",
                                             "2",
                                             "0",
                                             "phase_name",
                                             "B",
                                             "0",
                                             "lug",
                                             "T2",
                                             "0",
                                             "temperature_c",
                                             "87.3",
                                             "0",
                                             "temperature_u_c",
                                             "1.1",
                                             "0",
                                             "reference_c",
                                             "41.2",
                                             "0",
                                             "rise_over_like_k",
                                             "46.1",
                                             "0",
                                             "rise_over_like_u_k",
                                             "0.3",
                                             "0",
                                             "rise_over_air_k",
                                             "63.3",
                                             "0",
                                             "rise_over_air_u_k",
                                             "1.2",
                                             "0",
                                             "band",
                                             "urgent",
                                             "0",
                                             "band_by",
                                             "like",
                                             "0",
                                             "band_probability",
                                             "0.95",
                                             "0",
                                             "projected_rise_k",
                                             "87.59",
                                             "0",
                                             "load_a",
                                             "38.2",
                                             "0",
                                             "load_pct",
                                             "69",
                                             "0",
                                             "verdict",
                                             "confirmed",
                                             "0",
                                             "electrical_phase",
                                             "2",
                                             "0",
                                             "excess_ohm",
                                             "0.0125",
                                             "0",
                                             "excess_w",
                                             "18.05",
                                             "0",
                                             "flags",
                                             "too_small wind",
                                             "0",
                                             "action",
                                             "Stop and repair now.",
                                             "1",
                                             "image",
                                             "",
                                             "1",
                                             "lug",
                                             "",
                                             "1",
                                             "phase",
                                             "",
                                             "1",
                                             "electrical_phase",
                                             "3",
                                             "1",
                                             "band_by",
                                             "reading",
                                             "1",
                                             "temperature_c",
                                             "",
                                             "2",
                                             "motor",
                                             report_test::kHostileMotor,
                                             "2",
                                             "component",
                                             report_test::kHostileComponent,
                                             "3",
                                             "lug",
                                             "<T6>",
                                             "4",
                                             "projected_rise_k",
                                             ""}) == "");
}

TEST_CASE("a note that a spreadsheet would run is written as text") {
  const auto a = report_test::bexley_creek();
  const std::string path = report_test::write_output("ranked.csv", ranked_csv(a));
  std::string as_text = report_test::kHostileNote;
  as_text.insert(as_text.begin(), '\'');
  CHECK(report_test::python("check_csv.py", {path, "2", "next_step", as_text}) == "");
}

TEST_CASE("numbers of the ranked list use a point and no exponent, negative ones an ASCII sign") {
  auto a = report_test::bexley_creek();
  a.findings[0].excess_ohm = Ohm{-4e-7};
  a.findings[0].load_a = 1234567.5;
  const std::string csv = ranked_csv(a);
  CHECK_THAT(csv, Catch::Contains(",-0.000000400,") && Catch::Contains(",1234567.5000,"));
  CHECK_THAT(csv, !Catch::Contains("\u2212"));
}

TEST_CASE("no findings leave the header alone") {
  auto a = report_test::bexley_creek();
  a.findings.clear();
  const std::string csv = ranked_csv(a);
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 1);
}

}  // namespace ohmglow::report
