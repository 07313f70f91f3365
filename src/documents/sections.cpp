#include "sections.h"

#include "certificate_parts.h"
#include "figures.h"
#include "listing.h"
#include "ohmglow/reader.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <functional>
#include <memory>

namespace ohmglow::documents {
namespace {

constexpr double kTitle = 17;
constexpr double kLabelShare = 0.26;

Block tallies_block(const Pages& pages, const std::vector<report::Tally>& tallies) {
  constexpr double kNumber = 17;
  constexpr double kBoxGap = 6;
  constexpr double kHeight = 48;
  const std::size_t count = std::max<std::size_t>(tallies.size(), 1);
  const double width =
      (pages.width() - kBoxGap * static_cast<double>(count - 1)) / static_cast<double>(count);
  return {kHeight, 8, false, "L", [=, &tallies](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            for (const report::Tally& tally : tallies) {
              const Tagged item(on, "LI");
              cairo_t* cr = on.cr();
              const Tone colour = tone_of_level(tally.level);
              cairo_rectangle(cr, x, y, width, kHeight);
              set_tone(cr, tally.level > 0 ? tint(colour, 0.1) : Tone{0.97, 0.97, 0.965});
              cairo_fill(cr);
              cairo_rectangle(cr, x, y, std::max(1.2, 1.5 * tally.level), kHeight);
              set_tone(cr, colour);
              cairo_fill(cr);
              Paragraph(on.letters(), std::to_string(tally.count), width - 14,
                        Style{.size = kNumber, .bold = true})
                  .draw(cr, x + 10, y + 3);
              Paragraph(on.letters(), tally.what, width - 13,
                        Style{.size = 6.8, .tone = tone("muted"), .most_lines = 3})
                  .draw(cr, x + 10, y + 23);
              x += width + kBoxGap;
            }
          }};
}

Block framed_block(const Pages& pages, const std::string& title,
                   const std::vector<std::string>& items) {
  constexpr double kPadding = 6;
  const double inner = pages.width() - 2 * kPadding;
  Blocks lines;
  add_text(lines, pages, title, inner, Style{.size = kBody, .bold = true}, 0, 0);
  for (const std::string& item : items) {
    add_text(lines, pages, item, inner, Style{.size = kSmall}, 0, 1);
  }
  double height = 2 * kPadding;
  for (const Block& line : lines) height += line.before + line.height;
  return {height, 9, false, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            cairo_rectangle(on.cr(), x + 0.75, y + 0.75, on.width() - 1.5, height - 1.5);
            set_tone(on.cr(), tone_of_level(4));
            cairo_set_line_width(on.cr(), 1.5);
            cairo_stroke(on.cr());
            double at = y + kPadding;
            for (const Block& line : lines) {
              at += line.before;
              line.draw(on, x + kPadding, at);
              at += line.height;
            }
          }};
}

void add_facts(Blocks& blocks, const Pages& pages, const std::vector<report::Fact>& facts) {
  for (const report::Fact& fact : facts) {
    add_fact(blocks, pages, fact.label, fact.value, pages.width(), pages.width() * kLabelShare);
  }
}

// From a title to its page.
void draw_dots(cairo_t* cr, double from, double to, double y) {
  const double dash[] = {0.01, 3};
  set_tone(cr, tone("muted"));
  cairo_set_line_width(cr, 0.8);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_dash(cr, dash, 2, 0);
  cairo_move_to(cr, from, y);
  cairo_line_to(cr, to, y);
  cairo_stroke(cr);
  cairo_set_dash(cr, nullptr, 0, 0);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
}

struct Part {
  std::string_view title;
  const char* anchor;
  bool only_in_full = false;
};
constexpr std::array kParts{Part{msg("Ranked list"), "ranked"},
                            Part{msg("Findings, one by one"), "findings"},
                            Part{msg("Not judged"), "not-judged"},
                            Part{msg("Warm and even"), "warm-even"},
                            Part{msg("Not inspected or not measurable"), "not-measured"},
                            Part{msg("Scope and summary"), "scope"},
                            Part{msg("Rules and sources"), "rules"},
                            Part{msg("Problems"), "problems"},
                            Part{msg("Evidence"), "evidence", true},
                            Part{msg("Even connections"), "others", true},
                            Part{msg("Readings of the motors"), "readings", true},
                            Part{msg("Parameters used"), "parameters", true},
                            Part{msg("Sign-off"), "sign-off"}};

// "Ranked list 2 · Findings 3 …": each part with the page it begins on, as a link.
void add_contents(Blocks& blocks, const Pages& pages, report::Detail detail) {
  constexpr double kColumnGap = 14;
  constexpr std::size_t kPartsAbreast = 3;
  std::vector<const Part*> there;
  for (const Part& part : kParts) {
    if (!part.only_in_full || detail == report::Detail::full) there.push_back(&part);
  }
  const double width = (pages.width() - kColumnGap * (kPartsAbreast - 1)) / kPartsAbreast;
  const Style style{.size = kSmall, .tone = tone("link")};
  const double height = Paragraph(pages.letters(), "X", width, style).height() + 2;
  for (std::size_t first = 0; first < there.size(); first += kPartsAbreast) {
    const std::vector<const Part*> row(
        there.begin() + static_cast<std::ptrdiff_t>(first),
        there.begin() + static_cast<std::ptrdiff_t>(std::min(first + kPartsAbreast, there.size())));
    blocks.push_back(
        {height, first == 0 ? 6.0 : 0.0, false, "L", [=](Pages& on, double x, double y) {
           if (on.is_dry()) return;
           for (const Part* part : row) {
             const Tagged item(on, "LI");
             const Tagged link(on, CAIRO_TAG_LINK, fmt::format("dest='{}'", part->anchor));
             const Paragraph title(on.letters(), tr(part->title), width - 24, style);
             Style right = style;
             right.right_aligned = true;
             title.draw(on.cr(), x, y);
             Paragraph(on.letters(), on.page_of(part->anchor), 24, right)
                 .draw(on.cr(), x + width - 24, y);
             draw_dots(on.cr(), x + title.width() + 4, x + width - 14, y + title.height() - 2.5);
             x += width + kColumnGap;
           }
         }});
  }
}

// A line of the answer: motor and page on the left, what to do on the right.
Block answer_block(const Pages& pages, const report::AnswerLine& line, int level) {
  constexpr double kBar = 9;
  constexpr double kPage = 26;
  constexpr double kToAction = 12;
  const double width = pages.width() - kBar - kPage;
  const double left = width * 0.44;
  std::string what = line.motor + (line.drives.empty() ? "" : ", " + line.drives);
  Style head{.size = kBody};
  head.bold_until = line.motor.size();
  head.most_lines = 2;
  const Paragraph who(pages.letters(), what, left, head);
  const Paragraph where(pages.letters(), line.where, left,
                        Style{.size = kSmall, .tone = tone("muted"), .most_lines = 3});
  const double right = width - left - kToAction;
  const Paragraph act(pages.letters(), line.action, right, Style{.size = kBody, .most_lines = 4});
  const Paragraph sure(pages.letters(), line.sure, right,
                       Style{.size = kSmall, .tone = tone("muted"), .most_lines = 2});
  const double height = std::max(who.height() + where.height(),
                                 act.height() + (line.sure.empty() ? 0 : sure.height())) +
                        5;
  const int rank = line.rank;
  const bool has_sure = !line.sure.empty();
  return {height, 0, false, "L", [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged item(on, "LI");
            cairo_t* cr = on.cr();
            cairo_rectangle(cr, x, y, std::max(1.0, 1.2 * level), height);
            set_tone(cr, tone_of_level(level));
            cairo_fill(cr);
            who.draw(cr, x + kBar, y + 1);
            where.draw(cr, x + kBar, y + 1 + who.height());
            act.draw(cr, x + kBar + left + kToAction, y + 1);
            if (has_sure) sure.draw(cr, x + kBar + left + kToAction, y + 1 + act.height());
            if (rank == 0) return;
            const std::string anchor = fmt::format("finding-{}", rank);
            const Tagged link(on, CAIRO_TAG_LINK, fmt::format("dest='{}'", anchor));
            Paragraph(on.letters(), say("p. {}", on.page_of(anchor)), kPage,
                      Style{.size = kSmall, .tone = tone("link"), .right_aligned = true})
                .draw(cr, x + on.width() - kPage, y + 1);
          }};
}

// What was not judged or seen takes a line: there is no page to lead to.
void add_unseen(Blocks& blocks, const Pages& pages, const report::AnswerLine& line) {
  Style style{.size = kSmall};
  style.bold_until = line.motor.size();
  add_text(blocks, pages, fmt::format("{} {}: {}", line.motor, line.where, line.action),
           pages.width(), style, 0, 1);
}

void add_answer(Blocks& blocks, const Pages& pages, const report::AnswerGroup& group) {
  const std::size_t count = group.lines.size() + group.more;
  add_heading(blocks, pages, fmt::format("{} ({})", group.title, count), pages.width(), 10.5, "H2");
  blocks.back().before = 8;
  if (group.lines.empty()) {
    add_text(blocks, pages, group.when_empty, pages.width(), Style{.tone = tone("muted")});
  }
  for (const report::AnswerLine& line : group.lines) {
    if (line.rank == 0) {
      add_unseen(blocks, pages, line);
    } else {
      blocks.push_back(answer_block(pages, line, group.level));
    }
  }
  if (group.more > 0) {
    const bool is_seen = group.lines.front().rank > 0;
    add_text(blocks, pages,
             say("… and {} more: page {}", group.more,
                 pages.page_of(is_seen ? "ranked" : "not-measured")),
             pages.width(), Style{.tone = tone("muted")});
  }
}

}  // namespace

