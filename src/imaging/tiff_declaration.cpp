#include "tiff_declaration.h"

#include "offered/tabular/tabular.h"
#include "offered/vocabulary/json_depth.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

namespace ohmglow::imaging {
namespace {

/// What may be written for a unit, lower case and without blanks, underscores and degree signs.
struct UnitWord {
  std::string_view word;
  TemperatureUnit unit;
};
constexpr std::array<UnitWord, 11> kUnitWords{{{"c", TemperatureUnit::celsius},
                                               {"degc", TemperatureUnit::celsius},
                                               {"celsius", TemperatureUnit::celsius},
                                               {"degcelsius", TemperatureUnit::celsius},
                                               {"degreecelsius", TemperatureUnit::celsius},
                                               {"degreescelsius", TemperatureUnit::celsius},
                                               {"centigrade", TemperatureUnit::celsius},
                                               {"k", TemperatureUnit::kelvin},
                                               {"degk", TemperatureUnit::kelvin},
                                               {"kelvin", TemperatureUnit::kelvin},
                                               {"kelvins", TemperatureUnit::kelvin}}};

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
  return result;
}

/// Without blanks, underscores and degree signs.
std::string bare_word(std::string_view written) {
  std::string word;
  for (std::size_t i = 0; i < written.size(); ++i) {
    if (written.substr(i, 2) == "\xC2\xB0") {
      ++i;
    } else if (std::string_view("\xB0 _\t\r\n").find(written[i]) == std::string_view::npos) {
      word += written[i];
    }
  }
  return lower(word);
}

void set_unit(EmbeddedDeclaration& declaration, std::string_view written) {
  const std::string word = bare_word(written);
  if (word.empty()) return;
  const auto known = std::find_if(kUnitWords.begin(), kUnitWords.end(),
                                  [&word](const UnitWord& w) { return w.word == word; });
  if (known == kUnitWords.end()) {
    declaration.not_understood = "unit " + excerpt(written);
  } else {
    declaration.unit = known->unit;
  }
}

/// A scale of 0 would make all pixels one temperature.
void set_number(EmbeddedDeclaration& declaration,
                std::optional<double> EmbeddedDeclaration::*member, std::optional<double> value,
                std::string_view written) {
  const bool is_scale = member == &EmbeddedDeclaration::scale;
  if (value && std::isfinite(*value) && !(is_scale && *value == 0)) {
    declaration.*member = value;
  } else {
    declaration.not_understood = (is_scale ? "scale " : "offset ") + excerpt(written);
  }
}

/// One `<Item …>text</Item>`.
struct Item {
  std::map<std::string, std::string> attributes;  ///< names in lower case
  std::string text;
};

constexpr std::array<std::pair<std::string_view, std::string_view>, 7> kEntities{
    {{"&lt;", "<"},
     {"&gt;", ">"},
     {"&quot;", "\""},
     {"&apos;", "'"},
     {"&#176;", "\xC2\xB0"},
     {"&#xB0;", "\xC2\xB0"},
     {"&amp;", "&"}}};

std::string decode_entities(std::string_view text) {
  std::string result;
  while (!text.empty()) {
    const auto entity = std::find_if(kEntities.begin(), kEntities.end(), [text](const auto& known) {
      return text.starts_with(known.first);
    });
    const bool is_entity = entity != kEntities.end();
    result += is_entity ? entity->second : text.substr(0, 1);
    text.remove_prefix(is_entity ? entity->first.size() : 1);
  }
  return result;
}

std::map<std::string, std::string> attributes_of(std::string_view tag) {
  std::map<std::string, std::string> attributes;
  for (;;) {
    const auto equals = tag.find('=');
    if (equals == std::string_view::npos || equals + 1 >= tag.size()) return attributes;
    const char quote = tag[equals + 1];
    const auto end = tag.find(quote, equals + 2);
    if ((quote != '"' && quote != '\'') || end == std::string_view::npos) return attributes;
    const auto from = tag.find_last_of(" \t\r\n", equals);
    const auto start = from == std::string_view::npos ? 0 : from + 1;
    attributes[lower(tag.substr(start, equals - start))] =
        decode_entities(tag.substr(equals + 2, end - equals - 2));
    tag.remove_prefix(end + 1);
  }
}

/// The items of the XML, in order; what is not an item is passed over.
std::vector<Item> items_of(std::string_view xml) {
  constexpr std::string_view kOpen = "<Item";
  constexpr std::string_view kClose = "</Item>";
  std::vector<Item> items;
  for (auto at = xml.find(kOpen); at != std::string_view::npos; at = xml.find(kOpen, at)) {
    const auto tag_end = xml.find('>', at);
    const auto close = xml.find(kClose, at);
    if (tag_end == std::string_view::npos || close == std::string_view::npos || close < tag_end)
      break;
    items.push_back({attributes_of(xml.substr(at + kOpen.size(), tag_end - at - kOpen.size())),
                     decode_entities(xml.substr(tag_end + 1, close - tag_end - 1))});
    at = close + kClose.size();
  }
  return items;
}

std::string too_long(std::string_view text) {
  return std::to_string(text.size()) + " bytes, where " + std::to_string(kLongestDescription) +
         " are read";
}

}  // namespace

