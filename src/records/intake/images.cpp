#include "offered/files/folder.h"
#include "ohmglow/imaging.h"
#include "records/files/files.h"
#include "records/intake/found_files.h"
#include "records/intake/sheet.h"
#include "records/intake/table_file.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <iterator>
#include <limits>
#include <map>
#include <memory>
#include <set>
#include <system_error>
#include <tuple>
#include <unordered_map>
#include <utility>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

template <class Member>
auto of_parameters(Member ImageParameters::*member) {
  return within(&ImageEntry::parameters, member);
}

auto load_of(Phase phase) {
  return [phase](ImageEntry& row) -> std::optional<Ampere>& {
    return row.parameters.load_a.at(index_of(phase));
  };
}

Error row_error(std::string_view column, const Error& error) {
  Error placed = error;
  placed.place.column = column;
  return placed;
}

/// The paths of a row with their columns.
std::array<std::pair<std::string_view, std::string*>, 2> paths_of(ImageEntry& entry) {
  return {{{"file", &entry.file}, {"photo", &entry.photo}}};
}

/// Forward slashes, and one name for one file.
void settle_paths(ImageEntry& entry) {
  for (const auto& [column, path] : paths_of(entry)) {
    if (!path->empty()) *path = normal_path(*path);
  }
}

/// Whether a file's name is that of a visible photograph.
bool is_photo_name(const fs::path& name) {
  constexpr std::array<std::string_view, 3> kEndings{".jpg", ".jpeg", ".png"};
  const std::string ending = lower_case(name.extension().string());
  return std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

/// The paths of rows as their files are called. What is not there as it is written is looked for;
/// what is there was not looked for and costs nothing.
class RowPaths {
 public:
  explicit RowPaths(fs::path folder)
      : folder_(std::move(folder)),
        images_(folder_, is_image_name),
        photos_(folder_, is_photo_name) {}

  /// Settles a row's paths. What is wrong with them: they do not stay inside the survey folder, or
  /// could mean several files.
  struct Settled {
    std::vector<Error> errors;
    bool is_found_otherwise = false;
  };
  Settled settle(ImageEntry& entry, long row) {
    Settled settled;
    for (const auto& [column, path] : paths_of(entry)) {
      if (path->empty()) continue;
      const std::string written = std::exchange(*path, normal_path(*path));
      const auto inside = resolve_inside(folder_, written);
      if (!inside) {
        settled.errors.push_back(row_error(column, inside.error()));
        continue;
      }
      if (is_present(*inside)) continue;
      auto found = (column == "file" ? images_ : photos_).find(written);
      if (!found) {
        settled.errors.push_back(row_error(column, found.error()));
      } else if (*found) {
        note(column, row, written, **found);
        *path = std::move(**found);
        settled.is_found_otherwise = true;
      }
    }
    return settled;
  }
  /// The same of a row that is of no use but for its file.
  [[nodiscard]] std::string settled(const std::string& file) {
    const auto inside = resolve_inside(folder_, file);
    if (!inside || is_present(*inside)) return normal_path(file);
    const auto found = images_.find(file);
    return found && *found ? **found : normal_path(file);
  }

  /// One remark a column on what was found under another name.
  void say_what_was_found(std::string_view table, Problems& problems) const {
    for (const auto& [column, found] : found_) {
      Error error{.kind = ErrorKind::missing,
                  .what = found.count == 1 ? "a file is called otherwise than here"
                                           : std::to_string(found.count) +
                                                 " files are called otherwise than here",
                  .found = {},
                  .expected = listed(found.said, kMostSaid),
                  .mend = "they were found and are used; write them as they are called",
                  .place = {.file = std::string(table), .row = found.row, .column = column}};
      Problem remark = problem_from(error);
      remark.is_remark = true;
      problems.push_back(std::move(remark));
    }
  }

 private:
  static constexpr std::size_t kMostSaid = 5;
  struct Found {
    std::size_t count = 0;
    long row = 0;
    std::vector<std::string> said;
  };

  void note(std::string_view column, long row, std::string_view written, std::string_view file) {
    Found& found = found_[std::string(column)];
    if (++found.count == 1) found.row = row;
    if (found.said.size() <= kMostSaid) {
      found.said.push_back(shown(file) + " for \"" + shown(written) + "\" in row " +
                           std::to_string(row));
    }
  }

  fs::path folder_;
  FoundFiles images_;
  FoundFiles photos_;
  std::map<std::string, Found> found_;
};

// --- without images.csv
// ---------------------------------------------------------------------------

/// What a scan does not take for an image although its ending would fit.
constexpr std::array<std::string_view, 2> kResults{"ranked.csv", "workorders.csv"};

}  // namespace

