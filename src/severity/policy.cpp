#include "offered/vocabulary/number_text.h"
#include "ohmglow/severity.h"
#include "severity/columns.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string>
#include <utility>

namespace ohmglow::severity {
namespace {

/// What a lug without a band is said to be in; no band may be called so.
constexpr std::string_view kNoBand = "none";

/// In the order of DecidedBy.
constexpr std::array<std::string_view, 5> kDecidedByNames{"none", "like", "air", "limit",
                                                          "reading"};

struct NamedColumn {
  Column column;
  std::string_view name;  ///< as policy files write it
};
constexpr std::array<NamedColumn, 3> kColumns{{{&Band::over_like_k, "over_like_c"},
                                               {&Band::over_air_k, "over_air_c"},
                                               {&Band::pair_unbalance_pct, "pair_unbalance_pct"}}};

Error broken(std::string what, std::string found, std::string expected, std::string mend) {
  return Error{ErrorKind::invalid_value, std::move(what), std::move(found), std::move(expected),
               std::move(mend)};
}

std::optional<Error> broken_id(const Policy& policy) {
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    const std::string& id = policy.bands[i].id;
    if (id.empty())
      return broken("band " + std::to_string(i + 1) + " of the policy has no id", "",
                    "a short word such as watch", "give the band an id");
    if (id == kNoBand)
      return broken("a band of the policy is called what stands for no band", id,
                    "another word, such as watch", "give the band another id");
    if (!seen.insert(id).second)
      return broken("two bands of the policy have the same id", id, "each id once",
                    "rename one of the bands");
  }
  return std::nullopt;
}

std::optional<Error> broken_limit(const Policy& policy, const NamedColumn& named) {
  const Limit* milder = nullptr;
  for (const Band& band : policy.bands) {
    const auto& limit = band.*named.column;
    if (!limit) continue;
    const std::string which = "the " + std::string(named.name) + " limit of band " + band.id;
    if (!std::isfinite(limit->value))
      return broken(which + " is not a number", decimals(limit->value, 2), "a finite number",
                    "mend the limit");
    if (milder && !(limit->value > milder->value))
      return broken(which + " does not rise", decimals(limit->value, 2),
                    "more than " + decimals(milder->value, 2) + ", the limit of a milder band",
                    "list the bands from mild to severe and let each column's limits rise");
    milder = &*limit;
  }
  return std::nullopt;
}

bool has_limit(const Policy& policy) {
  return std::any_of(kColumns.begin(), kColumns.end(), [&policy](const NamedColumn& named) {
    return first_limit(policy, named.column, 0).has_value();
  });
}

std::optional<std::size_t> band_reached(const Policy& policy, Column column, double x) {
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    const auto& limit = policy.bands[i].*column;
    if (limit && limit->reached_by(x)) return i;
  }
  return std::nullopt;
}

Grade grade_column(const Policy& policy, Column column, std::optional<double> x, DecidedBy by) {
  const auto band = x ? band_reached(policy, column, *x) : std::nullopt;
  return band ? Grade{band, by} : Grade{};
}

}  // namespace

bool Limit::reached_by(double x) const {
  if (std::isnan(x)) return false;
  return inclusive ? !exceeds(value, x) : exceeds(x, value);
}

bool is_too_close(double x, double u, const Limit& limit) {
  constexpr double kCoverage = 1.96;  // 95 %, normal
  return std::fabs(x - limit.value) < kCoverage * u;
}

double SoundScatter::of(std::optional<double> rise_over_air_k) const {
  return std::max(least_k, share_of_rise * rise_over_air_k.value_or(0));
}

std::optional<Limit> first_limit(const Policy& policy, Column column, std::size_t from) {
  for (std::size_t i = from; i < policy.bands.size(); ++i) {
    if (policy.bands[i].*column) return policy.bands[i].*column;
  }
  return std::nullopt;
}

std::optional<Error> Policy::broken_rule() const {
  if (bands.empty())
    return broken("the policy has no bands", "", "at least one band with a limit",
                  "add the bands from mild to severe");
  if (auto error = broken_id(*this)) return error;
  for (const NamedColumn& named : kColumns) {
    if (auto error = broken_limit(*this, named)) return error;
  }
  if (!has_limit(*this))
    return broken("no band of the policy has a limit", "",
                  "over_like_c, over_air_c or pair_unbalance_pct in at least one band",
                  "give the bands their limits");
  if (!(confidence > 0.5 && confidence < 1))
    return broken("the confidence of the policy is none", decimals(confidence, 3),
                  "a number above 0.5 and below 1", "write 0.95");
  return std::nullopt;
}

std::optional<std::size_t> Policy::index_of(std::string_view band_id) const {
  const auto found = std::find_if(bands.begin(), bands.end(),
                                  [band_id](const Band& band) { return band.id == band_id; });
  if (found == bands.end()) return std::nullopt;
  return static_cast<std::size_t>(found - bands.begin());
}

std::string_view name_of(DecidedBy by) {
  return kDecidedByNames.at(static_cast<std::size_t>(by));
}

Grade grade(const Policy& policy, std::optional<double> over_like_k,
            std::optional<double> over_air_k) {
  return worse(grade_column(policy, &Band::over_like_k, over_like_k, DecidedBy::like),
               grade_column(policy, &Band::over_air_k, over_air_k, DecidedBy::air));
}

Grade grade_reading(const Policy& policy, Percent pair_unbalance) {
  return grade_column(policy, &Band::pair_unbalance_pct, pair_unbalance.value(),
                      DecidedBy::reading);
}

// An absent band is less than any, as std::optional compares.
Grade worse(const Grade& a, const Grade& b) {
  return b.band > a.band ? b : a;
}

std::optional<Limit> first_like_limit(const Policy& policy) {
  return first_limit(policy, &Band::over_like_k, 0);
}

std::optional<Limit> first_air_limit(const Policy& policy) {
  return first_limit(policy, &Band::over_air_k, 0);
}

}  // namespace ohmglow::severity
