#include "workbook_parts.h"

#include "opened_library.h"

#include <algorithm>
#include <exception>
#include <expat.h>
#include <optional>
#include <zip.h>

namespace ohmglow::tabular {
namespace {

/// The functions of libzip and Expat that are used, by the types of their own headers.
struct Zip {
  decltype(&::zip_source_buffer_create) source = nullptr;
  decltype(&::zip_source_free) free_source = nullptr;
  decltype(&::zip_open_from_source) open = nullptr;
  decltype(&::zip_discard) discard = nullptr;
  decltype(&::zip_name_locate) locate = nullptr;
  decltype(&::zip_stat_init) init_facts = nullptr;
  decltype(&::zip_stat_index) facts = nullptr;
  decltype(&::zip_fopen_index) open_file = nullptr;
  decltype(&::zip_fread) read = nullptr;
  decltype(&::zip_fclose) close_file = nullptr;

  [[nodiscard]] bool load() {
    void* const library = dlopen(OHMGLOW_ZIP_SONAME, RTLD_NOW | RTLD_LOCAL);
    return library != nullptr && find_function(library, "zip_source_buffer_create", source) &&
           find_function(library, "zip_source_free", free_source) &&
           find_function(library, "zip_open_from_source", open) &&
           find_function(library, "zip_discard", discard) &&
           find_function(library, "zip_name_locate", locate) &&
           find_function(library, "zip_stat_init", init_facts) &&
           find_function(library, "zip_stat_index", facts) &&
           find_function(library, "zip_fopen_index", open_file) &&
           find_function(library, "zip_fread", read) &&
           find_function(library, "zip_fclose", close_file);
  }
};

struct Expat {
  decltype(&::XML_ParserCreate) create = nullptr;
  decltype(&::XML_ParserFree) free = nullptr;
  decltype(&::XML_SetUserData) set_data = nullptr;
  decltype(&::XML_SetElementHandler) on_elements = nullptr;
  decltype(&::XML_SetCharacterDataHandler) on_text = nullptr;
  decltype(&::XML_SetStartDoctypeDeclHandler) on_document_type = nullptr;
  decltype(&::XML_Parse) parse = nullptr;
  decltype(&::XML_StopParser) stop = nullptr;

