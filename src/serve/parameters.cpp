#include "serve/parameters.h"

#include <algorithm>
#include <array>
#include <optional>

namespace ohmglow::serve {
namespace {

using diagnosis::UsedParameters;

/// What a parameter's number was, and where it came from if neither table says.
struct Used {
  std::optional<double> value;
  std::string_view from;
};

struct Row {
  std::string_view name;
  std::string_view label;
  std::string_view unit;
  std::string_view meaning;
  Used (*used)(const ImageEntry&, const UsedParameters*, const diagnosis::ImageResult&);
};

template <class Value>
std::optional<double> number(const std::optional<Value>& value) {
  if constexpr (std::is_arithmetic_v<Value>) {
    return value ? std::optional<double>(*value) : std::nullopt;
  } else {
    return value ? std::optional<double>(value->value()) : std::nullopt;
  }
}

/// A parameter that serves as it is given, with what stands in for it.
template <auto Member>
Used given(const ImageEntry& entry, const UsedParameters*, const diagnosis::ImageResult&) {
  return {number(entry.parameters.*Member), ""};
}
template <std::size_t Phase>
Used load(const ImageEntry& entry, const UsedParameters*, const diagnosis::ImageResult&) {
  return {number(entry.parameters.load_a.at(Phase)), ""};
}
/// One of the standard uncertainties that were used.
template <auto Member>
Used uncertainty(const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) {
  if (used == nullptr) return {};
  const auto& value = used->uncertainties.*Member;
  if constexpr (std::is_arithmetic_v<std::remove_cvref_t<decltype(value)>>) {
    return {value, "default"};
  } else {
    return {value.value(), "default"};
  }
}

Used emissivity(const ImageEntry& entry, const UsedParameters* used,
                const diagnosis::ImageResult&) {
  if (entry.parameters.emissivity) return {entry.parameters.emissivity->value(), ""};
  return {std::nullopt, used != nullptr ? "each mark" : ""};
}

Used distance(const ImageEntry& entry, const UsedParameters*, const diagnosis::ImageResult&) {
  return {number(entry.parameters.distance_m), ""};
}

using U = radiometry::InputUncertainties;
using P = ImageParameters;

constexpr std::array<Row, 32> kRows{{
    {"emissivity", "Emissivity", "",
     "How much of a blackbody's radiation the lugs give off, above 0 to 1; a mark's own emissivity "
     "or material comes first.",
     emissivity},
    {"reflected_c", "Reflected apparent temperature", "°C",
     "What the lugs mirror of their surroundings; a reflector mark comes first, else the air's "
     "temperature stands in.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->reflected_c, used->reflected_from};
     }},
    {"air_c", "Air temperature", "°C",
     "Of the air around the lugs, inside the enclosure; an ambient mark stands in where it is not "
     "given.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr || !used->air_c) return {};
       return {used->air_c->value(), used->air_from};
     }},
    {"load_1_a", "Current of phase 1", "A", "Line current while the image was taken.", load<0>},
    {"load_2_a", "Current of phase 2", "A", "Line current while the image was taken.", load<1>},
    {"load_3_a", "Current of phase 3", "A", "Line current while the image was taken.", load<2>},
    {"running_min", "Running under this load", "min",
     "How long the motor had run under this load before the image: a lug warms up slowly.",
     given<&P::running_min>},
    {"distance_m", "Distance", "m",
     "From the camera to the lugs; beyond 5 m the air's transmittance must be given.", distance},
    {"ifov_mrad", "Angle of one pixel", "mrad",
     "With the distance it tells how large a lug must be to be measured truly.",
     given<&P::ifov_mrad>},
    {"window_transmittance", "Window: transmittance", "",
     "Share of the radiation that an infrared window lets through; 1 without a window.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->window_transmittance, "default"};
     }},
    {"window_reflectance", "Window: reflectance", "", "Share that the window reflects.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->window_reflectance, "default"};
     }},
    {"window_c", "Window: temperature", "°C", "Of the window itself; the air's where not given.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->window_c, "air"};
     }},
    {"window_reflected_c", "Window: reflected temperature", "°C",
     "What the window mirrors on the camera's side; the air's where not given.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->window_reflected_c, "air"};
     }},
    {"atmosphere_transmittance", "Air: transmittance", "",
     "Share of the radiation that the air between lug and camera lets through; 1 up to 5 m.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->atmosphere_transmittance, "default"};
     }},
    {"wind_m_s", "Wind", "m/s", "Above 5 m/s the rises are flagged: wind cools the lugs.",
     given<&P::wind_m_s>},
    {"humidity_pct", "Relative humidity", "%", "Kept for the record.", given<&P::humidity_pct>},
    {"saved_emissivity", "Emissivity in the file", "",
     "That the stored temperatures already assume; 1 for apparent temperatures.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->saved_emissivity, "default"};
     }},
    {"saved_reflected_c", "Reflected temperature in the file", "°C",
     "That the stored temperatures already assume.",
     [](const ImageEntry&, const UsedParameters* used, const diagnosis::ImageResult&) -> Used {
       if (used == nullptr) return {};
       return {used->saved_reflected_c, "reflected_c"};
     }},
    {"scale", "Scale", "", "Temperature = scale × stored number + offset; needs the unit.",
     given<&P::scale>},
    {"offset", "Offset", "", "Temperature = scale × stored number + offset; needs the unit.",
     given<&P::offset>},
    {"unit", "Unit of the stored temperatures", "", "c or k.",
     [](const ImageEntry&, const UsedParameters*, const diagnosis::ImageResult&) -> Used {
       return {};
     }},
    {"page", "Page", "", "Of a file with several images, counted from 1.", given<&P::page>},
    {"emissivity_u", "Emissivity: standard uncertainty", "", "0 means exact.",
     uncertainty<&U::emissivity>},
    {"reflected_u_c", "Reflected temperature: standard uncertainty", "°C", "0 means exact.",
     uncertainty<&U::reflected>},
    {"air_u_c", "Air temperature: standard uncertainty", "°C", "0 means exact.",
     uncertainty<&U::air>},
    {"camera_u_c", "Camera: standard uncertainty", "°C",
     "Common to all lugs of a visit; it leaves a rise over like.", uncertainty<&U::camera>},
    {"noise_k", "Camera: noise", "K", "Of one pixel.", uncertainty<&U::noise>},
    {"nonuniformity_k", "Camera: non-uniformity", "K", "From place to place on the image.",
     uncertainty<&U::nonuniformity>},
    {"window_u", "Window transmittance: standard uncertainty", "", "0 means exact.",
     uncertainty<&U::window_transmittance>},
    {"atmosphere_u", "Air transmittance: standard uncertainty", "", "0 means exact.",
     uncertainty<&U::atmosphere_transmittance>},
    {"load_u_pct", "Currents: standard uncertainty", "%", "Of the reading.", uncertainty<&U::load>},
    {"photo", "Photograph", "", "A visible-light picture beside the image, its path in the survey.",
     [](const ImageEntry&, const UsedParameters*, const diagnosis::ImageResult&) -> Used {
       return {};
     }},
}};

