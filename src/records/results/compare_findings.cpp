#include "offered/results/manifest.h"
#include "records/files/json_text.h"
#include "records/files/shown.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <span>

namespace ohmglow::records {
namespace {

/// What tells the items of a list from each other, by the list's name: an item that was taken out
/// must not make all that follow it look different.
struct Identity {
  std::string_view list;
  std::array<std::string_view, 4> members;
};
constexpr std::array kIdentities{
    Identity{"images", {"file"}},
    Identity{"lugs", {"name"}},
    Identity{"components", {"motor", "component", "visit"}},
    Identity{"motors", {"motor"}},
    Identity{"electrical", {"test", "place", "taken_at"}},
    Identity{"segments", {"from", "to"}},
    Identity{"findings", {"motor", "component", "image", "lug"}},
    Identity{"readings", {"motor", "test", "place"}},
    Identity{"new_faults", {"motor", "component", "lug"}},
    Identity{"open", {"rank", "motor"}},
    Identity{"totals", {"currency"}},
    Identity{"warm_even", {"motor", "component"}},
    Identity{"not_judged", {"motor", "component"}},
    Identity{"bands", {"id"}},
    Identity{"explanations", {"id"}},
    Identity{"next_tests", {"id"}},
    Identity{"budget", {"quantity"}},
    Identity{"inputs", {"kind", "of"}},
};

constexpr std::string_view kProgramVersion = "/tool/version";

std::string key_of(const Identity& identity, const Json& item) {
  std::string key;
  for (const std::string_view member : identity.members) {
    const auto at = item.is_object() ? item.find(member) : item.end();
    if (member.empty() || at == item.end() || at->is_null()) continue;
    if (!key.empty()) key += ", ";
    key += at->is_string() ? at->get<std::string>() : at->dump();
  }
  return key;
}

/// The keys of a list's items; those that occur again are numbered.
std::vector<std::string> keys_of(const Identity& identity, const Json& list) {
  std::map<std::string, int> seen;
  std::vector<std::string> keys;
  for (const Json& item : list) {
    std::string key = key_of(identity, item);
    const int count = ++seen[key];
    if (count > 1) key += " (" + std::to_string(count) + ")";
    keys.push_back(std::move(key));
  }
  return keys;
}

std::string escaped_member(std::string_view member) {
  std::string text;
  for (const char c : member) {
    if (c == '~') {
      text += "~0";
    } else if (c == '/') {
      text += "~1";
    } else {
      text += c;
    }
  }
  return text;
}

/// A value as a difference shows it; a whole item by its braces alone.
std::string value_text(const Json& value) {
  if (value.is_object()) return "{…}";
  if (value.is_array()) return "[…]";
  return dumped(value);
}

class Comparison {
 public:
  explicit Comparison(double tolerance) { check_.tolerance = tolerance; }

  void compare(const Json& recorded, const Json& recomputed) {
    if (recorded.is_object() && recomputed.is_object())
      return compare_objects(recorded, recomputed);
    if (recorded.is_array() && recomputed.is_array()) return compare_lists(recorded, recomputed);
    if (pointer_ == kProgramVersion) {
      if (recorded.is_string()) check_.recorded_version = recorded.get<std::string>();
      return;
    }
    ++check_.compared;
    if (!are_equal(recorded, recomputed)) differ(&recorded, &recomputed);
  }

  [[nodiscard]] ValueCheck result() && {
    check_.is_done = true;
    return std::move(check_);
  }

 private:
  /// One step down, and back again.
  class Step {
   public:
    Step(Comparison& comparison, std::string_view member, std::string name)
        : comparison_(comparison), length_(comparison.pointer_.size()) {
      comparison.pointer_ += '/';
      comparison.pointer_ += escaped_member(member);
      comparison.names_.push_back(std::move(name));
    }
    ~Step() {
      comparison_.pointer_.resize(length_);
      comparison_.names_.pop_back();
    }
    Step(const Step&) = delete;
    Step& operator=(const Step&) = delete;

   private:
    Comparison& comparison_;
    std::size_t length_;
  };

  [[nodiscard]] bool are_equal(const Json& a, const Json& b) const {
    if (!a.is_number() || !b.is_number()) return a == b;
    if (a == b) return true;
    if (check_.tolerance == 0 || a.is_number_integer() != b.is_number_integer()) return false;
    const auto x = a.get<double>();
    const auto y = b.get<double>();
    return std::abs(x - y) <= check_.tolerance * std::max(std::abs(x), std::abs(y));
  }

  void compare_objects(const Json& recorded, const Json& recomputed) {
    for (const auto& [member, value] : recorded.items()) {
      const Step step(*this, member, member);
      const auto other = recomputed.find(member);
      if (other == recomputed.end()) {
        differ(&value, nullptr);
      } else {
        compare(value, *other);
      }
    }
    for (const auto& [member, value] : recomputed.items()) {
      if (recorded.contains(member)) continue;
      const Step step(*this, member, member);
      differ(nullptr, &value);
    }
  }

