#include "serve/events.h"

#include <fmt/format.h>

namespace ohmglow::serve {
namespace {

/// More than a listener can miss while it writes the last ones.
constexpr std::size_t kRecent = 1000;
constexpr std::chrono::milliseconds kProgressPause{200};

std::string event_text(std::string_view name, std::string_view data) {
  return fmt::format("event: {}\ndata: {}\n\n", name, data);
}

}  // namespace

void Events::add(std::string_view name, std::string_view data) {
  recent_.push_back({count_++, event_text(name, data)});
  if (recent_.size() > kRecent) recent_.pop_front();
}

void Events::tell(std::string_view name, std::string_view data) {
  const std::lock_guard lock(mutex_);
  add(name, data);
  changed_.notify_all();
}

void Events::tell_progress(std::string data, bool at_once) {
  const std::lock_guard lock(mutex_);
  progress_ = std::move(data);
  const auto now = std::chrono::steady_clock::now();
  if (!at_once && now - progress_told_ < kProgressPause) return;
  progress_told_ = now;
  add("progress", progress_);
  changed_.notify_all();
}

void Events::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
  changed_.notify_all();
}

std::shared_ptr<Events::Listener> Events::listen() {
  const std::lock_guard lock(mutex_);
  if (closed_ || listeners_ >= kMostListeners) return nullptr;
  ++listeners_;
  return std::make_shared<Listener>(*this);
}

Events::Listener::~Listener() {
  const std::lock_guard lock(events_.mutex_);
  --events_.listeners_;
}

std::optional<std::string> Events::Listener::wait(std::chrono::milliseconds longest) {
  std::unique_lock lock(events_.mutex_);
  if (!begun_) {
    begun_ = true;
    next_ = events_.count_;
    return events_.progress_.empty() ? ": listening\n\n"
                                     : event_text("progress", events_.progress_);
  }
  events_.changed_.wait_for(lock, longest,
                            [this] { return events_.closed_ || events_.count_ > next_; });
  if (events_.closed_) return std::nullopt;
  std::string text;
  for (const Event& event : events_.recent_) {
    if (event.number >= next_) text += event.text;
  }
  next_ = events_.count_;
  return text.empty() ? ": still here\n\n" : text;
}

}  // namespace ohmglow::serve
