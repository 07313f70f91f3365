#include "cli/commands.h"
#include "cli/talk.h"
#include "ohmglow/version.h"

#include <exception>
#include <new>

namespace {

/// The command line as it was typed, so that a refused one can be told from what a script meant.
std::string echo(int argc, char** argv) {
  std::string line = "ohmglow";
  for (int i = 1; i < argc; ++i) line += std::string(" ") + argv[i];
  return line;
}

int run(int argc, char** argv) {
  using namespace ohmglow::cli;
  CLI::App program{
      "Finds bad connections in motor circuits: hot lugs on thermal images, held against the\n"
      "electrical readings of the same motor.\n\n"
      "Software gives no clearance to open an enclosure. Findings are an aid to a qualified "
      "person."};
  program.name("ohmglow");
  program.set_version_flag("--version", std::string("ohmglow ") + std::string(ohmglow::kVersion));
  program.require_subcommand(1);
  program.get_formatter()->column_width(36);
  program.footer(
      "Exit codes: 0 done; 1 done, some inputs could not be measured; 2 wrong usage;\n"
      "3 nothing could be done; 4 the band of --fail-at was reached.");
  int exit_code = kDone;
  add_assess(program, exit_code);
  add_calibration(program, exit_code);
  add_carry(program, exit_code);
  add_check(program, exit_code);
  add_demo(program, exit_code);
  add_emissivity(program, exit_code);
  add_look(program, exit_code);
  add_mark(program, exit_code);
  add_merge(program, exit_code);
  add_propose(program, exit_code);
  add_readings(program, exit_code);
  add_rotor(program, exit_code);
  add_recheck(program, exit_code);
  add_serve(program, exit_code);
  add_sign(program, exit_code);
  add_start(program, exit_code);
  add_verify(program, exit_code);
  add_accept(program, exit_code);
  try {
    program.parse(argc, argv);
  } catch (const CLI::Success& request) {
    return program.exit(request);
  } catch (const CLI::ParseError& error) {
    tell("{}\n(command line: {})\nSee ohmglow --help, or --help after a command.\n", error.what(),
         echo(argc, argv));
    return kWrongUsage;
  }
  return exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace ohmglow::cli;
  occupy_standard_streams();
  int exit_code = kNothingDone;
  try {
    exit_code = run(argc, argv);
  } catch (const std::bad_alloc&) {
    tell("ohmglow: there is not enough memory for this; give it more, or fewer --jobs\n");
  } catch (const std::exception& bug) {
    tell("ohmglow: internal error: {}\n", bug.what());
  }
  if (!was_heard() && (exit_code == kDone || exit_code == kSomeNotMeasured)) return kNothingDone;
  return exit_code;
}