bool is_image_name(const fs::path& name) {
  const std::string written = lower_case(name.string());
  if (is_table_name(written)) return false;
  if (std::find(kResults.begin(), kResults.end(), written) != kResults.end()) return false;
  const auto endings = imaging::image_endings();
  return std::find(endings.begin(), endings.end(), lower_case(name.extension().string())) !=
         endings.end();
}

namespace {

/// Every image file below the survey folder, sorted. Folders of results are passed by.
std::vector<std::string> scan(const fs::path& root, Problems& problems) {
  std::vector<std::string> files;
  const auto complain = [&problems](const fs::path& path, const Error& error) {
    report(problems, error, shown(path.generic_string()), std::nullopt);
  };
  walk(root, {.enters =
                  [&root](const fs::path& folder) {
                    return folder != kMarksFolder && !is_result_folder(root / folder);
                  },
              .visit =
                  [&](const fs::path& file) {
                    if (!is_image_name(file.filename())) return;
                    const auto inside = resolve_inside(root, file.generic_string());
                    if (!inside) return complain(file, inside.error());
                    files.push_back(file.generic_string());
                  },
              .complain = complain});
  std::sort(files.begin(), files.end());
  return files;
}

/// An image that no table lists.
ImageEntry unlisted(const ImageEntry& defaults, const std::string& file) {
  ImageEntry entry = defaults;
  entry.file = file;
  const fs::path path(file);
  if (entry.motor.empty()) {
    entry.motor = (path.has_parent_path() ? path.parent_path().filename() : path.stem()).string();
  }
  if (entry.component.empty()) entry.component = "connection";
  return entry;
}

ReadImages read_unlisted(const fs::path& folder, const ImageDefaults& defaults, Survey& survey,
                         const SeeImage& see) {
  if (auto error = omission(defaults.entry.parameters)) {
    report(survey.problems, *error, kSurveyFile, std::nullopt);
    return {};
  }
  std::vector<std::string> files = scan(folder, survey.problems);
  if (const auto* response = std::get_if<SpectralResponse>(&survey.band)) {
    std::erase(files, response->file);
  }
  for (const std::string& file : files) {
    if (see) see(unlisted(defaults.entry, file));
  }
  const auto shared = std::make_shared<const std::vector<std::string>>(std::move(files));
  return {{shared->size(), [shared, entry = defaults.entry](
                               std::size_t i) { return unlisted(entry, (*shared)[i]); }},
          *shared};
}

}  // namespace

