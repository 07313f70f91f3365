#include "certificate_parts.h"
#include "listing.h"
#include "offered/report/acceptance_contents.h"
#include "ohmglow/reader.h"
#include "sections.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::documents {
namespace {

using report::AcceptanceContents;

constexpr double kAcceptanceTitle = 18;
constexpr double kAcceptanceLabelShare = 0.3;

Block conclusion_block(const Pages& pages, const AcceptanceContents& contents) {
  const Paragraph words(pages.letters(), contents.conclusion, pages.width() - 20,
                        Style{.size = 12, .bold = true, .most_lines = 1});
  const Paragraph counted(pages.letters(), contents.counted, pages.width(), Style{.size = 9});
  const int level = contents.level;
  return {words.height() + counted.height() + 14, 6, true, nullptr,
          [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            draw_chip(on.cr(), x, y, words, level);
            counted.draw(on.cr(), x, y + words.height() + 8);
          }};
}

void titled_lines(Pages& pages, const std::string& title, const std::vector<std::string>& lines) {
  if (lines.empty()) return;
  pages.y += 8;
  add_title(pages, title, kHeading, "H2");
  add_lines(pages, lines);
}

void acceptance_front(Pages& pages, const AcceptanceContents& contents) {
  add_title(pages, contents.title, kAcceptanceTitle, "H1");
  Blocks blocks;
  blocks.push_back(conclusion_block(pages, contents));
  for (const report::Fact& fact : contents.facts) {
    add_fact(blocks, pages, fact.label, fact.value, pages.width(),
             pages.width() * kAcceptanceLabelShare);
  }
  flow(pages, std::move(blocks));
  titled_lines(pages, tr("Out of limits"), contents.failed);
  if (!contents.cost.empty()) {
    add_lines(pages, {say("To put right what is out: {}, your figures", contents.cost)});
  }
  titled_lines(pages, tr("Open"), contents.open);
  pages.y += 8;
  flow_listing(pages, contents.checks);
}

void acceptance_back(Pages& pages, const AcceptanceContents& contents) {
  pages.y += 8;
  add_title(pages, tr("How it was judged"), kHeading, "H2");
  add_lines(pages, contents.rules);
  pages.y += 8;
  flow_listing(pages, contents.sources);
  if (!contents.problems.rows.empty()) {
    pages.y += 8;
    flow_listing(pages, contents.problems);
  }
  titled_lines(pages, tr("Before anyone opens an enclosure"), contents.cautions);
  pages.y += 10;
  Blocks signs;
  add_heading(signs, pages, tr("Sign-off"), pages.width(), kHeading, "H2");
  add_text(signs, pages,
           tr("A person decides and signs: accept, accept with conditions, or do not accept."),
           pages.width(), Style{.size = kSmall});
  for (const std::string& who : contents.signs) add_sign_line(signs, pages, who);
  flow(pages, std::move(signs));
}

}  // namespace

Result<std::string> acceptance_pdf(const report::AcceptanceSource& source, Paper paper,
                                   const Reader& reader) {
  const WritingFor writing_for(reader);
  const AcceptanceContents contents = report::acceptance_contents(source);
  const Running running{contents.site, contents.title, running_caution(contents.cautions)};
  return printed_twice(paper, running, [&](Pages& pages) {
    describe_document(pages, contents.title, source.survey.options.as_of);
    pages.new_page();
    const Tagged document(pages, "Document");
    acceptance_front(pages, contents);
    rotor_section(pages, tr("Rotor and air gap"), contents.rotors);
    acceptance_back(pages, contents);
  });
}

}  // namespace ohmglow::documents
