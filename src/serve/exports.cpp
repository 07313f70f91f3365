#include "serve/body.h"
#include "serve/exporting.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace ohmglow::serve {
namespace {

/// By the ending of the file.
constexpr std::array<std::pair<std::string_view, std::string_view>, 6> kExportTypes{{
    {".html", "text/html; charset=utf-8"},
    {".csv", "text/csv; charset=utf-8"},
    {".json", "application/json"},
    {".pdf", "application/pdf"},
    {".xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"},
    {".zip", "application/zip"},
}};

std::string_view media_type_of(std::string_view file) {
  for (const auto& [ending, type] : kExportTypes) {
    if (file.ends_with(ending)) return type;
  }
  return "application/octet-stream";
}

Result<Format> format_named(OpenSurvey& served, const std::string& wanted) {
  std::string names;
  for (const Format& known : served.settings().formats) {
    if (known.name == wanted) return known;
    names.append(names.empty() ? "" : ", ").append(known.name);
  }
  return fail({.kind = ErrorKind::missing,
               .what = "there is no such format of the report",
               .found = wanted,
               .expected = "one of " + names});
}

Answer attachment(const Exported& exported) {
  Answer answer;
  answer.media_type = media_type_of(exported.name);
  answer.headers.emplace_back("Content-Disposition",
                              fmt::format("attachment; filename=\"{}\"", exported.name));
  answer.file = exported.file;
  return answer;
}

Answer no_such_export() {
  return answer_error({.kind = ErrorKind::missing,
                       .what = "there is no such export",
                       .mend = "export again: only the latest few are kept"});
}

/// Findings by their ranks, sorted, each once; absent: all.
Result<std::vector<std::size_t>> ranks_in(const Json& body, const Format& format) {
  const auto at = body.find("ranks");
  if (at == body.end() || at->is_null()) return std::vector<std::size_t>();
  std::vector<std::size_t> ranks;
  bool is_sound = at->is_array() && !at->empty() && format.takes_ranks;
  for (const Json& rank : is_sound ? *at : Json::array()) {
    is_sound = is_sound && rank.is_number_unsigned() && rank.get<std::size_t>() > 0;
    if (is_sound) ranks.push_back(rank.get<std::size_t>());
  }
  if (!is_sound) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "this format cannot be made of these findings",
                 .found = format.name,
                 .expected = "csv, with the ranks of one finding or more"});
  }
  std::sort(ranks.begin(), ranks.end());
  ranks.erase(std::unique(ranks.begin(), ranks.end()), ranks.end());
  return ranks;
}

}  // namespace

Answer get_export(OpenSurvey& served, const Request& request) {
  if (const std::string id = request.parameter("id"); !id.empty()) {
    const auto job = served.exports().find(id);
    const auto exported = job ? job->exported() : std::nullopt;
    return exported ? attachment(*exported) : no_such_export();
  }
  const auto format = format_named(served, request.parameter("format"));
  if (!format) return answer_error(format.error());
  const auto exported =
      write_export(served, *format, {}, [](std::size_t, std::size_t) { return true; });
  return exported ? attachment(*exported) : answer_error(exported.error());
}

Answer post_exports(OpenSurvey& served, const Request& request) {
  const auto body = object_in(request, {"format", "ranks"});
  if (!body) return answer_error(body.error());
  const auto named = body->find("format");
  const auto format = format_named(
      served, named != body->end() && named->is_string() ? named->get<std::string>() : "");
  if (!format) return answer_error(format.error());
  auto ranks = ranks_in(*body, *format);
  if (!ranks) return answer_error(ranks.error());
  const auto job = served.exports().begin(served, *format, std::move(*ranks));
  if (!job) return answer_error(job.error());
  return answer_json((*job)->view(), status::kCreated);
}

Answer get_exports(OpenSurvey& served, const Request& request) {
  const auto job = served.exports().find(request.parameter("id"));
  return job ? answer_json(job->view()) : no_such_export();
}

Answer delete_exports(OpenSurvey& served, const Request& request) {
  const std::string id = request.parameter("id");
  return served.exports().drop(id) ? answer_json(json_text({{"id", id}})) : no_such_export();
}

}  // namespace ohmglow::serve
