#include "run_program.h"

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <sys/wait.h>

namespace program_test {

namespace fs = std::filesystem;

namespace {

std::string quoted(const std::string& text) {
  return "'" + text + "'";
}

}  // namespace

const fs::path& output_folder() {
  static const fs::path folder = [] {
    const char* entry = std::getenv("OHMGLOW_TEST_ENTRY");
    return fs::path(OHMGLOW_TEST_OUTPUT) / (entry == nullptr ? "" : entry);
  }();
  return folder;
}

Outcome shell(const std::string& command, const fs::path& folder) {
  static int count = 0;
  const fs::path capture = output_folder() / "capture";
  fs::create_directories(capture);
  const std::string base = (capture / std::to_string(count++)).string();
  const std::string line = "cd " + quoted(folder.string()) + " && { " + command + "; } >" +
                           quoted(base + ".out") + " 2>" + quoted(base + ".err") + " </dev/null";
  const int status = std::system(line.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of(base + ".out"),
          text_of(base + ".err")};
}

Outcome run(const std::string& arguments, const fs::path& folder) {
  return shell(quoted(OHMGLOW_PROGRAM) + " " + arguments, folder);
}

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

void write(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << text;
}

nlohmann::json json_of(const fs::path& file) {
  return nlohmann::json::parse(text_of(file));
}

fs::path fresh_folder(const std::string& name) {
  const fs::path folder = output_folder() / name;
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

const fs::path& demo_survey() {
  static const fs::path folder = [] {
    const fs::path path = fresh_folder("demo");
    const Outcome written = run("demo " + quoted(path.string()));
    if (written.exit_code != 0) throw std::runtime_error("ohmglow demo: " + written.err);
    return path;
  }();
  return folder;
}

Outcome check_schema(const std::string& schema, const fs::path& file) {
  return shell(std::string(OHMGLOW_PYTHON) + " " +
               quoted(OHMGLOW_SOURCE_DIR "/tests/check_schema.py") + " " +
               quoted(OHMGLOW_SOURCE_DIR "/docs/schema/" + schema) + " " + quoted(file.string()));
}

}  // namespace program_test
