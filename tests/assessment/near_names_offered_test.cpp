// A name that is near to a known one is offered where it is complained of, and a whole image at
// temperatures that no surface has is laid to its scale. Both are the survey's promises
// (docs/survey-folder.md).

#include "ohmglow/assessment.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

using namespace ohmglow;
namespace fs = std::filesystem;

namespace {

// One image of one motor, named as the table has them.
struct Named {
  std::string motor = "BE-01";
  std::string file = "box.csv";
  double stored = 40;
};

std::vector<Problem> complaints(const std::string& name, const Named& named) {
  const fs::path folder = fs::path(OHMGLOW_TEST_OUTPUT) / "near_names_offered" / name;
  fs::remove_all(folder);
  fs::create_directories(folder / "marks");
  std::ofstream(folder / "motors.csv") << "motor,rated_a\nBE-01,20\nCV-22,20\n";
  std::ofstream(folder / "images.csv")
      << "file,motor,component,taken_at,emissivity,air_c,scale,offset,unit\n"
      << named.file << "," << named.motor << ",terminal box,2026-03-04,0.95,25,1,0,c\n";
  std::ofstream image(folder / "box.csv");
  for (int y = 0; y < 20; ++y) {
    for (int x = 0; x < 20; ++x) image << (x == 0 ? "" : ",") << named.stored + 0.01 * (x % 3);
    image << "\n";
  }
  image.close();
  std::ofstream(folder / "marks/box.csv.json")
      << R"({"version":1,"image":"box.csv","size":[20,20],"marks":[)"
         R"({"name":"T1","role":"lug","shape":{"kind":"circle","center":[10,10],"radius":5}}]})";
  assessment::Options options;
  options.judging.as_of = Moment::parse("2026-03-05")->day;
  auto assessed = assessment::assess(folder, options);
  REQUIRE(assessed);
  std::vector<Problem> all = assessed->problems;
  for (const diagnosis::ImageResult& result : assessed->images) {
    const auto its = diagnosis::problems_of(result);
    all.insert(all.end(), its.begin(), its.end());
  }
  return all;
}

bool says(const std::vector<Problem>& problems, const std::string& one, const std::string& other) {
  return std::any_of(problems.begin(), problems.end(), [&](const Problem& problem) {
    return problem.message.find(one) != std::string::npos &&
           problem.message.find(other) != std::string::npos;
  });
}

}  // namespace

TEST_CASE("a motor that is not in motors.csv is answered with the one that is near") {
  CHECK(says(complaints("motor", {.motor = "BE01"}), "this motor is not in motors.csv",
             "did you mean BE-01?"));
  const auto far = complaints("far_motor", {.motor = "pump house"});
  CHECK(says(far, "this motor is not in motors.csv", "pump house"));
  CHECK_FALSE(says(far, "this motor is not in motors.csv", "did you mean"));
}

TEST_CASE("an image that is not there is answered with the file that is near") {
  CHECK(says(complaints("file", {.file = "bx.csv"}), "there is no such file",
             "did you mean box.csv?"));
  const auto far = complaints("far_file", {.file = "quite_other.npy"});
  CHECK(says(far, "there is no such file", ""));
  CHECK_FALSE(says(far, "there is no such file", "did you mean"));
}

TEST_CASE("a whole image that no surface can be at is laid to its scale, not to the emissivity") {
  // Kelvin in hundredths, read as degrees: 31315 stands for 40 °C.
  const auto problems = complaints("scale", {.stored = 31315});
  CHECK(says(problems, "the whole image lies at 31315", "correct scale, offset and unit"));
  CHECK_FALSE(says(problems, "lug \"T1\"", "emissivity"));
}
