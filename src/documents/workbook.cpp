#include "workbook.h"

#include "offered/report/plain_text.h"
#include "ohmglow/reader.h"
#include "style.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <fmt/format.h>
#include <stdexcept>
#include <sys/mman.h>
#include <unistd.h>

namespace ohmglow::documents {
namespace {

// ECMA-376 leaves it open; every spreadsheet program stops at 32 767 UTF-16 units.
constexpr int kMostLetters = 16000;

constexpr std::array<const char*, 8> kNumberFormats{
    "@", "@", "0", "0.0", "0.00", "0.000", "0.000000", "yyyy-mm-dd hh:mm"};

lxw_color_t packed(const Tone& tone) {
  const auto channel = [](double share) {
    return static_cast<lxw_color_t>(std::lround(share * 255));
  };
  return channel(tone.red) << 16 | channel(tone.green) << 8 | channel(tone.blue);
}

// A library of C that takes its strings as char* and copies them.
char* as_c(const std::string& text) {
  return const_cast<char*>(text.c_str());
}

/// The library hands out nothing where it has no memory or no descriptor for a temporary file.
void expect(const void* made) {
  if (made == nullptr) throw std::runtime_error(std::strerror(errno));
}

}  // namespace

std::string cell_text(std::string_view words) {
  return report::shorten(report::printable(words), kMostLetters);
}

Workbook::Workbook(const std::string& title, const std::string& author,
                   std::chrono::sys_days created)
    // libxlsxwriter writes to a path alone: this one is in memory.
    : file_(memfd_create("report.xlsx", MFD_CLOEXEC)),
      path_(fmt::format("/proc/self/fd/{}", file_)) {
  lxw_workbook_options options{};
  options.constant_memory = LXW_TRUE;
  book_ = workbook_new_opt(path_.c_str(), &options);
  expect(book_);
  const std::string safe_title = cell_text(title);
  const std::string safe_author = cell_text(author);
  lxw_doc_properties properties{};
  properties.title = as_c(safe_title);
  properties.author = as_c(safe_author);
  // No clock: 0 would be replaced by the time of the run.
  properties.created = std::max<std::time_t>(
      1, std::chrono::duration_cast<std::chrono::seconds>(created.time_since_epoch()).count());
  workbook_set_properties(book_, &properties);
  for (std::size_t i = 0; i < kNumberFormats.size(); ++i) {
    lxw_format* format = workbook_add_format(book_);
    format_set_num_format(format, kNumberFormats.at(i));
    format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
    if (static_cast<Look>(i) == Look::wrapped) format_set_text_wrap(format);
    formats_.push_back(format);
  }
  head_ = workbook_add_format(book_);
  format_set_bold(head_);
  format_set_text_wrap(head_);
  format_set_align(head_, LXW_ALIGN_VERTICAL_BOTTOM);
  format_set_bottom(head_, LXW_BORDER_MEDIUM);
  bold_ = workbook_add_format(book_);
  format_set_bold(bold_);
  format_set_align(bold_, LXW_ALIGN_VERTICAL_TOP);
  for (int level = 1; level <= 4; ++level) {
    lxw_format* format = workbook_add_format(book_);
    format_set_bg_color(format, packed(documents::tint(tone_of_level(level), 0.25)));
    tints_.push_back(format);
  }
}

Workbook::~Workbook() {
  if (book_ != nullptr) lxw_workbook_free(book_);  // closing would compose it first
  close(file_);
}

lxw_format* Workbook::format(Look look) const {
  return formats_.at(static_cast<std::size_t>(look));
}

lxw_format* Workbook::tint(int level) const {
  return tints_.at(static_cast<std::size_t>(level - 1));
}

Result<std::string> Workbook::finish() {
  const lxw_error error = workbook_close(book_);
  book_ = nullptr;
  if (error != LXW_NO_ERROR) {
    return fail({ErrorKind::system,
                 "the spreadsheet could not be composed",
                 lxw_strerror(error),
                 "",
                 "free memory and room for temporary files",
                 {}});
  }
  const off_t size = lseek(file_, 0, SEEK_END);
  std::string bytes(static_cast<std::size_t>(std::max<off_t>(size, 0)), '\0');
  std::size_t got = 0;
  while (got < bytes.size()) {
    const ssize_t n = pread(file_, bytes.data() + got, bytes.size() - got, static_cast<off_t>(got));
    if (n <= 0) break;
    got += static_cast<std::size_t>(n);
  }
  if (got < bytes.size() || bytes.empty()) {
    return fail(
        {ErrorKind::system, "the spreadsheet could not be read back", "", "", "free memory", {}});
  }
  return bytes;
}

namespace {

std::string head_of(const SheetColumn& column) {
  const std::string title = tr(column.title);
  if (column.of == Of::anything) return title;
  return fmt::format("{}, {}", title,
                     column.of == Of::temperature ? temperature_unit() : difference_unit());
}

}  // namespace

Sheet::Sheet(Workbook& book, const std::string& name, std::span<const SheetColumn> columns,
             const std::string& footer, double least_height)
    : book_(book),
      sheet_(workbook_add_worksheet(book.book(), name.c_str())),
      columns_(columns.begin(), columns.end()),
      least_height_(least_height) {
  expect(sheet_);
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const auto column = static_cast<lxw_col_t>(i);
    worksheet_set_column(sheet_, column, column, columns_[i].width, nullptr);
  }
  constexpr double kHeadHeight = 46;
  worksheet_set_row(sheet_, 0, kHeadHeight, nullptr);
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    worksheet_write_string(sheet_, 0, static_cast<lxw_col_t>(i), head_of(columns_[i]).c_str(),
                           book_.head());
  }
  // Pictures are placed by this height: written rows are forgotten.
  worksheet_set_default_row(sheet_, least_height_, LXW_FALSE);
  worksheet_freeze_panes(sheet_, 1, 0);
  worksheet_set_landscape(sheet_);
  worksheet_fit_to_pages(sheet_, 1, 0);
  worksheet_repeat_rows(sheet_, 0, 0);
  // The format allows 255 letters; "&" begins a code.
  const std::string words = "&L" + report::shorten(footer, 200) + tr("&RPage &P of &N");
  worksheet_set_footer(sheet_, words.c_str());
}

