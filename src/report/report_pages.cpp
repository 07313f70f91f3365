#include "about.h"
#include "answer.h"
#include "appendix.h"
#include "asides.h"
#include "cards.h"
#include "contents.h"
#include "page.h"
#include "page_templates.h"
#include "paged_list.h"
#include "pager.h"
#include "scope.h"
#include "summary.h"
#include "words.h"

#include <algorithm>
#include <array>
#include <exception>
#include <fmt/format.h>
#include <vector>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using records::Sink;

/// Motors that are in memory at once while the lists are filled.
constexpr std::size_t kMotorsAtOnce = 100;
/// Findings that report.html itself names.
constexpr std::size_t kMostSevere = 20;

constexpr std::string_view kFindings = "findings";

/// The lists that are filled motor by motor.
struct ListOf {
  std::string_view title;
  std::string_view section;  ///< of report.html
  Listing (*rows)(const Lookup& motors);
  Listing Contents::*place;
};
constexpr std::array kLists{
    ListOf{msg("Not judged"), "not-judged",
           [](const Lookup& motors) { return not_judged(motors.assessment); },
           &Contents::not_judged},
    ListOf{msg("Warm and even"), "warm-even",
           [](const Lookup& motors) { return warm_even(motors.assessment); }, &Contents::warm_even},
    ListOf{msg("Components without a finding"), "others", even, &Contents::even},
    ListOf{msg("Readings of the motors"), "readings",
           [](const Lookup& motors) { return readings(motors.assessment); }, &Contents::readings},
    ListOf{msg("Stretches of the circuits"), "readings",
           [](const Lookup& motors) { return stretches(motors.assessment); }, &Contents::stretches},
    ListOf{msg("What was not inspected or not measurable, and why"), "not-measured", not_covered,
           &Contents::not_covered},
    ListOf{msg("Parameters used"), "parameters", parameters, &Contents::parameters},
};

/// The banner, the cautions and the rules that every page has, so that it can be read alone.
Data page_data(const Assessment& head, const Extras& extras, const PageOf& page,
               const std::string& title, const Listing& listing) {
  Data data{Fields{{"site", title_of_site(head.survey)},
                   {"title", title},
                   {"cautions", text_list(cautions_in_words())},
                   {"facts", fact_list(known_of(facts(head)))},
                   {"listing", listing_data(listing)}}};
  set_frame(data, extras);
  data.set("style", report_style() + embedded_text("pages.css"));
  set_pager(data, page);
  return data;
}

/// "Urgent 12, Plan repair 88"
std::string bands_in_words(const Assessment& page) {
  std::string words;
  const auto& bands = page.policy.bands;
  for (std::size_t band = bands.size(); band-- > 0;) {
    const auto count =
        std::count_if(page.findings.begin(), page.findings.end(),
                      [band](const diagnosis::Finding& f) { return f.grade.band == band; });
    if (count > 0) {
      words += fmt::format("{}{} {}", words.empty() ? "" : ", ", tr(bands[band].title), count);
    }
  }
  return words;
}

class Pages {
 public:
  Pages(const Pieces& survey, const OpenImage& open_image, const Extras& extras,
        const WriteFile& write)
      : survey_(survey), open_image_(open_image), extras_(extras), write_(write) {}

  Result<void> write() {
    auto head = survey_.motors(0, 0);
    if (!head) return fail(head.error());
    head_ = std::move(*head);
    if (auto written = write_lists(); !written) return written;
    if (auto written = write_findings(); !written) return written;
    return write_report();
  }

 private:
  // --- the lists -------------------------------------------------------------------------------

  PagedList list(std::string_view title, std::string_view section) {
    return PagedList(
        [this, title = tr(title), section](const Listing& rows, std::size_t number, bool has_next) {
          return write_list_page(title, {rows.id, section, number, has_next}, rows);
        });
  }

  Result<void> write_list_page(const std::string& title, const PageOf& page, const Listing& rows) {
    return write_(page_from_report(page.list, page.number), [&](const Sink& sink) -> Result<void> {
      const Data data =
          page_data(head_, extras_, page, say("{}, page {}", title, page.number), rows);
      if (auto head = sink(page_template("page_head.html.mustache").render(data)); !head) {
        return head;
      }
      return sink(page_template("page_tail.html.mustache").render(data));
    });
  }

  Result<void> write_lists() {
    std::vector<PagedList> lists;
    for (const ListOf& each : kLists) lists.push_back(list(each.title, each.section));
    for (std::size_t first = 0; first == 0 || first < survey_.motor_count; first += kMotorsAtOnce) {
      const auto some = survey_.motors(first, kMotorsAtOnce);
      if (!some) return fail(some.error());
      summary_.add(*some);
      const Lookup lookup(*some);
      answer_.add_motors(lookup);
      for (RotorShown& rotor : rotors_shown(*some)) contents_.rotors.push_back(std::move(rotor));
      for (std::size_t i = 0; i < lists.size(); ++i) {
        if (auto added = lists[i].add(kLists.at(i).rows(lookup)); !added) return added;
      }
    }
    for (std::size_t i = 0; i < lists.size(); ++i) {
      auto rows = lists[i].finish();
      if (!rows) return fail(rows.error());
      contents_.*kLists.at(i).place = std::move(*rows);
    }
    return write_problems();
  }

