#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "records/editing/edited_tables.h"
#include "records/editing/folder_lock.h"
#include "records/editing/table_commit.h"
#include "records/files/files.h"
#include "records/intake/found_files.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <functional>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

std::vector<std::string_view> image_column_names() {
  std::vector<std::string_view> names;
  for (const auto& column : image_columns()) names.push_back(column.name);
  return names;
}

/// images.csv as it would have to be written for the survey to stay what it is without one.
Result<std::string> table_of_all_images(const fs::path& folder, const ImageDefaults& defaults,
                                        const SpectralBand& band) {
  Survey without;
  without.band = band;
  const auto read = read_images(folder, defaults, without);
  if (!read.named) {
    return fail(refusal(without.problems.empty() ? Problem{} : without.problems.front()));
  }
  const std::vector<ImageEntry> unlisted = entries_of(read.images);
  std::string text = "file,motor,component\n";
  for (const ImageEntry& entry : unlisted) {
    std::string row;
    for (const std::string* cell : {&entry.file, &entry.motor, &entry.component}) {
      if (!row.empty()) row += ',';
      row += tabular::cell_text(*cell, ',');
    }
    text += row + '\n';
  }
  auto sheet = Sheet::parse(text, kImagesFile);
  if (!sheet) return fail(refusal(sheet.error()));
  Problems problems;
  const std::vector<ImageEntry> listed =
      entries_of(read_listed(folder, std::move(*sheet), defaults, problems).images);
  const auto same = [](const ImageEntry& a, const ImageEntry& b) {
    return a.file == b.file && a.motor == b.motor && a.component == b.component;
  };
  const auto [at, other] =
      std::mismatch(unlisted.begin(), unlisted.end(), listed.begin(), listed.end(), same);
  if (at == unlisted.end() && other == listed.end()) return text;
  return fail({.kind = ErrorKind::invalid_value,
               .what = "the survey has no images.csv, and one that lists this image cannot be made",
               .found = shown(at == unlisted.end() ? "" : at->file),
               .expected = "file names without control characters or blanks at their ends",
               .mend = "rename the file; nothing was saved",
               .place = {.file = std::string(kImagesFile)}});
}

/// An image's row, added where there is none.
Result<std::size_t> row_to_change(const fs::path& folder, const ImageKey& image,
                                  const ImageDefaults& defaults, TableDraft& draft) {
  if (const auto row = row_of_image(folder, draft.sheet(), image, defaults)) return *row;
  const auto path = resolve_inside(folder, image.file);
  if (!path) return fail(path.error().in_file(kImagesFile));
  if (!is_present(*path)) {
    return fail({.kind = ErrorKind::missing,
                 .what = "there is no such image",
                 .expected = "an image file in the survey folder" + offer_files(folder, image.file),
                 .mend = std::string(kNothingSaved),
                 .place = {.file = shown(image.file)}});
  }
  const std::size_t row = draft.append();
  draft.set(row, "file", normal_path(image.file));
  if (image.page != defaults.entry.parameters.page.value_or(1)) {
    draft.set(row, "page", std::to_string(image.page));
  }
  return row;
}

}  // namespace

std::optional<std::size_t> row_of_image(const fs::path& folder, const Sheet& sheet,
                                        const ImageKey& image, const ImageDefaults& defaults) {
  const auto& header = sheet.header();
  const auto column = [&header](std::string_view name) {
    return static_cast<std::size_t>(std::find(header.begin(), header.end(), name) - header.begin());
  };
  const std::size_t file = column("file");
  const std::size_t page = column("page");
  const std::string wanted = normal_path(image.file);
  const auto find =
      [&](const std::function<bool(std::string_view)>& means_it) -> std::optional<std::size_t> {
    for (std::size_t i = 0; i < sheet.rows(); ++i) {
      const auto& cells = sheet.cells(i);
      if (file >= cells.size() || file >= header.size()) continue;
      const auto written = trimmed(cells[file]);
      if (written.empty() || !means_it(written)) continue;
      const auto given = page < cells.size() && page < header.size()
                             ? tabular::parse_number(trimmed(cells[page]), sheet.decimal_mark())
                             : std::nullopt;
      if (given.value_or(defaults.entry.parameters.page.value_or(1)) == image.page) return i;
    }
    return std::nullopt;
  };
  // Of several rows the one that the survey is read from.
  Problems problems;
  for (const ImageEntry& entry :
       entries_of(read_listed(folder, sheet, defaults, problems).images)) {
    if (entry.file != wanted || entry.parameters.page.value_or(1) != image.page) continue;
    for (std::size_t i = 0; i < sheet.rows(); ++i) {
      if (sheet.number(i) == entry.row) return i;
    }
  }
  const auto row =
      find([&wanted](std::string_view written) { return normal_path(written) == wanted; });
  if (row) return row;
  // As a survey finds files that are called otherwise.
  FoundFiles files(folder, is_image_name);
  return find([&](std::string_view written) {
    const auto inside = resolve_inside(folder, written);
    if (!inside || is_present(*inside)) return false;
    const auto found = files.find(written);
    return found && *found == wanted;
  });
}

Result<Saved> save_image(const fs::path& folder, const ImageKey& image,
                         const std::vector<CellText>& cells, std::string_view expected_etag) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  const auto file = FileSnapshot::read(folder, kImagesFile);
  if (!file) return fail(file.error());
  if (const auto same = file->expect(expected_etag); !same) return fail(same.error());
  Survey scratch;
  const auto defaults = read_survey_file(folder, scratch);
  if (!defaults) return fail(refusal(defaults.error()));
  auto text = file->text ? Result<std::string>(*file->text)
                         : table_of_all_images(folder, *defaults, scratch.band);
  if (!text) return fail(text.error());
  auto draft = TableDraft::of(std::move(*text), file->name);
  if (!draft) return fail(refusal(draft.error()));
  const auto row = row_to_change(folder, image, *defaults, *draft);
  if (!row) return fail(row.error());
  if (const auto set = set_cells(*draft, *row, cells, image_column_names()); !set) {
    return fail(set.error());
  }
  return commit(*file, *draft, {.erased = {}, .stands = row.value()}, [&](const Sheet& sheet) {
    Problems problems;
    static_cast<void>(read_listed(folder, sheet, *defaults, problems));
    return problems;
  });
}

}  // namespace ohmglow::records
