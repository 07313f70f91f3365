#include "offered/editing/survey_edits.h"
#include "offered/files/json_reader.h"
#include "offered/intake/mark_files.h"
#include "ohmglow/imaging.h"
#include "serve/body.h"
#include "serve/parameters.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"
#include "serve/sent_marks.h"

#include <algorithm>
#include <charconv>
#include <functional>

namespace ohmglow::serve {
namespace {

constexpr std::uint64_t kMostMarkBytes = std::uint64_t{16} << 20;

Answer no_etag(const Error& error) {
  return answer_error(status::kPreconditionRequired, error);
}

// --- marks

/// Why the mark file on disk must not be replaced: what could not be read of it would be lost.
std::optional<Error> would_lose_marks(OpenSurvey& served, const std::string& file,
                                      const PhaseNames& phases) {
  const auto read = records::read_marks(served.folder(), file, phases);
  if (!read) {
    if (read.error().kind == ErrorKind::missing) return std::nullopt;
    Error error = read.error();
    error.mend = "mend the mark file by hand first, or remove it; nothing was saved";
    return error;
  }
  const auto bytes =
      imaging::read_bytes(records::marks_path(served.folder(), file), kMostMarkBytes);
  if (!bytes) return bytes.error();
  const auto json =
      records::parse_json_as<Json>({reinterpret_cast<const char*>(bytes->data()), bytes->size()});
  if (!json || json->at("marks").size() == read->file.marks.size()) return std::nullopt;
  return Error{.kind = ErrorKind::invalid_value,
               .what = "the mark file holds marks that cannot be read, and saving would lose them",
               .found = read->problems.empty() ? "" : read->problems.front().message,
               .mend = "mend the mark file by hand first; nothing was saved",
               .place = {.file = records::marks_path("", file).string()}};
}

/// The caller's marks are not those on disk: told so, with what is there now.
Answer marks_conflict(OpenSurvey& served, const NamedImage& named, const Error& error,
                      const PhaseNames& phases) {
  const std::string& file = named.entry.file;
  const auto current = records::read_marks(served.folder(), file, phases);
  const auto etag = records::marks_etag(served.folder(), file);
  std::string marks = "null";
  if (current) {
    marks = records::marks_json(current->file);
  } else if (const auto image = served.bench().image(named.place)) {
    marks = records::marks_json({file, image->width(), image->height(), {}});
  }
  return answer_json(ObjectText()
                         .add_text("error", error_text(error))
                         .add_text("current", marks)
                         .add("marks_etag", etag ? Json(*etag) : Json())
                         .finish(),
                     status::kPreconditionFailed);
}

Result<MarkFile> marks_in_body(OpenSurvey& served, const NamedImage& named,
                               const Request& request) {
  const auto body = object_in(request, {"version", "image", "size", "marks"});
  if (!body) return fail(body.error());
  const auto marks = body->find("marks");
  const auto image = body->find("image");
  if (image != body->end() && *image != Json(named.entry.file)) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the marks say that they belong to another image",
                 .found = json_text(*image),
                 .expected = named.entry.file});
  }
  auto read = sent_marks(served, named, marks == body->end() ? Json() : *marks);
  const auto size = body->find("size");
  if (read && size != body->end() && *size != Json({read->width, read->height})) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the marks were made on an image of another size",
                 .found = json_text(*size),
                 .expected = json_text({read->width, read->height}),
                 .mend = "load the image again and mark it anew"});
  }
  return read;
}

}  // namespace

Answer put_marks(OpenSurvey& served, const Request& request) {
  const auto named = named_image(served, request);
  if (!named) return answer_error(named.error());
  const auto expected = expected_etag(request);
  if (!expected) return no_etag(expected.error());
  const auto marks = marks_in_body(served, *named, request);
  if (!marks) return answer_error(status::kUnprocessable, marks.error());
  PhaseNames phases;
  served.bench().with_survey([&phases](const Survey& survey) { phases = survey.phase_names; });

  const auto lock = served.saving();
  const std::string& file = named->entry.file;
  const auto now = records::marks_etag(served.folder(), file);
  if (now && *now == *expected) {
    if (const auto error = would_lose_marks(served, file, phases)) {
      return answer_error(status::kUnprocessable, *error);
    }
  }
  const auto saved = records::save_marks(served.folder(), *marks, *expected);
  if (!saved) {
    return saved.error().kind == ErrorKind::conflict
               ? marks_conflict(served, *named, saved.error(), phases)
               : answer_error(saved.error());
  }
  served.read_marks_again(file);
  return answer_json(ObjectText()
                         .add_text("marks", records::marks_json(*marks))
                         .add("marks_etag", saved->etag)
                         .finish());
}

