#include "certificate_parts.h"
#include "figures.h"
#include "flow.h"
#include "listing.h"
#include "offered/documents/documents.h"
#include "offered/report/shutdown_sheet.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

constexpr double kTick = 7;      ///< side of a box to tick
constexpr double kWriting = 17;  ///< height of a line to write on by hand

void tick_box(cairo_t* cr, double x, double y) {
  cairo_rectangle(cr, x + 0.5, y + 0.5, kTick, kTick);
  set_tone(cr, tone("ink"));
  cairo_set_line_width(cr, 0.8);
  cairo_stroke(cr);
}

void line_to_write_on(cairo_t* cr, double from, double to, double y) {
  set_tone(cr, tone("muted"));
  cairo_set_line_width(cr, 0.5);
  cairo_move_to(cr, from, y);
  cairo_line_to(cr, to, y);
  cairo_stroke(cr);
}

// Boxes with their words, side by side.
Block ticks_block(const Pages& pages, const std::vector<std::string>& steps) {
  const double each = pages.width() / static_cast<double>(steps.size());
  return {14, 4, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged p(on, "P");
            for (const std::string& step : steps) {
              tick_box(on.cr(), x, y + 2);
              Paragraph(on.letters(), step, each - kTick - 5,
                        Style{.size = kFine + 0.4, .most_lines = 1})
                  .draw(on.cr(), x + kTick + 3, y + 1);
              x += each;
            }
          }};
}

// "Winding resistance, mΩ   before A-B ____ B-C ____ C-A ____   after …"
Block test_block(const Pages& pages, const report::ShutdownTest& test) {
  constexpr double kTitleShare = 0.26;
  const double width = pages.width();
  return {kWriting, 1, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged p(on, "P");
            const Style style{.size = kSmall, .most_lines = 1};
            const double base = y + kWriting - 3;
            const double title = width * kTitleShare;
            Paragraph(on.letters(), test.title + ", " + test.unit, title - 4, style)
                .draw(on.cr(), x, y + 5);
            const double half = (width - title) / 2;
            double at = x + title;
            for (const std::string& when : {tr("before"), tr("after")}) {
              const Paragraph label(on.letters(), when, 40, Style{.size = kSmall, .bold = true});
              label.draw(on.cr(), at, y + 5);
              const double room = (half - 38) / static_cast<double>(test.of.size());
              double place = at + 36;
              for (const std::string& of : test.of) {
                const Paragraph name(on.letters(), of, room, style);
                name.draw(on.cr(), place, y + 5);
                line_to_write_on(on.cr(), place + name.width() + 3, place + room - 6, base);
                place += room;
              }
              at += half;
            }
          }};
}

struct Blank {
  std::string label;
  double share;
};
Block blanks_block(const Pages& pages, std::vector<Blank> blanks) {
  const double width = pages.width();
  return {kWriting, 1, false, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged p(on, "P");
            for (const Blank& blank : blanks) {
              const double room = blank.share * width;
              const Paragraph label(on.letters(), blank.label, room,
                                    Style{.size = kSmall, .most_lines = 1});
              label.draw(on.cr(), x, y + 5);
              line_to_write_on(on.cr(), x + label.width() + 4, x + room - 8, y + kWriting - 3);
              x += room;
            }
          }};
}

Block case_title(const Pages& pages, const report::ShutdownCase& each) {
  const double width = pages.width();
  const std::string name = fmt::format("{}  {}", each.number, each.motor);
  Style style{.size = kLead};
  style.bold_until = name.size();
  const Paragraph title(pages.letters(),
                        name + (each.drives.empty() ? "" : ", " + each.drives) + " — " + each.where,
                        width - 90, style);
  const Paragraph band(pages.letters(), each.band, 78,
                       Style{.size = kSmall, .bold = true, .most_lines = 1});
  const double height = title.height() + 3;
  const int level = each.level;
  return {height, 9, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            set_tone(on.cr(), tone("line"));
            cairo_set_line_width(on.cr(), 0.8);
            cairo_move_to(on.cr(), x, y - 3);
            cairo_rel_line_to(on.cr(), width, 0);
            cairo_stroke(on.cr());
            const Tagged heading(on, "H3");
            title.draw(on.cr(), x, y);
            draw_chip(on.cr(), x + width - chip_width(band), y + 1, band, level);
          }};
}

