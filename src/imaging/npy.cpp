// NumPy's .npy, versions 1 to 3. Source: NEP 1, "A Simple File Format for NumPy Arrays".

#include "readers.h"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <limits>

namespace ohmglow::imaging {
namespace {

constexpr std::size_t kMagicBytes = 6;
// NumPy itself refuses to parse longer headers.
constexpr std::size_t kMostHeader = 10'000;

struct NpyKind {
  std::string_view code;  ///< without the byte order
  int depth;
};
constexpr std::array<NpyKind, 6> kNpyKinds{{{"u1", CV_8U},
                                            {"u2", CV_16U},
                                            {"i2", CV_16S},
                                            {"i4", CV_32S},
                                            {"f4", CV_32F},
                                            {"f8", CV_64F}}};

struct NpyHeader {
  std::string descr;
  bool fortran_order = false;
  std::vector<std::uint64_t> shape;
  std::size_t data_at = 0;
};

/// Reads the Python literal of the header: a dictionary of a string, a truth value and a tuple.
class Literal {
 public:
  explicit Literal(std::string_view text) : rest_(text) {}

  bool take(char c) {
    skip_blanks();
    if (!rest_.starts_with(c)) return false;
    rest_.remove_prefix(1);
    return true;
  }

  std::optional<std::string> quoted() {
    skip_blanks();
    if (rest_.empty() || (rest_[0] != '\'' && rest_[0] != '"')) return std::nullopt;
    const auto end = rest_.find(rest_[0], 1);
    if (end == std::string_view::npos) return std::nullopt;
    std::string text(rest_.substr(1, end - 1));
    rest_.remove_prefix(end + 1);
    return text;
  }

  std::optional<bool> truth() {
    skip_blanks();
    for (const bool value : {true, false}) {
      const std::string_view word = value ? "True" : "False";
      if (!rest_.starts_with(word)) continue;
      rest_.remove_prefix(word.size());
      return value;
    }
    return std::nullopt;
  }

  std::optional<std::vector<std::uint64_t>> tuple() {
    if (!take('(')) return std::nullopt;
    std::vector<std::uint64_t> values;
    while (!take(')')) {
      skip_blanks();
      std::uint64_t value = 0;
      const auto [end, trouble] = std::from_chars(rest_.data(), rest_.data() + rest_.size(), value);
      if (trouble != std::errc{}) return std::nullopt;
      rest_.remove_prefix(static_cast<std::size_t>(end - rest_.data()));
      values.push_back(value);
      take('L');  // written by Python 2
      if (!take(',') && !rest_.starts_with(')')) return std::nullopt;
    }
    return values;
  }

  bool at_end() {
    skip_blanks();
    return rest_.empty();
  }

 private:
  void skip_blanks() {
    rest_.remove_prefix(std::min(rest_.find_first_not_of(" \t\n\r"), rest_.size()));
  }

