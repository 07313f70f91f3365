#include "cli/commands.h"
#include "cli/image_in_survey.h"
#include "cli/talk.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/mark_files.h"
#include "offered/marking/marking.h"
#include "ohmglow/imaging.h"
#include "ohmglow/survey_folder.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <memory>
#include <variant>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

struct MarkGiven {
  std::string image;
  std::string survey;
  int page = 1;
  std::vector<Mark> add;
  std::vector<std::string> remove;
  bool list = false;
  bool confirm = false;
  double least_confidence = 0;
  bool json = false;
};

void print_marks(const MarkFile& marks) {
  static const std::map<MarkRole, std::string_view> roles{
      {MarkRole::lug, "lug"}, {MarkRole::ambient, "ambient"}, {MarkRole::reflector, "reflector"}};
  const auto shape_text = [](const Shape& shape) {
    if (const auto* c = std::get_if<Circle>(&shape)) {
      return fmt::format("circle {},{},{}", c->center.x, c->center.y, c->radius);
    }
    if (const auto* r = std::get_if<Rectangle>(&shape)) {
      return fmt::format("rectangle {},{},{},{}", r->corner.x, r->corner.y, r->size.x, r->size.y);
    }
    std::string text = "polygon ";
    for (const PixelPoint& p : std::get<Polygon>(shape).points) {
      text += fmt::format("{}{},{}", text.back() == ' ' ? "" : ",", p.x, p.y);
    }
    return text;
  };
  for (const Mark& mark : marks.marks) {
    std::string line = fmt::format("{:<12} {:<10}", mark.name, roles.at(mark.role));
    line += mark.phase ? fmt::format("phase {}  ", number_of(*mark.phase)) : "         ";
    line += shape_text(mark.shape);
    if (!mark.is_confirmed()) line += "  unconfirmed";
    if (mark.confidence) line += fmt::format("  confidence {:.2f}", *mark.confidence);
    if (mark.emissivity) line += fmt::format("  emissivity {}", mark.emissivity->value());
    if (!mark.material.empty()) line += "  " + mark.material;
    print("{}\n", line);
  }
}

Error in_marks(std::string what, std::string mend) {
  return Error{ErrorKind::conflict, std::move(what), {}, {}, std::move(mend)};
}

Result<cv::Size> size_of(const fs::path& image, int page) {
  imaging::ReadOptions options;
  options.page = page;
  const auto bytes = imaging::read_bytes(image, options.limits.max_bytes);
  if (!bytes) return fail(bytes.error().in_file(image.string()));
  const auto stored = imaging::read_stored(*bytes, image.string(), options);
  if (!stored) return fail(stored.error().in_file(image.string()));
  return stored->pixels.size();
}

Result<void> remove_marks(MarkFile& file, const std::vector<std::string>& names) {
  for (const std::string& name : names) {
    const auto removed =
        std::erase_if(file.marks, [&name](const Mark& mark) { return mark.name == name; });
    if (removed == 0) return fail(in_marks("there is no mark \"" + name + "\"", "see --list"));
  }
  return {};
}

Result<void> add_marks(MarkFile& file, const std::vector<Mark>& marks, const PhaseNames& phases) {
  for (Mark mark : marks) {
    if (const auto region = marking::region_of(mark.shape, cv::Size(file.width, file.height));
        !region) {
      Error error = region.error();
      error.what = "mark \"" + mark.name + "\": " + error.what;
      return fail(error);
    }
    for (const Mark& known : file.marks) {
      if (known.name == mark.name) {
        return fail(in_marks("there is a mark \"" + mark.name + "\" already",
                             "remove it first (--remove), or choose another name"));
      }
    }
    if (mark.role == MarkRole::lug) {
      mark.phase = marking::phase_of(mark, phases);
      if (!mark.phase) {
        return fail(
            in_marks("the name \"" + mark.name + "\" tells no phase", "add --phase 1, 2 or 3"));
      }
    }
    mark.origin = MarkOrigin::hand;
    file.marks.push_back(std::move(mark));
  }
  return {};
}

/// How many were confirmed. The lugs of an image belong together: one that is too unsure leaves
/// all of them to be looked at.
std::size_t confirm_marks(MarkFile& file, double least_confidence) {
  const auto is_unsure = [least_confidence](const Mark& mark) {
    return mark.role == MarkRole::lug && !mark.is_confirmed() &&
           mark.confidence.value_or(0) < least_confidence;
  };
  if (std::any_of(file.marks.begin(), file.marks.end(), is_unsure)) return 0;
  std::size_t count = 0;
  for (Mark& mark : file.marks) {
    if (mark.is_confirmed()) continue;
    mark.confirmed = true;
    ++count;
  }
  return count;
}

