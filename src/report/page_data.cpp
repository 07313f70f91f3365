#include "about.h"
#include "drawing_svg.h"
#include "ohmglow/reader.h"
#include "page.h"
#include "page_templates.h"
#include "words.h"

#include <string>

namespace ohmglow::report {
namespace {

// A list with the flag that tells a template whether to write its heading.
void set_list(Data& data, const std::string& name, const List& list) {
  data.set(name, list);
  data.set("has_" + name, !list.empty());
}

// A section of its own where there are words.
void set_words(Data& data, const std::string& name, const std::string& words) {
  if (!words.empty()) data.set(name, words);
}

Data cell_data(const ListColumn& column, const ListCell& cell) {
  Data data{Fields{
      {"column", column.title},
      {"text", cell.text},
      {"class", std::string(column.is_number ? "number" : "text") + (cell.blank ? " blank" : "")}}};
  if (cell.level > 0) data.set("level", std::to_string(cell.level));
  if (cell.finding > 0) data.set("finding", std::to_string(cell.finding));
  data.set("page", cell.page);
  data.set("leads", cell.finding == 0 && !cell.page.empty());
  return data;
}

List budget_list(const std::vector<BudgetTable>& budgets) {
  List list;
  for (const BudgetTable& budget : budgets) {
    List inputs;
    for (const BudgetRow& row : budget.rows) {
      inputs.push_back(Fields{{"name", row.name},
                              {"value", row.value},
                              {"u", row.u},
                              {"distribution", row.distribution},
                              {"sensitivity", row.sensitivity},
                              {"contribution", row.contribution},
                              {"share", row.share}});
    }
    list.push_back(Fields{{"quantity", budget.quantity},
                          {"value", budget.value},
                          {"u", budget.u},
                          {"inputs", inputs}});
  }
  return list;
}

List evidence_list(const std::vector<diagnosis::Evidence>& evidence) {
  List list;
  for (const diagnosis::Evidence& e : evidence) {
    const std::string source = short_source(e.source);
    list.push_back(
        Fields{{"text", written(e.text)}, {"source", source}, {"sourced", !source.empty()}});
  }
  return list;
}

List cause_list(const std::vector<Cause>& causes) {
  List list;
  for (const Cause& cause : causes) {
    Data data{Fields{{"title", cause.title}, {"percent", cause.percent}}};
    set_list(data, "arguments", text_list(cause.arguments));
    list.push_back(data);
  }
  return list;
}

List test_list(const std::vector<NextTest>& tests) {
  List list;
  for (const NextTest& test : tests) {
    list.push_back(Fields{{"title", test.title}, {"worth", test.worth}, {"how", test.how}});
  }
  return list;
}

void set_ladder(Data& data, const Card& card, const diagnosis::Assessment& assessment) {
  if (card.component != nullptr) {
    data.set("ladder", ladder_svg(assessment, *card.component));
  } else if (card.motor != nullptr) {
    data.set("ladder", ladder_svg(assessment, *card.motor));
  }
  set_words(data, "reading", card.reading);
}

List answer_list(const std::vector<AnswerGroup>& answer) {
  List groups;
  for (const AnswerGroup& group : answer) {
    List lines;
    for (const AnswerLine& line : group.lines) {
      Data data{Fields{{"finding", std::to_string(line.rank)},
                       {"leads", line.rank > 0},
                       {"page", line.page},
                       {"motor", line.motor},
                       {"where", line.where},
                       {"action", line.action}}};
      set_words(data, "drives", line.drives);
      set_words(data, "sure", line.sure);
      lines.push_back(data);
    }
    Data data{Fields{{"id", group.id},
                     {"title", group.title},
                     {"level", std::to_string(group.level)},
                     {"when_empty", group.when_empty},
                     {"rest", group.id == "not-seen" ? "not-measured" : "ranked"},
                     {"count", std::to_string(group.lines.size() + group.more)}}};
    set_list(data, "lines", lines);
    if (group.more > 0) data.set("more", std::to_string(group.more));
    groups.push_back(data);
  }
  return groups;
}

}  // namespace

List fact_list(const std::vector<Fact>& facts) {
  List list;
  for (const Fact& fact : facts) {
    list.push_back(Fields{{"label", fact.label}, {"value", fact.value}});
  }
  return list;
}

List text_list(const std::vector<std::string>& texts) {
  List list;
  for (const std::string& text : texts) list.push_back(Fields{{"text", text}});
  return list;
}

Data listing_data(const Listing& listing) {
  List columns;
  for (const ListColumn& column : listing.columns) {
    columns.push_back(Fields{{"title", column.title}});
  }
  List rows;
  for (const auto& cells : listing.rows) {
    List others;
    for (std::size_t i = 1; i < cells.size(); ++i) {
      others.push_back(cell_data(listing.columns[i], cells[i]));
    }
    rows.push_back(
        Fields{{"head", cell_data(listing.columns.front(), cells.front())}, {"cells", others}});
  }
  return Fields{{"caption", listing.caption},
                {"columns", columns},
                {"rows", rows},
                {"has_rows", !rows.empty()},
                {"when_empty", listing.when_empty}};
}

Data card_data(const Card& card, const diagnosis::Assessment& assessment) {
  Data data{Fields{{"rank", std::to_string(card.rank)},
                   {"level", std::to_string(card.level)},
                   {"band", card.band},
                   {"band_by", card.band_by},
                   {"headline", card.headline},
                   {"number", std::to_string(card.case_number)},
                   {"plain_action", card.plain_action},
                   {"who", card.who},
                   {"verdict", card.verdict},
                   {"meaning", card.meaning},
                   {"numbers", fact_list(card.numbers)},
                   {"action", card.action},
                   {"has_action", !card.action.empty()},
                   {"next_step", card.next_step},
                   {"has_next_step", !card.next_step.empty()}}};
  set_words(data, "sure", card.sure);
  set_words(data, "drives", card.drives);
  set_words(data, "how_sure", card.how_sure);
  set_list(data, "decisive", fact_list(card.decisive));
  if (card.has_next_test) {
    data.set("next_test",
             Data{Fields{{"title", card.tests.front().title}, {"how", card.tests.front().how}}});
  }
  set_list(data, "reasons_for", text_list(card.reasons_for));
  set_list(data, "reasons_against", text_list(card.reasons_against));
  set_list(data, "about_motor", fact_list(known_of(card.about_motor)));
  set_list(data, "about_image", fact_list(known_of(card.about_image)));
  set_list(data, "also", text_list(card.also));
  set_list(data, "probabilities", fact_list(card.probabilities));
  set_list(data, "budgets", budget_list(card.budgets));
  set_list(data, "evidence", evidence_list(card.evidence));
  set_list(data, "causes", cause_list(card.causes));
  set_list(data, "tests", test_list(card.tests));
  set_list(data, "flags", text_list(card.flags));
  set_list(data, "cautions", text_list(card.cautions));
  set_ladder(data, card, assessment);
  return data;
}

List rotor_list(const std::vector<RotorShown>& rotors) {
  List list;
  for (const RotorShown& rotor : rotors) {
    Data data{Fields{{"title", rotor.title},
                     {"result", rotor.result},
                     {"level", std::to_string(rotor.level)},
                     {"numbers", text_list(rotor.numbers)},
                     {"picture", rotor_svg(rotor)}}};
    set_list(data, "open", text_list(rotor.open));
    set_words(data, "next", rotor.next);
    list.push_back(std::move(data));
  }
  return list;
}

Data report_data(const Contents& contents, const Extras& extras) {
  Data data{Fields{{"site", contents.site},
                   {"facts", fact_list(contents.facts)},
                   {"scope", fact_list(contents.scope)},
                   {"cautions", text_list(contents.cautions)},
                   {"by_component", listing_data(contents.by_component)},
                   {"ranked", listing_data(contents.ranked)},
                   {"not_judged", listing_data(contents.not_judged)},
                   {"warm_even", listing_data(contents.warm_even)},
                   {"even", listing_data(contents.even)},
                   {"readings", listing_data(contents.readings)},
                   {"stretches", listing_data(contents.stretches)},
                   {"not_covered", listing_data(contents.not_covered)},
                   {"parameters", listing_data(contents.parameters)},
                   {"problems", listing_data(contents.problems)},
                   {"signs", text_list(contents.signs)}}};
  List tallies;
  for (const Tally& tally : contents.tallies) {
    tallies.push_back(Fields{{"count", std::to_string(tally.count)},
                             {"what", tally.what},
                             {"level", std::to_string(tally.level)}});
  }
  data.set("tallies", tallies);
  data.set("answer", answer_list(contents.answer));
  set_words(data, "surveyed", contents.surveyed);
  set_list(data, "rotors", rotor_list(contents.rotors));
  set_frame(data, extras);
  if (!contents.rotors.empty()) data.set("style", report_style() + embedded_text("rotor.css"));
  return data;
}

void set_frame(Data& data, const Extras& extras) {
  data.set("style", report_style());
  data.set("list",
           Data{kainjow::mustache::partial([] { return template_text("list.html.mustache"); })});
  data.set("rotor",
           Data{kainjow::mustache::partial([] { return template_text("rotor.html.mustache"); })});
  if (!extras.findings_sha256.empty()) data.set("sha256", extras.findings_sha256);
}

}  // namespace ohmglow::report