  void compare_lists(const Json& recorded, const Json& recomputed) {
    const std::string list = names_.empty() ? "" : names_.back();
    const auto* identity =
        std::find_if(kIdentities.begin(), kIdentities.end(),
                     [&list](const Identity& known) { return known.list == list; });
    const bool has_objects = std::any_of(recorded.begin(), recorded.end(),
                                         [](const Json& item) { return item.is_object(); });
    if (identity != kIdentities.end() && has_objects) {
      return compare_by_key(*identity, recorded, recomputed);
    }
    const std::size_t most = std::max(recorded.size(), recomputed.size());
    for (std::size_t i = 0; i < most; ++i) {
      const Step step(*this, std::to_string(i), "number " + std::to_string(i + 1));
      const Json* one = i < recorded.size() ? &recorded[i] : nullptr;
      const Json* two = i < recomputed.size() ? &recomputed[i] : nullptr;
      one != nullptr&& two != nullptr ? compare(*one, *two) : differ(one, two);
    }
  }

  void compare_by_key(const Identity& identity, const Json& recorded, const Json& recomputed) {
    const auto keys = keys_of(identity, recorded);
    const auto others = keys_of(identity, recomputed);
    std::map<std::string_view, std::size_t> unmatched;
    for (std::size_t i = 0; i < others.size(); ++i) unmatched.emplace(others[i], i);
    for (std::size_t i = 0; i < keys.size(); ++i) {
      const Step step(*this, std::to_string(i), keys[i]);
      const auto other = unmatched.find(keys[i]);
      if (other == unmatched.end()) {
        differ(&recorded[i], nullptr);
      } else {
        compare(recorded[i], recomputed[other->second]);
        unmatched.erase(other);
      }
    }
    for (const auto& [key, index] : unmatched) {
      const Step step(*this, std::to_string(index), std::string(key));
      differ(nullptr, &recomputed[index]);
    }
  }

  void differ(const Json* recorded, const Json* recomputed) {
    if (recorded == nullptr || recomputed == nullptr) ++check_.compared;
    ++check_.different;
    if (check_.differences.size() >= kMostDifferences) return;
    ValueDifference difference{pointer_, {}, {}, {}};
    for (std::size_t i = 0; i < names_.size(); ++i) {
      if (i > 0) difference.where += i + 1 == names_.size() ? ": " : ", ";
      difference.where += names_[i];
    }
    if (recorded != nullptr) difference.recorded = value_text(*recorded);
    if (recomputed != nullptr) difference.recomputed = value_text(*recomputed);
    check_.differences.push_back(std::move(difference));
  }

  ValueCheck check_;
  std::string pointer_;
  std::vector<std::string> names_;
};

/// Counts the values of a text that it holds one at a time.
class ValueCounter : public nlohmann::json_sax<Json> {
 public:
  [[nodiscard]] std::size_t count() const { return count_; }

  bool null() override { return counted(); }
  bool boolean(bool) override { return counted(); }
  bool number_integer(number_integer_t) override { return counted(); }
  bool number_unsigned(number_unsigned_t) override { return counted(); }
  bool number_float(number_float_t, const string_t&) override { return counted(); }
  bool string(string_t&) override { return counted(); }
  bool binary(binary_t&) override { return counted(); }
  bool start_object(std::size_t) override { return true; }
  bool key(string_t&) override { return true; }
  bool end_object() override { return true; }
  bool start_array(std::size_t) override { return true; }
  bool end_array() override { return true; }
  bool parse_error(std::size_t, const std::string&, const Json::exception&) override {
    return false;
  }

 private:
  bool counted() {
    ++count_;
    return true;
  }

  std::size_t count_ = 0;
};

}  // namespace

Result<ValueCheck> check_of_same_findings(const std::filesystem::path& findings) {
  std::ifstream file(findings, std::ios::binary);
  ValueCounter counter;
  if (!file || !Json::sax_parse(file, &counter)) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "the file cannot be read as JSON",
                 .place = {.file = findings.string()}});
  }
  constexpr std::size_t kNotCompared = 1;  // the program's version
  ValueCheck check;
  check.is_done = true;
  check.compared = counter.count() - kNotCompared;
  return check;
}

Result<ValueCheck> compare_findings(std::string_view recorded, std::string_view recomputed,
                                    double tolerance) {
  const auto one = parse_json(recorded);
  if (!one) return fail(one.error());
  const auto two = parse_json(recomputed);
  if (!two) return fail(two.error());
  Comparison comparison(tolerance);
  comparison.compare(*one, *two);
  return std::move(comparison).result();
}

}  // namespace ohmglow::records
