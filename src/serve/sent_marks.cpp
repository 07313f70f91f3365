#include "serve/sent_marks.h"

#include "offered/intake/mark_files.h"

namespace ohmglow::serve {

Result<MarkFile> sent_marks(OpenSurvey& served, const NamedImage& image, const Json& marks) {
  const auto opened = served.bench().image(image.place);
  if (!opened) return fail(opened.error());
  PhaseNames phases;
  served.bench().with_survey([&phases](const Survey& survey) { phases = survey.phase_names; });
  const Json file{{"version", 1},
                  {"image", image.entry.file},
                  {"size", {opened->width(), opened->height()}},
                  {"marks", marks}};
  auto read = records::parse_marks(json_text(file), image.entry.file, phases);
  if (!read) return fail(read.error());
  if (!read->problems.empty()) {
    const Problem& first = read->problems.front();
    return fail({.kind = ErrorKind::invalid_value,
                 .what = first.message,
                 .place = {.file = first.file, .column = first.column}});
  }
  return std::move(read->file);
}

}  // namespace ohmglow::serve
