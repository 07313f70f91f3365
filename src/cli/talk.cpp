#include "cli/talk.h"

#include "cli/commands.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <fcntl.h>
#include <iostream>
#include <span>
#include <sys/ioctl.h>
#include <unistd.h>

namespace ohmglow::cli {

namespace {

/// Why the first text did not arrive on stdout.
int& unheard_errno() {
  static int number = 0;
  return number;
}

void note_if(bool failed) {
  if (failed && unheard_errno() == 0) unheard_errno() = errno == 0 ? EIO : errno;
}

}  // namespace

void print_whole(std::string_view text) {
  errno = 0;
  note_if(std::fwrite(text.data(), 1, text.size(), stdout) != text.size());
}

void tell_text(std::string_view text) {
  static_cast<void>(std::fwrite(text.data(), 1, text.size(), stderr));
}

void occupy_standard_streams() {
  // What is said on stdout must be missed: there it is a file that cannot be written to.
  constexpr std::array kModes{O_RDONLY, O_RDONLY, O_WRONLY};
  for (int number = 0; number < static_cast<int>(kModes.size()); ++number) {
    if (::fcntl(number, F_GETFD) != -1) continue;
    // The lowest free number is the one that is missing.
    static_cast<void>(::open("/dev/null", kModes.at(static_cast<std::size_t>(number))));
  }
}

bool was_heard() {
  errno = 0;
  std::cout.flush();
  note_if(std::fflush(stdout) != 0 || std::ferror(stdout) != 0);
  if (unheard_errno() == 0) return true;
  tell(
      "ohmglow: what was to be printed could not be written: {}; print it to a file that has room "
      "for it\n",
      std::strerror(unheard_errno()));
  return false;
}

void complain(std::string_view command, const Error& error) {
  tell("ohmglow {}: {}\n", command, sentence_with_place(error));
}

void list_problems(std::string_view command, const std::vector<Problem>& problems) {
  constexpr std::size_t kMostListed = 1000;  // the files have all of them
  for (const Problem& problem : std::span(problems).first(std::min(problems.size(), kMostListed))) {
    Error error{ErrorKind::invalid_value, problem.message};
    error.place = Place{problem.file, problem.row, problem.column, std::nullopt};
    complain(command, error);
  }
  if (problems.size() > kMostListed) {
    tell("ohmglow {}: and {} more of these lines\n", command, problems.size() - kMostListed);
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

std::tm local_time(std::time_t time) {
  std::tm local{};
  localtime_r(&time, &local);
  return local;
}

std::chrono::sys_days today() {
  const std::tm local = local_time(std::time(nullptr));
  return std::chrono::year(local.tm_year + 1900) / std::chrono::month(local.tm_mon + 1) /
         std::chrono::day(local.tm_mday);
}

std::chrono::sys_days day_option(const std::string& option, const std::string& value) {
  const auto moment = Moment::parse(value);
  if (!moment)
    throw CLI::ValidationError(
        option, "found \"" + value + "\", expected a day like 2026-03-04, from 1900 to 2199");
  return moment->day;
}

}  // namespace ohmglow::cli