std::optional<EmbeddedDeclaration> declaration_in_json(std::string_view text) {
  const auto start = text.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos || text[start] != '{') return std::nullopt;
  EmbeddedDeclaration declaration;
  declaration.from = "ImageDescription";
  // Who declares something behind such a text is refused, not measured as if nothing was declared.
  if (text.size() > kLongestDescription) {
    declaration.not_understood = too_long(text);
    return declaration;
  }
  if (nests_too_deep(text)) {
    if (!nlohmann::json::accept(text)) return std::nullopt;  // goes through it without recursing
    declaration.not_understood =
        "JSON nested deeper than " + std::to_string(kDeepestJson) + " levels";
    return declaration;
  }
  const auto object = nlohmann::json::parse(text, nullptr, false);
  if (!object.is_object()) return std::nullopt;
  bool found = false;
  for (const auto& [name, member] : {std::pair{"scale", &EmbeddedDeclaration::scale},
                                     std::pair{"offset", &EmbeddedDeclaration::offset}}) {
    const auto value = object.find(name);
    if (value == object.end()) continue;
    found = true;
    const auto number = value->is_number() ? std::optional(value->get<double>()) : std::nullopt;
    set_number(declaration, member, number,
               value->dump(-1, ' ', true, nlohmann::json::error_handler_t::replace));
  }
  if (const auto unit = object.find("unit"); unit != object.end()) {
    found = true;
    if (unit->is_string()) {
      set_unit(declaration, unit->get<std::string>());
    } else {
      declaration.not_understood = "a unit that is not a word";
    }
  }
  return found ? std::optional(declaration) : std::nullopt;
}

std::optional<EmbeddedDeclaration> declaration_in_gdal_metadata(std::string_view xml) {
  EmbeddedDeclaration declaration;
  declaration.from = "GDAL_METADATA";
  if (xml.size() > kLongestDescription) {
    declaration.not_understood = too_long(xml);
    return declaration;
  }
  bool found = false;
  for (const Item& item : items_of(xml)) {
    const auto attribute = [&item](const char* name) {
      const auto at = item.attributes.find(name);
      return at == item.attributes.end() ? std::string() : lower(at->second);
    };
    if (const std::string sample = attribute("sample"); !sample.empty() && sample != "0") continue;
    const std::string name = attribute("name");
    const std::string role = attribute("role");
    const auto is = [&](std::string_view word) {
      return role == word || (role.empty() && name == word);
    };
    if (is("scale")) {
      set_number(declaration, &EmbeddedDeclaration::scale, tabular::parse_number(item.text),
                 item.text);
    } else if (is("offset")) {
      set_number(declaration, &EmbeddedDeclaration::offset, tabular::parse_number(item.text),
                 item.text);
    } else if (is("unittype")) {
      set_unit(declaration, item.text);
    } else {
      continue;
    }
    found = true;
  }
  return found ? std::optional(declaration) : std::nullopt;
}

}  // namespace ohmglow::imaging
