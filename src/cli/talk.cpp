#include "cli/commands.h"

#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

namespace ohmglow::cli {

void complain(std::string_view command, const Error& error) {
  fmt::print(stderr, "ohmglow {}: {}\n", command, sentence_with_place(error));
}

void list_problems(std::string_view command, const std::vector<Problem>& problems) {
  for (const Problem& problem : problems) {
    Error error{ErrorKind::invalid_value, problem.message};
    error.place = Place{problem.file, problem.row, problem.column, std::nullopt};
    complain(command, error);
  }
}

bool is_terminal(int descriptor) {
  return isatty(descriptor) == 1;
}

bool wants_colour(int descriptor) {
  const char* refused = std::getenv("NO_COLOR");
  return is_terminal(descriptor) && (refused == nullptr || *refused == '\0');
}

int terminal_width() {
  constexpr int kDefault = 100;
  constexpr int kLeast = 60;
  winsize size{};
  if (!is_terminal(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0) return kDefault;
  return size.ws_col == 0 ? kDefault : std::max<int>(size.ws_col, kLeast);
}

std::chrono::sys_days today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return std::chrono::year(local.tm_year + 1900) / std::chrono::month(local.tm_mon + 1) /
         std::chrono::day(local.tm_mday);
}

std::chrono::sys_days day_option(const std::string& option, const std::string& value) {
  const auto moment = Moment::parse(value);
  if (!moment)
    throw CLI::ValidationError(option, "found \"" + value + "\", expected a day like 2026-03-04");
  return moment->day;
}

}  // namespace ohmglow::cli