void Sheet::next_row() {
  write_row();
  ++row_;
  column_ = 0;
}

double Sheet::height_of_row() const {
  constexpr double kLine = 15;
  constexpr double kHighest = 409;  // ECMA-376: of a row
  int lines = 1;
  for (const Cell& cell : cells_) {
    const auto* words = std::get_if<std::string>(&cell.value);
    const SheetColumn& column = columns_.at(cell.column);
    if (words == nullptr || column.look != Look::wrapped) continue;
    lines = std::max(lines,
                     static_cast<int>(report::wrap(*words, static_cast<int>(column.width)).size()));
  }
  return std::clamp(lines * kLine, least_height_, kHighest);
}

void Sheet::write_row() {
  if (row_ > 0) worksheet_set_row(sheet_, row_, height_of_row(), nullptr);
  for (Cell& cell : cells_) {
    lxw_format* format = book_.format(columns_.at(cell.column).look);
    if (const auto* words = std::get_if<std::string>(&cell.value)) {
      worksheet_write_string(sheet_, row_, cell.column, words->c_str(), format);
    } else if (const auto* number = std::get_if<double>(&cell.value)) {
      worksheet_write_number(sheet_, row_, cell.column, *number, format);
    } else {
      worksheet_write_datetime(sheet_, row_, cell.column, &std::get<lxw_datetime>(cell.value),
                               format);
    }
  }
  cells_.clear();
}

void Sheet::text(std::string_view words) {
  if (!words.empty()) cells_.push_back({column_, cell_text(words)});
  ++column_;
}

void Sheet::number(std::optional<double> value) {
  if (value && std::isfinite(*value)) {
    const Of of = columns_.at(column_).of;
    cells_.push_back({column_, of == Of::temperature  ? shown_temperature(*value)
                               : of == Of::difference ? shown_difference(*value)
                                                      : *value});
  }
  ++column_;
}

void Sheet::moment(const std::optional<Moment>& moment) {
  constexpr int kFirstYear = 1900;  // of spreadsheet dates
  constexpr int kLastYear = 9999;
  if (moment) {
    const std::chrono::year_month_day day{moment->day};
    const auto seconds = (moment->time - moment->day).count();
    const int year = static_cast<int>(day.year());
    if (year < kFirstYear || year > kLastYear) {
      cells_.push_back({column_, cell_text(moment->text)});
    } else {
      cells_.push_back(
          {column_,
           lxw_datetime{year, static_cast<int>(static_cast<unsigned>(day.month())),
                        static_cast<int>(static_cast<unsigned>(day.day())),
                        static_cast<int>(seconds / 3600), static_cast<int>(seconds / 60 % 60),
                        static_cast<double>(seconds % 60)}});
    }
  }
  ++column_;
}

void Sheet::picture(const std::vector<std::byte>& png, double scale, const std::string& words) {
  const std::string safe = cell_text(words);
  lxw_image_options options{};
  options.x_offset = 3;
  options.y_offset = 3;
  options.x_scale = scale;
  options.y_scale = scale;
  options.object_position = LXW_OBJECT_MOVE_AND_SIZE;
  options.description = as_c(safe);
  worksheet_insert_image_buffer_opt(sheet_, row_, column_,
                                    reinterpret_cast<const unsigned char*>(png.data()), png.size(),
                                    &options);
  ++column_;
}

void Sheet::tint(std::size_t column, const std::string& words, int level) {
  if (row_ == 0 || level < 1) return;
  std::string quoted = "\"";
  for (const char c : cell_text(words))
    quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  quoted += '"';
  lxw_conditional_format rule{};
  rule.type = LXW_CONDITIONAL_TYPE_CELL;
  rule.criteria = LXW_CONDITIONAL_CRITERIA_EQUAL_TO;
  rule.value_string = as_c(quoted);
  rule.format = book_.tint(level);
  const auto at = static_cast<lxw_col_t>(column);
  worksheet_conditional_format_range(sheet_, 1, at, row_, at, &rule);
}

void Sheet::close() {
  write_row();
  worksheet_autofilter(sheet_, 0, 0, row_, static_cast<lxw_col_t>(columns_.size() - 1));
}

Error xlsx_not_composed(const std::exception& error) {
  return {ErrorKind::system,
          "the spreadsheet could not be composed",
          error.what(),
          "",
          "free memory, allow more open files, or report on fewer images at once",
          {}};
}

}  // namespace ohmglow::documents
