#include "noise.h"
#include "offered/demo/demo.h"
#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "ohmglow/rotor.h"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <system_error>

namespace ohmglow::demo {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFan = "DF-20";
constexpr int kPolePairs = 1;

/// The fan's motor on one day: what is true of it, and what the meters were given to read.
struct FanDay {
  std::string_view folder;
  std::string_view day;
  rotor::Offsets drive_end;          ///< shares of the mean gap
  rotor::Offsets opposite_end;       ///< likewise
  std::array<double, 3> pair_off{};  ///< of the inductance, fixed differences
  std::array<double, 3> winding_mohm{};
  std::string_view insulation;  ///< cells of readings.csv
  std::array<std::string_view, 3> drive_vibration;
  std::array<std::string_view, 3> opposite_vibration;
  std::string_view runout;
  std::array<std::string_view, 3> no_load_a;
  std::array<double, 3> lug_c{};
};

// The rotor sits low at the drive end and its core is not round about its axis; one coil joint has
// loosened; the bearing shakes.
constexpr FanDay kBefore{
    .folder = "before",
    .day = "2026-04-13",
    .drive_end = {.fixed = 0.074, .fixed_at_deg = 205, .turning = 0.031, .turning_at_deg = 70},
    .opposite_end = {.fixed = 0.022, .fixed_at_deg = 190, .turning = 0.012, .turning_at_deg = 70},
    .pair_off = {0.0021, -0.0009, -0.0012},
    .winding_mohm = {121.3, 125.6, 125.2},
    .insulation = "1.64,3.95,,gigaohm,0.04,21,2500",
    .drive_vibration = {"4.6", "3.9", "1.8"},
    .opposite_vibration = {"2.0", "1.7", "1.1"},
    .runout = "0.4",
    .no_load_a = {"43.8", "42.9", "43.1"},
    .lug_c = {41.2, 41.6, 41.0}};
constexpr FanDay kAfterTheShop{
    .folder = "after",
    .day = "2026-06-08",
    .drive_end = {.fixed = 0.012, .fixed_at_deg = 160, .turning = 0.006, .turning_at_deg = 70},
    .opposite_end = {.fixed = 0.010, .fixed_at_deg = 175, .turning = 0.006, .turning_at_deg = 70},
    .pair_off = {0, 0, 0},
    .winding_mohm = {121.4, 121.7, 121.5},
    .insulation = "2.31,6.20,,gigaohm,0.04,23,2500",
    .drive_vibration = {"1.1", "0.9", "0.6"},
    .opposite_vibration = {"0.8", "0.8", "0.5"},
    .runout = "0.4",
    .no_load_a = {"42.6", "42.4", "42.5"},
    .lug_c = {40.8, 41.1, 40.9}};

constexpr double kMean_mh = 46.2;
// An intact cage screens the main gap at this frequency; what is left of it in the reading.
constexpr double kGapShare = 0.35;
constexpr double kMeterScatter = 0.0002;
constexpr double kBarRipple = 0.0001;
constexpr int kBars = 46;
constexpr int kSteps = 36;
constexpr int kRows = 40;  // a ninth of a turn over the full one
constexpr double kGap_mil = 111.4;
constexpr double kFeeler_mil = 0.5;

std::string fan_survey(const FanDay& day) {
  return fmt::format(R"({{
  "site": "Bexley Creek grain terminal",
  "surveyed_on": "{}",
  "thermographer": "M. Okafor",
  "defaults": {{ "emissivity": 0.95, "air_c": 22.0, "distance_m": 0.9 }}
}}
)",
                     day.day);
}

std::string fan_motors() {
  return fmt::format(
      "motor,description,area,lockout,rated_kw,rated_v,rated_a,connection,poles,rated_rpm,winding,"
      "built,insulation,insulation_class,shaft_mm,frame_standard,mounting,rotor_bars,"
      "conductor_limit_c,lug_area_cm2,criticality,downtime_cost_per_h,repair_h,replacement_cost,"
      "currency\n"
      "{},Main dust fan,work house,\"MV-2, breaker 4\",1120,4160,184,wye,2,3570,lap form,1994,"
      "thermosetting,F,95,nema,rigid,{},90,38,5,2100,160,148000,USD\n",
      kFan, kBars);
}

std::string fan_readings(const FanDay& day) {
  std::string text =
      "motor,test,taken_at,place,value_1,value_2,value_3,unit,value_u,temperature_c,test_v,"
      "load_pct,note\n";
  const auto row = [&](std::string_view test, std::string_view place, const std::string& cells,
                       std::string_view rest) {
    text += fmt::format("{},{},{},{},{},{}\n", kFan, test, day.day, place, cells, rest);
  };
  const auto three = [](const auto& values) {
    return fmt::format("{},{},{}", values[0], values[1], values[2]);
  };
  row("insulation_resistance", "winding", std::string(day.insulation), ",one and ten minutes");
  row("winding_resistance", "terminal box", three(day.winding_mohm) + ",mohm,0.05", "21,,,");
  row("impedance", "terminal box", "1.742,1.739,1.744,ohm,0.004", ",,,at 60 Hz and 5 A");
  row("runout", "shaft", fmt::format("{},,,mil,0.05", day.runout), ",,,");
  row("vibration", "drive end", three(day.drive_vibration) + ",mm_s_rms,0.1",
      ",,,no load on the shop's floor");
  row("vibration", "opposite end", three(day.opposite_vibration) + ",mm_s_rms,0.1",
      ",,,no load on the shop's floor");
  row("line_voltage", "no load", "4155,4161,4158,v,", ",,0,");
  row("line_current", "no load", three(day.no_load_a) + ",a,", ",,0,");
  return text;
}

