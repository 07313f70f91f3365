#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "offered/intake/mark_files.h"
#include "records/editing/file_state.h"
#include "records/editing/folder_lock.h"
#include "records/editing/mark_json.h"
#include "records/files/files.h"
#include "records/intake/mark_words.h"
#include "records/intake/tables.h"

#include <system_error>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

OrderedJson json_from(const PixelPoint& point) {
  return OrderedJson::array({point.x, point.y});
}

struct ShapeToJson {
  OrderedJson operator()(const Circle& circle) const {
    return {{"kind", "circle"}, {"center", json_from(circle.center)}, {"radius", circle.radius}};
  }
  OrderedJson operator()(const Rectangle& rectangle) const {
    return {{"kind", "rectangle"},
            {"corner", json_from(rectangle.corner)},
            {"size", json_from(rectangle.size)}};
  }
  OrderedJson operator()(const Polygon& polygon) const {
    OrderedJson points = OrderedJson::array();
    for (const PixelPoint& point : polygon.points) points.push_back(json_from(point));
    return {{"kind", "polygon"}, {"points", std::move(points)}};
  }
};

/// What is written must be read again.
Result<void> expect_readable(const std::string& json, const MarkFile& marks) {
  const auto read = parse_marks(json, marks.image, {});
  if (!read) return fail(read.error());
  if (read->problems.empty()) return {};
  const Problem& problem = read->problems.front();
  const auto cause = problem.message.substr(0, problem.message.rfind(';'));
  return fail({.kind = ErrorKind::invalid_value,
               .what = "a mark could not be read again: " + cause,
               .mend = "change it; nothing was saved",
               .place = {.file = problem.file, .column = problem.column}});
}

}  // namespace

OrderedJson mark_json(const Mark& mark) {
  OrderedJson json{{"name", mark.name}, {"role", word_for(kRoles, mark.role)}};
  if (mark.phase) json["phase"] = number_of(*mark.phase);
  json["shape"] = std::visit(ShapeToJson{}, mark.shape);
  if (mark.emissivity) json["emissivity"] = mark.emissivity->value();
  if (mark.emissivity_u) json["emissivity_u"] = *mark.emissivity_u;
  if (!mark.material.empty()) json["material"] = mark.material;
  if (mark.origin) json["origin"] = word_for(kOrigins, *mark.origin);
  if (!mark.carried_from.empty()) json["from"] = mark.carried_from;
  if (mark.confidence) json["confidence"] = *mark.confidence;
  if (mark.confirmed) json["confirmed"] = *mark.confirmed;
  return json;
}

Result<void> write_marks(const fs::path& folder, const MarkFile& marks) {
  const std::string json = marks_json(marks);
  if (const auto readable = expect_readable(json, marks); !readable) return readable;
  const std::string name = marks_name(marks.image);
  const auto path = resolve_inside(folder, name);
  if (!path) return fail(path.error().in_file(name));
  std::error_code error;
  fs::create_directories(path->parent_path(), error);
  if (error) {
    return fail({.kind = ErrorKind::system,
                 .what = "the folder of the marks cannot be made (" + error.message() + ")",
                 .place = {.file = name}});
  }
  return write_atomically(*path, json);
}

Result<Saved> save_marks(const fs::path& folder, const MarkFile& marks,
                         std::string_view expected_etag) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  const auto file = FileSnapshot::read(folder, marks_name(marks.image));
  if (!file) return fail(file.error());
  if (const auto same = file->expect(expected_etag); !same) return fail(same.error());
  if (const auto written = write_marks(folder, marks); !written) return fail(written.error());
  return Saved{etag_of_text(marks_json(marks)), std::nullopt};
}

std::string marks_json(const MarkFile& marks) {
  OrderedJson list = OrderedJson::array();
  for (const Mark& mark : marks.marks) list.push_back(mark_json(mark));
  const OrderedJson json{{"version", 1},
                         {"image", normal_path(marks.image)},
                         {"size", {marks.width, marks.height}},
                         {"marks", std::move(list)}};
  return dumped_lines(json);
}

}  // namespace ohmglow::records
