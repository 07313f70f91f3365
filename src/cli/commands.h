#pragma once
/// One file a command. Each adds itself to the program and, when chosen, sets the exit code.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <CLI/CLI.hpp>
#include <chrono>
#include <ctime>
#include <string_view>

namespace ohmglow::cli {

/// What scripts may rely on.
enum ExitCode : int {
  kDone = 0,
  kSomeNotMeasured = 1,  ///< done, but some inputs could not be used; they are listed
  kWrongUsage = 2,
  kNothingDone = 3,
  kFailAtReached = 4,
};

void add_assess(CLI::App& program, int& exit_code);
void add_calibration(CLI::App& program, int& exit_code);
void add_carry(CLI::App& program, int& exit_code);
void add_check(CLI::App& program, int& exit_code);
void add_demo(CLI::App& program, int& exit_code);
void add_emissivity(CLI::App& program, int& exit_code);
void add_look(CLI::App& program, int& exit_code);
void add_mark(CLI::App& program, int& exit_code);
void add_merge(CLI::App& program, int& exit_code);
void add_propose(CLI::App& program, int& exit_code);
void add_readings(CLI::App& program, int& exit_code);
void add_recheck(CLI::App& program, int& exit_code);
void add_rotor(CLI::App& program, int& exit_code);
void add_serve(CLI::App& program, int& exit_code);
void add_sign(CLI::App& program, int& exit_code);
void add_start(CLI::App& program, int& exit_code);
void add_verify(CLI::App& program, int& exit_code);
void add_accept(CLI::App& program, int& exit_code);

/// "ohmglow assess: what went wrong" on stderr.
void complain(std::string_view command, const Error& error);
/// One line a problem on stderr.
void list_problems(std::string_view command, const std::vector<Problem>& problems);

/// Whether colour and a drawn progress bar suit the stream (a terminal, and no NO_COLOR for
/// colour).
[[nodiscard]] bool is_terminal(int descriptor);
[[nodiscard]] bool wants_colour(int descriptor);
/// Columns of the terminal on stdout; 100 where it is none.
[[nodiscard]] int terminal_width();

/// A moment by the machine's local clock.
[[nodiscard]] std::tm local_time(std::time_t time);
/// Today by that clock.
[[nodiscard]] std::chrono::sys_days today();

/// A day written as 2026-03-04; otherwise a usage error that names the option.
[[nodiscard]] std::chrono::sys_days day_option(const std::string& option, const std::string& value);

}  // namespace ohmglow::cli
