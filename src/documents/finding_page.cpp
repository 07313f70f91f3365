#include "figures.h"
#include "listing.h"
#include "ohmglow/reader.h"
#include "sections.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>

namespace ohmglow::documents {
namespace {

using report::Card;

constexpr double kLaneGap = 16;

std::string capital(std::string words) {
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z') {
    words[0] = static_cast<char>(words[0] - 'a' + 'A');
  }
  return words;
}

void add_small_heading(Blocks& blocks, const Pages& pages, const std::string& words, double width) {
  add_heading(blocks, pages, words, width, 9, "H3");
  blocks.back().before = 7;
}

Block title_block(const Pages& pages, const Card& card) {
  const Paragraph number(pages.letters(), std::to_string(card.case_number), 0,
                         Style{.size = 22, .bold = true});
  const Paragraph band(pages.letters(), card.band, 150,
                       Style{.size = 9, .bold = true, .most_lines = 1});
  const double at = number.width() + 10;
  const Paragraph line(pages.letters(), card.headline, pages.width() - at,
                       Style{.size = kHeading, .bold = true, .most_lines = 3});
  const Paragraph drives(pages.letters(), card.drives, pages.width() - at - 160,
                         Style{.tone = tone("muted"), .right_aligned = true, .most_lines = 1});
  const double height = std::max(number.height(), line.height() + 17) + 2;
  return {height, 0, true, nullptr, [=](Pages& on, double x, double y) {
            if (on.is_dry()) return;
            const Tagged heading(on, "H2");
            number.draw(on.cr(), x, y - 4);
            draw_chip(on.cr(), x + at, y, band, card.level);
            drives.draw(on.cr(), x + at + 160, y);
            line.draw(on.cr(), x + at, y + 16);
          }};
}

void add_order(Blocks& blocks, const Pages& pages, const std::string& label,
               const std::string& words, double size = kBody) {
  if (words.empty()) return;
  Style bold{.size = size};
  bold.bold_until = label.size();
  add_text(blocks, pages, label + "  " + words, pages.width(), bold, 0, 3);
}

void add_orders(Blocks& blocks, const Pages& pages, const Card& card) {
  add_order(blocks, pages, tr("Do:"), card.plain_action, kLead);
  add_text(blocks, pages, card.meaning, pages.width(), Style{}, 0, 3);
  add_order(blocks, pages, tr("How sure:"), card.how_sure);
  add_order(blocks, pages, tr("Who:"), card.who);
  for (const std::string& other : card.also) {
    add_order(blocks, pages, tr("Same cause:"), other);
  }
}

// Words in the place of a picture that is not there.
void draw_problem(Pages& on, const std::string& words, const Box& box) {
  cairo_rectangle(on.cr(), box.x + 0.5, box.y + 0.5, box.width - 1, box.height - 1);
  set_tone(on.cr(), tone("line"));
  cairo_set_line_width(on.cr(), 1);
  cairo_stroke(on.cr());
  const Tagged p(on, "P");
  Paragraph(on.letters(), words, box.width - 16, Style{.tone = tone("muted"), .most_lines = 8})
      .draw(on.cr(), box.x + 8, box.y + 8);
}

// The marks' file knows the image's size before the image is opened.
double picture_height(const Source& source, const std::string& file, double width) {
  constexpr double kUsual = 0.75;
  constexpr double kTallest = 1.1;
  constexpr double kScaleBar = 3.0 / 26;  // of the width, as report::picture_of draws it
  const auto marks = source.assessment.survey.marks.find(file);
  double ratio = kUsual;
  if (marks != source.assessment.survey.marks.end() && marks->second.width > 0) {
    ratio = static_cast<double>(marks->second.height) / marks->second.width;
  }
  return width * (std::clamp(ratio, 0.1, kTallest) + kScaleBar);
}

void draw_thermal(Pages& on, const Source& source, const diagnosis::ImageResult& result,
                  const Box& box) {
  const ImageEntry* entry = source.lookup.entry(result.file);
  if (entry == nullptr) return draw_problem(on, tr("the survey does not list this image"), box);
  const auto image = source.open_image(*entry);
  const auto marks = source.assessment.survey.marks.find(result.file);
  const bool marked = marks != source.assessment.survey.marks.end();
  const auto picture =
      image ? report::picture_of(*image, result, marked ? &marks->second : nullptr)
            : Result<report::Picture>(tl::make_unexpected(image.error().in_file(result.file)));
  const auto drawn = picture ? draw_picture(on, *picture, result.file, box)
                             : Result<void>(tl::make_unexpected(picture.error()));
  if (!drawn) {
    draw_problem(on, say("The image could not be drawn: {}", sentence_with_place(drawn.error())),
                 box);
  }
}

void add_pictures(Blocks& blocks, const Pages& pages, const Source& source, const Card& card,
                  double width) {
  if (card.image == nullptr) return;
  const diagnosis::ImageResult* result = card.image;
  const double height = picture_height(source, result->file, width);
  blocks.push_back(
      {height, 0, true, nullptr, [&source, result, width, height](Pages& on, double x, double y) {
         if (!on.is_dry()) draw_thermal(on, source, *result, {x, y, width, height});
       }});
  const Style caption{.size = 7, .tone = tone("muted")};
  add_text(blocks, pages,
           tr("Marks as the survey names them; a cross on each lug's hottest spot. Stored "
              "temperatures, before the corrections."),
           width, caption);
}

bool has_photo(const Source& source, const Card& card) {
  if (card.image == nullptr || !source.extras.open_photo) return false;
  const ImageEntry* entry = source.lookup.entry(card.image->file);
  return entry != nullptr && !entry->photo.empty();
}

void add_photo(Blocks& blocks, const Pages& pages, const Source& source, const Card& card,
               double width) {
  if (!has_photo(source, card)) return;
  const ImageEntry* entry = source.lookup.entry(card.image->file);
  const Style caption{.size = 7, .tone = tone("muted")};
  const double photo_height = width * 0.75;
  blocks.push_back({photo_height, 0, true, nullptr,
                    [&source, entry, width, photo_height](Pages& on, double x, double y) {
                      if (on.is_dry()) return;
                      const Box box{x, y, width, photo_height};
                      const auto photo = source.extras.open_photo(*entry);
                      const auto drawn = photo ? draw_photograph(on, *photo, entry->photo, box)
                                               : Result<void>(tl::make_unexpected(photo.error()));
                      if (drawn) return;
                      draw_problem(on,
                                   say("The photograph could not be shown: {}",
                                       sentence_with_place(drawn.error())),
                                   box);
                    }});
  add_text(blocks, pages, say("Photograph: {}", entry->photo), width, caption);
}

void add_ladder(Blocks& blocks, const Pages& pages, const Source& source, const Card& card,
                double width) {
  if (card.component == nullptr && card.motor == nullptr) return;
  auto drawing = std::make_shared<report::Drawing>(
      card.component != nullptr ? report::ladder_drawing(source.assessment, *card.component)
                                : report::ladder_drawing(source.assessment, *card.motor));
  const double height = width * drawing->height / drawing->width;
  blocks.push_back({height, 0, true, nullptr, [=](Pages& on, double x, double y) {
                      draw_drawing(on, *drawing, {x, y, width, height});
                    }});
  add_text(blocks, pages, card.reading.empty() ? "" : say("Reading: {}.", card.reading), width,
           Style{.size = 7, .tone = tone("muted")});
}

void add_texts(Blocks& blocks, const Pages& pages, const std::string& heading,
               const std::vector<std::string>& texts, double width) {
  if (texts.empty()) return;
  add_small_heading(blocks, pages, heading, width);
  for (const std::string& text : texts) add_item(blocks, pages, "•", text, width);
}

void add_causes(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  if (!card.causes.empty()) add_small_heading(blocks, pages, tr("Probable cause"), width);
  for (const report::Cause& cause : card.causes) {
    add_item(blocks, pages, "•", cause.title + ": " + cause.percent, width);
    for (const std::string& argument : cause.arguments) {
      add_item(blocks, pages, "–", argument, width, 11);
    }
  }
}

void add_tests(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  if (!card.tests.empty())
    add_small_heading(blocks, pages, tr("Tests that would tell most"), width);
  for (std::size_t i = 0; i < card.tests.size(); ++i) {
    const report::NextTest& test = card.tests[i];
    add_item(blocks, pages, fmt::format("{}.", i + 1),
             fmt::format("{}: {}. {}", test.title, test.worth, test.how), width);
  }
}

void add_evidence(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  if (card.evidence.empty()) return;
  add_small_heading(blocks, pages, tr("Evidence"), width);
  for (std::size_t i = 0; i < card.evidence.size(); ++i) {
    const diagnosis::Evidence& e = card.evidence[i];
    add_item(blocks, pages, fmt::format("{}.", i + 1),
             e.source.empty() ? written(e.text) : written(e.text) + " — " + written(e.source),
             width);
  }
}

void add_numbers(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  add_small_heading(blocks, pages, tr("Numbers"), width);
  for (const report::Fact& fact : card.numbers) {
    add_fact(blocks, pages, fact.label, fact.value, width, width * 0.42);
  }
}

void add_likelihood(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  if (card.probabilities.empty()) return;
  add_small_heading(blocks, pages, tr("How likely each band is"), width);
  for (const report::Fact& fact : card.probabilities) {
    add_fact(blocks, pages, fact.label, fact.value, width, width * 0.42);
  }
}

void add_decisive(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  add_small_heading(blocks, pages, tr("The numbers that decide"), width);
  for (const report::Fact& fact : card.decisive) {
    add_fact(blocks, pages, fact.label, fact.value, width, width * 0.42);
  }
}

void add_next_test(Blocks& blocks, const Pages& pages, const Card& card, double width) {
  if (!card.has_next_test) return;
  add_small_heading(blocks, pages, tr("Next test"), width);
  add_text(blocks, pages, capital(card.tests.front().title) + ". " + card.tests.front().how, width,
           Style{});
}

double height_of(const Blocks& blocks) {
  double height = 0;
  for (const Block& block : blocks) height += block.before + block.height;
  return height;
}

// Each section goes whole to the lane that is shorter so far.
void share_out(std::vector<Lane>& lanes, std::vector<Blocks> sections) {
  for (Blocks& section : sections) {
    const bool left = height_of(lanes[0].blocks) <= height_of(lanes[1].blocks);
    Blocks& shorter = lanes[left ? 0 : 1].blocks;
    shorter.insert(shorter.end(), std::make_move_iterator(section.begin()),
                   std::make_move_iterator(section.end()));
  }
}

// One table for all quantities: inputs down, what each adds to the uncertainty across.
report::Listing budget_listing(const Card& card) {
  report::Listing list{
      "budget",
      say("What each input adds to the standard uncertainty, in {}; the sums are roots of sums of "
          "squares",
          difference_unit()),
      {{tr("Input"), 3.2}, {tr("Value"), 1, true}, {"u", 0.9, true}, {tr("Distribution"), 1.1}},
      {},
      ""};
  std::vector<std::string> names;
  std::vector<report::ListCell> sums{
      {say("Standard uncertainty, {}", difference_unit())}, {""}, {""}, {""}};
  for (const report::BudgetTable& budget : card.budgets) {
    list.columns.push_back({capital(budget.quantity) + ": " + budget.value, 1.05, true});
    sums.push_back({budget.u});
    for (const report::BudgetRow& row : budget.rows) {
      if (std::find(names.begin(), names.end(), row.name) != names.end()) continue;
      names.push_back(row.name);
      list.rows.push_back({{row.name}, {row.value}, {row.u}, {row.distribution}});
    }
  }
  for (std::size_t i = 0; i < names.size(); ++i) {
    for (const report::BudgetTable& budget : card.budgets) {
      const auto found =
          std::find_if(budget.rows.begin(), budget.rows.end(),
                       [&](const report::BudgetRow& row) { return row.name == names[i]; });
      list.rows[i].push_back({found == budget.rows.end() ? "—" : found->contribution});
    }
  }
  list.rows.push_back(std::move(sums));
  return list;
}

// What is known of the motor and the image, and what a person writes in.
void add_background(Pages& pages, const Card& card) {
  pages.y += 6;
  const double width = (pages.width() - kLaneGap) / 2;
  std::vector<Lane> lanes(2);
  lanes[1].x = width + kLaneGap;
  const auto add = [&](Lane& lane, const std::string& heading,
                       const std::vector<report::Fact>& facts) {
    if (facts.empty()) return;
    add_small_heading(lane.blocks, pages, heading, width);
    for (const report::Fact& fact : facts) {
      add_fact(lane.blocks, pages, fact.label, fact.value, width, width * 0.42);
    }
  };
  add(lanes[0], tr("The motor"), card.about_motor);
  add(lanes[1], tr("The image"), card.about_image);
  add(lanes[1], tr("After the work"),
      {{tr("Found"), ""}, {tr("New image"), ""}, {tr("Done by, date"), ""}});
  flow(pages, std::move(lanes));
}

}  // namespace

