// docs/story.md and docs/story-rotor.md are run as a reader would run them: each shell block in one
// folder, one after the other. What the block after it shows must be what came out, and every
// number with a decimal point in the prose must have come out of a command before it.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <regex>
#include <sstream>

namespace fs = std::filesystem;
using namespace program_test;

namespace {

struct Part {
  enum class Kind { prose, commands, output } kind = Kind::prose;
  std::string text;
};

std::vector<Part> parts_of(const std::string& page) {
  std::vector<Part> parts(1);
  std::istringstream lines(page);
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("```", 0) != 0) {
      parts.back().text += line + "\n";
    } else if (line == "```sh") {
      parts.push_back({Part::Kind::commands, ""});
    } else if (line == "```text") {
      parts.push_back({Part::Kind::output, ""});
    } else {
      parts.push_back({Part::Kind::prose, ""});
    }
  }
  return parts;
}

struct Seen {
  int blocks = 0;
  int numbers = 0;
};

Seen run_story(const std::string& name) {
  const fs::path folder = fresh_folder(name);
  fs::create_directory_symlink(fs::path(OHMGLOW_PROGRAM).parent_path(), folder / "bin");
  std::string all;
  std::string last;
  Seen seen;
  for (const Part& part :
       parts_of(text_of(std::string(OHMGLOW_SOURCE_DIR) + "/docs/" + name + ".md"))) {
    if (part.kind == Part::Kind::commands) {
      write(folder / "step.sh", part.text);
      const Outcome outcome = shell("PATH=\"$PWD/bin:$PATH\" sh step.sh", folder);
      last = outcome.out;
      all += last;
    } else if (part.kind == Part::Kind::output) {
      ++seen.blocks;
      INFO("commands gave\n" << last << "\nthe story shows\n" << part.text);
      CHECK(last == part.text);
    } else {
      static const std::regex decimal(R"([0-9]+\.[0-9]+)");
      for (std::sregex_iterator at(part.text.begin(), part.text.end(), decimal), end; at != end;
           ++at) {
        ++seen.numbers;
        INFO(at->str());
        CHECK(all.find(at->str()) != std::string::npos);
      }
    }
  }
  return seen;
}

}  // namespace

TEST_CASE("every command of the story gives what the story shows, and every number in it") {
  const Seen seen = run_story("story");
  CHECK(seen.blocks >= 4);
  CHECK(seen.numbers >= 8);
}

TEST_CASE("every command of the rotor's story gives what it shows, and every number in it") {
  const Seen seen = run_story("story-rotor");
  CHECK(seen.blocks >= 4);
  CHECK(seen.numbers >= 8);
}
