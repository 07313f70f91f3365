#include "offered/files/folder.h"
#include "offered/intake/mark_files.h"
#include "offered/intake/survey_tables.h"
#include "offered/marking/marking.h"
#include "offered/radiometry/surfaces.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/intake/mark_words.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <functional>
#include <set>
#include <system_error>
#include <unordered_set>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// Beyond any sensor: coordinates past it are a mistake, and sums of them stay exact.
constexpr double kFarthestPixel = 1e7;
constexpr Range kCoordinate{.low = -kFarthestPixel, .high = kFarthestPixel};
constexpr Range kExtent{.low = 0, .high = kFarthestPixel, .low_open = true};
constexpr std::size_t kMostPoints = 10'000;
constexpr std::size_t kMostMarks = 4096;

// --- reading
// ----------------------------------------------------------------------------------------

ReadJson ignored() {
  return [](const Json&) -> Result<void> { return {}; };
}

ReadJson pair_into(double& first, double& second, const Range& range) {
  return [&first, &second, range](const Json& value) -> Result<void> {
    std::array<double*, 2> slots{&first, &second};
    std::size_t next = 0;
    return read_array(
        value, 2, 2, [&](const Json& item) { return number_into(*slots.at(next++), range)(item); });
  };
}

Result<Shape> circle_from(const Json& value) {
  Circle circle;
  auto read = read_object(
      value, {{"kind", Need::required, ignored()},
              {"center", Need::required, pair_into(circle.center.x, circle.center.y, kCoordinate)},
              {"radius", Need::required, number_into(circle.radius, kExtent)}});
  if (!read) return fail(read.error());
  return circle;
}

Result<Shape> rectangle_from(const Json& value) {
  Rectangle rectangle;
  auto read = read_object(
      value,
      {{"kind", Need::required, ignored()},
       {"corner", Need::required, pair_into(rectangle.corner.x, rectangle.corner.y, kCoordinate)},
       {"size", Need::required, pair_into(rectangle.size.x, rectangle.size.y, kExtent)}});
  if (!read) return fail(read.error());
  return rectangle;
}

Result<Shape> polygon_from(const Json& value) {
  Polygon polygon;
  const auto add_point = [&polygon](const Json& item) {
    PixelPoint& point = polygon.points.emplace_back();
    return pair_into(point.x, point.y, kCoordinate)(item);
  };
  auto read = read_object(value, {{"kind", Need::required, ignored()},
                                  {"points", Need::required, [&add_point](const Json& points) {
                                     return read_array(points, 3, kMostPoints, add_point);
                                   }}});
  if (!read) return fail(read.error());
  return polygon;
}

using ShapeFrom = Result<Shape> (*)(const Json&);
constexpr WordTable<ShapeFrom, 3> kKinds{
    {{"circle", circle_from}, {"rectangle", rectangle_from}, {"polygon", polygon_from}}};

ReadJson shape_into(Shape& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (!value.is_object()) return fail(wrong_type(value, "an object with the shape's kind"));
    ShapeFrom from = nullptr;
    const auto kind = value.find("kind");
    const Json given = kind == value.end() ? Json() : *kind;
    if (const auto known = word_into(from, kKinds)(given); !known)
      return fail(below(known.error(), "kind"));
    auto shape = from(value);
    if (!shape) return fail(shape.error());
    slot = std::move(*shape);
    return {};
  };
}

ReadJson phase_into(std::optional<Phase>& slot, const PhaseNames& declared) {
  return [&slot, &declared](const Json& value) -> Result<void> {
    slot = value.is_string() ? phase_from_name(value.get_ref<const std::string&>(), declared)
                             : std::nullopt;
    if (value.is_number() && whole_numbers(1, 3).contains(value.get<double>())) {
      slot = static_cast<Phase>(value.get<int>());
    }
    if (slot) return {};
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "this is no phase",
                 .found = shown(dumped(value)),
                 .expected = "1, 2 or 3, or a phase's name"});
  };
}

