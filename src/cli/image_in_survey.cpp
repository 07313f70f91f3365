#include "cli/image_in_survey.h"

#include "offered/files/folder.h"
#include "offered/intake/survey_tables.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

fs::path survey_of(const fs::path& image) {
  const fs::path start = image.parent_path();
  for (fs::path at = start; at.has_relative_path(); at = at.parent_path()) {
    const TableNames tables = records::table_names(at);
    for (const std::string& sign : {std::string("survey.json"), std::string("marks"), tables.images,
                                    tables.motors, tables.readings}) {
      if (sign.empty() || fs::exists(at / sign)) return at;
    }
  }
  return start;
}

}  // namespace

Result<ImageInSurvey> locate_image(const std::string& image, const std::string& survey) {
  ImageInSurvey located;
  located.image = fs::absolute(image).lexically_normal();
  located.folder =
      survey.empty() ? survey_of(located.image) : fs::absolute(survey).lexically_normal();
  located.relative = located.image.lexically_relative(located.folder).generic_string();
  const auto inside = records::resolve_inside(located.folder, located.relative);
  if (!inside) return fail(inside.error().in_file(image));
  return located;
}

}  // namespace ohmglow::cli