  [[nodiscard]] bool load() {
    void* const library = dlopen(OHMGLOW_EXPAT_SONAME, RTLD_NOW | RTLD_LOCAL);
    return library != nullptr && find_function(library, "XML_ParserCreate", create) &&
           find_function(library, "XML_ParserFree", free) &&
           find_function(library, "XML_SetUserData", set_data) &&
           find_function(library, "XML_SetElementHandler", on_elements) &&
           find_function(library, "XML_SetCharacterDataHandler", on_text) &&
           find_function(library, "XML_SetStartDoctypeDeclHandler", on_document_type) &&
           find_function(library, "XML_Parse", parse) &&
           find_function(library, "XML_StopParser", stop);
  }
};

/// Nothing where the library is not installed.
template <class Library>
const Library* opened() {
  static const std::optional<Library> loaded = [] {
    Library found;
    return found.load() ? std::optional(found) : std::nullopt;
  }();
  return loaded ? &*loaded : nullptr;
}

Error not_installed(std::string_view library) {
  return {.kind = ErrorKind::unsupported,
          .what = "this machine lacks the library that workbooks are read with",
          .expected = std::string(library),
          .mend = "install it, or save the table as CSV"};
}

Error no_workbook() {
  return {.kind = ErrorKind::not_this_format,
          .what = "this is no workbook, or one that is locked with a password",
          .mend = "save it as .xlsx without a password, or as CSV"};
}

Error damaged(std::string_view part) {
  return {.kind = ErrorKind::damaged,
          .what = "the workbook is damaged in its part " + std::string(part),
          .mend = "open it in a spreadsheet and save it again, or save it as CSV"};
}

std::string_view local(std::string_view name) {
  const auto colon = name.rfind(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

}  // namespace

// --- the archive

class Archive::Inside {
 public:
  Inside(const Zip& zip, zip_t* archive) : zip_(zip), archive_(archive) {}
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() { zip_.discard(archive_); }

  [[nodiscard]] zip_int64_t locate(const std::string& name) const {
    return zip_.locate(archive_, name.c_str(), 0);
  }
  [[nodiscard]] Result<std::string> read(const std::string& name, std::uint64_t most_bytes) const {
    const zip_int64_t index = locate(name);
    zip_stat_t facts;
    zip_.init_facts(&facts);
    if (index < 0 || zip_.facts(archive_, static_cast<zip_uint64_t>(index), 0, &facts) != 0 ||
        (facts.valid & ZIP_STAT_SIZE) == 0) {
      return fail(damaged(name));
    }
    if (facts.size > most_bytes) {
      return fail({.kind = ErrorKind::too_large,
                   .what = "the workbook is larger than this program may read",
                   .found = std::to_string(facts.size) + " bytes in its part " + name,
                   .expected = "at most " + std::to_string(most_bytes) + " bytes"});
    }
    zip_file_t* const file = zip_.open_file(archive_, static_cast<zip_uint64_t>(index), 0);
    if (file == nullptr) return fail(damaged(name));
    // One byte more than it says it has: the last read is the one that checks the sum.
    std::string content(facts.size + 1, '\0');
    std::size_t at = 0;
    zip_int64_t got = 1;
    while (got > 0 && at < content.size()) {
      got = zip_.read(file, content.data() + at, content.size() - at);
      if (got > 0) at += static_cast<std::size_t>(got);
    }
    zip_.close_file(file);
    if (got != 0 || at != facts.size) return fail(damaged(name));
    content.resize(at);
    return content;
  }

 private:
  const Zip& zip_;
  zip_t* archive_;
};

Archive::Archive(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Archive::Archive(Archive&&) noexcept = default;
Archive& Archive::operator=(Archive&&) noexcept = default;
Archive::~Archive() = default;

Result<Archive> Archive::open(std::string_view bytes) {
  if (!bytes.starts_with("PK")) return fail(no_workbook());
  const Zip* const zip = opened<Zip>();
  if (zip == nullptr) return fail(not_installed("libzip (" OHMGLOW_ZIP_SONAME ")"));
  zip_source_t* const source = zip->source(bytes.data(), bytes.size(), 0, nullptr);
  if (source == nullptr) return fail(no_workbook());
  zip_t* const archive = zip->open(source, ZIP_RDONLY, nullptr);
  if (archive == nullptr) {
    zip->free_source(source);
    return fail(no_workbook());
  }
  return Archive(std::make_unique<Inside>(*zip, archive));
}

bool Archive::has(const std::string& name) const {
  return inside_->locate(name) >= 0;
}
Result<std::string> Archive::read(const std::string& name, std::uint64_t most_bytes) const {
  return inside_->read(name, most_bytes);
}

// --- XML

std::string_view Attributes::operator[](std::string_view name) const {
  for (const char** pair = pairs_; *pair != nullptr; pair += 2) {
    if (local(pair[0]) == name) return pair[1];
  }
  return {};
}

namespace {

/// What Expat's callbacks are given. They run below C frames, so nothing may be thrown through
/// them.
struct Reading {
  const Expat& expat;
  const XmlEvents& events;
  XML_Parser parser = nullptr;
  std::exception_ptr thrown;

  template <class Action>
  void guarded(Action action) {
    try {
      action();
    } catch (...) {
      thrown = std::current_exception();
    }
    const bool in_trouble = events.trouble != nullptr && !*events.trouble;
    if (thrown || in_trouble) expat.stop(parser, XML_FALSE);
  }
};

void on_begin(void* data, const char* name, const char** attributes) {
  auto& reading = *static_cast<Reading*>(data);
  reading.guarded([&] { reading.events.begin(local(name), Attributes(attributes)); });
}
void on_end(void* data, const char* name) {
  auto& reading = *static_cast<Reading*>(data);
  reading.guarded([&] { reading.events.end(local(name)); });
}
void on_text(void* data, const char* text, int size) {
  auto& reading = *static_cast<Reading*>(data);
  reading.guarded([&] { reading.events.text({text, static_cast<std::size_t>(size)}); });
}
/// Entities come with a document type alone, and bombs with entities.
void on_document_type(void* data, const char*, const char*, const char*, int) {
  auto& reading = *static_cast<Reading*>(data);
  reading.expat.stop(reading.parser, XML_FALSE);
}

}  // namespace

Result<void> read_xml(std::string_view xml, std::string_view part, const XmlEvents& events) {
  const Expat* const expat = opened<Expat>();
  if (expat == nullptr) return fail(not_installed("Expat (" OHMGLOW_EXPAT_SONAME ")"));
  const std::unique_ptr<XML_ParserStruct, decltype(expat->free)> parser(expat->create(nullptr),
                                                                        expat->free);
  if (parser == nullptr) throw std::bad_alloc();
  Reading reading{*expat, events, parser.get(), nullptr};
  expat->set_data(parser.get(), &reading);
  expat->on_elements(parser.get(), on_begin, on_end);
  expat->on_text(parser.get(), on_text);
  expat->on_document_type(parser.get(), on_document_type);
  // Its sizes are ints.
  constexpr std::size_t kPiece = std::size_t{1} << 24;
  bool sound = true;
  do {
    const std::string_view piece = xml.substr(0, kPiece);
    xml.remove_prefix(piece.size());
    sound = expat->parse(parser.get(), piece.data(), static_cast<int>(piece.size()),
                         xml.empty() ? XML_TRUE : XML_FALSE) == XML_STATUS_OK;
  } while (sound && !xml.empty());
  if (reading.thrown) std::rethrow_exception(reading.thrown);
  if (events.trouble != nullptr && !*events.trouble) return fail(events.trouble->error());
  if (!sound) return fail(damaged(part));
  return {};
}

}  // namespace ohmglow::tabular