void begin_section(Pages& pages, const std::string& title, const std::string& anchor,
                   bool on_new_page) {
  constexpr double kRoomNeeded = 110;  // below which a section had better begin on the next page
  if (on_new_page ? !pages.page_is_empty() : pages.y + kRoomNeeded > pages.bottom()) {
    pages.new_page();
  }
  if (!pages.page_is_empty()) pages.y += 16;
  pages.anchor(anchor);
  pages.bookmark(0, title, anchor);
  Blocks blocks;
  add_heading(blocks, pages, title, pages.width(), kHeading, "H1");
  flow(pages, std::move(blocks));
}

void answer(Pages& pages, const Document& of) {
  pages.anchor("answer");
  pages.bookmark(0, tr("What to do"), "answer");
  Blocks blocks;
  std::string line = tr("Motor connections, thermal and electrical");
  if (!of.contents.surveyed.empty()) {
    line += " · " + say("surveyed {}", of.contents.surveyed);
  }
  add_heading(blocks, pages, of.contents.site, pages.width(), kTitle, "H1");
  blocks.back().keeps_next = false;
  add_text(blocks, pages, line, pages.width(), Style{.tone = tone("muted")}, 0, 0);
  for (const report::AnswerGroup& group : of.contents.answer) add_answer(blocks, pages, group);
  blocks.push_back(
      framed_block(pages, tr("Before anyone opens an enclosure"), of.contents.cautions));
  flow(pages, std::move(blocks));
  pages.new_page();
  Blocks parts;
  add_contents(parts, pages, of.extras.detail);
  flow(pages, std::move(parts));
}

