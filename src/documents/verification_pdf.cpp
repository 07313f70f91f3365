#include "certificate_parts.h"
#include "figures.h"
#include "listing.h"
#include "offered/report/acceptance_contents.h"
#include "offered/report/verification_contents.h"
#include "ohmglow/reader.h"
#include "sections.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <memory>

namespace ohmglow::documents {
namespace {

using report::BeforeAndAfter;
using report::MotorRepair;
using report::RepairContents;
using report::VerificationSource;

constexpr double kRepairTitle = 20;
constexpr double kBetweenLanes = 16;
constexpr double kRepairLabelShare = 0.3;

std::string counts_of(const RepairContents& contents) {
  std::string text;
  for (const report::Tally& tally : contents.tallies) {
    text += fmt::format("{}{} {}", text.empty() ? "" : " · ", tally.count, tally.what);
  }
  return text;
}

report::Listing results_of(const RepairContents& contents) {
  report::Listing list{"results",
                       tr("Result per motor; its worst finding counts"),
                       {{tr("Motor"), 0.8},
                        {tr("Outcome"), 1.1},
                        {tr("What happened"), 3},
                        {tr("Heat less"), 0.9, true},
                        {tr("Certain, first year"), 0.9, true},
                        {tr("Risk avoided, assumed"), 1.2, true}},
                       {},
                       tr("No motor was seen in both surveys.")};
  for (const MotorRepair& motor : contents.motors) {
    list.rows.push_back({{motor.motor},
                         {motor.change, motor.level},
                         {motor.headline},
                         {motor.heat_less},
                         {motor.certain},
                         {motor.risk}});
  }
  return list;
}

void set_facts(Pages& pages, const std::vector<report::Fact>& facts) {
  Blocks blocks;
  for (const report::Fact& fact : facts) {
    add_fact(blocks, pages, fact.label, fact.value, pages.width(),
             pages.width() * kRepairLabelShare);
  }
  flow(pages, std::move(blocks));
}

void first_page(Pages& pages, const RepairContents& contents) {
  add_title(pages, contents.site, kRepairTitle, "H1");
  add_title(pages, tr("Motor connections, before and after repair"), kHeading, "H2");
  Blocks blocks;
  add_text(blocks, pages, counts_of(contents), pages.width(), Style{.size = 11, .bold = true}, 0,
           4);
  flow(pages, std::move(blocks));
  set_facts(pages, contents.facts);
  if (!contents.new_faults.empty()) {
    pages.y += 8;
    add_title(pages, tr("Faults that the first survey did not show"), kHeading, "H2");
    add_lines(pages, contents.new_faults);
  }
  pages.y += 10;
  flow_listing(pages, results_of(contents));
  pages.y += 8;
  flow_listing(pages, contents.open);
  if (!contents.remarks.empty()) add_lines(pages, contents.remarks);
  if (!contents.totals.empty()) {
    pages.y += 8;
    add_title(pages, tr("All motors together; only known amounts are counted"), 10, "H3");
    set_facts(pages, contents.totals);
  }
}

Block picture_block(std::shared_ptr<report::Picture> picture, const std::string& name,
                    double width) {
  const double height = width * picture->over.height / picture->over.width;
  return {height, 0, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            // What cannot be drawn leaves its room empty; the page beside it names the image.
            static_cast<void>(draw_picture(on, *picture, name, {x, y, width, height}));
          }};
}

Block ladder_block(const report::Drawing& drawing, double width) {
  const double height = width * drawing.height / drawing.width;
  return {height, 8, true, nullptr,
          [kept = std::make_shared<report::Drawing>(drawing), width, height](Pages& on, double x,
                                                                             double y) {
            draw_drawing(on, *kept, {x, y, width, height});
          }};
}

void side_by_side(Pages& pages, const VerificationSource& source, const BeforeAndAfter& pair) {
  add_title(pages, pair.title, 10, "H3");
  const double width = (pages.width() - kBetweenLanes) / 2;
  std::vector<Lane> lanes(2);
  lanes[1].x = width + kBetweenLanes;
  const Style caption{.size = 7, .tone = tone("muted")};
  if (pair.image_before != nullptr && pair.image_after != nullptr) {
    auto pictures = report::picture_pair(source, pair);
    if (pictures.before && pictures.after) {
      const auto add = [&](Lane& lane, report::Picture&& picture, const std::string& name,
                           const std::string& words) {
        lane.blocks.push_back(
            picture_block(std::make_shared<report::Picture>(std::move(picture)), name, width));
        add_text(lane.blocks, pages, words, width, caption);
      };
      add(lanes[0], std::move(*pictures.before), "before/" + pair.image_before->file,
          say("Before: {}. Both images have one colour scale.", pair.image_before->file));
      add(lanes[1], std::move(*pictures.after), "after/" + pair.image_after->file,
          say("After: {}.", pair.image_after->file));
    }
  }
  lanes[0].blocks.push_back(ladder_block(pair.ladders.before, width));
  add_text(lanes[0].blocks, pages, say("Before, {}.", pair.day_before), width, caption);
  lanes[1].blocks.push_back(ladder_block(pair.ladders.after, width));
  add_text(lanes[1].blocks, pages, say("After, {}.", pair.day_after), width, caption);
  flow(pages, std::move(lanes));
}

Block motor_title(const Pages& pages, const MotorRepair& motor) {
  const Paragraph change(pages.letters(), motor.change, 150,
                         Style{.size = 9, .bold = true, .most_lines = 1});
  const Paragraph name(pages.letters(), motor.motor, pages.width(),
                       Style{.size = kHeading, .bold = true, .most_lines = 2});
  const int level = motor.level;
  return {name.height() + 18, 0, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged heading(on, "H2");
            draw_chip(on.cr(), x, y, change, level);
            name.draw(on.cr(), x, y + 15);
          }};
}