Result<Mark> mark_from(const Json& value, const PhaseNames& declared) {
  Mark mark;
  std::optional<double> emissivity;
  auto read = read_object(
      value, {{"name", Need::required, text_into(mark.name)},
              {"role", Need::required, word_into(mark.role, kRoles)},
              {"phase", Need::optional, phase_into(mark.phase, declared)},
              {"shape", Need::required, shape_into(mark.shape)},
              {"emissivity", Need::optional, number_into(emissivity, kShareAboveZero)},
              {"emissivity_u", Need::optional, number_into(mark.emissivity_u, kZeroOrMore)},
              {"material", Need::optional, text_into(mark.material)},
              {"origin", Need::optional, word_into(mark.origin, kOrigins)},
              {"from", Need::optional, text_into(mark.carried_from)},
              {"confidence", Need::optional, number_into(mark.confidence, kShare)},
              {"confirmed", Need::optional, flag_into(mark.confirmed)}});
  if (!read) return fail(read.error());
  if (emissivity) mark.emissivity = Emissivity{*emissivity};
  if (mark.name.empty())
    return fail(below({.kind = ErrorKind::missing, .what = "the mark has no name"}, "name"));
  if (mark.role == MarkRole::lug) mark.phase = marking::phase_of(mark, declared);
  if (mark.role == MarkRole::lug && !mark.phase) {
    return fail(below({.kind = ErrorKind::missing,
                       .what = "the lug's phase is not given and its name does not tell it",
                       .found = shown(mark.name),
                       .expected = "a member \"phase\" with 1, 2 or 3"},
                      "phase"));
  }
  return mark;
}

/// Reads the marks one by one, so that a bad one costs no other.
class MarksReader {
 public:
  MarksReader(std::string file, const PhaseNames& declared, ReadMarks& into)
      : file_(std::move(file)), declared_(declared), into_(into) {}

  Result<void> operator()(const Json& value) {
    const std::size_t index = next_++;
    auto mark = mark_from(value, declared_);
    if (mark && !names_.insert(mark->name).second) {
      mark = fail(below({.kind = ErrorKind::conflict,
                         .what = "another mark of this image has the same name",
                         .found = shown(mark->name)},
                        "name"));
    }
    if (mark) {
      check_material(*mark, index);
      into_.file.marks.push_back(std::move(*mark));
      return {};
    }
    Error error = below(mark.error(), "marks[" + std::to_string(index) + "]");
    error.mend = "the mark is left out until it is corrected";
    report(into_.problems, std::move(error), file_, std::nullopt);
    return {};
  }

 private:
  /// A material that nobody knows is only a note where the emissivity stands beside it.
  void check_material(const Mark& mark, std::size_t index) {
    if (mark.emissivity || mark.role == MarkRole::reflector || mark.material.empty() ||
        radiometry::find_material(mark.material) != nullptr)
      return;
    std::vector<std::string_view> known;
    for (const radiometry::Material& material : radiometry::materials())
      known.push_back(material.name);
    Error error{.kind = ErrorKind::invalid_value,
                .what = "the material is not known, and no emissivity is given",
                .found = shown(mark.material),
                .expected = "one of " + listed(known),
                .mend = "the image's emissivity serves the mark until then"};
    report(into_.problems, below(std::move(error), "marks[" + std::to_string(index) + "].material"),
           file_, std::nullopt);
  }

  std::string file_;
  const PhaseNames& declared_;
  ReadMarks& into_;
  std::unordered_set<std::string> names_;
  std::size_t next_ = 0;
};

Result<void> check_image_name(const std::string& written, std::string_view image) {
  const fs::path expected(image);
  const std::string given = normal_path(written);
  if (given == image || given == expected.filename()) return {};
  return fail(below({.kind = ErrorKind::conflict,
                     .what = "the marks say that they belong to another image",
                     .found = shown(written),
                     .expected = shown(expected.filename().string())},
                    "image"));
}

Result<ReadMarks> marks_from(std::string_view text, std::string_view file, std::string_view image,
                             const PhaseNames& declared) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  ReadMarks read;
  double width = 0;
  double height = 0;
  MarksReader each(std::string(file), declared, read);
  const auto done = read_object(
      *json, {version_member(),
              {"image", Need::required, text_into(read.file.image)},
              {"size", Need::required,
               pair_into(width, height, whole_numbers(1, static_cast<int>(kFarthestPixel)))},
              {"marks", Need::required, [&each](const Json& marks) {
                 return read_array(marks, 0, kMostMarks, std::ref(each));
               }}});
  if (!done) return fail(done.error());
  if (const auto same = check_image_name(read.file.image, image); !same) return fail(same.error());
  read.file.image = image;
  read.file.width = static_cast<int>(width);
  read.file.height = static_cast<int>(height);
  return read;
}

}  // namespace

