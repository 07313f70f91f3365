// FITS images (FITS Standard 4.0, sections 4.4 and 5) through CFITSIO, which is opened on first
// use.

#include "readers.h"

#include <algorithm>
#include <array>
#include <dlfcn.h>
#include <fitsio.h>
#include <limits>
#include <mutex>
#include <opencv2/core.hpp>
#include <vector>

namespace ohmglow::imaging {
namespace {

// CFITSIO reads whole records (FITS Standard 4.0, section 3.1), behind the end of the bytes too.
constexpr std::size_t kRecordBytes = 2880;

// The primary array may be empty with the image in the first extensions.
constexpr int kMostUnits = 8;

/// The functions of CFITSIO that are used, by the types of its own header.
struct Library {
  decltype(&::ffomem) open_memory = nullptr;
  decltype(&::ffclos) close = nullptr;
  decltype(&::ffthdu) count_units = nullptr;
  decltype(&::ffmahd) go_to_unit = nullptr;
  decltype(&::ffgidm) dimensions = nullptr;
  decltype(&::ffgiszll) size = nullptr;
  decltype(&::ffgiet) number_type = nullptr;
  decltype(&::ffgidt) stored_type = nullptr;
  decltype(&::ffghadll) addresses = nullptr;
  decltype(&::ffgpxvll) read_pixels = nullptr;
  decltype(&::ffgerr) describe = nullptr;
  decltype(&::ffcmsg) forget_messages = nullptr;
  decltype(&::fits_is_compressed_image) is_compressed = nullptr;

  [[nodiscard]] bool load();
};

template <class Function>
bool find(void* library, const char* name, Function& function) {
  function = reinterpret_cast<Function>(dlsym(library, name));
  return function != nullptr;
}

bool Library::load() {
  void* const library = dlopen(OHMGLOW_CFITSIO_SONAME, RTLD_NOW | RTLD_LOCAL);
  return library != nullptr && find(library, "ffomem", open_memory) &&
         find(library, "ffclos", close) && find(library, "ffthdu", count_units) &&
         find(library, "ffmahd", go_to_unit) && find(library, "ffgidm", dimensions) &&
         find(library, "ffgiszll", size) && find(library, "ffgiet", number_type) &&
         find(library, "ffgidt", stored_type) && find(library, "ffghadll", addresses) &&
         find(library, "ffgpxvll", read_pixels) && find(library, "ffgerr", describe) &&
         find(library, "ffcmsg", forget_messages) &&
         find(library, "fits_is_compressed_image", is_compressed);
}

/// Nothing where the library is not installed.
const Library* library() {
  static const std::optional<Library> loaded = [] {
    Library found;
    return found.load() ? std::optional(found) : std::nullopt;
  }();
  return loaded ? &*loaded : nullptr;
}

/// CFITSIO keeps its open files and messages in tables of the process.
std::mutex& library_mutex() {
  static std::mutex mutex;
  return mutex;
}

/// CFITSIO's names of an image's numbers after BZERO and BSCALE, and of the numbers in memory.
struct FitsKind {
  int image;
  int memory;
  int depth;
};
constexpr std::array<FitsKind, 6> kFitsKinds{{{BYTE_IMG, TBYTE, CV_8U},
                                              {SHORT_IMG, TSHORT, CV_16S},
                                              {USHORT_IMG, TUSHORT, CV_16U},
                                              {LONG_IMG, TINT, CV_32S},
                                              {FLOAT_IMG, TFLOAT, CV_32F},
                                              {DOUBLE_IMG, TDOUBLE, CV_64F}}};

class File {
 public:
  File(const Library& fits, Bytes bytes)
      : fits_(fits), data_(const_cast<std::byte*>(bytes.data())), size_(bytes.size()) {
    // A fixed name, because CFITSIO reads commands out of names. Read-only: the bytes are not
    // written.
    fits_.open_memory(&file_, "image.fits", READONLY, &data_, &size_, 0, nullptr, &status_);
  }
  ~File() {
    int status = 0;
    if (file_ != nullptr) fits_.close(file_, &status);
    fits_.forget_messages();
  }
  File(const File&) = delete;
  File& operator=(const File&) = delete;

  [[nodiscard]] bool ok() const { return status_ == 0; }
  [[nodiscard]] Error complaint() const {
    char text[FLEN_STATUS] = {};
    fits_.describe(status_, text);
    return damaged("the FITS file cannot be decoded (" + excerpt(text) + ")");
  }

  /// Moves to the first unit that holds an image.
  [[nodiscard]] bool find_image() {
    int units = 0;
    fits_.count_units(file_, &units, &status_);
    for (int unit = 1; ok() && unit <= std::min(units, kMostUnits); ++unit) {
      int type = 0;
      int dimensions = 0;
      fits_.go_to_unit(file_, unit, &type, &status_);
      if (!ok() || type != IMAGE_HDU || fits_.is_compressed(file_, &status_) != 0) continue;
      fits_.dimensions(file_, &dimensions, &status_);
      if (ok() && dimensions > 0) return true;
    }
    return false;
  }

  [[nodiscard]] std::vector<std::uint64_t> sides() {
    int dimensions = 0;
    fits_.dimensions(file_, &dimensions, &status_);
    std::vector<LONGLONG> sides(static_cast<std::size_t>(std::max(dimensions, 0)), 0);
    fits_.size(file_, dimensions, sides.data(), &status_);
    std::vector<std::uint64_t> result;
    for (const LONGLONG side : sides)
      result.push_back(side < 0 ? 0 : static_cast<std::uint64_t>(side));
    return result;
  }

