#include "cli/ending.h"

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdint>
#include <poll.h>
#include <sys/eventfd.h>
#include <unistd.h>

namespace ohmglow::cli {
namespace {

constexpr std::array kSignals{SIGINT, SIGTERM, SIGHUP};

/// What the handler writes to. A handler, since libraries start threads before anyone can block the
/// signals for them (OpenBLAS does when it is loaded), and any thread may be the one that is told.
std::atomic<int> told_to = -1;
static_assert(std::atomic<int>::is_always_lock_free);

void end_politely(int) {
  const int before = errno;
  const std::uint64_t one = 1;
  static_cast<void>(!::write(told_to, &one, sizeof one));
  errno = before;
}

/// Whoever starts the program with nohup(1) has it outlive the terminal.
bool outlives_the_terminal() {
  struct sigaction now = {};
  return ::sigaction(SIGHUP, nullptr, &now) == 0 && now.sa_handler == SIG_IGN;
}

void handle(void (*handler)(int)) {
  struct sigaction action = {};
  action.sa_handler = handler;
  action.sa_flags = SA_RESTART;
  const bool outlives = outlives_the_terminal();
  for (const int signal : kSignals) {
    if (signal != SIGHUP || !outlives) ::sigaction(signal, &action, nullptr);
  }
}

}  // namespace

Ending::Ending() : descriptor_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
  if (descriptor_ < 0) return;
  told_to = descriptor_;
  handle(end_politely);
}

Ending::~Ending() {
  if (descriptor_ < 0) return;
  handle(SIG_DFL);
  ::close(descriptor_);
}

void Ending::wait() const {
  pollfd told{descriptor_, POLLIN, 0};
  while (::poll(&told, 1, -1) < 0 && errno == EINTR) {
  }
}

}  // namespace ohmglow::cli