std::string marks_name(std::string_view image) {
  return std::string(kMarksFolder) + "/" + forward_slashes(image) + ".json";
}

fs::path marks_path(const fs::path& folder, std::string_view image) {
  return folder / marks_name(image);
}

Result<ReadMarks> read_marks(const fs::path& folder, std::string_view image,
                             const PhaseNames& declared) {
  const std::string name = marks_name(image);
  const auto path = resolve_inside(folder, name);
  if (!path) return fail(path.error().in_file(name));
  const auto content = TextFile::read(*path, kMaxJsonBytes);
  if (!content) return fail(content.error().in_file(name));
  return parse_marks(content->text(), image, declared);
}

Result<ReadMarks> parse_marks(std::string_view json, std::string_view image,
                              const PhaseNames& declared) {
  const std::string name = marks_name(image);
  auto read = marks_from(json, name, normal_path(image), declared);
  if (!read) return fail(read.error().in_file(name));
  return read;
}

namespace {

/// Visits the mark files below marks/ by the names of their images.
void visit_marks(const fs::path& folder, std::vector<Problem>& problems,
                 const std::function<void(std::string image)>& visit) {
  static constexpr std::string_view kEnding = ".json";
  const fs::path root = folder / kMarksFolder;
  if (!is_present(root)) return;
  walk(root, {.enters = [](const fs::path&) { return true; },
              .visit =
                  [&visit](const fs::path& file) {
                    if (file.extension() != kEnding) return;
                    std::string image = file.generic_string();
                    image.resize(image.size() - kEnding.size());
                    visit(std::move(image));
                  },
              .complain =
                  [&problems](const fs::path& path, const Error& error) {
                    report(problems, error, shown((kMarksFolder / path).generic_string()),
                           std::nullopt);
                  }});
}

Problem belongs_to_none(const std::string& image) {
  std::vector<Problem> problems;
  report(problems,
         {.kind = ErrorKind::missing,
          .what = "these marks belong to no image of the survey",
          .expected = fmt::format("an image {}", shown(image)),
          .mend = "list the image, or remove the marks"},
         shown(marks_name(image)), std::nullopt);
  return problems.front();
}

}  // namespace

void take_in_marks(const fs::path& folder, const std::string& image, Survey& survey) {
  const std::string name = marks_name(image);
  if (!is_present(folder / name)) return;
  const auto read = [&]() -> Result<ReadMarks> {
    const auto path = resolve_inside(folder, name);
    if (!path) return fail(path.error().in_file(name));
    const auto content = take_in(*path, name, kMaxJsonBytes, survey.files);
    if (!content) return fail(content.error());
    return parse_marks(content->text(), image, survey.phase_names);
  }();
  if (!read) return survey.problems.push_back(problem_from(read.error()));
  survey.problems.insert(survey.problems.end(), read->problems.begin(), read->problems.end());
  survey.marks.emplace(image, read->file);
}

std::vector<Problem> marks_of_no_image(const fs::path& folder, const ListedFiles& listed,
                                       std::vector<Problem>& problems) {
  std::vector<std::string> strays;
  visit_marks(folder, problems, [&](std::string image) {
    if (listed && !std::binary_search(listed->begin(), listed->end(), image))
      strays.push_back(std::move(image));
  });
  std::sort(strays.begin(), strays.end());
  std::vector<Problem> of_marks;
  for (const std::string& image : strays) of_marks.push_back(belongs_to_none(image));
  return of_marks;
}

void read_all_marks(const fs::path& folder, const ListedFiles& listed, Survey& survey) {
  const auto of_no_image = marks_of_no_image(folder, listed, survey.problems);
  std::set<std::string_view> read;  // one complaint is enough where an image has several pages
  for (const ImageEntry& entry : survey.images) {
    if (read.insert(entry.file).second) take_in_marks(folder, entry.file, survey);
  }
  survey.problems.insert(survey.problems.end(), of_no_image.begin(), of_no_image.end());
}

}  // namespace ohmglow::records