  [[nodiscard]] int number_type() {
    int type = 0;
    fits_.number_type(file_, &type, &status_);
    return type;
  }

  /// The bytes between the start of the data and the end of the file.
  [[nodiscard]] std::uint64_t bytes_of_data(std::uint64_t file_bytes) {
    LONGLONG header = 0;
    LONGLONG data = 0;
    LONGLONG end = 0;
    fits_.addresses(file_, &header, &data, &end, &status_);
    const auto start = static_cast<std::uint64_t>(std::max<LONGLONG>(data, 0));
    return file_bytes - std::min(start, file_bytes);
  }

  /// BITPIX: bits of a stored number, negative for floating point.
  [[nodiscard]] int stored_type() {
    int bits = 0;
    fits_.stored_type(file_, &bits, &status_);
    return bits;
  }

  /// Returns whether some of the pixels are marked as blank. Floating-point blanks become NaN.
  bool read(std::array<LONGLONG, 3> first, int memory_type, cv::Mat& pixels) {
    float float_nan = std::numeric_limits<float>::quiet_NaN();
    double double_nan = std::numeric_limits<double>::quiet_NaN();
    std::uint64_t integer_mark = 1;  // any value but 0 makes CFITSIO look for blanks
    void* blank = &integer_mark;
    if (memory_type == TFLOAT) blank = &float_nan;
    if (memory_type == TDOUBLE) blank = &double_nan;
    if (stored_type() < 0) blank = nullptr;  // NaN marks the blanks already
    int blanks = 0;
    fits_.read_pixels(file_, memory_type, first.data(), static_cast<LONGLONG>(pixels.total()),
                      blank, pixels.data, &blanks, &status_);
    return blanks != 0;
  }

 private:
  const Library& fits_;
  void* data_;
  std::size_t size_;
  fitsfile* file_ = nullptr;
  int status_ = 0;
};

Result<StoredImage> read_image(File& file, Bytes bytes, const ReadOptions& options) {
  const auto sides = file.sides();
  const int type = file.number_type();
  if (!file.ok()) return fail(file.complaint());
  const auto kind = std::find_if(kFitsKinds.begin(), kFitsKinds.end(),
                                 [type](const FitsKind& k) { return k.image == type; });
  if (kind == kFitsKinds.end()) {
    return fail(unsupported("numbers of this type are not read", "type " + std::to_string(type),
                            "8, 16 or 32-bit integers, or floating point"));
  }
  if (sides.size() != 2 && sides.size() != 3) {
    return fail(unsupported("the array is not an image", std::to_string(sides.size()) + " axes",
                            "two axes, or three with the planes last"));
  }
  const std::uint64_t planes = sides.size() == 3 ? sides[2] : 1;
  const Claim claim{sides[0], sides[1], kind->depth};
  // CFITSIO reads what lies behind the end of a short file as zeros.
  const auto number_bytes = static_cast<std::uint64_t>(std::abs(file.stored_type()) / 8);
  const std::uint64_t left = file.bytes_of_data(bytes.size());
  if (!file.ok()) return fail(file.complaint());
  if (const auto plausible = check_plausible(claim, left, sizeof(double)); !plausible) {
    return fail(plausible.error());
  }
  auto pixels = allocate(claim, options);
  if (!pixels) return fail(pixels.error());
  const std::uint64_t plane_bytes = pixels->total() * number_bytes;
  if (plane_bytes == 0 || planes > left / plane_bytes) {
    return fail(damaged("the file is too short for the image that it declares (" +
                        std::to_string(left) + " bytes of data)"));
  }
  if (const auto there = check_page(options.page, planes); !there) return fail(there.error());
  const std::array<LONGLONG, 3> first{1, 1, options.page};
  const bool blanks = file.read(first, kind->memory, *pixels);
  if (!file.ok()) return fail(file.complaint());
  StoredImage image{
      .pixels = *pixels,
      .format = "fits",
      .dtype = std::string(numpy_name(kind->depth)),
      .pages = static_cast<int>(std::min<std::uint64_t>(planes, std::numeric_limits<int>::max())),
      .embedded = std::nullopt};
  if (blanks && image.is_integer()) {
    return fail(unsupported("some pixels of this integer image are marked as blank", "BLANK",
                            "floating-point pixels, where NaN means no data"));
  }
  cv::flip(image.pixels, image.pixels, 0);  // the first row of a FITS image is the bottom one
  return image;
}

}  // namespace

Result<StoredImage> read_fits(Bytes bytes, const ReadOptions& options) {
  const std::lock_guard lock(library_mutex());
  const Library* const fits = library();
  if (fits == nullptr) {
    return fail({.kind = ErrorKind::system,
                 .what = "FITS files cannot be read here: the library " OHMGLOW_CFITSIO_SONAME
                         " is not installed",
                 .mend = "install CFITSIO"});
  }
  std::vector<std::byte> filled_up;
  if (bytes.size() % kRecordBytes != 0) {
    filled_up.assign(bytes.begin(), bytes.end());
    filled_up.resize((bytes.size() / kRecordBytes + 1) * kRecordBytes);
  }
  File file(*fits, filled_up.empty() ? bytes : Bytes(filled_up));
  if (!file.ok()) return fail(file.complaint());
  if (!file.find_image()) {
    if (!file.ok()) return fail(file.complaint());
    return fail(unsupported("the FITS file holds no plain image", "", "an image with two axes"));
  }
  return read_image(file, bytes, options);
}

}  // namespace ohmglow::imaging
