#include "ohmglow/sentence.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"

#include <charconv>
#include <optional>
#include <type_traits>

namespace ohmglow {
namespace {

Sentence in_a_row(std::vector<Sentence> parts, List::Between between) {
  std::erase_if(parts, [](const Sentence& part) { return part.empty(); });
  if (parts.empty()) return {};
  if (parts.size() == 1) return std::move(parts.front());
  List list{{}, between};
  for (Sentence& part : parts) list.items.emplace_back(std::move(part));
  return layout("{}", std::move(list));
}

constexpr std::string_view text_of(List::Between between) {
  switch (between) {
    case List::Between::commas:
      return ", ";
    case List::Between::semicolons:
      return "; ";
    case List::Between::plus_minus:
      return " ± ";
    case List::Between::blanks:
      break;
  }
  return " ";
}

double shown(const Number& number, const Reader& reader) {
  switch (number.of) {
    case Number::Of::temperature:
      return shown_temperature(number.value, reader);
    case Number::Of::difference:
      return shown_difference(number.value, reader);
    case Number::Of::plain:
    case Number::Of::resistance:
      break;
  }
  return number.value;
}

std::string_view unit_text(Number::Of of, const Reader& reader) {
  return of == Number::Of::temperature ? temperature_unit(reader) : difference_unit(reader);
}

void trim(std::string& text, char decimal_mark) {
  if (text.find(decimal_mark) == std::string::npos) return;
  while (text.back() == '0') text.pop_back();
  if (text.back() == decimal_mark) text.pop_back();
}

std::string text_of(const Number& number, const Reader& reader) {
  if (number.of == Number::Of::resistance) return ohms(Ohm{number.value}, reader);
  const double value = shown(number, reader);
  const bool is_small = number.one_more_below && value < *number.one_more_below;
  const int places = number.places + (is_small ? 1 : 0);
  std::string text = decimals(value, places, reader);
  if (number.is_trimmed) trim(text, reader.decimal_mark);
  if (number.has_unit) text.append(" ").append(unit_text(number.of, reader));
  return text;
}

std::string text_of(const Filling& filling, const Reader& reader);

std::string value_and_u(const Number& value, const Number& u, const Reader& reader) {
  if (value.of == Number::Of::resistance) {
    return ohms_with_u(Ohm{value.value}, Ohm{u.value}, reader);
  }
  return with_u(shown(value, reader), shown(u, reader),
                value.has_unit ? unit_text(value.of, reader) : "", value.places, reader);
}

std::string text_of(const List& list, const Reader& reader) {
  if (list.between == List::Between::plus_minus && list.items.size() == 2) {
    const auto* value = std::get_if<Number>(&list.items[0].is);
    const auto* u = std::get_if<Number>(&list.items[1].is);
    if (value != nullptr && u != nullptr) return value_and_u(*value, *u, reader);
  }
  std::string text;
  for (const Filling& item : list.items) {
    const std::string next = text_of(item, reader);
    if (!next.empty() && !text.empty()) text += text_of(list.between);
    text += next;
  }
  return text;
}

std::string text_of(const Filling& filling, const Reader& reader) {
  return std::visit(
      [&reader](const auto& its) -> std::string {
        using Its = std::decay_t<decltype(its)>;
        if constexpr (std::is_same_v<Its, std::string>) {
          return its;
        } else if constexpr (std::is_same_v<Its, Unit>) {
          return std::string(unit_text(its.of, reader));
        } else if constexpr (std::is_same_v<Its, Sentence>) {
          return written(its, reader);
        } else {
          return text_of(its, reader);
        }
      },
      filling.is);
}

/// The number between two braces; that of the next filling where there is none.
std::optional<std::size_t> index_in(std::string_view between, std::size_t next) {
  if (between.empty()) return next;
  std::size_t index = 0;
  const char* const end = between.data() + between.size();
  const auto [stop, error] = std::from_chars(between.data(), end, index);
  if (error != std::errc() || stop != end) return std::nullopt;
  return index;
}

/// The message with its {} and {1} filled in; absent where they are not those of the fillings, each
/// at least once.
std::optional<std::string> filled(std::string_view message, const std::vector<std::string>& with) {
  std::string text;
  std::vector<bool> used(with.size());
  std::size_t next = 0;
  while (!message.empty()) {
    const auto open = message.find_first_of("{}");
    text.append(message.substr(0, open));
    if (open == std::string_view::npos) break;
    const auto close = message.find('}', open);
    if (message[open] == '}' || close == std::string_view::npos) return std::nullopt;
    const auto index = index_in(message.substr(open + 1, close - open - 1), next++);
    if (!index || *index >= with.size()) return std::nullopt;
    text.append(with[*index]);
    used[*index] = true;
    message.remove_prefix(close + 1);
  }
  for (const bool its : used) {
    if (!its) return std::nullopt;
  }
  return text;
}

}  // namespace

bool operator==(const List& a, const List& b) {
  return a.between == b.between && a.items == b.items;
}

bool operator==(const Sentence& a, const Sentence& b) {
  return a.message == b.message && a.arguments == b.arguments;
}

Sentence clauses(std::vector<Sentence> parts) {
  return in_a_row(std::move(parts), List::Between::semicolons);
}

Sentence sentences(std::vector<Sentence> parts) {
  return in_a_row(std::move(parts), List::Between::blanks);
}

List plus_minus(const Number& value, double u) {
  Number uncertainty = value;
  uncertainty.value = u;
  // An uncertainty of a temperature is a difference.
  if (value.of == Number::Of::temperature) uncertainty.of = Number::Of::difference;
  return {{value, uncertainty}, List::Between::plus_minus};
}

std::string written(const Sentence& sentence, const Reader& reader) {
  const std::string_view translated =
      reader.catalogue ? reader.catalogue->find(sentence.message) : sentence.message;
  if (sentence.arguments.empty()) return std::string(translated);
  std::vector<std::string> with;
  with.reserve(sentence.arguments.size());
  for (const Filling& argument : sentence.arguments) with.push_back(text_of(argument, reader));
  // A translator's slip costs the translation, not the sentence.
  if (auto text = filled(translated, with)) return *std::move(text);
  return filled(sentence.message, with).value_or(sentence.message);
}

std::string plainly(const Sentence& sentence) {
  return written(sentence, default_reader());
}

std::string plainly(const Number& number) {
  return text_of(number, default_reader());
}

}  // namespace ohmglow
