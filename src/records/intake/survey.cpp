#include "offered/intake/survey_tables.h"
#include "ohmglow/survey_folder.h"
#include "records/files/shown.h"
#include "records/intake/tables.h"

#include <exception>
#include <functional>
#include <new>
#include <system_error>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// What is done with the images, and with the marks of those that the tables name.
using WithImages = std::function<void(ReadImages read, diagnosis::CutSurvey cut, Survey& survey)>;

Result<Survey> read_parts(const fs::path& folder, const WithImages& with_images) {
  Survey survey;
  survey.folder = folder.string();
  const auto defaults = read_survey_file(folder, survey);
  if (!defaults) return fail(defaults.error());
  read_motors(folder, survey);
  diagnosis::Cutter cutter(survey.motors);
  auto images = read_images(folder, *defaults, survey,
                            [&cutter](const ImageEntry& image) { cutter.add(image); });
  read_readings(folder, survey);
  read_circuit(folder, survey);
  read_sweeps(folder, survey);
  read_air_gaps(folder, survey);
  with_images(std::move(images), cutter.finish(survey), survey);
  return survey;
}

Result<Survey> read_folder(const fs::path& folder, const WithImages& with_images) {
  std::error_code error;
  const fs::file_status status = fs::status(folder, error);
  if (!fs::is_directory(status)) {
    const bool there = fs::exists(status);
    return fail({.kind = there ? ErrorKind::not_this_format : ErrorKind::missing,
                 .what = there ? "this is not a folder" : "there is no such folder",
                 .expected = "a survey folder with images in it",
                 .place = {.file = shown(folder.string())}});
  }
  try {
    return read_parts(folder, with_images);
  } catch (const std::bad_alloc&) {
    return fail(
        {.kind = ErrorKind::too_large, .what = "the survey's tables do not fit into memory"});
  } catch (const std::exception& failure) {
    return fail(
        {.kind = ErrorKind::system,
         .what = std::string("the survey folder cannot be read (") + shown(failure.what()) + ")"});
  }
}

}  // namespace

Result<Survey> read_survey(const fs::path& folder) {
  return read_folder(folder, [&folder](const ReadImages& read, const auto&, Survey& survey) {
    survey.images = entries_of(read.images);
    read_all_marks(folder, read.named, survey);
  });
}

Result<Survey> read_tables(const fs::path& folder) {
  return read_folder(folder, [](const ReadImages& read, const auto&, Survey& survey) {
    survey.images = entries_of(read.images);
  });
}

Result<LargeSurvey> read_large_survey(const fs::path& folder) {
  LargeSurvey read;
  auto survey = read_folder(folder, [&](ReadImages its, diagnosis::CutSurvey cut, Survey& head) {
    read.images = std::move(its.images);
    read.cut = std::move(cut);
    read.of_marks = marks_of_no_image(folder, its.named, head.problems);
  });
  if (!survey) return fail(survey.error());
  read.survey = std::move(*survey);
  return read;
}

}  // namespace ohmglow::records