  Result<void> write_problems() {
    PagedList met = list(msg("Problems"), "problems");
    for (std::size_t first = 0; first == 0 || first < survey_.problems.size();
         first += kRowsOnAPage) {
      const std::size_t count = std::min(kRowsOnAPage, survey_.problems.size() - first);
      if (auto added = met.add(problems(survey_.problems.subspan(first, count))); !added) {
        return added;
      }
    }
    auto rows = met.finish();
    if (!rows) return fail(rows.error());
    contents_.problems = std::move(*rows);
    return {};
  }

  // --- the findings ----------------------------------------------------------------------------

  Result<void> write_findings() {
    contents_.ranked = ranked(head_);
    const std::size_t count = (survey_.findings + kFindingsOnAPage - 1) / kFindingsOnAPage;
    for (std::size_t number = 1; number <= count; ++number) {
      const auto page = survey_.findings_page((number - 1) * kFindingsOnAPage, kFindingsOnAPage);
      if (!page) return fail(page.error());
      answer_.add_findings(Lookup(*page), page_from_report(kFindings, number));
      if (auto written = write_findings_page(*page, number, count); !written) return written;
    }
    contents_.ranked.caption =
        say("The most severe, {} of {}. The number leads to the card; the pages below hold all.",
            contents_.ranked.rows.size(), survey_.findings);
    pages_.id = kFindings;
    pages_.caption = say("All {} findings with their cards, {} on a page, the most severe first",
                         survey_.findings, kFindingsOnAPage);
    pages_.columns = {{tr("Page"), 0.5}, {tr("Findings"), 1}, {tr("Bands"), 2}};
    pages_.when_empty = tr("No lug and no reading reaches a band.");
    return {};
  }

  Result<void> write_findings_page(const Assessment& page, std::size_t number, std::size_t count) {
    const std::string file = page_from_report(kFindings, number);
    const std::size_t first = (number - 1) * kFindingsOnAPage + 1;
    const std::size_t last = first + page.findings.size() - 1;
    if (number == 1) {
      contents_.ranked = ranked(page, file);
      auto& rows = contents_.ranked.rows;
      rows.resize(std::min(rows.size(), kMostSevere));
    }
    pages_.rows.push_back({ListCell{std::to_string(number), 0, 0, false, file},
                           ListCell{say("{} to {}", first, last)}, ListCell{bands_in_words(page)}});
    Listing rows = ranked(page);
    rows.caption = tr("The most severe first. The number leads to its card.");
    rows.when_empty = tr("The findings of this page belong to cases on the pages before it.");
    return write_(file, [&](const Sink& sink) -> Result<void> {
      const Data data =
          page_data(page, extras_, {kFindings, kFindings, number, number < count, count},
                    say("Findings {} to {} of {}", first, last, survey_.findings), rows);
      if (auto head = sink(page_template("page_head.html.mustache").render(data)); !head) {
        return head;
      }
      if (auto cards = write_cards(Lookup(page), open_image_, extras_, sink); !cards) return cards;
      return sink(page_template("page_tail.html.mustache").render(data));
    });
  }

  // --- report.html -----------------------------------------------------------------------------

  Result<void> write_report() {
    set_overview(contents_, head_, summary_, survey_.problems.size());
    contents_.answer = answer_.groups();
    return write_(std::string(kReportFile), [&](const Sink& sink) -> Result<void> {
      const Data data = report_data(contents_, extras_);
      if (auto head = sink(page_template("report_head.html.mustache").render(data)); !head) {
        return head;
      }
      kainjow::mustache::mustache list = page_template("list.html.mustache");
      if (auto pages = sink(list.render(listing_data(pages_))); !pages) return pages;
      return sink(page_template("report_tail.html.mustache").render(data));
    });
  }

  const Pieces& survey_;
  const OpenImage& open_image_;
  const Extras& extras_;
  const WriteFile& write_;
  Assessment head_;  ///< the survey without its rows
  Summary summary_;
  AnswerOf answer_;
  Contents contents_;
  Listing pages_;
};

}  // namespace

Result<void> write_report_pages(const Pieces& survey, const OpenImage& open_image,
                                const Extras& extras, const WriteFile& write) {
  try {
    return Pages(survey, open_image, extras, write).write();
  } catch (const std::exception& error) {
    return fail(not_composed(error));
  }
}

}  // namespace ohmglow::report
