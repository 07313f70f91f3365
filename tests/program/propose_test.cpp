// The demo's images with their marks taken away: how often is a lug found again? The truth is where
// the demo painted the lugs, marked by shapes that stay well inside them.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <map>
#include <vector>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

struct Spot {
  double x = 0;
  double y = 0;
  double reach = 0;  ///< to the shape's edge
  int phase = 0;
};

Spot spot_of(const json& mark) {
  const json& shape = mark["shape"];
  Spot spot;
  if (shape["kind"] == "circle") {
    spot = {shape["center"][0], shape["center"][1], shape["radius"], 0};
  } else if (shape["kind"] == "rectangle") {
    const double width = shape["size"][0];
    const double height = shape["size"][1];
    spot = {shape["corner"][0].get<double>() + width / 2,
            shape["corner"][1].get<double>() + height / 2, width / 2, 0};
  } else {
    double left = 1e9;
    for (const json& point : shape["points"]) {
      spot.x += point[0].get<double>() / static_cast<double>(shape["points"].size());
      spot.y += point[1].get<double>() / static_cast<double>(shape["points"].size());
      left = std::min(left, point[0].get<double>());
    }
    spot.reach = spot.x - left;
  }
  // The demo's one deliberately tiny mark has a radius of one pixel on a lug of many.
  spot.reach = std::max(spot.reach, 3.0);
  if (mark.contains("phase")) spot.phase = mark.at("phase").get<int>();
  return spot;
}

std::vector<Spot> lugs_of(const json& marks) {
  std::vector<Spot> lugs;
  for (const json& mark : marks) {
    if (mark["role"] == "lug") lugs.push_back(spot_of(mark));
  }
  return lugs;
}

std::map<std::string, std::vector<Spot>> marked_lugs(const fs::path& survey) {
  std::map<std::string, std::vector<Spot>> lugs;
  for (const auto& entry : fs::recursive_directory_iterator(survey / "marks")) {
    if (entry.path().extension() != ".json") continue;
    std::string image = fs::relative(entry.path(), survey / "marks").generic_string();
    image.resize(image.size() - 5);
    lugs[image] = lugs_of(json_of(entry.path())["marks"]);
  }
  return lugs;
}

fs::path unmarked_copy(const fs::path& survey, const std::string& name) {
  const fs::path copy = fresh_folder(name);
  fs::copy(survey, copy, fs::copy_options::recursive | fs::copy_options::overwrite_existing);
  fs::remove_all(copy / "marks");
  return copy;
}

struct Score {
  int images = 0;    ///< with three lugs
  int proposed = 0;  ///< of these
  int right = 0;     ///< lugs hit, in the right phase
  int lugs = 0;      ///< proposed
  int wrong_images = 0;
};

Score score_of(const json& proposals, const std::map<std::string, std::vector<Spot>>& truth) {
  Score score;
  for (const json& image : proposals["images"]) {
    const auto known = truth.find(image["file"].get<std::string>());
    if (known == truth.end()) continue;
    const auto proposed = lugs_of(image["marks"]);
    if (known->second.size() == 3) ++score.images;
    if (known->second.size() == 3 && !proposed.empty()) ++score.proposed;
    if (known->second.size() != 3 && proposed.size() == 3) ++score.wrong_images;
    for (const Spot& spot : proposed) {
      ++score.lugs;
      for (const Spot& lug : known->second) {
        const bool inside = std::hypot(spot.x - lug.x, spot.y - lug.y) <= lug.reach;
        if (inside && spot.phase == lug.phase) ++score.right;
      }
    }
  }
  return score;
}

const fs::path& demo_after() {
  static const fs::path folder = [] {
    const fs::path at = fresh_folder("propose-after");
    REQUIRE(run("demo --after '" + at.string() + "'").exit_code == 0);
    return at;
  }();
  return folder;
}

json printed(const Outcome& outcome, const std::string& name) {
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 1);  // some images get no proposal, and the demo has a broken one
  const fs::path file = fresh_folder(name) / "proposals.json";
  write(file, outcome.out);
  const Outcome checked = check_schema("proposals.schema.json", file);
  INFO(checked.out << checked.err);
  CHECK(checked.exit_code == 0);
  return json_of(file);
}

}  // namespace

TEST_CASE("proposals on the demo without its marks lie on the lugs, or are not made") {
  const fs::path survey = unmarked_copy(demo_survey(), "propose-unmarked");
  const json proposals = printed(run("propose '" + survey.string() + "' --json"), "propose-json");
  const Score score = score_of(proposals, marked_lugs(demo_survey()));
  std::printf("propose: %d of %d images with three lugs, %d of %d marks on the right lug\n",
              score.proposed, score.images, score.right, score.lugs);
  REQUIRE(score.images >= 20);
  // Seen when this was written: 27 of 29 images, 81 of 81 marks.
  CHECK(score.proposed >= 0.7 * score.images);
  CHECK(score.right >= 0.95 * score.lugs);
  CHECK(score.wrong_images == 0);
  CHECK_FALSE(fs::exists(survey / "marks"));  // nothing is written unasked
}

