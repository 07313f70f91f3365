#include "offered/report/acceptance_contents.h"

#include "about.h"
#include "contents.h"
#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "rotor_words.h"
#include "summary.h"
#include "words.h"

#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using acceptance::Acceptance;
using acceptance::Check;
using acceptance::Conclusion;
using acceptance::Item;
using acceptance::Stage;
using rotor::Conformity;

std::string unit_in_words(const std::string& unit) {
  if (unit == "megaohm") return "MΩ";
  if (unit == "pct") return "%";
  if (unit == "mm_s_rms") return tr("mm/s r.m.s.");
  if (unit == "ratio") return "";
  if (unit == "k") return std::string(difference_unit());
  return unit;
}

// As many decimals as tell two values of a check apart.
int places_of(const Item& item) {
  if (item.unit == "mm") return 3;
  if (item.unit == "megaohm") return item.value.value_or(0) < 100 ? 1 : 0;
  return 2;
}

double shown_value(const Item& item, double value) {
  return item.unit == "k" ? shown_difference(value) : value;
}

std::string value_text(const Item& item) {
  if (!item.value) return "";
  const std::string unit = unit_in_words(item.unit);
  const double value = shown_value(item, *item.value);
  if (item.u) return with_u(value, shown_value(item, *item.u), unit, places_of(item), reader());
  return decimals(value, places_of(item)) + (unit.empty() ? "" : " " + unit);
}

std::string limit_text(const Item& item) {
  if (!item.limit) return "";
  const std::string unit = unit_in_words(item.unit);
  std::string limit = decimals(shown_value(item, *item.limit), places_of(item));
  if (!unit.empty()) limit += " " + unit;
  return item.at_least ? say("at least {}", limit) : say("at most {}", limit);
}

std::string place_of(const Item& item) {
  if (item.check != Check::air_gap) return item.place;
  return item.place == "drive" ? tr("drive end") : tr("opposite end");
}

std::string name_of(const Item& item) {
  const std::string title = written(title_of(item.check));
  return item.place.empty() ? title : fmt::format("{}: {}", title, place_of(item));
}

std::string result_of(const Item& item) {
  if (item.is_recorded_only) return tr("recorded");
  if (item.check == Check::sweep && item.result == Conformity::too_close) return tr("pattern seen");
  return title_of(item.result);
}

std::string with_currency(double amount, const std::string& currency) {
  return decimals(amount, 0) + (currency.empty() ? "" : " " + currency);
}

// "shaft runout: 0.094 mm, at most 0.060 mm: 0.034 mm out"
std::string failed_line(const Item& item, const std::string& currency) {
  std::string line = name_of(item);
  if (item.value) {
    line += fmt::format(": {}, {}", value_text(item), limit_text(item));
    if (const auto beyond = item.beyond()) {
      const std::string unit = unit_in_words(item.unit);
      line += "; " + say("{} out", decimals(shown_value(item, *beyond), places_of(item)) +
                                       (unit.empty() ? "" : " " + unit));
    }
  } else if (!item.why.empty()) {
    line += ": " + written(item.why);
  }
  if (item.cost) {
    line += "; " + say("to put right: {}, your figure", with_currency(*item.cost, currency));
  }
  return line;
}

std::string open_line(const Item& item) {
  std::string line = fmt::format("{}: {}", name_of(item), result_of(item));
  if (item.result == Conformity::too_close && item.value) {
    line += fmt::format(", {}, {}", value_text(item), limit_text(item));
  }
  if (!item.why.empty()) line += "; " + written(item.why);
  return line;
}

std::string stage_title(Stage stage) {
  switch (stage) {
    case Stage::bought:
      return tr("acceptance of a bought motor");
    case Stage::repaired:
      return tr("acceptance after a repair");
    case Stage::installed:
      break;
  }
  return tr("acceptance of an installed motor");
}

std::string conclusion_text(Conclusion conclusion) {
  switch (conclusion) {
    case Conclusion::accept:
      return tr("Accept.");
    case Conclusion::conditions:
      return tr("Accept with conditions.");
    case Conclusion::reject:
      break;
  }
  return tr("Do not accept.");
}

int level_of_conclusion(Conclusion conclusion) {
  if (conclusion == Conclusion::accept) return 0;
  return conclusion == Conclusion::conditions ? 2 : 4;
}

Listing checks_of(const Acceptance& its) {
  Listing list{"checks",
               tr("Checks; of several places the worst counts"),
               {{tr("Check"), 2.2},
                {tr("Result"), 0.9},
                {tr("Measured"), 1.2, true},
                {tr("Limit"), 1.2, true},
                {tr("Taken on"), 0.8},
                {tr("What was found"), 2.6}},
               {},
               tr("Nothing was measured.")};
  for (const Item& item : its.items) {
    const bool repeats = item.has_parts;
    list.rows.push_back({{name_of(item)},
                         {result_of(item), item.is_recorded_only ? 0 : level_of(item.result)},
                         {value_text(item)},
                         {limit_text(item)},
                         {item.taken_at ? day_text(item.taken_at->day) : ""},
                         {repeats ? tr("the worst of its places, below") : written(item.why)}});
    for (ListCell& cell : list.rows.back()) cell.blank = cell.text.empty();
  }
  return list;
}