static void summary(Pages& pages, const report::Contents& contents, report::Detail detail) {
  begin_section(pages, tr("Scope and summary"), "scope", false);
  Blocks blocks;
  blocks.push_back(tallies_block(pages, contents.tallies));
  blocks.push_back({0, 8, false, nullptr, [](Pages&, double, double) {}});
  add_facts(blocks, pages, contents.scope);
  flow(pages, std::move(blocks));
  if (detail == report::Detail::full) {
    pages.y += 10;
    flow_listing(pages, contents.by_component);
  }
  begin_section(pages, tr("Rules and sources"), "rules", false);
  Blocks rules;
  add_facts(rules, pages, contents.facts);
  flow(pages, std::move(rules));
}

void ranked_list(Pages& pages, const report::Contents& contents) {
  begin_section(pages, tr("Ranked list"), "ranked", false);
  // On paper a link is a page number.
  report::Listing list = contents.ranked;
  list.columns.push_back({tr("Page"), 0.5, true});
  for (auto& row : list.rows) {
    const int rank = row.front().finding;
    row.push_back({pages.page_of(fmt::format("finding-{}", rank)), 0, rank});
  }
  flow_listing(pages, list);
  begin_section(pages, tr("Not judged"), "not-judged", false);
  flow_listing(pages, contents.not_judged);
}

