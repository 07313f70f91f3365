#include "offered/electrical/conductors.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numbers>
#include <string>

namespace ohmglow::electrical {
namespace {

constexpr std::array<ConductorRow, 24> kNec{{
    {"14 awg", 10.3, 16.9},        {"12 awg", 6.50, 10.69},       {"10 awg", 4.070, 6.679},
    {"8 awg", 2.551, 4.204},       {"6 awg", 1.608, 2.652},       {"4 awg", 1.010, 1.666},
    {"3 awg", 0.802, 1.320},       {"2 awg", 0.634, 1.045},       {"1 awg", 0.505, 0.829},
    {"1/0 awg", 0.399, 0.660},     {"2/0 awg", 0.3170, 0.523},    {"3/0 awg", 0.2512, 0.413},
    {"4/0 awg", 0.1996, 0.328},    {"250 kcmil", 0.1687, 0.2778}, {"300 kcmil", 0.1409, 0.2318},
    {"350 kcmil", 0.1205, 0.1984}, {"400 kcmil", 0.1053, 0.1737}, {"500 kcmil", 0.0845, 0.1391},
    {"600 kcmil", 0.0704, 0.1159}, {"700 kcmil", 0.0603, 0.0994}, {"750 kcmil", 0.0563, 0.0927},
    {"800 kcmil", 0.0528, 0.0868}, {"900 kcmil", 0.0470, 0.0770}, {"1000 kcmil", 0.0423, 0.0695},
}};

constexpr std::array<ConductorRow, 22> kIec{{
    {"0.5 mm2", 36.0, {}},       {"0.75 mm2", 24.5, {}},      {"1 mm2", 18.1, {}},
    {"1.5 mm2", 12.1, {}},       {"2.5 mm2", 7.41, {}},       {"4 mm2", 4.61, {}},
    {"6 mm2", 3.08, {}},         {"10 mm2", 1.83, 3.08},      {"16 mm2", 1.15, 1.91},
    {"25 mm2", 0.727, 1.20},     {"35 mm2", 0.524, 0.868},    {"50 mm2", 0.387, 0.641},
    {"70 mm2", 0.268, 0.443},    {"95 mm2", 0.193, 0.320},    {"120 mm2", 0.153, 0.253},
    {"150 mm2", 0.124, 0.206},   {"185 mm2", 0.0991, 0.164},  {"240 mm2", 0.0754, 0.125},
    {"300 mm2", 0.0601, 0.100},  {"400 mm2", 0.0470, 0.0778}, {"500 mm2", 0.0366, 0.0605},
    {"630 mm2", 0.0283, 0.0469},
}};

// The temperature at which the metal's resistance would vanish if it fell on in a straight line.
double inferred_zero(ConductorMaterial material) {
  return material == ConductorMaterial::copper ? 234.5 : 228.0;
}

struct Spelling {
  std::string_view written;
  std::string_view meant;
};
constexpr std::array<Spelling, 3> kSpellings{{{"mm²", "mm2"}, {"mcm", "kcmil"}, {",", "."}}};

// "AWG 4/0", "4/0awg" → "4/0 awg"
std::string normal(std::string_view size) {
  std::string text;
  for (const char c : size) {
    if (c != ' ') text += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  for (const auto& [written, meant] : kSpellings) {
    const auto at = text.find(written);
    if (at != std::string::npos) text.replace(at, written.size(), meant);
  }
  for (const std::string_view unit : {"awg", "kcmil", "mm2"}) {
    const auto at = text.find(unit);
    if (at == std::string::npos) continue;
    text.erase(at, unit.size());
    return text + " " + std::string(unit);
  }
  return text;
}

const ConductorRow* row_in(std::span<const ConductorRow> table, std::string_view size) {
  const auto row = std::find_if(table.begin(), table.end(),
                                [size](const ConductorRow& r) { return r.size == size; });
  return row == table.end() ? nullptr : &*row;
}

}  // namespace

std::span<const ConductorRow> nec_table_8() {
  return kNec;
}
std::span<const ConductorRow> iec_60228_class_2() {
  return kIec;
}

Result<Ohm> conductor_resistance(std::string_view size, ConductorMaterial material, Metre length,
                                 Celsius at) {
  const std::string name = normal(size);
  const ConductorRow* row = row_in(kNec, name);
  const Celsius table = row ? kNecTable8At : kIec60228At;
  if (!row) row = row_in(kIec, name);
  const bool copper = material == ConductorMaterial::copper;
  if (!row || (!copper && !row->aluminium_ohm_per_km)) {
    return fail(Error{.what = row ? "no aluminium conductor of this size is in the tables"
                                  : "no conductor of this size is in the tables",
                      .found = std::string(size),
                      .expected =
                          "14 AWG to 4/0 AWG, 250 to 1000 kcmil (NEC chapter 9 table 8), or "
                          "0.5 to 630 mm2 (IEC 60228; aluminium from 10 mm2)"});
  }
  constexpr double kMetresPerKilometre = 1000;
  const double per_km = copper ? row->copper_ohm_per_km : *row->aluminium_ohm_per_km;
  const double k = inferred_zero(material);
  return Ohm{per_km * length.value() / kMetresPerKilometre * (k + at.value()) /
             (k + table.value())};
}

std::optional<double> section_mm2(std::string_view size) {
  constexpr double kPerKcmil_mm2 = 0.506707;
  const std::string name = normal(size);
  if (!row_in(kNec, name) && !row_in(kIec, name)) return std::nullopt;
  const double number = std::stod(name);  // every row of the tables begins with one
  if (name.ends_with("mm2")) return number;
  if (name.ends_with("kcmil")) return number * kPerKcmil_mm2;
  const double gauge = name.find("/0") == std::string::npos ? number : 1 - number;
  const double diameter_mm = 0.127 * std::pow(92, (36 - gauge) / 39);
  return std::numbers::pi / 4 * diameter_mm * diameter_mm;
}

}  // namespace ohmglow::electrical
