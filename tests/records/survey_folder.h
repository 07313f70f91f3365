#pragma once
/// A survey folder written for one test, empty at the start.

#include "ohmglow/survey_folder.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

namespace test {

namespace fs = std::filesystem;

inline fs::path output(std::string_view name) {
  const fs::path path = fs::path(OHMGLOW_TEST_OUTPUT) / name;
  fs::create_directories(path.parent_path());
  return path;
}

inline void write(const fs::path& path, std::string_view content) {
  fs::create_directories(path.parent_path());
  std::ofstream out(path, std::ios::binary);
  out << content;
  REQUIRE(out.good());
}

inline std::string read(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream content;
  content << in.rdbuf();
  return content.str();
}

class SurveyFolder {
 public:
  explicit SurveyFolder(std::string_view name) : path_(output(name)) {
    fs::remove_all(path_);
    fs::create_directories(path_);
  }

  SurveyFolder& with(std::string_view file, std::string_view content) {
    write(path_ / file, content);
    return *this;
  }

  [[nodiscard]] const fs::path& path() const { return path_; }

  /// Where read_survey() must succeed.
  [[nodiscard]] ohmglow::Survey survey() const {
    auto survey = ohmglow::records::read_survey(path_);
    if (!survey) FAIL(ohmglow::sentence_with_place(survey.error()));
    return *survey;
  }
  /// Where it must not.
  [[nodiscard]] ohmglow::Error error() const {
    const auto survey = ohmglow::records::read_survey(path_);
    REQUIRE_FALSE(survey.has_value());
    return survey.error();
  }

 private:
  fs::path path_;
};

/// The only problem of a survey.
inline ohmglow::Problem only_problem(const ohmglow::Survey& survey) {
  for (const auto& problem : survey.problems)
    UNSCOPED_INFO(problem.column << ": " << problem.message);
  REQUIRE(survey.problems.size() == 1);
  return survey.problems.front();
}

/// A text with a long run of one letter inside.
inline std::string around(std::string_view before, char letter, std::size_t count,
                          std::string_view after) {
  std::string text(before);
  text.resize(before.size() + count, letter);
  return text.append(after);
}

inline bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

}  // namespace test