namespace {

// Each finding by rank, whatever the survey's size.
Result<void> for_each_finding(
    const Document& of,
    const std::function<void(const Source&, const diagnosis::Finding&)>& do_with) {
  for (std::size_t first = 0; first < of.survey.findings; first += report::kFindingsOnAPage) {
    const auto some = of.survey.findings_page(first, report::kFindingsOnAPage);
    if (!some) return fail(some.error());
    const report::Lookup lookup(*some);
    const Source source{*some, lookup, of.open_image, of.extras};
    for (const diagnosis::Finding& finding : some->findings) do_with(source, finding);
  }
  return {};
}

}  // namespace

Result<void> findings(Pages& pages, const Document& of) {
  // The bookmark of all findings leads to the first; with none there is a page that says so.
  if (of.survey.findings == 0) {
    begin_section(pages, tr("Findings, one by one"), "findings", false);
    Blocks blocks;
    add_text(blocks, pages, tr("No lug and no reading reaches a band."), pages.width(), Style{});
    flow(pages, std::move(blocks));
    return {};
  }
  int parent = 0;
  auto written = for_each_finding(of, [&](const Source& source, const diagnosis::Finding& finding) {
    if (!finding.leads_case) return;
    pages.chapter = say("finding {}", finding.case_number);
    pages.new_page();
    if (finding.rank == 1) {
      pages.anchor("findings");
      parent = pages.bookmark(0, tr("Findings, one by one"), "findings");
    }
    finding_page(pages, source, finding, parent);
  });
  pages.chapter.clear();
  return written;
}

Result<void> evidence(Pages& pages, const Document& of) {
  begin_section(pages, tr("Evidence"), "evidence", true);
  return for_each_finding(of, [&pages](const Source& source, const diagnosis::Finding& finding) {
    evidence_of(pages, source, finding);
  });
}

namespace {

// A group of images, and below them what they were measured with: the names of a whole route would
// not fit into a column.
void parameters(Pages& pages, const report::Listing& listing) {
  Blocks blocks;
  const double width = pages.width();
  if (listing.rows.empty())
    add_text(blocks, pages, listing.when_empty, width, Style{});
  else
    add_text(blocks, pages, listing.caption, width, Style{.size = kSmall, .tone = tone("muted")});
  for (const auto& row : listing.rows) {
    add_text(blocks, pages, row.front().text, width, Style{.size = kSmall, .bold = true}, 0, 7);
    std::string words;
    for (std::size_t i = 1; i < row.size(); ++i) {
      words += fmt::format("{}{}: {}", words.empty() ? "" : " · ", listing.columns[i].title,
                           row[i].text);
    }
    add_text(blocks, pages, words + ".", width, Style{.size = kSmall}, 0, 1);
  }
  flow(pages, std::move(blocks));
}

}  // namespace

void beside_the_findings(Pages& pages, const Document& of) {
  begin_section(pages, tr("Warm and even"), "warm-even", true);
  flow_listing(pages, of.contents.warm_even);
  begin_section(pages, tr("Not inspected or not measurable"), "not-measured", false);
  flow_listing(pages, of.contents.not_covered);
  summary(pages, of.contents, of.extras.detail);
  begin_section(pages, tr("Problems"), "problems", false);
  flow_listing(pages, of.contents.problems);
}

