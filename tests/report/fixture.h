#pragma once
/// An invented survey of the Bexley Creek grain terminal, judged by hand: what the report room is
/// given, with hostile user strings in it.

#include "offered/report/report.h"
#include "ohmglow/diagnosis.h"

#include <string>
#include <vector>

namespace ohmglow::report_test {

inline constexpr const char* kHostileMotor = "CV-3 <script>alert('x')</script>";
inline constexpr const char* kHostileComponent = "starter \"load\" side & Förderband 漏斗";
inline constexpr const char* kHostileNote =
    "=HYPERLINK(\"x\") </title></style><img src=x onerror=alert(1)>";

/// Four motors: BE-1 (confirmed urgent at its box, an even disconnect), the hostile CV-3 (heat
/// only, two lugs a phase, one of them not measurable), DF-2 (a reading alone), DF-4 (one lone
/// lug).
[[nodiscard]] diagnosis::Assessment bexley_creek();

/// The same with what stands beside the list: DF-4 runs on two phases, its terminal box was not
/// judged, and BE-1's isolator is warm and even.
[[nodiscard]] diagnosis::Assessment beside_the_list();

/// The same with `count` findings in all, each on a motor and an image of its own.
[[nodiscard]] diagnosis::Assessment many_findings(std::size_t count);

/// The assessment piece by piece, as long as it lives.
[[nodiscard]] report::Pieces pieces_of(const diagnosis::Assessment& assessment);

/// Opens any image of the survey: a warm box with a hot spot where its first lug is marked.
[[nodiscard]] report::OpenImage synthetic_images();

struct LugAt {
  std::string name;
  Phase phase;
  std::optional<double> temperature_c;
  double u_c = 0.6;
};
/// An assessment with one component that carries these lugs.
[[nodiscard]] diagnosis::Assessment one_component(const std::vector<LugAt>& lugs,
                                                  std::optional<double> air_c,
                                                  std::optional<PerPhase<double>> legs_ohm);

/// Writes below the test's output folder and returns the path.
std::string write_output(const std::string& name, const std::string& text);
/// Runs a Python script of tests/report on arguments; what it printed, "" where all is well.
[[nodiscard]] std::string python(const std::string& script,
                                 const std::vector<std::string>& arguments);

}  // namespace ohmglow::report_test