void finding_page(Pages& pages, const Source& source, const diagnosis::Finding& finding,
                  int parent_bookmark) {
  const Card card = report::card_of(source.lookup, finding);
  const std::string anchor = fmt::format("finding-{}", card.rank);
  pages.anchor(anchor);
  pages.bookmark(parent_bookmark,
                 fmt::format("{} {}: {}", card.case_number, card.band, card.headline), anchor);
  Blocks head;
  head.push_back(title_block(pages, card));
  add_orders(head, pages, card);
  flow(pages, std::move(head));
  pages.y += 7;

  // Side by side: the picture and the photograph, else the ladder; then the rest.
  const double width = (pages.width() - kLaneGap) / 2;
  std::vector<Lane> lanes(2);
  lanes[1].x = width + kLaneGap;
  add_pictures(lanes[0].blocks, pages, source, card, width);
  add_photo(lanes[1].blocks, pages, source, card, width);
  add_ladder(lanes[lanes[1].blocks.empty() ? 1 : 0].blocks, pages, source, card, width);
  std::vector<Blocks> sections(6);
  add_decisive(sections[0], pages, card, width);
  add_texts(sections[1], pages, tr("What speaks for it"), card.reasons_for, width);
  add_texts(sections[2], pages, tr("What speaks against it"), card.reasons_against, width);
  add_next_test(sections[3], pages, card, width);
  add_texts(sections[4], pages, tr("Keep in mind"), card.flags, width);
  add_texts(sections[5], pages, tr("Caution"), card.cautions, width);
  share_out(lanes, std::move(sections));
  flow(pages, std::move(lanes));
  add_background(pages, card);
  if (source.extras.detail == report::Detail::brief) return;
  Blocks more;
  add_text(more, pages,
           say("All evidence: page {}.", pages.page_of(fmt::format("evidence-{}", card.rank))),
           pages.width(), Style{.size = kSmall, .tone = tone("link")}, 0, 6);
  flow(pages, std::move(more));
}