namespace {

void add_rotor(Blocks& blocks, const Pages& pages, const report::RotorShown& shown) {
  const double width = pages.width();
  add_text(blocks, pages, shown.title, width, Style{.bold = true}, 0, 10);
  blocks.back().keeps_next = true;
  add_text(blocks, pages, shown.result, width, Style{});
  blocks.back().keeps_next = true;
  if (!shown.drawing.items.empty()) {
    const double drawn = std::min(width, shown.drawing.width * 0.72);
    const double height = drawn * shown.drawing.height / shown.drawing.width;
    auto drawing = std::make_shared<report::Drawing>(shown.drawing);
    blocks.push_back({height, 4, true, nullptr, [=](Pages& on, double x, double y) {
                        draw_drawing(on, *drawing, {x, y, drawn, height});
                      }});
  }
  for (const std::string& line : shown.numbers) {
    add_item(blocks, pages, "\u2022", line, width);
  }
  if (!shown.open.empty()) {
    add_text(blocks, pages, tr("What this leaves open:"), width, Style{.size = kSmall});
    for (const std::string& open : shown.open) {
      add_item(blocks, pages, "\u2022", open, width);
    }
  }
  if (!shown.next.empty()) {
    add_text(blocks, pages, say("Next test: {}", shown.next), width, Style{});
  }
}

}  // namespace

void rotor_section(Pages& pages, const std::string& title,
                   const std::vector<report::RotorShown>& rotors) {
  if (rotors.empty()) return;
  begin_section(pages, title, "rotor", true);
  Blocks blocks;
  for (const report::RotorShown& shown : rotors) add_rotor(blocks, pages, shown);
  flow(pages, std::move(blocks));
}

void appendices(Pages& pages, const report::Contents& contents) {
  begin_section(pages, tr("Even connections"), "others", true);
  flow_listing(pages, contents.even);
  begin_section(pages, tr("Readings of the motors"), "readings", false);
  flow_listing(pages, contents.readings);
  if (!contents.stretches.rows.empty()) {
    pages.y += 8;
    flow_listing(pages, contents.stretches);
  }
  begin_section(pages, tr("Parameters used"), "parameters", false);
  parameters(pages, contents.parameters);
}

namespace {

// To write on by hand.
Block empty_lines(const Pages& pages) {
  constexpr int kLines = 2;
  constexpr double kSpacing = 15;
  const double width = pages.width();
  return {kLines * kSpacing, 4, false, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            set_tone(on.cr(), tone("muted"));
            cairo_set_line_width(on.cr(), 0.5);
            for (int i = 1; i <= kLines; ++i) {
              cairo_move_to(on.cr(), x, y + i * kSpacing);
              cairo_rel_line_to(on.cr(), width, 0);
              cairo_stroke(on.cr());
            }
          }};
}

}  // namespace

void sign_off(Pages& pages, const Document& of) {
  constexpr double kRoomNeeded = 205;
  begin_section(pages, tr("Sign-off"), "sign-off", pages.y + kRoomNeeded > pages.bottom());
  Blocks blocks;
  add_text(
      blocks, pages,
      tr("What was not inspected for reasons that the survey does not hold, to be filled in by "
         "hand:"),
      pages.width(), Style{});
  blocks.push_back(empty_lines(pages));
  for (const std::string& who : of.contents.signs) {
    add_sign_line(blocks, pages, who);
  }
  if (!of.extras.findings_sha256.empty()) {
    add_text(blocks, pages,
             say("SHA-256 of findings.json, which holds every number of this report: {}",
                 of.extras.findings_sha256),
             pages.width(), Style{.size = kFine}, 0, 2);
  }
  flow(pages, std::move(blocks));
}

}  // namespace ohmglow::documents
