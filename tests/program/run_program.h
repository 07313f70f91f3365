#pragma once
/// Runs the real program as a shell would and keeps what it said.

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

namespace program_test {

struct Outcome {
  int exit_code = -1;
  std::string out;
  std::string err;
};

/// Where this run of the test program writes: a folder of its own for each entry of ctest.
const std::filesystem::path& output_folder();

/// `arguments` as typed in a shell, after the program's name. Runs in `folder`.
Outcome run(const std::string& arguments, const std::filesystem::path& folder = ".");

/// Any shell command.
Outcome shell(const std::string& command, const std::filesystem::path& folder = ".");

std::string text_of(const std::filesystem::path& file);
void write(const std::filesystem::path& file, const std::string& text);
nlohmann::json json_of(const std::filesystem::path& file);

/// An empty folder of this name below the test output.
std::filesystem::path fresh_folder(const std::string& name);

/// The demo survey, written once per run of the test program.
const std::filesystem::path& demo_survey();

/// Whether a JSON file satisfies docs/schema/<schema>; what the validator says otherwise.
Outcome check_schema(const std::string& schema, const std::filesystem::path& file);

}  // namespace program_test