const std::vector<Column<ImageEntry>>& image_columns() {
  using Row = ImageEntry;
  using P = ImageParameters;
  constexpr int kMostPages = std::numeric_limits<int>::max();
  static const std::vector<Column<Row>> columns{
      text<Row>("file", &Row::file, Need::required),
      text<Row>("motor", &Row::motor, Need::required),
      text<Row>("component", &Row::component, Need::required),
      moment<Row>("taken_at", &Row::taken_at),
      number<Row>("emissivity", kShareAboveZero, "", of_parameters(&P::emissivity)),
      temperature<Row>("reflected_c", of_parameters(&P::reflected_c)),
      in_fahrenheit<Row>("reflected_f", "reflected_c", of_parameters(&P::reflected_c)),
      temperature<Row>("air_c", of_parameters(&P::air_c)),
      in_fahrenheit<Row>("air_f", "air_c", of_parameters(&P::air_c)),
      number<Row>("humidity_pct", kPercent, "%", of_parameters(&P::humidity_pct)),
      number<Row>("distance_m", kAboveZero, "m", of_parameters(&P::distance_m)),
      number<Row>("ifov_mrad", kAboveZero, "mrad", of_parameters(&P::ifov_mrad)),
      number<Row>("atmosphere_transmittance", kShare, "",
                  of_parameters(&P::atmosphere_transmittance)),
      number<Row>("window_transmittance", kShare, "", of_parameters(&P::window_transmittance)),
      temperature<Row>("window_c", of_parameters(&P::window_c)),
      in_fahrenheit<Row>("window_f", "window_c", of_parameters(&P::window_c)),
      number<Row>("window_reflectance", kShare, "", of_parameters(&P::window_reflectance)),
      temperature<Row>("window_reflected_c", of_parameters(&P::window_reflected_c)),
      in_fahrenheit<Row>("window_reflected_f", "window_reflected_c",
                         of_parameters(&P::window_reflected_c)),
      number<Row>("wind_m_s", kZeroOrMore, "m/s", of_parameters(&P::wind_m_s)),
      number<Row>("load_1_a", kZeroOrMore, "A", load_of(Phase::one)),
      number<Row>("load_2_a", kZeroOrMore, "A", load_of(Phase::two)),
      number<Row>("load_3_a", kZeroOrMore, "A", load_of(Phase::three)),
      number<Row>("running_min", kZeroOrMore, "min", of_parameters(&P::running_min)),
      number<Row>("saved_emissivity", kShareAboveZero, "", of_parameters(&P::saved_emissivity)),
      temperature<Row>("saved_reflected_c", of_parameters(&P::saved_reflected_c)),
      in_fahrenheit<Row>("saved_reflected_f", "saved_reflected_c",
                         of_parameters(&P::saved_reflected_c)),
      number<Row>("page", whole_numbers(1, kMostPages), "", of_parameters(&P::page)),
      number<Row>("scale", kAnyNumber, "°C or K per stored unit", of_parameters(&P::scale)),
      number<Row>("offset", kAnyNumber, "°C or K", of_parameters(&P::offset)),
      choice<Row>(
          "unit",
          Words<TemperatureUnit>{{"c", TemperatureUnit::celsius}, {"k", TemperatureUnit::kelvin}},
          of_parameters(&P::unit)),
      number<Row>("camera_u_c", kZeroOrMore, "°C", of_parameters(&P::camera_u_c)),
      number<Row>("noise_k", kZeroOrMore, "K", of_parameters(&P::noise_k)),
      number<Row>("emissivity_u", kZeroOrMore, "", of_parameters(&P::emissivity_u)),
      number<Row>("reflected_u_c", kZeroOrMore, "°C", of_parameters(&P::reflected_u_c)),
      number<Row>("air_u_c", kZeroOrMore, "°C", of_parameters(&P::air_u_c)),
      number<Row>("window_u", kZeroOrMore, "", of_parameters(&P::window_u)),
      number<Row>("atmosphere_u", kZeroOrMore, "", of_parameters(&P::atmosphere_u)),
      number<Row>("nonuniformity_k", kZeroOrMore, "K", of_parameters(&P::nonuniformity_k)),
      number<Row>("load_u_pct", kZeroOrMore, "%", of_parameters(&P::load_u_pct)),
      text<Row>("photo", &Row::photo),
      text<Row>("note", &Row::note),
  };
  return columns;
}

std::optional<Error> contradiction(const ImageParameters& parameters) {
  const double through = parameters.window_transmittance.value_or(Fraction{0}).value();
  const double back = parameters.window_reflectance.value_or(Fraction{0}).value();
  // Both are read from decimals, so that 0.7 + 0.3 may exceed 1 by rounding.
  constexpr double kRounding = 1e-12;
  if (through + back > 1 + kRounding) {
    return cell_error("window_transmittance",
                      "the window lets through and reflects more than falls on it", "",
                      "window_transmittance + window_reflectance at most 1", ErrorKind::conflict);
  }
  if (parameters.scale && *parameters.scale == 0) {
    return cell_error("scale", "every pixel would have the same temperature", "0",
                      "a number other than 0");
  }
  return std::nullopt;
}

std::optional<Error> omission(const ImageParameters& parameters) {
  if ((parameters.scale || parameters.offset) && !parameters.unit) {
    return cell_error("unit", "scale or offset is given without the unit of the temperatures", "",
                      "c or k", ErrorKind::missing);
  }
  return std::nullopt;
}

namespace {

/// The rows of images.csv that can be used.
class UsableRows {
 public:
  UsableRows(Sheet sheet, const ImageDefaults& defaults)
      : sheet_(std::move(sheet)),
        reader_(sheet_, image_columns(), defaults.entry, defaults.given) {}
  UsableRows(const UsableRows&) = delete;
  UsableRows& operator=(const UsableRows&) = delete;

