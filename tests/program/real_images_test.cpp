// Real radiometric frames from open data sets (each folder there names its repository and licence).
// The figures in index.csv are an independent decoder's: numpy over tifffile, GDAL and astropy.

#include "run_program.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <sstream>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

const fs::path kReal = OHMGLOW_REAL_DATA;

/// Both rounded to six significant digits.
bool agrees(double ours, double theirs) {
  char a[32];
  char b[32];
  std::snprintf(a, sizeof a, "%.6g", ours);
  std::snprintf(b, sizeof b, "%.6g", theirs);
  return std::string(a) == b || std::abs(ours - theirs) <= 0.51e-5 * std::abs(theirs);
}

struct IndexRow {
  std::string file;
  int page;
  int width;
  int height;
  std::string dtype;
  double min;
  double max;
  double mean;
};

std::vector<IndexRow> index_rows() {
  // A general-purpose reader takes the quoted table apart.
  const Outcome rows =
      shell(std::string(OHMGLOW_PYTHON) + " -c \"import csv\nfor r in csv.DictReader(open('" +
            (kReal / "index.csv").string() +
            "')): print(*(r[k] for k in ('file','width','height','dtype','min','max','mean')))\"");
  std::istringstream lines(rows.out);
  std::vector<IndexRow> result;
  IndexRow row;
  while (lines >> row.file >> row.width >> row.height >> row.dtype >> row.min >> row.max >>
         row.mean) {
    const auto hash = row.file.find('#');
    row.page = hash == std::string::npos ? 1 : std::stoi(row.file.substr(hash + 1)) + 1;
    row.file = row.file.substr(0, hash);
    result.push_back(row);
  }
  return result;
}

}  // namespace

TEST_CASE("look agrees with the independent decoder on every real image", "[real]") {
  const auto rows = index_rows();
  REQUIRE(rows.size() > 25);
  const fs::path out = fresh_folder("look");
  for (const IndexRow& row : rows) {
    const Outcome looked = run("look --json --page " + std::to_string(row.page) + " '" +
                               (kReal / row.file).string() + "'");
    INFO(row.file << " page " << row.page << ": " << looked.out << looked.err);
    REQUIRE((looked.exit_code == 0 || looked.exit_code == 1));
    const json seen = json::parse(looked.out);
    CHECK(seen["width"] == row.width);
    CHECK(seen["height"] == row.height);
    CHECK(seen["dtype"] == row.dtype);
    CHECK(agrees(seen["stored"]["min"], row.min));
    CHECK(agrees(seen["stored"]["max"], row.max));
    CHECK(agrees(seen["stored"]["mean"], row.mean));
    write(out / "look.json", looked.out);
    CHECK(check_schema("look.schema.json", out / "look.json").exit_code == 0);
  }
}

TEST_CASE(
    "a survey made of real images, with marks placed by hand on real hot objects, is assessed",
    "[real]") {
  // Ceiling lamps in the wall frames 24, 25 and 34 stand in for lugs: the hottest objects of the
  // set. The counts' scale is not published; 1/40 K per count from 173.15 K is the data set's own
  // unverified guess, and declared here as a survey's owner would.
  const fs::path folder = fresh_folder("real-survey");
  for (const char* frame : {"24_11-17-03-378", "25_11-17-19-586", "34_11-21-45-626"}) {
    fs::copy_file(
        kReal / "heritage_walls_tiff16" / ("wall_" + std::string(frame) + "-radiometric.tiff"),
        folder / ("wall_" + std::string(frame).substr(0, 2) + ".tiff"));
  }
  fs::copy_file(kReal / "surface_temp_float32/ExampleImage_Trad_pm.tif", folder / "field.tif");
  fs::copy_file(kReal / "thermopile_32x32/frames3.npy", folder / "room.npy");
  write(folder / "motors.csv", "motor\nLAMPS-1\nLAMPS-2\nLAMPS-3\nFIELD\nROOM\n");
  // Emissivity 1 leaves the stored temperatures as they are, so that an independent program can
  // check them.
  write(folder / "images.csv",
        "file,motor,component,emissivity,air_c,scale,offset,unit,page\n"
        "wall_24.tiff,LAMPS-1,terminal box,1,15,0.025,173.15,k,\n"
        "wall_25.tiff,LAMPS-2,terminal box,1,15,0.025,173.15,k,\n"
        "wall_34.tiff,LAMPS-3,terminal box,1,15,0.025,173.15,k,\n"
        "field.tif,FIELD,terminal box,1,30,,,,\n"
        "room.npy,ROOM,terminal box,1,29,,,,2\n");
  struct Placed {
    const char* file;
    int page;
    const char* scale;
    const char* offset_k;
    const char* name;
    const char* x_y_r;
  };
  const std::vector<Placed> placed{
      {"wall_24.tiff", 1, "0.025", "173.15", "T1", "488,5,5"},
      {"wall_24.tiff", 1, "0.025", "173.15", "T2", "628,12,9"},
      {"wall_25.tiff", 1, "0.025", "173.15", "T1", "449,6,6"},
      {"wall_25.tiff", 1, "0.025", "173.15", "T2", "291,4,4"},
      {"wall_25.tiff", 1, "0.025", "173.15", "T3", "616,12,9"},
      {"wall_34.tiff", 1, "0.025", "173.15", "T1", "278,20,14"},
      {"wall_34.tiff", 1, "0.025", "173.15", "T2", "109,33,18"},
      {"field.tif", 1, "1", "0", "T1", "21,423,6"},
      {"field.tif", 1, "1", "0", "T2", "96,7,5"},
      {"room.npy", 2, "1", "273.15", "T1", "4,27,3"},
      {"room.npy", 2, "1", "273.15", "T2", "28,4,3"},
  };
  for (const Placed& mark : placed) {
    const Outcome marked =
        run("mark " + std::string(mark.file) + " --page " + std::to_string(mark.page) + " --lug " +
                mark.name + " --circle " + mark.x_y_r,
            folder);
    INFO(marked.err);
    REQUIRE(marked.exit_code == 0);
  }
  const fs::path out = fresh_folder("real-result");
  const Outcome assessed = run("assess '" + folder.string() + "' -o '" + out.string() + "'");
  INFO(assessed.err);
  REQUIRE(assessed.exit_code == 0);
  const json findings = json_of(out / "findings.json");
  CHECK(check_schema("findings.schema.json", out / "findings.json").exit_code == 0);

  // Agreement to the rounding of 32-bit temperatures.
  constexpr double kFloatRounding_k = 1e-4;
  for (const Placed& mark : placed) {
    std::string circle = mark.x_y_r;
    std::replace(circle.begin(), circle.end(), ',', ' ');
    const Outcome expected =
        shell(std::string(OHMGLOW_PYTHON) +
                  " " OHMGLOW_SOURCE_DIR "/tests/program/hottest_block.py " + mark.file + " " +
                  std::to_string(mark.page) + " " + mark.scale + " " + mark.offset_k + " " + circle,
              folder);
    INFO(mark.file << " " << mark.name << ": " << expected.out << expected.err);
    REQUIRE(expected.exit_code == 0);
    for (const json& image : findings["images"]) {
      if (image["file"] != mark.file) continue;
      CHECK(image["status"] == "measured");
      for (const json& lug : image["lugs"]) {
        if (lug["name"] != mark.name) continue;
        CHECK(lug["temperature_c"].get<double>() ==
              Approx(std::stod(expected.out)).margin(kFloatRounding_k));
      }
    }
  }
}
