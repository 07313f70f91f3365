#include "offered/serve/serve.h"

#include "cli/commands.h"
#include "cli/ending.h"
#include "cli/formats.h"
#include "cli/part.h"
#include "cli/survey_options.h"
#include "cli/talk.h"
#include "offered/intake/policy_text.h"
#include "offered/results/manifest.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

struct ServeGiven {
  SurveyOptions survey;
  serve::Settings settings;
  std::string token_file;
  double max_megapixels = 200;
  bool open = false;
};

/// What the page offers to save, by the functions that assess writes with: what people read first.
std::vector<serve::Format> formats(const serve::Settings& settings) {
  std::vector<SingleFile> offered{{"shutdown", "shutdown.pdf"}, {"shutdown", "shutdown.xlsx"}};
  const std::vector<SingleFile> single = single_files();
  offered.insert(offered.begin(), single.begin(), single.end());
  std::stable_partition(offered.begin(), offered.end(),
                        [](const SingleFile& file) { return !file.is_for_machines; });
  std::vector<serve::Format> list;
  for (const SingleFile& offer : offered) {
    const std::string format(offer.format);
    const std::string file(offer.file);
    const auto write = [format, file, policy = settings.policy, limits = settings.limits](
                           const records::KeptResults& results,
                           const serve::Order& order) -> Result<std::vector<std::string>> {
      const Survey& survey = results.survey();
      auto text = records::find_policy(policy.empty() ? survey.policy : policy, survey.folder);
      if (!text) return fail(text.error());
      Reported reported{results, survey.folder, std::move(*text), {}};
      reported.options.max_pixels = limits.max_pixels;
      reported.ranks = order.ranks;
      reported.has_drawn = [&order] { static_cast<void>(order.go_on(1)); };
      Outputs outputs(order.folder);
      outputs.ends_when([&order] { return !order.go_on(0); });
      const auto written = write_formats(reported, {format}, outputs);
      if (!written) return fail(written.error());
      if (const auto placed = outputs.put_in_place_quietly(); !placed) return fail(placed.error());
      // The file itself first, what it leads to behind it.
      std::vector<std::string> names{file};
      for (const FileRecord& record : outputs.files()) {
        if (format_of(record.path).empty()) names.push_back(record.path);
      }
      return names;
    };
    // Of a format with several files each has a name of its own.
    const bool is_single = format_of(file) != "shutdown";
    list.push_back({is_single ? format : file, file, format == "csv", write});
  }
  return list;
}

/// The first line of the file.
Result<std::string> token_from(const std::string& file) {
  constexpr std::uint64_t kMostBytes = 4096;
  const auto bytes = imaging::read_bytes(file, kMostBytes);
  if (!bytes) return fail(bytes.error().in_file(file));
  std::string token(reinterpret_cast<const char*>(bytes->data()), bytes->size());
  token.erase(std::min(token.find_first_of("\r\n"), token.size()));
  return token;
}

void open_in_browser(const std::string& url) {
  std::string program = "xdg-open";
  std::string address = url;
  std::array<char*, 3> arguments{program.data(), address.data(), nullptr};
  pid_t child = 0;
  if (posix_spawnp(&child, program.c_str(), nullptr, nullptr, arguments.data(), environ) != 0) {
    tell("ohmglow serve: no browser could be opened; open {} by hand\n", url);
  }
}

void greet(const serve::Server& server, const ServeGiven& given) {
  print("{}\n", server.url());
  std::fflush(stdout);
  tell("ohmglow serve: {} is served at {} until Ctrl+C\n", given.survey.folder, server.url());
  if (!given.settings.token.empty()) {
    tell("ohmglow serve: open it once as {}?token=… with the token of {}\n", server.url(),
         given.token_file);
  }
  if (!server.has_page()) {
    tell("ohmglow serve: this build has no page; its API is at {}api/survey\n", server.url());
  }
  for (const Sentence& caution : diagnosis::cautions()) {
    tell("  {}\n", plainly(caution));
  }
}

Result<std::unique_ptr<serve::Server>> start(ServeGiven& given) {
  serve::Settings& settings = given.settings;
  settings.folder = given.survey.folder;
  settings.policy = given.survey.policy;
  settings.judging = judging_from(given.survey);
  settings.limits.max_pixels = static_cast<std::uint64_t>(given.max_megapixels * 1e6);
  settings.formats = formats(settings);
  settings.open_sight = open_sight;
  settings.local_time = local_time;
  if (!given.token_file.empty()) {
    auto token = token_from(given.token_file);
    if (!token) return fail(token.error());
    settings.token = std::move(*token);
  }
  const auto part = open_part<serve::Part>("serve");
  if (!part) return fail(part.error());
  return (*part)->start(settings);
}

int serve_survey(ServeGiven& given) {
  const Ending ending;
  const auto server = start(given);
  if (!server) {
    complain("serve", server.error());
    return kNothingDone;
  }
  greet(**server, given);
  if (given.open) open_in_browser((*server)->url());
  ending.wait();
  tell("ohmglow serve: ending; saves under way are finished first\n");
  (*server)->stop();
  return kDone;
}

}  // namespace

void add_serve(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<ServeGiven>();
  CLI::App* command = program.add_subcommand(
      "serve", "The survey as a page in the browser: mark, see, decide (this computer alone)");
  add_survey_options(*command, given->survey);
  add_calculation_options(*command, given->survey);
  serve::Settings& settings = given->settings;
  command->add_option("--port", settings.port, "Port [one that is free; it is printed]")
      ->check(CLI::Range(1, 65535));
  command->add_flag("--open", given->open, "Open the page in the browser");
  command
      ->add_option("--earlier", settings.earlier,
                   "Older survey folder of the same motors, for their history; may be given again")
      ->type_name("OLDER_SURVEY");
  command->add_option("--jobs", settings.jobs, "Threads that measure; 0 = one a core")
      ->capture_default_str();
  command->add_option("--max-megapixels", given->max_megapixels, "Refuse larger images")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command
      ->add_option("--listen", settings.address,
                   "Address to listen at; one that others can reach needs the three files below")
      ->capture_default_str();
  command->add_option("--token", given->token_file,
                      "File whose first line callers must show once (32 characters or more)");
  command->add_option("--certificate", settings.certificate, "TLS certificate, PEM");
  command->add_option("--key", settings.key, "Its private key, PEM");
  command->footer(
      "Example: ohmglow serve bexley --open\n"
      "Software gives no clearance to open an enclosure; see docs/serve.md for use over a "
      "network.");
  command->callback([given, &exit_code] { exit_code = serve_survey(*given); });
}

}  // namespace ohmglow::cli
