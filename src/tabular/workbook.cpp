#include "offered/tabular/workbook.h"

#include "offered/tabular/tabular.h"
#include "workbook_parts.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <date/date.h>
#include <fmt/format.h>
#include <map>
#include <vector>

namespace ohmglow::tabular {
namespace {

/// A spreadsheet has no more (ECMA-376, and the programs' own limits).
constexpr long kMostRows = 1'048'576;
constexpr std::size_t kMostColumns = 16'384;
/// That cells refer to: each costs more than its few bytes in the file.
constexpr std::size_t kMostTexts = std::size_t{1} << 22;

Error broken(std::string what) {
  return {.kind = ErrorKind::damaged,
          .what = "the workbook is damaged: " + std::move(what),
          .mend = "open it in a spreadsheet and save it again, or save it as CSV"};
}

Error too_large(std::string most) {
  return {.kind = ErrorKind::too_large,
          .what = "the workbook is larger than this program may read",
          .expected = "at most " + std::move(most)};
}

std::optional<long> whole(std::string_view text) {
  long value = 0;
  const auto [end, trouble] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (trouble != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// --- what a number is shown as

enum class Shown { plain, moment, percentage };

/// By a format's own code (ECMA-376, part 1, 18.8.31).
Shown shown_by(std::string_view code) {
  bool quoted = false;
  for (std::size_t i = 0; i < code.size(); ++i) {
    const char c = code[i];
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '\\' || c == '_' || c == '*') {
      ++i;
    } else if (c == '[') {
      // A colour or a condition; an hour that goes on past 24 is no time of day either.
      i = std::min(code.find(']', i), code.size());
    } else if (c == ';') {
      break;  // what follows is for negative numbers
    } else if (c == '%') {
      return Shown::percentage;
    } else if (std::string_view("yYmMdDhHsS").find(c) != std::string_view::npos) {
      return Shown::moment;
    }
  }
  return Shown::plain;
}

/// By the number of a format that every workbook knows (18.8.30).
Shown shown_by(long format) {
  const auto within = [format](long first, long last) { return format >= first && format <= last; };
  if (format == 9 || format == 10) return Shown::percentage;
  const bool is_moment = within(14, 22) || within(27, 36) || within(45, 47) || within(50, 58);
  return is_moment ? Shown::moment : Shown::plain;
}

/// A day and time as a spreadsheet counts them: days since the end of 1899, or since 1904.
std::optional<std::string> moment_text(double serial, bool from_1904) {
  using namespace std::chrono;
  constexpr double kLast = 2'958'466;  // the year 10000
  if (!(serial >= 0 && serial < kLast)) return std::nullopt;
  const auto whole_days = static_cast<int>(std::floor(serial));
  auto time = seconds(std::llround((serial - whole_days) * 86'400));
  // Day 60 would be the 29th of February 1900, which never was.
  const sys_days first = from_1904 ? sys_days(year(1904) / 1 / 1)
                                   : sys_days(year(1899) / 12 / (whole_days < 60 ? 31 : 30));
  const sys_days day = first + days(whole_days) + (time == 24h ? days(1) : days(0));
  if (time == 24h) time = seconds(0);
  const std::string clock = date::format("%T", date::sys_seconds(time));
  if (whole_days == 0 && !from_1904) return clock;
  const std::string its_day = date::format("%F", date::sys_days(day.time_since_epoch()));
  return time == seconds(0) ? its_day : its_day + 'T' + clock;
}

std::string number_text(std::string_view written, Shown shown, bool from_1904) {
  const auto value = parse_number(written);
  if (!value) return std::string(written);
  if (shown == Shown::percentage) return fmt::format("{:.15g}%", *value * 100);
  if (shown == Shown::moment) {
    if (const auto text = moment_text(*value, from_1904)) return *text;
  }
  return fmt::format("{:.15g}", *value);
}

// --- the parts beside the sheet

struct Head {
  std::string name;
  std::string relation;
  std::size_t sheets = 0;
  bool from_1904 = false;
};

Result<Head> read_head(std::string_view xml, std::string_view part) {
  Head head;
  const auto read =
      read_xml(xml, part,
               {.begin =
                    [&head](std::string_view name, const Attributes& attributes) {
                      if (name == "workbookPr") {
                        const auto given = attributes["date1904"];
                        head.from_1904 = given == "1" || given == "true";
                      }
                      if (name != "sheet") return;
                      ++head.sheets;
                      const auto state = attributes["state"];
                      if (!head.relation.empty() || state == "hidden" || state == "veryHidden")
                        return;
                      head.name = attributes["name"];
                      // r:id; sheetId is another matter
                      head.relation = attributes["id"];
                    },
                .end = [](std::string_view) {}});
  if (!read) return fail(read.error());
  if (head.relation.empty()) return fail(broken("it names no sheet"));
  return head;
}

/// The part that a relation leads to.
Result<std::string> target_of(std::string_view xml, std::string_view part,
                              const std::string& relation) {
  std::string target;
  const auto read = read_xml(xml, part,
                             {.begin =
                                  [&](std::string_view name, const Attributes& attributes) {
                                    if (name == "Relationship" && attributes["Id"] == relation) {
                                      target = attributes["Target"];
                                    }
                                  },
                              .end = [](std::string_view) {}});
  if (!read) return fail(read.error());
  if (target.empty()) return fail(broken("its sheet is not there"));
  return target.front() == '/' ? target.substr(1) : "xl/" + target;
}

/// What the numbers of each cell style are shown as.
Result<std::vector<Shown>> read_styles(std::string_view xml, std::string_view part) {
  std::map<std::string, Shown, std::less<>> own;
  std::vector<Shown> styles;
  bool in_cells = false;
  const auto read = read_xml(
      xml, part,
      {.begin =
           [&](std::string_view name, const Attributes& attributes) {
             if (name == "numFmt") {
               own.emplace(attributes["numFmtId"], shown_by(attributes["formatCode"]));
             }
             if (name == "cellXfs") in_cells = true;
             if (name != "xf" || !in_cells) return;
             const auto format = attributes["numFmtId"];
             const auto at = own.find(format);
             styles.push_back(at != own.end() ? at->second : shown_by(whole(format).value_or(0)));
           },
       .end = [&](std::string_view name) { in_cells = in_cells && name != "cellXfs"; }});
  if (!read) return fail(read.error());
  return styles;
}

/// Texts that cells refer to. Of a text in several runs all, of its reading aid nothing.
Result<std::vector<std::string>> read_texts(std::string_view xml, std::string_view part) {
  std::vector<std::string> texts;
  bool in_text = false;
  bool in_aid = false;
  Result<void> trouble;
  const auto read = read_xml(xml, part,
                             {.begin =
                                  [&](std::string_view name, const Attributes&) {
                                    if (name == "si") texts.emplace_back();
                                    if (texts.size() > kMostTexts) {
                                      trouble =
                                          fail(too_large(std::to_string(kMostTexts) + " texts"));
                                    }
                                    if (name == "rPh") in_aid = true;
                                    in_text = name == "t" && !in_aid && !texts.empty();
                                  },
                              .end =
                                  [&](std::string_view name) {
                                    in_text = false;
                                    if (name == "rPh") in_aid = false;
                                  },
                              .text =
                                  [&](std::string_view text) {
                                    if (in_text) texts.back() += text;
                                  },
                              .trouble = &trouble});
  if (!read) return fail(read.error());
  return texts;
}

// --- the sheet

/// "BC12" is column 54, counted from 0, and row 12.
struct CellName {
  std::size_t column = 0;
  std::optional<long> row;
};
std::optional<CellName> cell_name(std::string_view name) {
  CellName cell;
  std::size_t letters = 0;
  while (letters < name.size() && name[letters] >= 'A' && name[letters] <= 'Z' && letters < 4) {
    cell.column = cell.column * 26 + static_cast<std::size_t>(name[letters] - 'A') + 1;
    ++letters;
  }
  cell.row = whole(name.substr(letters));
  if (letters == 0 || cell.column > kMostColumns || !cell.row) return std::nullopt;
  --cell.column;
  return cell;
}

/// Puts the rows of a sheet into the lines of their numbers.
class SheetWriter {
 public:
  SheetWriter(const std::vector<std::string>& texts, const std::vector<Shown>& styles,
              bool from_1904, std::uint64_t most_bytes)
      : texts_(texts), styles_(styles), from_1904_(from_1904), most_bytes_(most_bytes) {}

  void begin(std::string_view name, const Attributes& attributes) {
    if (name == "row") {
      begin_row(attributes["r"]);
    } else if (name == "c") {
      begin_cell(attributes);
    } else if (name == "rPh") {
      in_aid_ = true;
    }
    takes_text_ = in_cell_ && !in_aid_ && (name == "v" || name == "t");
  }
  void end(std::string_view name) {
    takes_text_ = false;
    if (name == "rPh") in_aid_ = false;
    if (name == "c" && in_cell_) end_cell();
    if (name == "row") end_row();
  }
  void take(std::string_view text) {
    if (takes_text_) value_ += text;
  }

  [[nodiscard]] std::string& text() { return text_; }
  [[nodiscard]] const Result<void>& trouble() const { return trouble_; }

 private:
  void refuse(Error error) {
    if (trouble_) trouble_ = fail(std::move(error));
  }

  void begin_row(std::string_view number) {
    const long row = number.empty() ? row_ + 1 : whole(number).value_or(0);
    if (row <= row_ || row > kMostRows) {
      return refuse(broken("its rows are out of order"));
    }
    text_.append(static_cast<std::size_t>(row - row_ - 1), '\n');
    row_ = row;
    cells_.clear();
    column_ = 0;
  }
  void begin_cell(const Attributes& attributes) {
    const auto name = attributes["r"];
    if (!name.empty()) {
      const auto cell = cell_name(name);
      if (!cell) return refuse(broken("no such cell can be"));
      column_ = cell->column;
    }
    if (column_ >= kMostColumns) return refuse(broken("its rows are too long"));
    type_ = attributes["t"];
    const auto style = static_cast<std::size_t>(std::max(0L, whole(attributes["s"]).value_or(0)));
    shown_ = style < styles_.size() ? styles_[style] : Shown::plain;
    value_.clear();
    in_cell_ = true;
  }
  void end_cell() {
    in_cell_ = false;
    if (type_ == "s" && !value_.empty()) {
      const auto index = whole(value_);
      if (!index || *index < 0 || static_cast<std::size_t>(*index) >= texts_.size()) {
        return refuse(broken("a cell refers to a text that is not there"));
      }
      put(texts_[static_cast<std::size_t>(*index)]);
    } else if (type_ == "b") {
      put(value_ == "1" ? "TRUE" : "FALSE");
    } else if (type_ == "d") {
      put(value_);
    } else if (type_.empty() || type_ == "n") {
      put(value_.empty() ? value_ : number_text(value_, shown_, from_1904_));
    } else {
      put(value_);
    }
    ++column_;
  }
  void put(std::string_view value) {
    if (value.empty()) return;
    if (cells_.size() <= column_) cells_.resize(column_ + 1);
    cells_[column_] = value;
    // Many cells may refer to one long text.
    row_bytes_ += value.size();
    if (text_.size() + row_bytes_ <= most_bytes_) return;
    refuse(too_large(std::to_string(most_bytes_) + " bytes of text"));
  }
  void end_row() {
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      if (i > 0) text_ += ',';
      text_ += cell_text(cells_[i], ',');
    }
    text_ += '\n';
    row_bytes_ = 0;
    if (text_.size() > most_bytes_) {
      refuse(too_large(std::to_string(most_bytes_) + " bytes of text"));
    }
  }

  const std::vector<std::string>& texts_;
  const std::vector<Shown>& styles_;
  bool from_1904_;
  std::uint64_t most_bytes_;
  std::string text_ = "sep=,\n";
  Result<void> trouble_;
  long row_ = 0;
  std::size_t column_ = 0;
  std::vector<std::string> cells_;
  std::uint64_t row_bytes_ = 0;
  std::string type_;
  std::string value_;
  Shown shown_ = Shown::plain;
  bool in_cell_ = false;
  bool in_aid_ = false;
  bool takes_text_ = false;
};

/// A part that a workbook may lack, read by `read_part`.
template <class Value>
Result<Value> part_if_there(const Archive& archive, const std::string& part,
                            const WorkbookLimits& limits,
                            Result<Value> (*read_part)(std::string_view, std::string_view)) {
  if (!archive.has(part)) return Value();
  const auto xml = archive.read(part, limits.part_bytes);
  if (!xml) return fail(xml.error());
  return read_part(*xml, part);
}

}  // namespace

Result<SheetText> first_sheet(std::string_view bytes, const WorkbookLimits& limits) {
  const auto archive = Archive::open(bytes);
  if (!archive) return fail(archive.error());
  const std::string workbook = "xl/workbook.xml";
  const std::string relations = "xl/_rels/workbook.xml.rels";
  if (!archive->has(workbook) || !archive->has(relations)) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "this is a ZIP archive, and no workbook",
                 .mend = "save the table as .xlsx or as CSV"});
  }
  const auto workbook_xml = archive->read(workbook, limits.part_bytes);
  if (!workbook_xml) return fail(workbook_xml.error());
  const auto head = read_head(*workbook_xml, workbook);
  if (!head) return fail(head.error());
  const auto relations_xml = archive->read(relations, limits.part_bytes);
  if (!relations_xml) return fail(relations_xml.error());
  const auto sheet = target_of(*relations_xml, relations, head->relation);
  if (!sheet) return fail(sheet.error());
  const auto texts = part_if_there(*archive, "xl/sharedStrings.xml", limits, read_texts);
  if (!texts) return fail(texts.error());
  const auto styles = part_if_there(*archive, "xl/styles.xml", limits, read_styles);
  if (!styles) return fail(styles.error());
  const auto sheet_xml = archive->read(*sheet, limits.part_bytes);
  if (!sheet_xml) return fail(sheet_xml.error());
  SheetWriter writer(*texts, *styles, head->from_1904, limits.text_bytes);
  const auto read = read_xml(
      *sheet_xml, *sheet,
      {.begin = [&writer](std::string_view name,
                          const Attributes& attributes) { writer.begin(name, attributes); },
       .end = [&writer](std::string_view name) { writer.end(name); },
       .text = [&writer](std::string_view text) { writer.take(text); },
       .trouble = &writer.trouble()});
  if (!read) return fail(read.error());
  return SheetText{std::move(writer.text()), head->name, head->sheets - 1};
}

}  // namespace ohmglow::tabular
