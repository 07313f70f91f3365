#pragma once
/// What the certificate of an acceptance says, before it is laid out: the same words on a terminal,
/// on a page and in a PDF.

#include "offered/report/report.h"
#include "offered/report/report_contents.h"
#include "ohmglow/acceptance.h"

#include <span>
#include <string>
#include <vector>

namespace ohmglow::report {

struct AcceptanceSource {
  const acceptance::Acceptance& acceptance;
  const acceptance::Limits& limits;
  const diagnosis::Assessment& survey;
};

struct AcceptanceContents {
  std::string site;
  std::string title;       ///< "BC-07: acceptance after repair"
  std::string conclusion;  ///< "Do not accept."
  int level = 0;           ///< 0 accept, 2 conditions, 4 do not accept
  std::string counted;     ///< "3 of 7 checks fail; 1 is open."
  std::vector<Fact> facts;
  std::vector<std::string> failed;  ///< what is out, by how much, what it may cost
  std::vector<std::string> open;    ///< what has to be done before it can be accepted
  std::string cost;                 ///< of what failed; empty: no figure was given
  Listing checks;
  Listing sources;  ///< of the limits, with how well each is known
  std::vector<RotorShown> rotors;
  std::vector<std::string> rules;
  std::vector<std::string> cautions;
  Listing problems;
  std::vector<std::string> signs;
};
[[nodiscard]] AcceptanceContents acceptance_contents(const AcceptanceSource& source);

/// For a terminal.
[[nodiscard]] std::string acceptance_text(const AcceptanceSource& source,
                                          const TextOptions& options);
inline constexpr std::string_view kAcceptanceFile = "acceptance.html";
/// One self-contained page.
[[nodiscard]] Result<std::string> acceptance_html(const AcceptanceSource& source);

/// The lines of two checks of one motor beside each other.
[[nodiscard]] Listing acceptance_changes(const acceptance::Acceptance& before,
                                         const acceptance::Acceptance& after);
/// The same for a terminal, motor by motor.
[[nodiscard]] std::string acceptance_changes_text(std::span<const acceptance::Compared> shops,
                                                  const TextOptions& options);

}  // namespace ohmglow::report