  std::string_view rest_;
};

bool parse_entry(Literal& text, NpyHeader& header, int& known) {
  const auto key = text.quoted();
  if (!key || !text.take(':')) return false;
  if (*key == "descr") {
    const auto value = text.quoted();
    if (value) header.descr = *value;
    known |= 1;
    return value.has_value();
  }
  if (*key == "fortran_order") {
    const auto value = text.truth();
    if (value) header.fortran_order = *value;
    known |= 2;
    return value.has_value();
  }
  const auto value = text.tuple();
  if (value) header.shape = *value;
  known |= 4;
  return *key == "shape" && value.has_value();
}

bool parse_dictionary(std::string_view text, NpyHeader& header) {
  Literal literal(text);
  if (!literal.take('{')) return false;
  int known = 0;
  bool closed = literal.take('}');
  while (!closed) {
    if (!parse_entry(literal, header, known)) return false;
    const bool more = literal.take(',');
    closed = literal.take('}');
    if (!more && !closed) return false;
  }
  return known == 7 && literal.at_end();
}

Result<NpyHeader> parse_header(Bytes file) {
  const auto byte = [file](std::size_t at) { return std::to_integer<std::uint32_t>(file[at]); };
  if (file.size() < kMagicBytes + 6) return fail(damaged("the file ends inside its header"));
  const std::uint32_t version = byte(kMagicBytes);
  if (version < 1 || version > 3) {
    return fail(unsupported("this version of the NPY format is not read", std::to_string(version),
                            "version 1, 2 or 3"));
  }
  const std::size_t start = kMagicBytes + (version == 1 ? 4 : 6);
  std::size_t length = byte(8) | byte(9) << 8;
  if (version > 1) length |= byte(10) << 16 | byte(11) << 24;
  if (length > kMostHeader) return fail(damaged("the header is too long", 8));
  if (file.size() - start < length) return fail(damaged("the file ends inside its header"));
  NpyHeader header;
  header.data_at = start + length;
  const std::string_view text(reinterpret_cast<const char*>(file.data()) + start, length);
  if (!parse_dictionary(text, header)) {
    Error error = unsupported("the header is not that of a plain array", excerpt(text),
                              "one descr, fortran_order and shape");
    error.place.byte_offset = start;
    return fail(error);
  }
  return header;
}

/// How the array's numbers lie in the file.
struct Array {
  std::uint64_t frames = 1;
  Claim claim;
  bool swapped = false;
};

Result<Array> layout_of(const NpyHeader& header) {
  const std::string_view descr = header.descr;
  const auto kind = std::find_if(kNpyKinds.begin(), kNpyKinds.end(), [descr](const NpyKind& k) {
    return !descr.empty() && descr.substr(1) == k.code;
  });
  const char order = descr.empty() ? '?' : descr[0];
  const bool known_order = order == '<' || order == '>' || (order == '|' && descr.ends_with('1'));
  if (kind == kNpyKinds.end() || !known_order) {
    return fail(unsupported("numbers of this type are not read", excerpt(descr),
                            "u1, u2, i2, i4, f4 or f8 with < or >"));
  }
  const auto dimensions = header.shape.size();
  if (dimensions != 2 && dimensions != 3) {
    return fail(unsupported("the array is not an image", std::to_string(dimensions) + " dimensions",
                            "rows and columns, or frames, rows and columns"));
  }
  Array array;
  array.claim = {header.shape[dimensions - 1], header.shape[dimensions - 2], kind->depth};
  if (dimensions == 3) array.frames = header.shape[0];
  const bool big = order == '>';
  array.swapped = bytes_of(kind->depth) > 1 && big != (std::endian::native == std::endian::big);
  return array;
}

/// Element (frame, y, x) of a Fortran array lies at frame + frames * (y + height * x).
template <class Element>
void gather(const std::byte* data, std::size_t frame, std::size_t frames, cv::Mat& pixels) {
  const auto height = static_cast<std::size_t>(pixels.rows);
  for (int y = 0; y < pixels.rows; ++y) {
    std::byte* row = pixels.ptr<std::byte>(y);
    for (int x = 0; x < pixels.cols; ++x) {
      const std::size_t at =
          frame + frames * (static_cast<std::size_t>(y) + height * static_cast<std::size_t>(x));
      std::memcpy(row + static_cast<std::size_t>(x) * sizeof(Element), data + at * sizeof(Element),
                  sizeof(Element));
    }
  }
}

void gather_by_size(const std::byte* data, std::size_t frame, std::size_t frames, cv::Mat& pixels) {
  switch (pixels.elemSize1()) {
    case 1:
      return gather<std::uint8_t>(data, frame, frames, pixels);
    case 2:
      return gather<std::uint16_t>(data, frame, frames, pixels);
    case 4:
      return gather<std::uint32_t>(data, frame, frames, pixels);
    default:
      return gather<std::uint64_t>(data, frame, frames, pixels);
  }
}

}  // namespace

Result<StoredImage> read_npy(Bytes file, const ReadOptions& options) {
  const auto header = parse_header(file);
  if (!header) return fail(header.error());
  const auto array = layout_of(*header);
  if (!array) return fail(array.error());
  const Bytes data = file.subspan(header->data_at);

  // The frame is within the limits before the product with the count of frames is taken.
  if (const auto plausible = check_plausible(array->claim, data.size(), 1); !plausible) {
    return fail(plausible.error());
  }
  auto pixels = allocate(array->claim, options);
  if (!pixels) return fail(pixels.error());
  const std::size_t frame_bytes = pixels->total() * pixels->elemSize1();
  if (array->frames != data.size() / frame_bytes || data.size() % frame_bytes != 0) {
    return fail(damaged("the header declares " + std::to_string(array->frames) + " x " +
                            std::to_string(frame_bytes) + " bytes of pixels, but " +
                            std::to_string(data.size()) + " bytes follow",
                        header->data_at));
  }
  if (const auto there = check_page(options.page, array->frames); !there)
    return fail(there.error());

  const auto frame = static_cast<std::size_t>(options.page - 1);
  if (header->fortran_order) {
    gather_by_size(data.data(), frame, array->frames, *pixels);
  } else {
    std::memcpy(pixels->data, data.data() + frame * frame_bytes, frame_bytes);
  }
  if (array->swapped) swap_bytes(pixels->ptr<std::byte>(), pixels->total(), pixels->elemSize1());
  return StoredImage{.pixels = *pixels,
                     .format = "npy",
                     .dtype = std::string(numpy_name(array->claim.depth)),
                     .pages = static_cast<int>(
                         std::min<std::uint64_t>(array->frames, std::numeric_limits<int>::max())),
                     .embedded = std::nullopt};
}

}  // namespace ohmglow::imaging
