#pragma once
/// The local web server: a survey looked at, marked and decided on in a browser. A part of the
/// program that is opened when it is needed (cmake/parts.cmake).

#include "offered/editing/new_survey.h"
#include "offered/marking/sight.h"
#include "offered/results/kept_results.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/imaging.h"
#include "ohmglow/result.h"

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::serve {

/// Hears how many findings are drawn; says no where the report is given up.
using GoOn = std::function<bool(std::size_t drawn, std::size_t total)>;

/// Where a report goes, and what of.
struct Order {
  std::string folder;
  std::vector<std::size_t> ranks = {};           ///< of the findings it is about; empty: all
  std::function<bool(std::size_t drawn)> go_on;  ///< after so many more findings
};

/// A report that the page offers to save: what `assess --format` writes.
struct Format {
  std::string name;          ///< "html"
  std::string file;          ///< "report.html"
  bool takes_ranks = false;  ///< can be about some of the findings alone
  /// The files written into the folder; a large report leads to pages beside its first.
  std::function<Result<std::vector<std::string>>(const records::KeptResults&, const Order&)> write;
};

struct Settings {
  std::string folder;  ///< of the survey
  std::string policy;  ///< name or file; empty: the survey's own
  diagnosis::Options judging;
  unsigned jobs = 0;  ///< threads that measure; 0 = all cores
  imaging::ReadLimits limits = {};
  std::vector<std::string> earlier;  ///< folders of older surveys of the same motors
  std::vector<Format> formats;
  marking::OpenSight open_sight;
  records::LocalTime local_time;  ///< dates images that do not tell when they were taken
  std::string address = "127.0.0.1";
  int port = 0;             ///< 0: any that is free
  std::string token;        ///< that callers must show; empty: none is asked for
  std::string certificate;  ///< file, PEM; empty: no TLS
  std::string key;          ///< file, PEM
};

/// Whether an address is this machine's own: 127.0.0.0/8, ::1 or localhost.
[[nodiscard]] bool is_loopback(std::string_view address);

/// Names the first setting that is not safe to serve with: an address that others can reach without
/// a token and TLS, a token that is short enough to be guessed, one TLS file without the other.
[[nodiscard]] std::optional<Error> unsafe(const Settings& settings);

/// A server at work. Threads of its own answer; whoever holds it decides when it ends.
class Server {
 public:
  Server() = default;
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  virtual ~Server() = default;

  /// What to open in a browser, without the token: "http://127.0.0.1:40123/".
  [[nodiscard]] virtual std::string url() const = 0;
  /// Whether this build holds the page; the API is there in any case.
  [[nodiscard]] virtual bool has_page() const = 0;
  /// Takes no more requests, lets those under way finish, and comes back when all is quiet.
  virtual void stop() = 0;
};

/// Reads the survey, binds the port, begins to answer and to measure. Errors: whatever is wrong
/// with the survey folder or policy; unsafe(); a port or certificate that cannot be used.
[[nodiscard]] Result<std::unique_ptr<Server>> start(Settings settings);

/// What the program asks the part for.
struct Part {
  std::string_view version;
  Result<std::unique_ptr<Server>> (*start)(Settings);
};

}  // namespace ohmglow::serve