void evidence_of(Pages& pages, const Source& source, const diagnosis::Finding& finding) {
  constexpr double kRoomNeeded = 160;
  const Card card = report::card_of(source.lookup, finding);
  if (pages.y + kRoomNeeded > pages.bottom()) pages.new_page();
  if (!pages.page_is_empty()) pages.y += 12;
  pages.anchor(fmt::format("evidence-{}", card.rank));
  Blocks head;
  add_heading(head, pages, fmt::format("{}  {}", card.case_number, card.headline), pages.width(),
              10.5, "H2");
  std::string verdict = capital(card.verdict) + ".";
  Style style{};
  style.bold_until = verdict.size();
  if (!card.sure.empty()) {
    verdict += " " + say("Probability of this verdict, given the uncertainties: {}.", card.sure);
  }
  verdict += " " + say("Band decided by {}.", card.band_by);
  add_text(head, pages, verdict, pages.width(), style);
  add_order(head, pages, tr("Recommended action:"), card.action);
  add_order(head, pages, tr("Next step:"), card.next_step);
  flow(pages, std::move(head));
  const double width = (pages.width() - kLaneGap) / 2;
  std::vector<Lane> lanes(2);
  lanes[1].x = width + kLaneGap;
  std::vector<Blocks> sections(5);
  add_numbers(sections[0], pages, card, width);
  add_evidence(sections[1], pages, card, width);
  add_causes(sections[2], pages, card, width);
  add_tests(sections[3], pages, card, width);
  add_likelihood(sections[4], pages, card, width);
  share_out(lanes, std::move(sections));
  flow(pages, std::move(lanes));
  if (card.budgets.empty()) return;
  pages.y += 8;
  Blocks budget;
  add_small_heading(budget, pages, tr("Where the uncertainties come from"), pages.width());
  flow(pages, std::move(budget));
  flow_listing(pages, budget_listing(card));
}

}  // namespace ohmglow::documents