// --- parameters

Answer patch_parameters(OpenSurvey& served, const Request& request) {
  const auto named = named_image(served, request);
  if (!named) return answer_error(named.error());
  const auto expected = expected_etag(request);
  if (!expected) return no_etag(expected.error());
  const auto body = object_in(request, {});
  if (!body) return answer_error(body.error());
  const auto cells = cells_in(*body, "the parameters");
  if (!cells) return answer_error(cells.error());
  for (const records::CellText& cell : *cells) {
    if (!is_parameter(cell.column)) return answer_error(no_such_parameter(cell.column));
  }
  {
    const auto lock = served.saving();
    const bool in_step = served.is_in_step();
    const ImageEntry& entry = named->entry;
    const auto saved = records::save_image(
        served.folder(), {entry.file, entry.parameters.page.value_or(1)}, *cells, *expected);
    if (!saved) return answer_error(saved.error());
    served.read_image_again(named->place, saved->row, in_step);
  }
  return get_image(served, request);
}

// --- readings

namespace {

std::optional<long> row_in(const Request& request) {
  const std::string text = request.parameter("row");
  long row = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), row);
  const bool whole = error == std::errc() && end == text.data() + text.size() && row > 0;
  return whole ? std::optional(row) : std::nullopt;
}

Error no_row(const Request& request) {
  return {.kind = ErrorKind::missing,
          .what = "no row of readings.csv is named",
          .found = request.parameter("row"),
          .expected = "the number of a row"};
}

/// A reading's texts. `motor` may stand in the query in place of the body.
Result<std::vector<records::CellText>> reading_in(const Request& request) {
  const auto body = object_in(request, {});
  if (!body) return fail(body.error());
  auto cells = cells_in(*body, "the reading");
  if (!cells) return fail(cells.error());
  std::erase_if(*cells, [](const auto& cell) { return cell.column == "row"; });
  const auto names_motor = [](const auto& cell) { return cell.column == "motor"; };
  const std::string motor = request.parameter("motor");
  if (!motor.empty() && std::none_of(cells->begin(), cells->end(), names_motor)) {
    cells->push_back({"motor", motor});
  }
  return cells;
}

/// Whose row it is: told by the request, else by the row as it stands.
std::string motor_of(OpenSurvey& served, const Request& request, long row) {
  if (const std::string motor = request.parameter("motor"); !motor.empty()) return motor;
  const auto texts = records::reading_text(served.folder(), row);
  if (!texts || texts->rows.empty()) return {};
  for (const records::CellText& cell : texts->rows.front().cells) {
    if (cell.column == "motor") return cell.text;
  }
  return {};
}

/// Saves, and takes over what was saved.
Answer save_reading(OpenSurvey& served, const std::string& motor, int status,
                    const std::function<Result<records::Saved>()>& save) {
  const bool in_step = served.is_in_step();
  const auto saved = save();
  if (!saved) return answer_error(saved.error());
  served.read_readings_again(motor, in_step);
  return answer_json(
      json_text({{"row", number_or_null(saved->row)}, {"readings_etag", saved->etag}}), status);
}

}  // namespace

Answer post_reading(OpenSurvey& served, const Request& request) {
  const auto expected = expected_etag(request);
  if (!expected) return no_etag(expected.error());
  const auto cells = reading_in(request);
  if (!cells) return answer_error(cells.error());
  std::string motor;
  for (const records::CellText& cell : *cells) {
    if (cell.column == "motor") motor = cell.text;
  }
  const auto lock = served.saving();
  return save_reading(served, motor, status::kCreated,
                      [&] { return records::add_reading(served.folder(), *cells, *expected); });
}

Answer put_reading(OpenSurvey& served, const Request& request) {
  const auto expected = expected_etag(request);
  if (!expected) return no_etag(expected.error());
  const auto row = row_in(request);
  if (!row) return answer_error(no_row(request));
  const auto cells = reading_in(request);
  if (!cells) return answer_error(cells.error());
  const auto lock = served.saving();
  const std::string motor = motor_of(served, request, *row);
  return save_reading(served, motor, status::kOk, [&] {
    return records::change_reading(served.folder(), *row, *cells, *expected);
  });
}

Answer delete_reading(OpenSurvey& served, const Request& request) {
  const auto expected = expected_etag(request);
  if (!expected) return no_etag(expected.error());
  const auto row = row_in(request);
  if (!row) return answer_error(no_row(request));
  const auto lock = served.saving();
  const std::string motor = motor_of(served, request, *row);
  return save_reading(served, motor, status::kOk,
                      [&] { return records::delete_reading(served.folder(), *row, *expected); });
}

}  // namespace ohmglow::serve