std::string fan_sweep(const FanDay& day, Noise& meter) {
  std::string text =
      "motor,taken_at,sweep,angle_deg,value_1,value_2,value_3,unit,frequency_hz,current_a\n";
  for (int i = 0; i < kRows; ++i) {
    const double angle = 360.0 * i / kSteps;
    text += fmt::format("{},{},{},{:g}", kFan, day.day, day.folder, angle);
    for (std::size_t pair = 0; pair < 3; ++pair) {
      const double axis = rotor::pair_axis_deg(pair, kPolePairs);
      const double gap = rotor::inductance_factor(day.drive_end, kPolePairs, 0, axis, angle);
      const double ripple = std::cos(kBars * (angle - axis) * std::numbers::pi / 180);
      text +=
          fmt::format(",{:.3f}", kMean_mh * ((1 + day.pair_off.at(pair)) *
                                                 (1 + kGapShare * (gap - 1) + kBarRipple * ripple) +
                                             kMeterScatter * meter.normal()));
    }
    text += ",mh,60,5\n";
  }
  return text;
}

std::string fan_gaps(const FanDay& day) {
  std::string text = "motor,taken_at,end,rotor_deg,position_deg,gap,unit,resolution\n";
  const auto end = [&](std::string_view name, const rotor::Offsets& off) {
    for (int rotor = 0; rotor < 360; rotor += 90) {
      for (int place = 0; place < 360; place += 45) {
        const auto by = [&](double at_deg) {
          return std::cos((place - at_deg) * std::numbers::pi / 180);
        };
        const double gap = kGap_mil * (1 - off.fixed * by(off.fixed_at_deg) -
                                       off.turning * by(rotor + off.turning_at_deg));
        text += fmt::format("{},{},{},{},{},{:.1f},mil,{}\n", kFan, day.day, name, rotor, place,
                            std::round(gap / kFeeler_mil) * kFeeler_mil, kFeeler_mil);
      }
    }
  };
  end("drive", day.drive_end);
  end("opposite", day.opposite_end);
  return text;
}

// --- the terminal box at test load, as a matrix of temperatures

constexpr std::string_view kBoxImage = "terminal-box.csv";
constexpr int kBoxWidth = 160;
constexpr int kBoxHeight = 120;
constexpr double kLugRadius = 9;
constexpr std::array<PixelPoint, 3> kLugs{{{40, 62}, {80, 62}, {120, 62}}};

std::string box_image(const FanDay& day, Noise& noise) {
  constexpr double kBox_c = 24;
  constexpr double kNoise_k = 0.05;
  std::string text;
  for (int y = 0; y < kBoxHeight; ++y) {
    for (int x = 0; x < kBoxWidth; ++x) {
      double celsius = kBox_c + kNoise_k * noise.normal();
      for (std::size_t i = 0; i < kLugs.size(); ++i) {
        // Flat over the lug, then falling off along what it is bolted to.
        const double away = std::hypot(x - kLugs.at(i).x, y - kLugs.at(i).y) - kLugRadius;
        const double share = away < 0 ? 1 : std::exp(-away / 4);
        celsius += share * (day.lug_c.at(i) - kBox_c);
      }
      text += fmt::format("{}{:.2f}", x == 0 ? "" : ",", celsius);
    }
    text += '\n';
  }
  return text;
}

std::string box_images(const FanDay& day) {
  return fmt::format(
      "file,motor,component,taken_at,load_1_a,load_2_a,load_3_a,running_min\n"
      "{},{},terminal box,{}T15:20,176,177,176,90\n",
      kBoxImage, kFan, day.day);
}

MarkFile box_marks() {
  MarkFile marks{.image = std::string(kBoxImage), .width = kBoxWidth, .height = kBoxHeight};
  for (std::size_t i = 0; i < kLugs.size(); ++i) {
    marks.marks.push_back({.name = fmt::format("T{}", i + 1),
                           .phase = kPhases.at(i),
                           .shape = Circle{kLugs.at(i), kLugRadius - 1}});
  }
  return marks;
}

Result<void> write_day(const fs::path& folder, const FanDay& day, std::uint64_t seed,
                       std::uint64_t stream) {
  std::error_code trouble;
  fs::create_directories(folder, trouble);
  if (trouble) {
    return fail({.kind = ErrorKind::system,
                 .what = "the folder cannot be made",
                 .found = trouble.message(),
                 .place = {.file = folder.string()}});
  }
  Noise noise(seed, stream);
  const std::array<std::pair<std::string_view, std::string>, 7> texts{
      {{"survey.json", fan_survey(day)},
       {"motors.csv", fan_motors()},
       {"readings.csv", fan_readings(day)},
       {"sweeps.csv", fan_sweep(day, noise)},
       {"air_gap.csv", fan_gaps(day)},
       {"images.csv", box_images(day)},
       {kBoxImage, box_image(day, noise)}}};
  for (const auto& [name, text] : texts) {
    if (auto written = records::write_atomically(folder / name, text); !written) return written;
  }
  return records::write_marks(folder, box_marks());
}

}  // namespace

Result<void> write_rotor_story(const fs::path& folder, std::uint64_t seed) {
  std::error_code trouble;
  if (fs::exists(folder, trouble) &&
      !(fs::is_directory(folder, trouble) && fs::is_empty(folder, trouble))) {
    return fail({.kind = ErrorKind::conflict,
                 .what = "the demo survey is not written over what is there",
                 .mend = "name a folder that is empty or does not exist yet",
                 .place = {.file = folder.string()}});
  }
  std::uint64_t stream = 0;
  for (const FanDay& day : {kBefore, kAfterTheShop}) {
    if (auto written = write_day(folder / day.folder, day, seed, stream++); !written) {
      return written;
    }
  }
  return {};
}

}  // namespace ohmglow::demo
