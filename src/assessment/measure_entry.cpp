#include "assessment/measure_entry.h"

#include "offered/files/folder.h"

#include <functional>
#include <new>
#include <opencv2/core.hpp>
#include <optional>

namespace ohmglow::assessment {

namespace {

/// What goes wrong where an image asks for more than the machine has; all else goes on.
std::optional<Error> attempted(const std::function<void()>& attempt) {
  try {
    attempt();
    return std::nullopt;
  } catch (const std::bad_alloc&) {
  } catch (const cv::Exception& error) {
    if (error.code != cv::Error::StsNoMem) {
      return Error{.kind = ErrorKind::damaged,
                   .what = "the image cannot be worked on",
                   .found = error.err,
                   .mend = "export the image again"};
    }
  }
  return Error{.kind = ErrorKind::too_large,
               .what = "the image does not fit into memory",
               .mend = "free memory, or run with fewer --jobs"};
}

Opened open_unguarded(const std::filesystem::path& folder, const ImageEntry& entry,
                      const imaging::ReadLimits& limits, imaging::ReadMemory* memory) {
  const auto failed = [&entry](const Error& error, std::string sha256 = {},
                               std::uint64_t bytes = 0) {
    return Opened{std::move(sha256), bytes, fail(error.in_file(entry.file))};
  };
  const auto path = records::resolve_inside(folder, entry.file);
  if (!path) return failed(path.error());
  imaging::ReadMemory own;
  const auto bytes =
      imaging::read_bytes(*path, limits.max_bytes, memory != nullptr ? *memory : own);
  if (!bytes) {
    Error error = bytes.error();
    const bool is_missing = error.kind == ErrorKind::missing;
    const std::string offer = is_missing ? records::offer_files(folder, entry.file) : "";
    if (!offer.empty()) error.expected = "a file of the survey folder" + offer;
    return failed(error);
  }
  std::string sha256 = records::sha256(*bytes);
  const imaging::ReadOptions options{entry.parameters.page.value_or(1), limits, memory};
  auto stored = imaging::read_stored(*bytes, entry.file, options);
  if (!stored) return failed(stored.error(), std::move(sha256), bytes->size());
  return {std::move(sha256), bytes->size(), std::move(*stored)};
}

}  // namespace

Opened open_stored(const std::filesystem::path& folder, const ImageEntry& entry,
                   const imaging::ReadLimits& limits, imaging::ReadMemory* memory) {
  std::optional<Opened> opened;
  auto error = attempted([&] { opened = open_unguarded(folder, entry, limits, memory); });
  if (!error) return std::move(*opened);
  return {{}, 0, fail(error->in_file(entry.file))};
}

Result<imaging::ThermalImage> declared(const Opened& opened, const ImageEntry& entry) {
  if (!opened.stored) return fail(opened.stored.error());
  const auto declaration = imaging::resolve_declaration(*opened.stored, entry.parameters);
  if (!declaration) return fail(declaration.error().in_file(entry.file));
  return imaging::ThermalImage(*opened.stored, *declaration);
}

Result<imaging::ThermalImage> open_image(const Survey& survey, const ImageEntry& entry,
                                         const imaging::ReadLimits& limits, std::string* sha256) {
  const Opened opened = open_stored(survey.folder, entry, limits);
  if (sha256 != nullptr) *sha256 = opened.sha256;
  return declared(opened, entry);
}

namespace {

MarkFile confirmed_alone(MarkFile marks) {
  std::erase_if(marks.marks, [](const Mark& mark) { return !mark.is_confirmed(); });
  return marks;
}

}  // namespace

EntryCase case_of(const Result<radiometry::BandRadiance>& band, const Survey& motor,
                  std::size_t image, const Scopes& scopes, diagnosis::Unconfirmed unconfirmed) {
  static const MarkFile unmarked;
  const ImageEntry& entry = motor.images[image];
  const auto marks = motor.marks.find(entry.file);
  return {band,
          entry,
          marks == motor.marks.end() ? unmarked : marks->second,
          motor.motors.empty() ? nullptr : &motor.motors.front(),
          motor.phase_names,
          scopes,
          unconfirmed};
}

diagnosis::ImageResult measure_entry(const EntryCase& its, const Opened& opened,
                                     PixelTables& tables, Measured* how) {
  if (!its.band) {
    auto rejected = result_for(its.entry);
    rejected.sha256 = opened.sha256;
    rejected.bytes = opened.bytes;
    rejected.problems.push_back("the camera's band: " + sentence(its.band.error()));
    return rejected;
  }
  auto image = declared(opened, its.entry);
  const bool skips = its.unconfirmed == diagnosis::Unconfirmed::skip;
  const MarkFile confirmed = skips ? confirmed_alone(its.marks) : MarkFile{};
  auto result = result_for(its.entry);
  if (image) {
    const auto error = attempted([&] {
      result = measure_with(*its.band, *image, its.entry, skips ? confirmed : its.marks, its.motor,
                            its.phase_names, its.scopes, tables, how);
    });
    if (error) image = fail(error->in_file(its.entry.file));
  }
  if (skips && confirmed.marks.size() < its.marks.marks.size()) {
    result.problems.push_back("marks that nobody has confirmed are left out");
  }
  result.sha256 = opened.sha256;
  result.bytes = opened.bytes;
  if (!image) result.problems.push_back(problem_from(image.error()).message);
  return result;
}

}  // namespace ohmglow::assessment
