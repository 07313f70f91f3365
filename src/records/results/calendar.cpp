// RFC 5545, iCalendar. Written here and not by libical: that one brings ICU along, and a task is
// nine lines of text with one rule of escaping and one of folding. Nothing was measured.
#include "offered/results/work_orders.h"
#include "offered/vocabulary/utf8.h"
#include "ohmglow/reader.h"
#include "ohmglow/version.h"
#include "records/files/json_text.h"
#include "records/results/findings_parts.h"

#include <fmt/format.h>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;

/// Octets of a line, its end not counted (RFC 5545, 3.1).
constexpr std::size_t kLongestLine = 75;

/// A content line, folded between characters.
std::string line(std::string_view name, std::string_view value) {
  std::string rest = std::string(name) + ":" + std::string(value);
  std::string text;
  std::size_t room = kLongestLine;
  while (rest.size() > room) {
    const std::string_view first = whole_characters(rest, room);
    text.append(first).append("\r\n ");
    rest.erase(0, first.size());
    room = kLongestLine - 1;
  }
  return text + rest + "\r\n";
}

/// A value of type TEXT (3.3.11) of sound UTF-8; control characters are not allowed in one, and
/// what turns the direction of a text would turn the lines around it.
std::string escaped(std::string_view value) {
  std::string text;
  while (!value.empty()) {
    const Character c = first_character(value);
    const std::string_view bytes = value.substr(0, c.bytes);
    if (c.code == '\\' || c.code == ';' || c.code == ',') {
      text.append("\\").append(bytes);
    } else if (c.code == '\n') {
      text += "\\n";
    } else if (c.code == '\t') {
      text += ' ';
    } else if (!is_control(c)) {
      text += bytes;
    }
    value.remove_prefix(c.bytes);
  }
  return text;
}

std::string text_line(std::string_view name, std::string_view value) {
  return value.empty() ? std::string() : line(name, escaped(utf8(value)));
}

std::string day(std::chrono::sys_days date) {
  std::string text = date_text(date);
  std::erase(text, '-');
  return text;
}

std::string description_of(const Assessment& assessment, const WorkOrder& order,
                           const Finding& finding) {
  std::string text = written(finding.action);
  if (!finding.next_step.empty()) text.append("\n").append(written(finding.next_step));
  text += '\n';
  text +=
      say("Found on {} by the policy {}.", date_text(order.found_on), tr(assessment.policy.title));
  if (order.rule) {
    text += ' ';
    text += say("Due {} after that ({}).",
                say(order.rule->days == 1 ? msg("{} day") : msg("{} days"), order.rule->days),
                tr(order.rule->source));
  }
  for (const Sentence& caution : finding.cautions) text.append("\n").append(written(caution));
  return text;
}

std::string task(const Assessment& assessment, const WorkOrder& order) {
  const Finding& finding = assessment.findings.at(order.findings.front());
  std::string text = line("BEGIN", "VTODO");
  text += line("UID", order.id);
  text += line("DTSTAMP", day(assessment.options.as_of) + "T000000Z");
  if (order.due) text += line("DUE;VALUE=DATE", day(*order.due));
  text += text_line("SUMMARY", order.summary);
  text += text_line("DESCRIPTION", description_of(assessment, order, finding));
  text += text_line("LOCATION", assessment.survey.site);
  text += text_line("CATEGORIES", assessment.band_id(finding.grade));
  text += line("PRIORITY", std::to_string(order.priority));
  text += line("STATUS", "NEEDS-ACTION");
  return text + line("END", "VTODO");
}

}  // namespace

std::string work_orders_ics(const Assessment& assessment, const std::vector<WorkOrder>& orders) {
  std::string text = line("BEGIN", "VCALENDAR") + line("VERSION", "2.0") +
                     line("PRODID", fmt::format("-//ohmglow//ohmglow {}//EN", kVersion)) +
                     line("CALSCALE", "GREGORIAN");
  for (const WorkOrder& order : orders) text += task(assessment, order);
  return text + line("END", "VCALENDAR");
}

}  // namespace ohmglow::records
