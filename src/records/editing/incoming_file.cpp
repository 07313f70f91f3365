#include "offered/editing/incoming_file.h"

#include "offered/editing/new_survey.h"
#include "offered/files/folder.h"
#include "offered/intake/bare_folder.h"
#include "offered/vocabulary/utf8.h"
#include "records/editing/folder_lock.h"
#include "records/files/files.h"
#include "records/files/handle.h"
#include "records/files/shown.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <span>
#include <sys/stat.h>
#include <unistd.h>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kBegin = ".ohmglow-incoming-";
constexpr std::size_t kLongestName = 200;  ///< bytes; file systems take 255

Error incoming_refused(const IncomingFile& file, ErrorKind kind, std::string what,
                       std::string expected, std::string mend) {
  return {.kind = kind,
          .what = std::move(what),
          .expected = std::move(expected),
          .mend = std::move(mend),
          .place = {.file = shown(file.name)}};
}

Error incoming_system(const IncomingFile& file, std::string what) {
  return incoming_refused(file, ErrorKind::system, std::move(what) + ": " + std::strerror(errno),
                          "", "");
}

bool is_photograph_name(const fs::path& name) {
  const std::string ending = lower_case(name.extension().string());
  return ending == ".jpg" || ending == ".jpeg";
}

bool is_sound_name(std::string_view name) {
  if (name.empty() || name.size() > kLongestName || name.front() == '.') return false;
  if (name.find_first_of("/\\:*?\"<>|") != std::string_view::npos) return false;
  if (name.front() == ' ' || name.back() == ' ' || name.back() == '.') return false;
  while (!name.empty()) {
    const Character character = first_character(name);
    if (!character.is_sound || is_control(character)) return false;
    name.remove_prefix(character.bytes);
  }
  return true;
}

std::optional<Error> refusal_of(const fs::path& folder, const IncomingFile& file,
                                const imaging::ReadLimits& limits) {
  if (!is_sound_name(file.name)) {
    return incoming_refused(file, ErrorKind::invalid_value, "this name cannot be taken",
                            "a file name alone, without folders and control characters",
                            "rename the file and bring it again");
  }
  if (!is_image_name(file.name) && !is_photograph_name(file.name)) {
    return incoming_refused(
        file, ErrorKind::unsupported, "this is neither a thermal image nor a photograph",
        "temperatures as 16-bit TIFF, PNG, CSV matrix, NPY or FITS; photographs as JPEG or PNG",
        "export the images from the camera's program in one of these");
  }
  if (file.bytes == 0) {
    return incoming_refused(file, ErrorKind::empty, "the file is empty", "", "");
  }
  if (file.bytes > limits.max_bytes) {
    return incoming_refused(file, ErrorKind::too_large, "the file is too large",
                            fmt::format("at most {} bytes", limits.max_bytes), "");
  }
  if (is_present(folder / file.name)) {
    return incoming_refused(file, ErrorKind::conflict, "the folder has a file of this name already",
                            "", "rename the file if it is another one; nothing was written over");
  }
  return std::nullopt;
}

fs::path place_of(const fs::path& folder, const IncomingFile& file) {
  constexpr std::size_t kDigits = 32;
  const std::string facts = fmt::format("{}/{}/{}", file.name, file.bytes, file.changed);
  return folder /
         (std::string(kBegin) + sha256(std::as_bytes(std::span(facts))).substr(0, kDigits));
}

/// What lies under the hidden name: a file of our own, and no link.
Result<std::uint64_t> size_of(const IncomingFile& file, int handle) {
  struct stat facts {};
  if (::fstat(handle, &facts) != 0) return fail(incoming_system(file, "it cannot be looked at"));
  if (!S_ISREG(facts.st_mode) || facts.st_nlink != 1) {
    return fail(incoming_refused(file, ErrorKind::conflict,
                                 "what came of the file so far is no file of its own", "",
                                 "remove the hidden file from the folder"));
  }
  return static_cast<std::uint64_t>(facts.st_size);
}

