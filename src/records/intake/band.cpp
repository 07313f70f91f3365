#include "records/intake/band.h"

#include "offered/files/folder.h"
#include "ohmglow/imaging.h"
#include "ohmglow/radiometry.h"
#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <array>

namespace ohmglow::records {
namespace {

constexpr std::string_view kBandMember = "band_um";
constexpr std::string_view kResponseMember = "spectral_response";
constexpr std::string_view kCalibrationMember = "calibration";

ReadJson flat_into(std::optional<FlatBand>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    std::array<double, 2> ends{};
    std::size_t next = 0;
    const auto read = read_array(value, 2, 2, [&](const Json& item) {
      return number_into(ends.at(next++), kAboveZero)(item);
    });
    if (!read) return read;
    slot = FlatBand{Micrometre{ends[0]}, Micrometre{ends[1]}};
    return {};
  };
}

ReadJson calibration_into(std::optional<SakumaHattori>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    SakumaHattori read;
    auto done =
        read_object(value, {{"a_um", Need::required, number_into(read.a_um, kAboveZero)},
                            {"b_um_k", Need::required, number_into(read.b_um_k, kAnyNumber)},
                            {"c", Need::required, number_into(read.c, kAboveZero)}});
    if (done) slot = read;
    return done;
  };
}

ReadJson response_into(std::string& slot) {
  return [&slot](const Json& value) -> Result<void> {
    auto read = text_into(slot)(value);
    if (read && slot.empty())
      return fail({.kind = ErrorKind::missing,
                   .what = "no file is named",
                   .expected = "a table inside the survey folder"});
    return read;
  };
}

struct ResponseRow {
  std::optional<double> wavelength_um;
  std::optional<double> response;
};

const std::vector<Column<ResponseRow>>& response_columns() {
  static const std::vector<Column<ResponseRow>> columns{
      number<ResponseRow>("wavelength_um", kAboveZero, "µm", &ResponseRow::wavelength_um,
                          Need::required),
      number<ResponseRow>("response", kZeroOrMore, "", &ResponseRow::response, Need::required)};
  return columns;
}

Result<SpectralResponse> read_response(const std::filesystem::path& folder,
                                       const std::string& file) {
  const auto path = resolve_inside(folder, file);
  if (!path) return fail(below(path.error(), kResponseMember).in_file(kSurveyFile));
  SpectralResponse response;
  response.file = normal_path(file);
  const auto content = TextFile::read(*path, kMaxTableBytes);
  if (!content) return fail(content.error().in_file(response.file));
  const auto sheet = Sheet::parse(std::string(content->text()), response.file);
  if (!sheet) return fail(sheet.error());
  const auto rows = read_whole(*sheet, response_columns());
  if (!rows) return fail(rows.error());
  for (const ResponseRow& row : *rows)
    response.points.push_back({Micrometre{*row.wavelength_um}, *row.response});
  const FileRecord record = content->record(response.file);
  response.bytes = record.bytes;
  response.sha256 = record.sha256;
  return response;
}

Result<SpectralBand> named_band(const BandMembers& given, const std::filesystem::path& folder) {
  if (given.flat) return SpectralBand{*given.flat};
  if (given.calibration) return SpectralBand{*given.calibration};
  if (given.response_file.empty()) return SpectralBand{FlatBand{}};
  auto response = read_response(folder, given.response_file);
  if (!response) return fail(response.error());
  return SpectralBand{std::move(*response)};
}

}  // namespace

std::vector<Member> BandMembers::members() {
  return {{kBandMember, Need::optional, flat_into(flat)},
          {kResponseMember, Need::optional, response_into(response_file)},
          {kCalibrationMember, Need::optional, calibration_into(calibration)}};
}

Result<SpectralBand> band_from(const BandMembers& given, const std::filesystem::path& folder) {
  const int count = int{given.flat.has_value()} + int{!given.response_file.empty()} +
                    int{given.calibration.has_value()};
  if (count > 1)
    return fail(Error{.kind = ErrorKind::conflict,
                      .what = "the camera's band is given in more than one way",
                      .expected = "one of band_um, spectral_response and calibration",
                      .mend = "remove the others"}
                    .in_file(kSurveyFile));
  auto band = named_band(given, folder);
  if (!band) return band;
  // Tried here, so that a band that no table can hold stops the run before anything is measured.
  if (const auto tried = radiometry::BandRadiance::of(*band); !tried) {
    const auto* response = std::get_if<SpectralResponse>(&*band);
    if (response != nullptr) return fail(tried.error().in_file(response->file));
    return fail(
        below(tried.error(), given.flat ? kBandMember : kCalibrationMember).in_file(kSurveyFile));
  }
  return band;
}

OrderedJson band_json(const SpectralBand& band) {
  OrderedJson json{{"kind", "flat"},    {"from_um", nullptr}, {"to_um", nullptr},
                   {"file", nullptr},   {"sha256", nullptr},  {"a_um", nullptr},
                   {"b_um_k", nullptr}, {"c", nullptr}};
  if (const auto* flat = std::get_if<FlatBand>(&band)) {
    json["from_um"] = flat->from.value();
    json["to_um"] = flat->to.value();
  } else if (const auto* response = std::get_if<SpectralResponse>(&band)) {
    json["kind"] = kResponseMember;
    if (!response->points.empty()) {
      json["from_um"] = response->points.front().wavelength.value();
      json["to_um"] = response->points.back().wavelength.value();
    }
    json["file"] = response->file;
    json["sha256"] = response->sha256;
  } else {
    const auto& calibration = std::get<SakumaHattori>(band);
    json["kind"] = kCalibrationMember;
    json["a_um"] = calibration.a_um;
    json["b_um_k"] = calibration.b_um_k;
    json["c"] = calibration.c;
  }
  return json;
}

}  // namespace ohmglow::records
