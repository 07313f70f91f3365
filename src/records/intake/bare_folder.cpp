#include "offered/intake/bare_folder.h"

#include "offered/files/folder.h"
#include "offered/vocabulary/utf8.h"
#include "records/files/files.h"
#include "records/files/shown.h"
#include "records/intake/table_file.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// What people call connection points in file names, as words, and what a survey calls them. Longer
/// ones first.
struct ComponentWord {
  std::string_view words;
  std::string_view component;
};
constexpr std::array<ComponentWord, 24> kComponents{{
    {"starter load side", "starter load side"},
    {"starter line side", "starter line side"},
    {"junction box", "terminal box"},
    {"terminal box", "terminal box"},
    {"connection box", "terminal box"},
    {"soft starter", "soft starter"},
    {"drive output", "drive output"},
    {"drive input", "drive input"},
    {"overload relay", "overload relay"},
    {"fuse holder", "fuses"},
    {"terminals", "terminal box"},
    {"termbox", "terminal box"},
    {"terminal", "terminal box"},
    {"disconnect", "disconnect"},
    {"isolator", "disconnect"},
    {"contactor", "contactor"},
    {"overload", "overload relay"},
    {"breaker", "breaker"},
    {"starter", "starter"},
    {"fuses", "fuses"},
    {"fuse", "fuses"},
    {"drive", "drive output"},
    {"vfd", "drive output"},
    {"tb", "terminal box"},
}};

/// Words by which pictures of one thing are told apart, and cameras count.
constexpr std::array<std::string_view, 15> kPictureWords{
    "photo",  "visible", "visual", "vis", "picture", "pic", "ir",  "thermal",
    "thermo", "image",   "img",    "dsc", "rgb",     "dc",  "scan"};

bool is_word_character(char c) {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
         static_cast<unsigned char>(c) >= 0x80;
}
bool has_digit(std::string_view text) {
  return std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}
bool is_number(std::string_view text) {
  return !text.empty() &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}
bool is_picture_word(std::string_view word) {
  return std::find(kPictureWords.begin(), kPictureWords.end(), word) != kPictureWords.end();
}

struct Word {
  std::size_t begin = 0;
  std::size_t end = 0;
  std::string folded;
};

/// Runs of letters and digits. A capital after a small letter begins a word: "terminalBox".
std::vector<Word> words_of(std::string_view text) {
  std::vector<Word> words;
  for (std::size_t at = 0; at < text.size();) {
    if (!is_word_character(text[at])) {
      ++at;
      continue;
    }
    std::size_t end = at + 1;
    const auto begins_word = [text](std::size_t i) {
      return text[i] >= 'A' && text[i] <= 'Z' && text[i - 1] >= 'a' && text[i - 1] <= 'z';
    };
    while (end < text.size() && is_word_character(text[end]) && !begins_word(end)) ++end;
    words.push_back({at, end, folded_name(text.substr(at, end - at))});
    at = end;
  }
  return words;
}

/// Where a component's words stand in a name: the first and one past the last of its words.
struct FoundComponent {
  std::size_t first = 0;
  std::size_t last = 0;
  std::string_view component;
};
std::optional<FoundComponent> find_component(const std::vector<Word>& words) {
  for (const ComponentWord& known : kComponents) {
    const std::vector<Word> wanted = words_of(known.words);
    const auto same = [](const Word& a, const Word& b) { return a.folded == b.folded; };
    const auto at = std::search(words.begin(), words.end(), wanted.begin(), wanted.end(), same);
    if (at == words.end()) continue;
    const auto first = static_cast<std::size_t>(at - words.begin());
    return FoundComponent{first, first + wanted.size(), known.component};
  }
  return std::nullopt;
}

/// A name before a place in it, without what joins words.
std::string before(std::string_view text, std::size_t end) {
  text = text.substr(0, end);
  while (!text.empty() && !is_word_character(text.back())) text.remove_suffix(1);
  return std::string(text);
}

/// "img", "img0031": what a camera makes up.
bool is_of_camera(std::string_view word) {
  return std::any_of(kPictureWords.begin(), kPictureWords.end(), [word](std::string_view known) {
    if (!word.starts_with(known)) return false;
    return word.size() == known.size() || is_number(word.substr(known.size()));
  });
}

/// Whether these words can name a motor: a number among them, and not a camera's or a day's alone.
bool names_motor(const std::vector<Word>& words, std::string_view text) {
  return has_digit(text) && std::any_of(words.begin(), words.end(), [](const Word& word) {
           return !is_number(word.folded) && !is_of_camera(word.folded);
         });
}

