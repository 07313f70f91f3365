#include "offered/editing/incoming_file.h"
#include "offered/editing/new_survey.h"
#include "serve/body.h"
#include "serve/parts_of_answers.h"
#include "serve/served_folder.h"

#include <algorithm>
#include <charconv>
#include <system_error>

namespace ohmglow::serve {
namespace {

Json table_json(const records::NewTable& table) {
  return {{"columns", table.columns}, {"rows", table.rows}};
}

Json problem_json(const Problem& problem) {
  return {{"file", problem.file},
          {"row", number_or_null(problem.row)},
          {"column", text_or_null(problem.column)},
          {"message", problem.message}};
}

Error not_a_table(std::string_view name) {
  return {.kind = ErrorKind::invalid_value,
          .what = "the table cannot be used",
          .found = std::string(name),
          .expected = "its columns and rows, all cells as texts, as /api/start gives them"};
}

/// Errors: not the columns that are expected, cells that are no texts, rows of another length.
Result<records::NewTable> table_in(const Json& body, const char* name,
                                   const std::vector<std::string>& columns) {
  const auto at = body.find(name);
  const bool has_parts = at != body.end() && at->is_object() && at->contains("columns") &&
                         at->contains("rows") && (*at)["rows"].is_array();
  if (!has_parts || (*at)["columns"] != Json(columns)) return fail(not_a_table(name));
  records::NewTable table{columns, {}};
  for (const Json& sent : (*at)["rows"]) {
    if (!sent.is_array() || sent.size() != columns.size()) return fail(not_a_table(name));
    auto& row = table.rows.emplace_back();
    for (const Json& cell : sent) {
      if (!cell.is_string()) return fail(not_a_table(name));
      row.push_back(cell.get<std::string>());
    }
  }
  return table;
}

Result<std::string> member_text(const Json& body, const char* name) {
  const auto at = body.find(name);
  if (at == body.end()) return std::string();
  if (at->is_string()) return at->get<std::string>();
  return fail({.kind = ErrorKind::invalid_value,
               .what = "a member of the body is no text",
               .found = name,
               .expected = "a text"});
}

/// Whether each row is about the image, and the page of it, that stood there.
bool has_same_images(const records::NewTable& sent, const records::NewTable& drafted) {
  const auto page = static_cast<std::size_t>(
      std::find(drafted.columns.begin(), drafted.columns.end(), "page") - drafted.columns.begin());
  return std::equal(sent.rows.begin(), sent.rows.end(), drafted.rows.begin(), drafted.rows.end(),
                    [page](const auto& a, const auto& b) {
                      return a.front() == b.front() && a.at(page) == b.at(page);
                    });
}

/// A cell that was left blank is filled in later.
bool is_blank(const records::NewSurvey& survey, const Problem& problem) {
  constexpr long kFirstRow = 2;  // below the header
  const auto& table = problem.file == records::kNewMotorsFile ? survey.motors : survey.images;
  const auto column = std::find(table.columns.begin(), table.columns.end(), problem.column);
  if (!problem.row || *problem.row < kFirstRow || column == table.columns.end()) return false;
  const auto row = static_cast<std::size_t>(*problem.row - kFirstRow);
  const auto place = static_cast<std::size_t>(column - table.columns.begin());
  return row < table.rows.size() && table.rows[row].at(place).empty();
}

Result<records::NewSurvey> survey_in(const Request& request, records::NewSurvey drafted) {
  const auto body =
      object_in(request, {"site", "surveyed_on", "thermographer", "images", "motors"});
  if (!body) return fail(body.error());
  for (const auto& [name, member] :
       {std::pair{"site", &drafted.site}, std::pair{"surveyed_on", &drafted.surveyed_on},
        std::pair{"thermographer", &drafted.thermographer}}) {
    if (!body->contains(name)) continue;
    auto text = member_text(*body, name);
    if (!text) return fail(text.error());
    *member = std::move(*text);
  }
  auto images = table_in(*body, "images", drafted.images.columns);
  if (!images) return fail(images.error());
  auto motors = table_in(*body, "motors", drafted.motors.columns);
  if (!motors) return fail(motors.error());
  if (images->rows.empty() || !has_same_images(*images, drafted.images)) {
    return fail({.kind = images->rows.empty() ? ErrorKind::empty : ErrorKind::conflict,
                 .what = images->rows.empty() ? "there is no image to make a survey of"
                                              : "the folder has other images by now",
                 .mend = "bring images, look at the list again, then start"});
  }
  drafted.images = std::move(*images);
  drafted.motors = std::move(*motors);
  return drafted;
}

/// Absent for another text.
std::optional<std::uint64_t> whole_number(const std::string& text) {
  std::uint64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return number;
}

Result<records::IncomingFile> incoming_in(const Request& request) {
  const auto bytes = whole_number(request.parameter("size"));
  if (bytes)
    return records::IncomingFile{request.parameter("name"), *bytes, request.parameter("changed")};
  return fail({.kind = ErrorKind::invalid_value,
               .what = "the size of the file is not told",
               .found = request.parameter("size"),
               .expected = "its bytes as a whole number"});
}

Answer arrived_answer(const Result<records::Arrived>& arrived) {
  if (!arrived) return answer_error(arrived.error());
  return answer_json(json_text({{"bytes", arrived->bytes}, {"is_whole", arrived->is_whole}}));
}

}  // namespace

Answer get_start(ServedFolder& served, const Request&) {
  const auto found = records::find_images(served.folder(), served.settings().local_time);
  if (!found) return answer_error(found.error());
  const records::NewSurvey drafted = records::new_survey(served.folder(), *found);
  Json undeclared = Json::array();
  Json timed_by_file = Json::array();
  for (const records::FoundImage& image : found->images) {
    if (!image.is_declared) undeclared.push_back(image.file);
    if (!image.is_timed_by_file) timed_by_file.push_back(image.file);
  }
  return answer_json(ObjectText()
                         .add("csrf", served.csrf())
                         .add("name", folder_name(served.folder()))
                         .add("site", drafted.site)
                         .add("surveyed_on", drafted.surveyed_on)
                         .add("images", table_json(drafted.images))
                         .add("motors", table_json(drafted.motors))
                         .add("photos", found->photos)
                         .add("undeclared", undeclared)
                         .add("dated_by_folder", timed_by_file)
                         .add_text("left_out", list_text(found->left_out, error_text))
                         .add("largest_bytes", served.settings().limits.max_bytes)
                         .finish());
}

Answer post_start(ServedFolder& served, const Request& request) {
  const auto lock = served.starting();
  const auto found = records::find_images(served.folder(), served.settings().local_time);
  if (!found) return answer_error(found.error());
  const auto survey = survey_in(request, records::new_survey(served.folder(), *found));
  if (!survey) return answer_error(survey.error());
  Json problems = Json::array();
  for (const Problem& problem : records::problems_of(served.folder(), *survey)) {
    if (!problem.is_remark && !is_blank(*survey, problem)) {
      problems.push_back(problem_json(problem));
    }
  }
  if (!problems.empty()) {
    return answer_json(ObjectText()
                           .add_text("error", error_text({.kind = ErrorKind::invalid_value,
                                                          .what = "some cells cannot be used",
                                                          .mend = "correct them or leave them "
                                                                  "blank; nothing was written"}))
                           .add("problems", problems)
                           .finish(),
                       status::kUnprocessable);
  }
  const auto written = records::write_new_survey(served.folder(), *survey);
  if (!written) return answer_error(written.error());
  records::drop_unfinished(served.folder());
  if (const auto became = served.become_survey(); !became) return answer_error(became.error());
  return answer_json(json_text({{"written", written->written}, {"kept", written->kept}}),
                     status::kCreated);
}

Answer get_incoming(ServedFolder& served, const Request& request) {
  const auto file = incoming_in(request);
  if (!file) return answer_error(file.error());
  return arrived_answer(records::arrived_of(served.folder(), *file, served.settings().limits));
}

Answer put_incoming(ServedFolder& served, const Request& request) {
  const auto file = incoming_in(request);
  if (!file) return answer_error(file.error());
  const auto from = whole_number(request.parameter("from"));
  if (!from) {
    return answer_error({.kind = ErrorKind::invalid_value,
                         .what = "the piece does not say where it belongs",
                         .found = request.parameter("from"),
                         .expected = "the bytes before it as a whole number"});
  }
  return arrived_answer(
      records::add_piece(served.folder(), *file, *from, request.body, served.settings().limits));
}

}  // namespace ohmglow::serve