// What to bring; what is not known is left to write in.
Block needs_block(const Pages& pages, const report::ShutdownCase& each) {
  const auto known = [](const std::string& label, const std::string& value) {
    return value.empty() ? label : label + " " + value;
  };
  std::vector<Blank> needs{
      {known(tr("Crew:"), each.crew), 0.24},
      {known(tr("Parts:"), each.parts), 0.5},
      {known(tr("Torque, N·m:"), each.torque_nm ? decimals(*each.torque_nm, 0) : ""), 0.26}};
  Block block = blanks_block(pages, std::move(needs));
  block.keeps_next = true;
  return block;
}

void add_case(Blocks& blocks, const Pages& pages, const report::ShutdownSheet& sheet,
              const report::ShutdownCase& each) {
  blocks.push_back(case_title(pages, each));
  add_text(blocks, pages,
           each.action + (each.sure.empty() ? "" : " " + say("How sure: {}.", each.sure)),
           pages.width(), Style{}, 0, 1);
  blocks.back().keeps_next = true;
  blocks.push_back(needs_block(pages, each));
  blocks.push_back(ticks_block(pages, sheet.steps));
  for (const report::ShutdownTest& test : each.tests) blocks.push_back(test_block(pages, test));
  blocks.push_back(blanks_block(pages, {{tr("Found:"), 1}}));
  blocks.back().keeps_next = true;
  blocks.push_back(blanks_block(
      pages, {{tr("New image:"), 0.32}, {tr("Load, A:"), 0.2}, {tr("Done by, date:"), 0.48}}));
}

void compose_sheet(Pages& pages, const report::ShutdownSheet& sheet,
                   std::chrono::sys_days judged_as_of) {
  describe_document(pages, say("{}: shutdown sheet", sheet.site), judged_as_of);
  pages.new_page();
  const Tagged document(pages, "Document");
  Blocks blocks;
  add_heading(blocks, pages, say("{}: shutdown sheet", sheet.site), pages.width(), 15, "H1");
  blocks.back().keeps_next = false;
  for (const std::string& caution : sheet.cautions) {
    add_text(blocks, pages, caution, pages.width(), Style{.size = kFine + 0.4}, 0, 1);
  }
  if (sheet.groups.empty()) add_text(blocks, pages, sheet.when_empty, pages.width(), Style{}, 0, 8);
  for (const report::ShutdownGroup& group : sheet.groups) {
    std::string title = group.area.empty() ? tr("Area not recorded") : group.area;
    title += " · " + (group.lockout.empty() ? tr("lock out at: not recorded")
                                            : say("lock out at: {}", group.lockout));
    add_heading(blocks, pages, title, pages.width(), 11.5, "H2");
    if (group.crew_h > 0) {
      std::string hours = say("{} crew hours", decimals(group.crew_h, 1));
      if (group.without_h > 0) hours += ", " + say("without {} cases", group.without_h);
      add_text(blocks, pages, hours, pages.width(), Style{.size = kSmall, .tone = tone("muted")}, 0,
               0);
      blocks.back().keeps_next = true;
    }
    for (const report::ShutdownCase& each : group.cases) add_case(blocks, pages, sheet, each);
  }
  flow(pages, std::move(blocks));
}

}  // namespace

Result<std::string> shutdown_pdf(const diagnosis::Assessment& assessment, Paper paper,
                                 const Reader& reader) {
  const WritingFor writing_for(reader);
  const report::Lookup lookup(assessment);
  const report::ShutdownSheet sheet = report::shutdown_sheet(lookup);
  Running running{sheet.site, tr("Shutdown sheet"),
                  sheet.cautions.size() > 1 ? sheet.cautions[1] : ""};
  if (!sheet.surveyed.empty()) running.right += " · " + say("surveyed {}", sheet.surveyed);
  return printed_twice(
      paper, running, [&](Pages& pages) { compose_sheet(pages, sheet, assessment.options.as_of); });
}

}  // namespace ohmglow::documents