std::string motor_in(std::string_view name) {
  const auto words = words_of(name);
  return names_motor(words, name) ? std::string(name) : std::string();
}

bool is_photo_alone(const fs::path& name) {
  const std::string ending = lower_case(name.extension().string());
  return ending == ".jpg" || ending == ".jpeg";
}

}  // namespace

BareFiles bare_files(const fs::path& folder) {
  BareFiles files;
  walk(folder, {.enters =
                    [&folder](const fs::path& below) {
                      return below != kMarksFolder && !is_result_folder(folder / below);
                    },
                .visit =
                    [&](const fs::path& file) {
                      const bool is_image = is_image_name(file.filename());
                      if (!is_image && !is_photo_alone(file)) return;
                      const std::string name = file.generic_string();
                      if (!resolve_inside(folder, name)) return;
                      (is_image ? files.images : files.photos).push_back(name);
                    },
                .complain =
                    [&files](const fs::path& below, const Error&) {
                      files.unreadable.push_back(below.generic_string());
                    }});
  std::sort(files.images.begin(), files.images.end());
  std::sort(files.photos.begin(), files.photos.end());
  return files;
}

GuessedNames guess_names(std::string_view file) {
  const fs::path path(file);
  const std::string stem = path.stem().string();
  const std::vector<Word> words = words_of(stem);
  GuessedNames guessed;
  const auto component = find_component(words);
  if (component) {
    guessed.component = component->component;
    if (component->first > 0) {
      guessed.motor = motor_in(before(stem, words[component->first - 1].end));
    }
  }
  for (fs::path folder = path.parent_path(); guessed.motor.empty() && !folder.empty();
       folder = folder.parent_path()) {
    const std::string name = folder.filename().string();
    const auto of_folder = words_of(name);
    const auto its_component = find_component(of_folder);
    if (guessed.component.empty() && its_component) guessed.component = its_component->component;
    // A folder of a day ("2026-03-04") has digits and no letter.
    if (!its_component) guessed.motor = motor_in(name);
  }
  if (!guessed.motor.empty() || component) return guessed;
  // "BE-101_2": a counter behind the name is none of it.
  std::string name = stem;
  if (words.size() > 2 && is_number(words.back().folded) && words.back().folded.size() < 4 &&
      has_digit(words[words.size() - 2].folded)) {
    name = before(stem, words[words.size() - 2].end);
  }
  guessed.motor = motor_in(name);
  return guessed;
}

std::vector<std::optional<std::size_t>> pair_photos(const std::vector<TimedFile>& images,
                                                    const std::vector<TimedFile>& photos) {
  const auto key_of = [](const std::string& file) {
    const fs::path path(file);
    std::string key;
    for (const Word& word : words_of(path.stem().string())) {
      if (!is_picture_word(word.folded)) key += '/' + word.folded;
    }
    return folded_name(path.parent_path().generic_string()) + key;
  };
  std::vector<std::optional<std::size_t>> pairs(images.size());
  std::vector<bool> taken(photos.size());
  std::map<std::string, std::vector<std::size_t>> by_key;
  for (std::size_t i = 0; i < photos.size(); ++i) by_key[key_of(photos[i].file)].push_back(i);
  for (std::size_t i = 0; i < images.size(); ++i) {
    const auto at = by_key.find(key_of(images[i].file));
    if (at == by_key.end() || at->second.size() != 1) continue;
    pairs[i] = at->second.front();
    taken[at->second.front()] = true;
  }
  constexpr double kFarthest_s = 30;
  const auto nearest = [](const TimedFile& to, const std::vector<TimedFile>& files,
                          const auto& is_free) {
    std::optional<std::size_t> best;
    double best_s = kFarthest_s;
    for (std::size_t i = 0; i < files.size(); ++i) {
      if (!is_free(i) || !to.taken_s || !files[i].taken_s) continue;
      const double apart_s = std::fabs(*files[i].taken_s - *to.taken_s);
      if (apart_s > best_s || (best && apart_s == best_s)) continue;
      best = i;
      best_s = apart_s;
    }
    return best;
  };
  for (std::size_t i = 0; i < images.size(); ++i) {
    if (pairs[i]) continue;
    const auto photo = nearest(images[i], photos, [&](std::size_t p) { return !taken[p]; });
    if (!photo) continue;
    const auto back = nearest(photos[*photo], images, [&](std::size_t k) { return !pairs[k]; });
    if (back != i) continue;
    pairs[i] = photo;
    taken[*photo] = true;
  }
  return pairs;
}

bool has_table(const fs::path& folder, std::string_view usual_name) {
  const auto found = find_table(folder, usual_name);
  return !found || found->has_value();
}

}  // namespace ohmglow::records
