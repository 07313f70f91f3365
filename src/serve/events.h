#pragma once
/// What happens while pages are open, for all who listen.

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow::serve {

class Events {
 public:
  /// As many as may listen at once: each holds a thread of the server.
  static constexpr int kMostListeners = 16;

  /// Tells everybody; `data` is JSON of one line.
  void tell(std::string_view name, std::string_view data);
  /// The same of how far the measuring is, yet at most a few times a second unless `at_once`.
  void tell_progress(std::string data, bool at_once = false);
  /// Sends every listener away.
  void close();

  /// A listener's place among the events; the place is given back with it. Absent where too many
  /// listen or the end has come.
  class Listener {
   public:
    explicit Listener(Events& events) : events_(events) {}
    Listener(const Listener&) = delete;
    Listener& operator=(const Listener&) = delete;
    ~Listener();
    /// The events since the last call as text/event-stream; a comment after `longest` without any.
    /// Absent when the end has come.
    [[nodiscard]] std::optional<std::string> wait(std::chrono::milliseconds longest);

   private:
    Events& events_;
    std::uint64_t next_ = 0;
    bool begun_ = false;
  };
  [[nodiscard]] std::shared_ptr<Listener> listen();

 private:
  struct Event {
    std::uint64_t number;
    std::string text;
  };
  void add(std::string_view name, std::string_view data);

  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<Event> recent_;
  std::uint64_t count_ = 0;
  int listeners_ = 0;
  bool closed_ = false;
  std::string progress_;  ///< the last one, told to those who come later
  std::chrono::steady_clock::time_point progress_told_;
};

}  // namespace ohmglow::serve