std::string text_of(const records::TableText& table, std::string_view column) {
  if (table.rows.empty()) return {};
  for (const records::CellText& cell : table.rows.front().cells) {
    const bool same =
        std::equal(cell.column.begin(), cell.column.end(), column.begin(), column.end(),
                   [](unsigned char a, unsigned char b) { return std::tolower(a) == b; });
    if (same) return cell.text;
  }
  return {};
}

/// A temperature in the scale that the row gives it in.
std::string text_in(const records::TableText& table, std::string_view column) {
  std::string text = text_of(table, column);
  const std::string other = records::fahrenheit_column(column);
  if (!text.empty() || other.empty()) return text;
  text = text_of(table, other);
  return text.empty() ? text : text + " °F";
}

/// Who said so. A mark on the image comes before both tables.
std::string_view from_of(const Used& used, const std::string& row, const std::string& by_default) {
  if (used.from.ends_with("mark")) return used.from;
  if (!row.empty()) return "images.csv";
  if (!by_default.empty()) return "survey.json";
  return used.value || !used.from.empty() ? used.from : std::string_view();
}

}  // namespace

bool is_parameter(std::string_view column) {
  return std::any_of(kRows.begin(), kRows.end(),
                     [column](const Row& row) { return row.name == column; });
}

Error no_such_parameter(std::string_view name) {
  std::string names;
  for (const Row& row : kRows) names.append(names.empty() ? "" : ", ").append(row.name);
  return {.kind = ErrorKind::invalid_value,
          .what = "there is no such parameter of an image",
          .found = std::string(name),
          .expected = "one of " + names};
}

Json parameters_json(const records::TableText& row, const records::TableText& defaults,
                     const ImageEntry& entry, const diagnosis::ImageResult& result) {
  const UsedParameters* used = result.used ? &*result.used : nullptr;
  Json list = Json::array();
  for (const Row& parameter : kRows) {
    const std::string written = text_in(row, parameter.name);
    const std::string by_default = text_in(defaults, parameter.name);
    const Used its = parameter.used(entry, used, result);
    list.push_back({{"name", parameter.name},
                    {"label", parameter.label},
                    {"unit", text_or_null(parameter.unit)},
                    {"row", text_or_null(written)},
                    {"default", text_or_null(by_default)},
                    {"used", number_or_null(its.value)},
                    {"from", text_or_null(from_of(its, written, by_default))},
                    {"meaning", parameter.meaning}});
  }
  return list;
}

}  // namespace ohmglow::serve
