#include "offered/report/hyphens.h"

#include "ohmglow/reader.h"

#include <algorithm>
#include <array>
#include <optional>

namespace ohmglow::report {
namespace {

constexpr std::string_view kSoftHyphen = "\u00ad";

// The parts of the long German words that results use, in small letters, with their hyphens; longer
// ones before those that they begin with.
constexpr auto kGermanParts = std::to_array<std::string_view>({
    "an-schluss",
    "auf-ge-nom-men",
    "aus-tausch",
    "außen-lei-ter",
    "be-mes-sung",
    "be-ob-ach-ten",
    "be-sich-tigt",
    "be-stä-tigt",
    "be-ur-teilt",
    "be-zugs",
    "ein-pla-nen",
    "emis-sions-grad",
    "emp-find-lich-keit",
    "ent-schei-dung",
    "fort-pflan-zung",
    "ge-mes-sen",
    "ge-spei-chert",
    "gleich-mä-ßig",
    "grenze",
    "instand-set-zung",
    "klemmen-kasten",
    "klemme",
    "kom-po-nen-te",
    "kon-flikt",
    "kon-takt",
    "kosten",
    "last-ex-po-nent",
    "leiter",
    "mar-kie-rung",
    "mess-lei-tung",
    "mess-wer-te",
    "mes-sung",
    "min-de-rungs-fak-tor",
    "motor",
    "netz-span-nung",
    "nor-mal",
    "phasen",
    "re-flek-tiert",
    "re-fle-xions-grad",
    "si-cher-heits-hin-wei-se",
    "spek-tral-band",
    "span-nung",
    "stan-dard",
    "stel-le",
    "ströme",
    "strom-kreis",
    "strom",
    "sym-me-trisch",
    "tem-pe-ra-tur",
    "ther-misch",
    "trans-mis-sions-grad",
    "um-ge-bungs",
    "um-rich-ter",
    "un-gleich-för-mig-keit",
    "un-si-cher-heit",
    "un-sym-me-trie",
    "un-sym-me-trisch",
    "un-ter-schied",
    "un-ter-schrift",
    "un-mar-kier-te",
    "ver-bin-dung",
    "ver-gleichs",
    "ver-tei-lung",
    "vor-zie-hen",
    "wahr-schein-lich-keit",
    "wahr-schein-lich",
    "wi-der-spruch",
    "wi-der-stand",
    "wick-lungs",
    "zu-sam-men-fas-sung",
    "über-schuss",
    "über-tem-pe-ra-tur",
    "über-wa-chen",
});
// Shorter words need no hyphen, in bytes.
constexpr std::size_t kLongWord = 10;

bool is_letter(unsigned char c) {
  constexpr unsigned char kBeyondAscii = 0x80;
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c >= kBeyondAscii;
}

// A letter of a word, small: of the two-byte capitals Ä, Ö and Ü the second byte alone differs.
char small(std::string_view word, std::size_t i) {
  constexpr char kLead = '\xc3';
  constexpr char kCapitals = '\x9e';
  constexpr char kToSmall = 0x20;
  const char c = word[i];
  if (c >= 'A' && c <= 'Z') return static_cast<char>(c - 'A' + 'a');
  const bool is_capital = i > 0 && word[i - 1] == kLead &&
                          static_cast<unsigned char>(c) <= static_cast<unsigned char>(kCapitals);
  return is_capital ? static_cast<char>(c + kToSmall) : c;
}

// How many bytes of the word the part covers from a place on; absent where it is not there.
std::optional<std::size_t> covered(std::string_view word, std::size_t at, std::string_view part) {
  std::size_t i = at;
  for (const char c : part) {
    if (c == '-') continue;
    if (i >= word.size() || small(word, i) != c) return std::nullopt;
    ++i;
  }
  return i - at;
}

std::string parted(std::string_view word) {
  std::string text;
  std::size_t at = 0;
  while (at < word.size()) {
    std::string_view found;
    std::size_t length = 0;
    for (const std::string_view part : kGermanParts) {
      const auto bytes = covered(word, at, part);
      if (bytes && *bytes > length) {
        found = part;
        length = *bytes;
      }
    }
    if (length == 0) {
      text += word[at++];
      continue;
    }
    if (at > 0) text += kSoftHyphen;
    for (const char c : found) {
      if (c == '-') {
        text += kSoftHyphen;
      } else {
        text += word[at++];
      }
    }
  }
  return text;
}

}  // namespace

std::string hyphenated(std::string_view text) {
  if (reader().language != "de") return std::string(text);
  std::string result;
  while (!text.empty()) {
    const auto letters = static_cast<std::size_t>(
        std::find_if_not(text.begin(), text.end(), is_letter) - text.begin());
    const std::string_view word = text.substr(0, letters);
    result += word.size() < kLongWord ? std::string(word) : parted(word);
    text.remove_prefix(letters);
    const auto others =
        static_cast<std::size_t>(std::find_if(text.begin(), text.end(), is_letter) - text.begin());
    result += text.substr(0, others);
    text.remove_prefix(others);
  }
  return result;
}

}  // namespace ohmglow::report