TEST_CASE("marks of an older survey are carried onto the lugs of the newer one") {
  const fs::path survey = unmarked_copy(demo_after(), "carry-unmarked");
  const Outcome outcome =
      run("carry '" + survey.string() + "' --from '" + demo_survey().string() + "' --json");
  REQUIRE(outcome.exit_code <= 1);
  const json proposals = json::parse(outcome.out);
  const auto truth = marked_lugs(demo_after());
  const Score score = score_of(proposals, truth);
  std::printf("carry: %d of %d images with three lugs, %d of %d marks on the right lug\n",
              score.proposed, score.images, score.right, score.lugs);
  REQUIRE(score.images >= 5);
  CHECK(score.proposed >= 0.6 * score.images);
  CHECK(score.right >= 0.95 * score.lugs);
  for (const json& image : proposals["images"]) {
    for (const json& mark : image["marks"]) {
      CHECK(mark["origin"] == "carried");
      CHECK(fs::exists(demo_survey() / mark["from"].get<std::string>()));
    }
  }
}

TEST_CASE("written proposals are measured with the remark that nobody has confirmed them") {
  const fs::path survey = unmarked_copy(demo_survey(), "propose-write");
  CHECK(run("propose --write '" + survey.string() + "'").exit_code == 1);
  std::size_t written = 0;
  for (const auto& entry : fs::recursive_directory_iterator(survey / "marks")) {
    if (entry.path().extension() != ".json") continue;
    ++written;
  }
  CHECK(written >= 15);
  const Outcome checked =
      shell("find marks -name '*.json' -exec " OHMGLOW_PYTHON " '" OHMGLOW_SOURCE_DIR
            "/tests/check_schema.py' '" OHMGLOW_SOURCE_DIR "/docs/schema/marks.schema.json' {} +",
            survey);
  INFO(checked.out << checked.err);
  CHECK(checked.exit_code == 0);
  const fs::path out = fresh_folder("propose-write-out");
  CHECK(run("assess '" + survey.string() + "' -o '" + out.string() + "' --format json").exit_code ==
        1);
  std::size_t remarked = 0;
  const json findings = json_of(out / "findings.json");
  for (const json& image : findings["images"]) {
    for (const json& problem : image["problems"]) {
      if (problem.get<std::string>().find("nobody has confirmed") != std::string::npos) ++remarked;
    }
  }
  CHECK(remarked >= 15);
  // Ranked by their bands, and the list says what nobody has confirmed.
  std::size_t unconfirmed = 0;
  for (const json& finding : findings["findings"]) {
    for (const json& flag : finding["flags"]) unconfirmed += flag == "unconfirmed" ? 1 : 0;
  }
  CHECK(unconfirmed >= 5);
  // A second round finds nothing more to write on what is marked by now.
  const Outcome again = run("propose --write --json '" + survey.string() + "'");
  for (const json& image : json::parse(again.out)["images"]) CHECK_FALSE(image["written"] == true);
}

TEST_CASE("unconfirmed marks can be left out, and confirmed from the shell by their confidence") {
  const fs::path survey = unmarked_copy(demo_survey(), "confirm");
  REQUIRE(run("propose --write '" + survey.string() + "'").exit_code == 1);
  const auto measured = [&survey](const std::string& options) {
    const fs::path out = fresh_folder("confirm-out");
    run("assess '" + survey.string() + "' -o '" + out.string() + "' --format json " + options);
    const json images = json_of(out / "findings.json")["images"];
    return std::count_if(images.begin(), images.end(),
                         [](const json& image) { return image["status"] == "measured"; });
  };
  const auto proposed = measured("");
  CHECK(proposed >= 15);
  CHECK(measured("--unconfirmed skip") == 0);
  CHECK(run("mark '" + survey.string() + "' --confirm --least-confidence 1").exit_code == 1);
  CHECK(measured("--unconfirmed skip") == 0);
  const Outcome all = run("mark '" + survey.string() + "' --confirm");
  INFO(all.out << all.err);
  CHECK(all.exit_code == 0);
  CHECK(measured("--unconfirmed skip") == proposed);
  CHECK(run("assess '" + survey.string() + "' -o '" + fresh_folder("confirm-out").string() +
            "' --format json --unconfirmed maybe")
            .exit_code == 2);
}

TEST_CASE("marks that nobody confirmed are carried no further") {
  const fs::path first = unmarked_copy(demo_survey(), "carry-on-first");
  REQUIRE(run("propose --write '" + first.string() + "'").exit_code == 1);
  const fs::path later = unmarked_copy(demo_after(), "carry-on-later");
  const std::string carry = "carry '" + later.string() + "' --from '" + first.string() + "' --json";
  const auto carried = [&carry] {
    const json images = json::parse(run(carry).out)["images"];
    return std::count_if(images.begin(), images.end(),
                         [](const json& image) { return !image["marks"].empty(); });
  };
  CHECK(carried() == 0);
  REQUIRE(run("mark '" + first.string() + "' --confirm").exit_code == 0);
  CHECK(carried() >= 3);
  // What a person said of the older image holds for that one alone.
  const json images = json::parse(run(carry).out)["images"];
  for (const json& image : images) {
    for (const json& mark : image["marks"]) CHECK_FALSE(mark.contains("confirmed"));
  }
}

TEST_CASE("a survey that cannot be read is said so") {
  CHECK(run("propose no-such-folder").exit_code == 3);
  CHECK(run("carry '" + demo_survey().string() + "' --from no-such-folder").exit_code == 3);
  CHECK(run("carry '" + demo_survey().string() + "'").exit_code == 2);
}