  /// Finds them in one pass, shows each to `see`, and says what is wrong with the others. Every
  /// file that a row names, sorted.
  std::vector<std::string> find(const fs::path& folder, const SeeImage& see, Problems& problems) {
    std::vector<std::string> named;
    RowPaths paths(folder);
    if (!reader_.bind(problems)) {
      for (const std::string& file : sheet_.column("file")) named.push_back(paths.settled(file));
      std::sort(named.begin(), named.end());
      return named;
    }
    std::set<std::pair<std::string, int>> seen;
    Problems of_whole_rows;  // stand behind those of cells
    for (std::size_t i = 0; i < sheet_.rows(); ++i) {
      auto row = reader_.read(i, problems);
      if (!row) {
        if (const auto file = sheet_.cell(i, "file"); !file.empty()) {
          named.push_back(paths.settled(file));
        }
        continue;
      }
      ImageEntry& entry = row->value;
      settle(*row);
      auto [errors, is_found_otherwise] = paths.settle(entry, row->number);
      named.push_back(entry.file);
      for (const auto check : {contradiction, omission}) {
        if (auto error = check(entry.parameters)) errors.push_back(*error);
      }
      if (errors.empty() && !seen.emplace(entry.file, entry.parameters.page.value_or(1)).second) {
        errors.push_back(cell_error("file", "this image has a row already", entry.file,
                                    "one row for each file and page", ErrorKind::conflict));
      }
      for (Error& error : errors) {
        if (error.mend.empty()) error.mend = kMendCell;
        report(of_whole_rows, error, sheet_.file(), row->number);
      }
      if (!errors.empty()) continue;
      if (is_found_otherwise) {
        found_.emplace(static_cast<std::uint32_t>(i), std::pair(entry.file, entry.photo));
      }
      places_.push_back(static_cast<std::uint32_t>(i));
      if (see) see(entry);
    }
    std::move(of_whole_rows.begin(), of_whole_rows.end(), std::back_inserter(problems));
    paths.say_what_was_found(sheet_.file(), problems);
    std::sort(named.begin(), named.end());
    return named;
  }

  [[nodiscard]] std::size_t size() const { return places_.size(); }
  [[nodiscard]] ImageEntry entry(std::size_t place) const {
    Problems none;
    auto row = reader_.read(places_[place], none).value();
    settle(row);
    settle_paths(row.value);
    if (const auto found = found_.find(places_[place]); found != found_.end()) {
      std::tie(row.value.file, row.value.photo) = found->second;
    }
    return std::move(row.value);
  }

 private:
  static void settle(SheetRow<ImageEntry>& row) {
    row.value.row = row.number;
    row.value.extra = std::move(row.extra);
  }

  Sheet sheet_;
  RowReader<ImageEntry> reader_;
  std::vector<std::uint32_t> places_;  ///< in the sheet
  /// Of rows in it, the file and photograph that were found under other names.
  std::unordered_map<std::uint32_t, std::pair<std::string, std::string>> found_;
};

}  // namespace

ReadImages read_listed(const fs::path& folder, Sheet sheet, const ImageDefaults& defaults,
                       Problems& problems, const SeeImage& see) {
  const auto rows = std::make_shared<UsableRows>(std::move(sheet), defaults);
  std::vector<std::string> named = rows->find(folder, see, problems);
  return {{rows->size(), [rows](std::size_t place) { return rows->entry(place); }},
          std::move(named)};
}

std::vector<ImageEntry> entries_of(const ImageRows& images) {
  std::vector<ImageEntry> entries;
  entries.reserve(images.size());
  for (std::size_t i = 0; i < images.size(); ++i) entries.push_back(images[i]);
  return entries;
}

ReadImages read_images(const fs::path& folder, const ImageDefaults& defaults, Survey& survey,
                       const SeeImage& see) {
  const std::size_t problems_before = survey.problems.size();
  auto sheet = Sheet::take_in(folder, kImagesFile, survey);
  if (!sheet) {
    // Nothing to complain of: there is no such table.
    const bool is_absent = survey.problems.size() == problems_before;
    return is_absent ? read_unlisted(folder, defaults, survey, see) : ReadImages();
  }
  return read_listed(folder, std::move(*sheet), defaults, survey.problems, see);
}

}  // namespace ohmglow::records
