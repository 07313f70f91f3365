#include "ohmglow/result.h"

namespace ohmglow {

Error Error::in_file(std::string_view file) const {
  Error placed = *this;
  if (placed.place.file.empty()) placed.place.file = file;
  return placed;
}

std::string sentence(const Error& error) {
  std::string text = error.what;
  if (!error.found.empty()) text += (text.empty() ? "found \"" : ": found \"") + error.found + '"';
  if (!error.expected.empty())
    text += (error.found.empty() ? ": expected " : ", expected ") + error.expected;
  if (!error.mend.empty()) text += "; " + error.mend;
  return text;
}

std::string sentence_with_place(const Error& error) {
  const Place& place = error.place;
  std::string where = place.file;
  const auto add = [&where](const std::string& part) {
    if (!where.empty()) where += ", ";
    where += part;
  };
  if (place.row) add("row " + std::to_string(*place.row));
  if (!place.column.empty()) add("column " + place.column);
  if (place.byte_offset) add("byte " + std::to_string(*place.byte_offset));
  return where.empty() ? sentence(error) : where + ": " + sentence(error);
}

}  // namespace ohmglow
