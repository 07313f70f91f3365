#include "offered/radiometry/calibration.h"

#include "cli/commands.h"
#include "cli/talk.h"
#include "offered/intake/calibration_points.h"
#include "offered/results/instrument_records.h"

#include <memory>

namespace ohmglow::cli {
namespace {

struct CalibrationGiven {
  std::string file;
  bool json = false;
};

void print_text(const std::vector<radiometry::CalibrationPoint>& points,
                const radiometry::CalibrationFit& fit) {
  const auto& c = fit.coefficients;
  print("for survey.json:  \"calibration\": {{\"a_um\": {}, \"b_um_k\": {}, \"c\": {}}}\n\n",
        c.a_um, c.b_um_k, c.c);
  print("A = {:.6f} µm,   standard uncertainty {:.2g}\n", c.a_um, fit.u[0]);
  print("B = {:.4f} µm K, standard uncertainty {:.2g}\n", c.b_um_k, fit.u[1]);
  print("C = {:.6g}, standard uncertainty {:.2g}\n", c.c, fit.u[2]);
  print("by {}; the three move together: --json has their covariance\n\n",
        points.front().u_signal
            ? "the points' u_signal"
            : "the points' scatter, every signal with the same relative uncertainty");
  print("{:>14} {:>14} {:>14}\n", "temperature_c", "signal", "residual, K");
  for (std::size_t i = 0; i < points.size(); ++i) {
    print("{:>14.3f} {:>14.7g} {:>+14.4f}\n", points[i].temperature.value(), points[i].signal,
          fit.residuals_k[i]);
  }
  print(
      "\nresiduals: {:.4f} K rms, {:.4f} K at worst; chi square {:.3g} with {} degrees of "
      "freedom\n",
      fit.rms_k, fit.worst_k, fit.chi_square, fit.degrees_of_freedom);
}

int calibration(const CalibrationGiven& given) {
  const auto points = records::read_calibration_points(given.file);
  if (!points) {
    complain("calibration", points.error());
    return kNothingDone;
  }
  const auto fit = radiometry::fit_sakuma_hattori(*points);
  if (!fit) {
    complain("calibration", fit.error().in_file(given.file));
    return kNothingDone;
  }
  if (given.json) {
    print_whole(records::calibration_json(given.file, *points, *fit));
  } else {
    print_text(*points, *fit);
  }
  return kDone;
}

}  // namespace

void add_calibration(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<CalibrationGiven>();
  CLI::App* command = program.add_subcommand(
      "calibration", "Fit a camera's calibration points, for survey.json (Sakuma-Hattori)");
  command
      ->add_option("POINTS", given->file,
                   "Table with the columns temperature_c, signal and, if known, u_signal")
      ->required();
  command->add_flag("--json", given->json, "Print JSON");
  command->footer("Example: ohmglow calibration blackbody.csv");
  command->callback([given, &exit_code] { exit_code = calibration(*given); });
}

}  // namespace ohmglow::cli
