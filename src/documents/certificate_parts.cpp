#include "certificate_parts.h"

#include "ohmglow/reader.h"
#include "ohmglow/version.h"

#include <algorithm>
#include <date/date.h>

namespace ohmglow::documents {

void add_sign_line(Blocks& blocks, const Pages& pages, const std::string& who) {
  constexpr double kHeight = 34;
  constexpr double kLineAt = 22;
  const double width = pages.width();
  struct Field {
    std::string label;
    double from, to;
  };
  const std::vector<Field> fields{{say("{}, name and certificate", who), 0, 0.42},
                                  {tr("Signature"), 0.45, 0.78},
                                  {tr("Date"), 0.81, 1}};
  blocks.push_back({kHeight, 3, false, nullptr, [=](Pages& on, double x, double y) {
                      if (on.is_dry()) return;
                      for (const Field& field : fields) {
                        const Tagged p(on, "P");
                        set_tone(on.cr(), tone("ink"));
                        cairo_set_line_width(on.cr(), 0.7);
                        cairo_move_to(on.cr(), x + field.from * width, y + kLineAt);
                        cairo_line_to(on.cr(), x + field.to * width, y + kLineAt);
                        cairo_stroke(on.cr());
                        Paragraph(on.letters(), field.label, (field.to - field.from) * width,
                                  Style{.size = 7, .tone = tone("muted"), .most_lines = 1})
                            .draw(on.cr(), x + field.from * width, y + kLineAt + 3);
                      }
                    }});
}

void add_title(Pages& pages, const std::string& words, double size, const char* tag) {
  Blocks blocks;
  add_heading(blocks, pages, words, pages.width(), size, tag);
  flow(pages, std::move(blocks));
}

void add_lines(Pages& pages, const std::vector<std::string>& lines) {
  Blocks blocks;
  for (const std::string& line : lines) add_item(blocks, pages, "•", line, pages.width());
  flow(pages, std::move(blocks));
}

void describe_document(Pages& pages, const std::string& title, std::chrono::sys_days as_of) {
  describe_document(pages, title, date::format("%F", as_of));
}

void describe_document(Pages& pages, const std::string& title, std::string_view day) {
  pages.describe(CAIRO_PDF_METADATA_TITLE, title);
  pages.describe(CAIRO_PDF_METADATA_CREATOR, "ohmglow " + std::string(kVersion));
  pages.describe(CAIRO_PDF_METADATA_CREATE_DATE, std::string(day) + "T00:00:00Z");
}

std::string running_caution(const std::vector<std::string>& cautions) {
  constexpr std::size_t kOfElectricity = 2;
  std::string text;
  for (std::size_t i = 0; i < std::min(kOfElectricity, cautions.size()); ++i) {
    text += (i == 0 ? "" : " ") + cautions[i];
  }
  return text;
}

}  // namespace ohmglow::documents
