#include "offered/report/acceptance_contents.h"
#include "page.h"
#include "page_templates.h"

#include <exception>

namespace ohmglow::report {
namespace {

Data acceptance_data(const AcceptanceSource& source) {
  const AcceptanceContents contents = acceptance_contents(source);
  Data data{Fields{{"site", contents.site},
                   {"title", contents.title},
                   {"conclusion", contents.conclusion},
                   {"conclusion_level", std::to_string(contents.level)},
                   {"counted", contents.counted},
                   {"facts", fact_list(contents.facts)},
                   {"failed", text_list(contents.failed)},
                   {"has_failed", !contents.failed.empty()},
                   {"open", text_list(contents.open)},
                   {"has_open", !contents.open.empty()},
                   {"checks", listing_data(contents.checks)},
                   {"sources", listing_data(contents.sources)},
                   {"rotors", rotor_list(contents.rotors)},
                   {"has_rotors", !contents.rotors.empty()},
                   {"rules", text_list(contents.rules)},
                   {"cautions", text_list(contents.cautions)},
                   {"problems", listing_data(contents.problems)},
                   {"signs", text_list(contents.signs)}}};
  if (!contents.cost.empty()) data.set("cost", contents.cost);
  set_frame(data, {});
  return data;
}

}  // namespace

Result<std::string> acceptance_html(const AcceptanceSource& source) {
  try {
    return page_template("acceptance.html.mustache").render(acceptance_data(source));
  } catch (const std::exception& error) {
    return fail(
        {ErrorKind::system, "the page could not be composed", error.what(), "", "free memory", {}});
  }
}

}  // namespace ohmglow::report
