#include "records/editing/file_state.h"

#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "records/files/files.h"
#include "records/intake/table_file.h"
#include "records/intake/tables.h"

#include <span>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// `conflict` is kept for files that were changed meanwhile.
Error in_one_place(Error error) {
  if (error.kind == ErrorKind::conflict) error.kind = ErrorKind::invalid_value;
  return error;
}

}  // namespace

std::string etag_of_text(std::string_view text) {
  return sha256(std::as_bytes(std::span(text.data(), text.size())));
}

Result<FileSnapshot> FileSnapshot::read(const fs::path& folder, std::string_view usual_name) {
  std::string name(usual_name);
  const bool is_table = is_table_name(name);
  if (is_table) {
    auto found = find_table(folder, usual_name);
    if (!found) return fail(in_one_place(found.error()));
    if (*found) name = std::move(**found);
  }
  const auto path = resolve_inside(folder, name);
  if (!path) return fail(path.error().in_file(name));
  FileSnapshot state{.path = *path, .name = name, .text = {}, .etag = std::string(kNoFile)};
  if (!is_present(*path)) return state;
  const auto content = TextFile::read(*path, is_table ? most_bytes_of(name) : kMaxTableBytes);
  if (!content && content.error().kind == ErrorKind::empty) {
    state.text.emplace();
    state.etag = etag_of_text("");
  } else if (!content && content.error().kind != ErrorKind::missing) {
    return fail(content.error().in_file(name));
  }
  if (!content) return state;
  state.etag = etag_of_text(content->text());
  if (!is_table) {
    state.text = std::string(content->text());
    return state;
  }
  auto table = decoded_table(content->text(), name);
  if (!table) return fail(table.error());
  state.text = std::move(table->text);
  state.encoding = table->encoding;
  return state;
}

Result<std::string> FileSnapshot::bytes_of(std::string_view its_text) const {
  if (is_workbook_name(name)) {
    return fail({.kind = ErrorKind::unsupported,
                 .what = "this table is a workbook, which is read here and not written",
                 .mend = "change it in a spreadsheet, or save it as " +
                         fs::path(name).stem().string() +
                         ".csv and move the workbook out of the folder; nothing was saved",
                 .place = {.file = name}});
  }
  auto bytes = tabular::encoded(its_text, encoding);
  if (!bytes) return fail(bytes.error().in_file(name));
  return bytes;
}

Result<void> FileSnapshot::expect(std::string_view expected) const {
  if (etag == expected) return {};
  return fail({.kind = ErrorKind::conflict,
               .what = text ? "the file was changed by someone else in the meantime"
                            : "the file is not there any more",
               .mend = "nothing was saved; look at the file as it is now, and save again",
               .place = {.file = name}});
}

Result<std::string> etag_of(const fs::path& folder, std::string_view file) {
  auto state = FileSnapshot::read(folder, file);
  if (!state) return fail(state.error());
  return std::move(state->etag);
}

Result<std::string> marks_etag(const fs::path& folder, std::string_view image) {
  return etag_of(folder, marks_name(image));
}

}  // namespace ohmglow::records
