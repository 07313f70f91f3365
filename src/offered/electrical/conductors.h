#pragma once
/// What a metre of cable should read: the resistance tables of two standards, by size and metal.

#include "ohmglow/electrical.h"

#include <span>
#include <string_view>

namespace ohmglow::electrical {

/// One printed row, Ω/km.
struct ConductorRow {
  std::string_view size;                       ///< "4/0 awg", "250 kcmil", "50 mm2"
  double copper_ohm_per_km = 0;                ///< uncoated
  std::optional<double> aluminium_ohm_per_km;  ///< absent where none is printed
};

/// NEC (NFPA 70) chapter 9, table 8: direct-current resistance at 75 °C, stranded, uncoated copper
/// and aluminium, 14 AWG to 1000 kcmil. From memory.
[[nodiscard]] std::span<const ConductorRow> nec_table_8();
inline constexpr Celsius kNecTable8At{75};

/// IEC 60228, table 2 (class 2, stranded): greatest permitted resistance at 20 °C, plain copper and
/// aluminium, 0.5 to 630 mm². From memory.
[[nodiscard]] std::span<const ConductorRow> iec_60228_class_2();
inline constexpr Celsius kIec60228At{20};

/// Standard uncertainty of a cable's resistance against its table, relative (house rule): length
/// along the tray, temperature, and how far the maker stays below the greatest value.
inline constexpr double kCableU = 0.1;

/// Direct-current resistance of a length of one conductor at a temperature. Sizes may be written
/// "50 mm2", "50 mm²", "4/0 AWG", "AWG 12", "250 kcmil" or "250 MCM", in any case and spacing.
/// Referred from the table's temperature by (k + at)/(k + table), k = 234.5 copper, 228 aluminium:
/// IEC 60228's own correction, and the coefficients 0.00323 and 0.00330 at 75 °C that the NEC
/// prints below its table. Errors (invalid_value): a size that no table has, or not in this metal.
[[nodiscard]] Result<Ohm> conductor_resistance(std::string_view size, ConductorMaterial material,
                                               Metre length, Celsius at);

/// The conductor's area in mm²: as an IEC size says, 0.506707 mm² a kcmil, and for the gauges
/// π/4·(0.127 mm · 92^((36 − n)/39))² (ASTM B258). Absent for a size that no table has.
[[nodiscard]] std::optional<double> section_mm2(std::string_view size);

}  // namespace ohmglow::electrical