void motor_pages(Pages& pages, const VerificationSource& source, const MotorRepair& motor,
                 std::size_t number) {
  pages.new_page();
  const std::string anchor = fmt::format("motor-{}", number);
  pages.anchor(anchor);
  pages.bookmark(0, fmt::format("{}: {}", motor.motor, motor.change), anchor);
  Blocks head;
  head.push_back(motor_title(pages, motor));
  if (!motor.alarm.empty()) {
    add_text(head, pages, motor.alarm + ".", pages.width(), Style{.bold = true}, 0, 4);
  }
  for (const report::ChangeLine& line : motor.lines) {
    add_item(head, pages, "•",
             fmt::format("{}: {}. {}.", line.what, report::title_of(line.change), line.reason),
             pages.width());
  }
  if (!motor.rest.empty()) add_text(head, pages, motor.rest + ".", pages.width(), Style{});
  flow(pages, std::move(head));
  for (const BeforeAndAfter& pair : motor.pairs) {
    pages.y += 8;
    side_by_side(pages, source, pair);
  }
  if (!motor.money.empty()) {
    pages.y += 8;
    add_title(pages, tr("Money"), 10, "H3");
    set_facts(pages, motor.money);
  }
  if (motor.assumptions.empty()) return;
  pages.y += 6;
  add_title(pages, tr("What that assumes"), 10, "H3");
  std::vector<std::string> lines;
  for (const report::Fact& line : motor.assumptions) {
    lines.push_back(line.value.empty() ? line.label
                                       : fmt::format("{} — {}", line.label, line.value));
  }
  add_lines(pages, lines);
}

bool has_a_page(const MotorRepair& motor) {
  return !motor.lines.empty() || !motor.pairs.empty();
}

void last_page(Pages& pages, const RepairContents& contents) {
  pages.new_page();
  add_title(pages, tr("Before anyone opens an enclosure"), kHeading, "H2");
  add_lines(pages, contents.cautions);
  pages.y += 8;
  add_title(pages, tr("How the comparison was made"), kHeading, "H2");
  add_lines(pages, contents.rules);
  if (!contents.problems.rows.empty()) {
    pages.y += 8;
    flow_listing(pages, contents.problems);
  }
  pages.y += 14;
  Blocks signs;
  add_heading(signs, pages, tr("Sign-off"), pages.width(), kHeading, "H2");
  for (const std::string& who : contents.signs) add_sign_line(signs, pages, who);
  flow(pages, std::move(signs));
}

}  // namespace

Result<std::string> verification_pdf(const VerificationSource& source, Paper paper,
                                     const Reader& reader) {
  const WritingFor writing_for(reader);
  const RepairContents contents =
      report::repair_contents(source.verification, source.before, source.after);
  const Running running{contents.site, tr("Motor connections, before and after repair"),
                        running_caution(contents.cautions)};
  return printed_twice(paper, running, [&](Pages& pages) {
    describe_document(pages, say("{}: did the repairs work", contents.site),
                      source.after.options.as_of);
    pages.new_page();
    const Tagged document(pages, "Document");
    first_page(pages, contents);
    if (!source.shops.empty()) {
      pages.y += 8;
      add_title(pages, tr("On the bench, before and after"), kHeading, "H2");
    }
    for (const acceptance::Compared& shop : source.shops) {
      flow_listing(pages, report::acceptance_changes(shop.before, shop.after));
    }
    rotor_section(pages, tr("Rotor and air gap, before and after"),
                  report::rotors_compared(source.before.survey, source.after.survey));
    std::size_t number = 0;
    for (const MotorRepair& motor : contents.motors) {
      if (has_a_page(motor)) motor_pages(pages, source, motor, ++number);
    }
    last_page(pages, contents);
  });
}

}  // namespace ohmglow::documents