Result<MarkFile> change_marks(const MarkGiven& given) {
  const auto located = locate_image(given.image, given.survey);
  if (!located) return fail(located.error());
  const auto& [image, folder, relative] = *located;
  const auto survey = records::read_survey(folder);
  if (!survey) return fail(survey.error());
  const auto size = size_of(image, given.page);
  if (!size) return fail(size.error());

  MarkFile file{relative, size->width, size->height, {}};
  if (fs::exists(records::marks_path(folder, relative))) {
    auto known = records::read_marks(folder, relative, survey->phase_names);
    if (!known) return fail(known.error());
    if (!known->problems.empty()) {
      // Writing the file back would lose what could not be read.
      list_problems("mark", known->problems);
      return fail(
          in_marks("the mark file of " + relative + " has problems", "mend it by hand first"));
    }
    file = std::move(known->file);
  }
  if (given.add.empty() && given.remove.empty() && !given.confirm) return file;
  if (const auto removed = remove_marks(file, given.remove); !removed) return fail(removed.error());
  if (const auto added = add_marks(file, given.add, survey->phase_names); !added) {
    return fail(added.error());
  }
  if (given.confirm) confirm_marks(file, given.least_confidence);
  if (const auto written = records::write_marks(folder, file); !written)
    return fail(written.error());
  return file;
}

bool is_open(const MarkFile& file) {
  return std::any_of(file.marks.begin(), file.marks.end(),
                     [](const Mark& mark) { return !mark.is_confirmed(); });
}

/// How many marks of one image were confirmed. Errors: those of its mark file; conflict where it
/// holds what could not be read, since writing it back would lose that.
Result<std::size_t> confirm_image(const Survey& survey, const std::string& image,
                                  double least_confidence) {
  auto known = records::read_marks(survey.folder, image, survey.phase_names);
  if (!known) return fail(known.error());
  if (!known->problems.empty()) {
    list_problems("mark", known->problems);
    return fail(in_marks("the mark file of " + image + " has problems", "mend it by hand first"));
  }
  const std::size_t count = confirm_marks(known->file, least_confidence);
  if (count == 0) return count;
  if (const auto written = records::write_marks(survey.folder, known->file); !written) {
    return fail(written.error());
  }
  return count;
}

/// The marks of a whole survey; what cannot be read or written is said so, the rest goes on.
int confirm_survey(const MarkGiven& given) {
  const auto survey = records::read_survey(given.image);
  if (!survey) {
    complain("mark", survey.error());
    return kNothingDone;
  }
  std::size_t images = 0;
  std::size_t left = 0;
  for (const auto& [image, marks] : survey->marks) {
    if (!is_open(marks)) continue;
    const auto confirmed = confirm_image(*survey, image, given.least_confidence);
    if (!confirmed) complain("mark", confirmed.error());
    const bool done = confirmed.value_or(0) > 0;
    images += done ? 1 : 0;
    left += done ? 0 : 1;
  }
  print("marks of {} image{} confirmed, {} left to be looked at\n", images, images == 1 ? "" : "s",
        left);
  return left == 0 ? kDone : kSomeNotMeasured;
}

int mark(const MarkGiven& given) {
  if (given.confirm && fs::is_directory(given.image)) return confirm_survey(given);
  const auto marks = change_marks(given);
  if (!marks) {
    complain("mark", marks.error());
    return kNothingDone;
  }
  if (given.json) {
    print_whole(records::marks_json(*marks));
  } else {
    print_marks(*marks);
  }
  return kDone;
}

// --- the command line: a mark is begun by its name and role, then come its shape and properties
// ----

[[noreturn]] void refuse(const std::string& option, const std::string& why) {
  throw CLI::ValidationError(option, why);
}

bool has_shape(const Mark& mark) {
  const auto* polygon = std::get_if<Polygon>(&mark.shape);
  return polygon == nullptr || !polygon->points.empty();
}

using Numbers = std::vector<double>;

Numbers numbers_of(const std::string& option, const std::string& text) {
  Numbers numbers;
  for (const std::string& part : CLI::detail::split(text, ',')) {
    double number = 0;
    if (!CLI::detail::lexical_cast(part, number)) {
      refuse(option, "found \"" + text + "\", expected numbers separated by commas");
    }
    numbers.push_back(number);
  }
  return numbers;
}

Shape shape_from(const std::string& option, const std::string& text) {
  const Numbers n = numbers_of(option, text);
  if (option == "--circle" && n.size() == 3) return Circle{{n[0], n[1]}, n[2]};
  if (option == "--rectangle" && n.size() == 4) return Rectangle{{n[0], n[1]}, {n[2], n[3]}};
  if (option == "--polygon" && n.size() >= 6 && n.size() % 2 == 0) {
    Polygon polygon;
    for (std::size_t i = 0; i < n.size(); i += 2) polygon.points.push_back({n[i], n[i + 1]});
    return polygon;
  }
  refuse(option,
         "found \"" + text +
             "\": the count of numbers does not fit (X,Y,R or X,Y,W,H or three or more X,Y)");
}

