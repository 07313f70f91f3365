#include "records/editing/file_state.h"

#include "offered/editing/survey_edits.h"
#include "offered/files/folder.h"
#include "records/files/files.h"
#include "records/intake/tables.h"

#include <span>

namespace ohmglow::records {
namespace fs = std::filesystem;

std::string etag_of_text(std::string_view text) {
  return sha256(std::as_bytes(std::span(text.data(), text.size())));
}

Result<FileSnapshot> FileSnapshot::read(const fs::path& folder, std::string_view name) {
  const auto path = resolve_inside(folder, name);
  if (!path) return fail(path.error().in_file(name));
  FileSnapshot state{*path, std::string(name), std::nullopt, std::string(kNoFile)};
  if (!is_present(*path)) return state;
  const auto content = TextFile::read(*path, kMaxTableBytes);
  if (content) {
    state.text = std::string(content->text());
  } else if (content.error().kind == ErrorKind::empty) {
    state.text.emplace();
  } else if (content.error().kind != ErrorKind::missing) {
    return fail(content.error().in_file(name));
  }
  if (state.text) state.etag = etag_of_text(*state.text);
  return state;
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
