#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace ohmglow::serve {
namespace {

/// By the ending of the file.
constexpr std::array<std::pair<std::string_view, std::string_view>, 5> kExportTypes{{
    {".html", "text/html; charset=utf-8"},
    {".csv", "text/csv; charset=utf-8"},
    {".json", "application/json"},
    {".pdf", "application/pdf"},
    {".xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"},
}};

std::string_view media_type_of(std::string_view file) {
  for (const auto& [ending, type] : kExportTypes) {
    if (file.ends_with(ending)) return type;
  }
  return "application/octet-stream";
}

/// What is judged goes into results that are kept as a run keeps them, so that a report has one
/// writer.
Result<std::string> exported(const Format& format, assessment::Workbench& bench) {
  const assessment::Judged judged = bench.whole();
  auto journal = records::Journal::create({}, "");
  if (!journal) return fail(journal.error());
  std::vector<records::Journal> journals;
  journals.push_back(std::move(*journal));
  const diagnosis::CutSurvey cut = diagnosis::cut(judged.survey);
  records::KeptResults results(judged.survey, cut, bench.policy(), bench.options().judging,
                               std::move(journals));
  for (std::size_t i = 0; i < judged.motors.size(); ++i) {
    if (const auto added = results.add(i, *judged.motors[i]); !added) return fail(added.error());
  }
  results.rank();
  return format.write(results);
}

}  // namespace

Answer get_export(OpenSurvey& served, const Request& request) {
  const std::string wanted = request.parameter("format");
  const auto& formats = served.settings().formats;
  const auto format = std::find_if(formats.begin(), formats.end(),
                                   [&wanted](const Format& f) { return f.name == wanted; });
  if (format == formats.end()) {
    std::string names;
    for (const Format& known : formats) names.append(names.empty() ? "" : ", ").append(known.name);
    return answer_error({.kind = ErrorKind::missing,
                         .what = "there is no such format of the report",
                         .found = wanted,
                         .expected = "one of " + names});
  }
  served.read_folder_again();
  auto text = exported(*format, served.bench());
  if (!text) return answer_error(text.error());
  Answer answer;
  answer.media_type = media_type_of(format->file);
  answer.headers.emplace_back("Content-Disposition",
                              fmt::format("attachment; filename=\"{}\"", format->file));
  answer.body = std::make_shared<const std::string>(std::move(*text));
  return answer;
}

}  // namespace ohmglow::serve
