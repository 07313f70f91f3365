#include "offered/editing/survey_edits.h"
#include "offered/files/json_reader.h"
#include "offered/sight/sight.h"
#include "serve/addresses.h"
#include "serve/gate.h"
#include "serve/open_survey.h"
#include "serve/routes.h"
#include "targets.h"

#include <nlohmann/json.hpp>

namespace ohmglow::fuzz {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kImage = "a.csv";

/// What the page shows: two motors, an image with marks, one without, readings.
void write_survey(const fs::path& folder) {
  fs::remove_all(folder);
  fs::create_directories(folder / "marks");
  write_file(
      folder / "survey.json",
      R"({"site":"Bexley Creek","surveyed_on":"2026-03-04","defaults":{"emissivity":0.95}})");
  write_file(folder / "motors.csv", "motor,rated_a,connection\nBE-01,118,wye\nCV-02,40,delta\n");
  write_file(folder / "images.csv",
             "file,motor,component,taken_at,air_c,reflected_c,load_1_a,load_2_a,load_3_a\n"
             "a.csv,BE-01,terminal box,2026-03-04,20,20,70,70,70\n"
             "b.csv,CV-02,starter,2026-03-04,20,20,30,30,30\n");
  write_file(folder / "readings.csv",
             "motor,test,taken_at,place,value_1,value_2,value_3,unit,temperature_c\n"
             "BE-01,winding_resistance,2026-02-18,terminal box,61.9,61.9,59.8,mohm,12\n"
             "CV-02,winding_resistance,2026-02-18,terminal box,1,1,1,ohm,12\n");
  std::string matrix;
  for (int y = 0; y < 24; ++y) {
    for (int x = 0; x < 32; ++x) {
      const bool is_hot = x > 20 && x < 27 && y > 8 && y < 16;
      matrix += std::to_string(is_hot ? 70 : 30 + (x + y) % 3);
      matrix += x == 31 ? '\n' : ',';
    }
  }
  for (const char* image : {"a.csv", "b.csv"}) write_file(folder / image, matrix);
  write_file(
      folder / "marks/a.csv.json",
      R"({"version":1,"image":"a.csv","size":[32,24],"marks":[)"
      R"({"name":"T1","role":"lug","phase":1,"shape":{"kind":"circle","center":[5,12],"radius":3}},)"
      R"({"name":"T2","role":"lug","phase":2,"shape":{"kind":"circle","center":[14,12],"radius":3}},)"
      R"({"name":"T3","role":"lug","phase":3,"shape":{"kind":"circle","center":[23,12],"radius":3}}]})");
}

serve::OpenSurvey& opened_survey() {
  static const auto opened = [] {
    const fs::path folder = scratch() / "served";
    write_survey(folder);
    serve::Settings settings;
    settings.folder = folder.string();
    settings.jobs = 1;
    settings.open_sight = [] { return Result<marking::Sight>(sight::sight()); };
    settings.limits = {.max_pixels = 1 << 16, .max_bytes = 1 << 20};
    auto survey = serve::OpenSurvey::open(std::move(settings), "token");
    demand(survey.has_value());
    return std::move(*survey);
  }();
  return *opened;
}

/// The etag that a change of this address must name.
std::string right_etag(const fs::path& folder, std::string_view path) {
  const auto etag = path.ends_with("marks")      ? records::marks_etag(folder, kImage)
                    : path.ends_with("readings") ? records::etag_of(folder, "readings.csv")
                                                 : records::etag_of(folder, "images.csv");
  return etag ? '"' + *etag + '"' : std::string();
}

}  // namespace

/// "METHOD path", "name=value&…", "If-Match" (@: the right one), then the body.
void request(std::string_view input) {
  serve::OpenSurvey& served = opened_survey();
  const auto lines = cut_at(input.substr(0, 4096), "\n");
  if (lines.size() < 4) return;
  serve::Request request;
  const auto words = cut_at(lines[0], " ");
  request.method = words[0];
  request.path = words.size() > 1 ? words[1] : "";
  for (const std::string_view pair : cut_at(lines[1], "&")) {
    const auto equals = pair.find('=');
    request.query.emplace(pair.substr(0, equals), equals == std::string_view::npos
                                                      ? std::string_view()
                                                      : pair.substr(equals + 1));
  }
  request.if_match = lines[2] == "@" ? right_etag(served.folder(), request.path) : lines[2];
  request.body = input.substr(lines[0].size() + lines[1].size() + lines[2].size() + 3);

  const serve::Answer answer = serve::answer(served, request);
  demand(answer.status >= 200 && answer.status < 600 && answer.status != 500);
  const std::string body = answer.body ? *answer.body : "";
  if (answer.media_type == "application/json" && !body.empty())
    demand(records::parse_json_as<nlohmann::json>(body).has_value());
  if (serve::is_mutating(request.method) && answer.status < 300 && request.path != "/api/try") {
    // A survey that was read before it was saved is read after it.
    demand(records::read_survey(served.folder()).has_value());
    write_survey(served.folder());
    served.read_folder_again();
  }
}

/// A line for each header, as a caller sends it.
void caller(std::string_view input) {
  static const serve::Gate gate({.scheme = "http",
                                 .hosts = serve::host_headers({"127.0.0.1"}, 40123, "http"),
                                 .token = std::string(40, 't'),
                                 .csrf = std::string(64, 'c')});
  const auto lines = cut_at(input, "\n");
  serve::Caller caller;
  const std::array members{&caller.method,        &caller.path,   &caller.host,
                           &caller.origin,        &caller.cookie, &caller.token,
                           &caller.authorization, &caller.csrf,   &caller.content_type};
  for (std::size_t i = 0; i < std::min(members.size(), lines.size()); ++i) *members[i] = lines[i];
  caller.has_body = lines.size() > members.size();
  const auto refused = gate.refusal(caller);
  if (caller.host != "127.0.0.1:40123") demand(refused.has_value());
  if (!refused && serve::is_mutating(caller.method)) demand(caller.csrf == std::string(64, 'c'));
}

}  // namespace ohmglow::fuzz
