#include "cards.h"
#include "page.h"
#include "page_templates.h"

#include <exception>
#include <string>

namespace ohmglow::report {

Result<std::string> report_html(const diagnosis::Assessment& assessment,
                                const OpenImage& open_image, const Extras& extras) {
  try {
    const Lookup lookup(assessment);
    const Data data = report_data(contents_of(lookup), extras);
    std::string page = page_template("report_head.html.mustache").render(data);
    const auto written =
        write_cards(lookup, open_image, extras, [&page](std::string_view text) -> Result<void> {
          page += text;
          return {};
        });
    if (!written) return fail(written.error());
    page += page_template("report_tail.html.mustache").render(data);
    return page;
  } catch (const std::exception& error) {
    return fail(not_composed(error));
  }
}

}  // namespace ohmglow::report