Phase phase_option(const std::string& text) {
  if (const auto phase = phase_from_name(text)) return *phase;
  refuse("--phase", "found \"" + text + "\", expected 1, 2 or 3");
}

/// Puts the options into marks in the order in which they were typed.
std::vector<Mark> marks_from(const CLI::App& command) {
  static const std::map<std::string, MarkRole> roles{{"--lug", MarkRole::lug},
                                                     {"--ambient", MarkRole::ambient},
                                                     {"--reflector", MarkRole::reflector}};
  std::vector<Mark> marks;
  std::map<std::string, std::size_t> used;
  for (const CLI::Option* option : command.parse_order()) {
    const std::string name = option->get_name();
    const std::size_t nth = used[name]++;
    if (nth >= option->results().size()) continue;
    const std::string& value = option->results()[nth];
    if (const auto role = roles.find(name); role != roles.end()) {
      marks.push_back(Mark{value, role->second, {}, Polygon{}, {}, {}, {}, {}, {}});
      continue;
    }
    const bool of_mark = name == "--circle" || name == "--rectangle" || name == "--polygon" ||
                         name == "--phase" || name == "--emissivity" || name == "--material";
    if (!of_mark) continue;
    if (marks.empty()) refuse(name, "name the mark first: --lug, --ambient or --reflector NAME");
    Mark& last = marks.back();
    if (name == "--phase") {
      last.phase = phase_option(value);
    } else if (name == "--material") {
      last.material = value;
    } else if (name == "--emissivity") {
      const double emissivity = numbers_of(name, value).front();
      if (!(emissivity > 0 && emissivity <= 1))
        refuse(name, "found \"" + value + "\", expected above 0 and at most 1");
      last.emissivity = Emissivity{emissivity};
    } else {
      if (has_shape(last)) refuse(name, "the mark \"" + last.name + "\" has a shape already");
      last.shape = shape_from(name, value);
    }
  }
  for (const Mark& mark : marks) {
    if (!has_shape(mark)) refuse("--circle", "the mark \"" + mark.name + "\" has no shape");
  }
  return marks;
}

}  // namespace

void add_mark(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<MarkGiven>();
  CLI::App* command = program.add_subcommand("mark", "Add, list and remove marks on an image");
  command
      ->add_option("IMAGE", given->image,
                   "Image file of the survey; with --confirm also the survey")
      ->required();
  command->add_option("--survey", given->survey, "Survey folder [the nearest one above the image]");
  command->add_option("--page", given->page, "Page or frame, counted from 1")
      ->check(CLI::PositiveNumber);
  // Kept as typed; marks_from() reads them in order.
  const auto typed = [command](const char* name, const std::string help, const char* value) {
    command->add_option(name, help)->expected(1, 64)->allow_extra_args(false)->type_name(value);
  };
  typed("--lug", "Begin a lug's mark", "NAME");
  typed("--ambient", "Begin a mark on a patch at air temperature", "NAME");
  typed("--reflector", "Begin a mark on a diffuse reflector patch", "NAME");
  typed("--circle", "Its shape: centre and radius, pixels", "X,Y,R");
  typed("--rectangle", "Its shape: top-left corner and size", "X,Y,W,H");
  typed("--polygon", "Its shape: three or more corners", "X,Y,X,Y,…");
  typed("--phase", "Its phase, where the name does not tell", "1|2|3");
  typed("--emissivity", "Its own emissivity", "E");
  typed("--material", "Its surface", "TEXT");
  command->add_option("--remove", given->remove, "Remove the mark of this name")->type_name("NAME");
  auto* confirm = command->add_flag(
      "--confirm", given->confirm,
      "Say that you have looked: each carried or proposed mark lies on its lug, with its phase");
  command
      ->add_option("--least-confidence", given->least_confidence,
                   "Confirm only images whose lugs are all at least this sure")
      ->check(CLI::Range(0.0, 1.0))
      ->needs(confirm);
  command->add_flag("--list", given->list, "Only list the marks")
      ->excludes("--lug", "--ambient", "--reflector", "--remove");
  command->add_flag("--json", given->json, "Print the mark file as JSON");
  command->footer(
      "Example: ohmglow mark route/BE-101.tif --lug T1 --circle 80,120,9 --lug T2 --circle "
      "160,120,9");
  command->callback([given, command, &exit_code] {
    given->add = marks_from(*command);
    exit_code = mark(*given);
  });
}

}  // namespace ohmglow::cli
