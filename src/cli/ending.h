#pragma once
/// The polite end of a command that runs until it is told to.

namespace ohmglow::cli {

/// While it lives, SIGINT (Ctrl+C), SIGTERM and SIGHUP do not end the program but can be waited
/// for. One at a time. A SIGHUP that is ignored, as under nohup(1), stays so.
class Ending {
 public:
  Ending();
  ~Ending();
  Ending(const Ending&) = delete;
  Ending& operator=(const Ending&) = delete;

  /// Becomes readable when one of them has come, and stays so. Negative: the system has none left,
  /// and the signals end the program as ever.
  [[nodiscard]] int descriptor() const { return descriptor_; }
  /// Until one has come.
  void wait() const;

 private:
  int descriptor_ = -1;
};

}  // namespace ohmglow::cli