/// Why what has come is of no use here. A picture that people look at is a photograph.
std::optional<Error> unreadable(const fs::path& path, const IncomingFile& file,
                                const imaging::ReadLimits& limits) {
  const auto bytes = imaging::read_bytes(path, limits.max_bytes);
  if (!bytes) return bytes.error().in_file(shown(file.name));
  const auto begins_with = [&bytes](std::string_view begin) {
    return bytes->size() >= begin.size() &&
           std::memcmp(bytes->data(), begin.data(), begin.size()) == 0;
  };
  if (is_photograph_name(file.name)) {
    if (begins_with("\xff\xd8\xff")) return std::nullopt;
    return incoming_refused(file, ErrorKind::not_this_format, "this is no JPEG photograph", "", "");
  }
  if (is_visible_png(*bytes)) return std::nullopt;
  const auto stored = imaging::read_stored(*bytes, file.name, {.limits = limits});
  if (stored) return std::nullopt;
  return stored.error().in_file(shown(file.name));
}

/// Under its name, unless something lies there by now.
int rename_if_free(const fs::path& from, const fs::path& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  if (errno != EINVAL && errno != ENOSYS) return errno;
  // A file system that does not know the question: a second name is refused where one is taken.
  if (::link(from.c_str(), to.c_str()) != 0) return errno;
  ::unlink(from.c_str());
  return 0;
}

Result<Arrived> put_in_its_place(const fs::path& folder, const fs::path& path, int handle,
                                 const IncomingFile& file, const imaging::ReadLimits& limits) {
  if (const auto error = unreadable(path, file, limits)) {
    ::unlink(path.c_str());
    return fail(*error);
  }
  if (::fsync(handle) != 0) return fail(incoming_system(file, "the file cannot be written"));
  errno = rename_if_free(path, folder / file.name);
  if (errno == EEXIST) {
    return fail(incoming_refused(file, ErrorKind::conflict,
                                 "the folder has a file of this name already", "",
                                 "rename the file if it is another one"));
  }
  if (errno != 0) return fail(incoming_system(file, "the file cannot be put in its place"));
  return Arrived{file.bytes, true};
}

}  // namespace

Result<Arrived> arrived_of(const fs::path& folder, const IncomingFile& file,
                           const imaging::ReadLimits& limits) {
  if (const auto error = refusal_of(folder, file, limits)) return fail(*error);
  const Handle handle(
      ::open(place_of(folder, file).c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK));
  if (handle.number() < 0) {
    if (errno == ENOENT) return Arrived{};
    return fail(incoming_system(file, "what came of the file so far cannot be opened"));
  }
  const auto bytes = size_of(file, handle.number());
  if (!bytes) return fail(bytes.error());
  return Arrived{*bytes, false};
}

Result<Arrived> add_piece(const fs::path& folder, const IncomingFile& file, std::uint64_t from,
                          std::string_view piece, const imaging::ReadLimits& limits) {
  const auto lock = FolderLock::take(folder);
  if (!lock) return fail(lock.error());
  if (const auto error = refusal_of(folder, file, limits)) return fail(*error);
  const fs::path path = place_of(folder, file);
  const Handle handle(
      ::open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0666));
  if (handle.number() < 0) return fail(incoming_system(file, "the file cannot be written"));
  const auto has = size_of(file, handle.number());
  if (!has) return fail(has.error());
  if (*has != from || piece.size() > file.bytes - *has) {
    return fail(incoming_refused(file, ErrorKind::conflict, "this piece does not follow what came",
                                 fmt::format("the bytes from {} on, {} in all", *has, file.bytes),
                                 "ask how much has come, and go on from there"));
  }
  if (!write_at(handle.number(), piece, from)) {
    return fail(incoming_system(file, "the file cannot be written"));
  }
  from += piece.size();
  if (from < file.bytes) return Arrived{from, false};
  return put_in_its_place(folder, path, handle.number(), file, limits);
}

void drop_unfinished(const fs::path& folder) {
  std::error_code error;
  fs::directory_iterator entries(folder, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    if (entries->path().filename().string().starts_with(kBegin)) ::unlink(entries->path().c_str());
  }
}

}  // namespace ohmglow::records
