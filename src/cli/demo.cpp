#include "offered/demo/demo.h"

#include "cli/commands.h"
#include "cli/talk.h"

#include <memory>

namespace ohmglow::cli {

void add_demo(CLI::App& program, int& exit_code) {
  struct Given {
    std::string folder;
    std::string story = "connections";
    demo::Options options;
  };
  const auto given = std::make_shared<Given>();
  CLI::App* command = program.add_subcommand(
      "demo", "Write a made-up survey (Bexley Creek grain terminal) with the truth beside it");
  command->add_option("DIR", given->folder, "Folder to write; must be empty or not there yet")
      ->required();
  command->add_option("--seed", given->options.seed, "Seed of the noise")->capture_default_str();
  command->add_flag("--small", given->options.small, "Four motors in small frames only");
  command->add_flag("--after", given->options.after,
                    "The survey two weeks later, after the repairs, for verify");
  command
      ->add_option("--story", given->story,
                   "connections: the route; rotor: a large fan motor before and after the shop")
      ->check(CLI::IsMember({"connections", "rotor"}))
      ->capture_default_str();
  command->footer("Example: ohmglow demo bexley && ohmglow assess bexley -o bexley-report");
  command->callback([given, &exit_code] {
    const bool is_rotor = given->story == "rotor";
    if (is_rotor && (given->options.small || given->options.after)) {
      throw CLI::ValidationError("--story", "rotor has neither --small nor --after");
    }
    const auto written = is_rotor ? demo::write_rotor_story(given->folder, given->options.seed)
                                  : demo::write_survey(given->folder, given->options);
    if (!written) {
      complain("demo", written.error());
      exit_code = kNothingDone;
      return;
    }
    print("{}\n", given->folder);
  });
}

}  // namespace ohmglow::cli
