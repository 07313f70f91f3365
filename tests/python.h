#pragma once
/// Numbers from general-purpose Python libraries (numpy, scipy), asked for while a test runs.

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

/// A path for a file that a test writes.
inline std::string output_path(const std::string& name) {
  std::filesystem::create_directories(OHMGLOW_TEST_OUTPUT);
  return OHMGLOW_TEST_OUTPUT "/" + name;
}

/// The words that a script prints, in order. `name` must be the test's own.
inline std::vector<std::string> words_from_python(const std::string& name,
                                                  const std::string& script) {
  const std::string source = output_path(name + ".py");
  const std::string printed = output_path(name + ".txt");
  std::ofstream(source) << script;
  const std::string command = OHMGLOW_PYTHON " '" + source + "' > '" + printed + "'";
  REQUIRE(std::system(command.c_str()) == 0);
  std::ifstream in(printed);
  return {std::istream_iterator<std::string>(in), {}};
}

/// The same, read as numbers ("nan" and "inf" too).
inline std::vector<double> numbers_from_python(const std::string& name, const std::string& script) {
  std::vector<double> numbers;
  for (const std::string& word : words_from_python(name, script))
    numbers.push_back(std::strtod(word.c_str(), nullptr));
  return numbers;
}