// How well a limit's text is known: in words where the flag is one of ours.
std::string flag_text(const std::string& flag) {
  if (flag == "V") return tr("read in the text itself");
  if (flag == "V2") return tr("read in a text that restates it");
  if (flag == "M") return tr("from memory");
  if (flag == "C") return tr("computed");
  return flag;
}

Listing sources_of(const Acceptance& its) {
  Listing list{"sources",
               tr("Where the limits come from"),
               {{tr("Check"), 1.6}, {tr("Source"), 3.4}, {tr("How well it is known"), 1.2}},
               {},
               tr("No limit was needed.")};
  for (const Item& item : its.items) {
    if (item.source.empty() || !item.place.empty()) continue;
    list.rows.push_back(
        {{written(title_of(item.check))}, {tr(item.source)}, {flag_text(item.flag)}});
  }
  return list;
}

Listing problems_of(const diagnosis::Assessment& survey) {
  Listing list{"problems",
               tr("Data problems; row numbers as in the spreadsheet"),
               {{tr("File"), 1.2}, {tr("Row"), 0.5, true}, {tr("Column"), 1}, {tr("Message"), 3.4}},
               {},
               tr("No data problems.")};
  for (const Problem& p : survey.problems) {
    list.rows.push_back({{p.file}, {p.row ? std::to_string(*p.row) : ""}, {p.column}, {p.message}});
  }
  return list;
}

std::string counted_results(const Acceptance& its) {
  const std::size_t failed = its.count(Conformity::fail);
  const std::size_t open = its.count(Conformity::not_done) + its.count(Conformity::too_close);
  return say("{} fail, {} open, {} pass.", failed, open, its.count(Conformity::pass));
}

}  // namespace

AcceptanceContents acceptance_contents(const AcceptanceSource& source) {
  const Acceptance& its = source.acceptance;
  const Survey& survey = source.survey.survey;
  AcceptanceContents contents;
  contents.site = survey.site.empty() ? tr("Survey") : survey.site;
  contents.title = fmt::format("{}: {}", its.motor, stage_title(its.stage));
  contents.conclusion = conclusion_text(its.conclusion);
  contents.level = level_of_conclusion(its.conclusion);
  contents.counted = counted_results(its);
  contents.facts = about_motor(survey.find_motor(its.motor), nullptr);
  contents.facts.insert(contents.facts.begin(), {tr("Motor"), its.motor});
  contents.facts.push_back({tr("Checked on"), day_text(survey.surveyed_on)});
  contents.facts.push_back({tr("Limits"), tr(source.limits.title)});
  for (const Item& item : its.items) {
    if (item.is_recorded_only || item.has_parts) continue;
    if (item.result == Conformity::fail) contents.failed.push_back(failed_line(item, its.currency));
    if (item.result == Conformity::not_done || item.result == Conformity::too_close) {
      contents.open.push_back(open_line(item));
    }
  }
  if (its.cost) contents.cost = with_currency(*its.cost, its.currency);
  contents.checks = checks_of(its);
  contents.sources = sources_of(its);
  contents.rotors = rotors_shown(its.rotors, survey);
  contents.rules = {
      tr("A check passes or fails where the value lies beyond its limit by more than 1.64 "
         "standard uncertainties, which is 95 % confidence (JCGM 106); between it is too close to "
         "say. Without a stated uncertainty the value itself decides."),
      tr("Anything that fails: do not accept. Anything open: accept with conditions. Impedance and "
         "current without load are recorded and decide nothing."),
      tr("A sweep with a pattern is a reason to look closer, not a proof: it stays open until its "
         "next test is done.")};
  contents.cautions = cautions_in_words();
  contents.problems = problems_of(source.survey);
  contents.signs = {tr("Who measured"), tr("For the shop or seller"), tr("For the plant")};
  return contents;
}

Listing acceptance_changes(const Acceptance& before, const Acceptance& after) {
  Listing list{"acceptance",
               say("{}: checks before and after", after.motor),
               {{tr("Check"), 2},
                {tr("Before"), 1},
                {tr("Measured"), 1.2, true},
                {tr("After"), 1},
                {tr("Measured"), 1.2, true}},
               {},
               tr("Nothing was measured.")};
  const auto add = [](std::vector<ListCell>& row, const std::optional<Item>& item) {
    if (!item) {
      row.push_back({tr("not done")});
      row.push_back({""});
      return;
    }
    row.push_back({result_of(*item), item->is_recorded_only ? 0 : level_of(item->result)});
    row.push_back({value_text(*item)});
  };
  for (const acceptance::ItemChange& change : compare(before, after)) {
    const Item& known = change.after ? *change.after : *change.before;
    if (known.has_parts) continue;
    std::vector<ListCell> row{{name_of(known)}};
    add(row, change.before);
    add(row, change.after);
    list.rows.push_back(std::move(row));
  }
  return list;
}

}  // namespace ohmglow::report
