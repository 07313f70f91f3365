// Damaged, lying, empty and mislabelled files other than TIFF. The right error is the pass.

#include "test_images.h"

#include <catch2/catch.hpp>
#include <cstring>
#include <opencv2/core.hpp>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

Result<StoredImage> read(const std::string& bytes, std::string_view name = "a.csv") {
  return read_stored(std::as_bytes(std::span(bytes)), name);
}

ErrorKind kind_of(const std::string& bytes, std::string_view name = "a.csv") {
  const auto image = read(bytes, name);
  INFO(why(image));
  REQUIRE_FALSE(image);
  return image.error().kind;
}

Error error_of(const std::string& bytes, std::string_view name = "a.csv") {
  const auto image = read(bytes, name);
  REQUIRE_FALSE(image);
  return image.error();
}

std::string npy(const std::string& header, std::size_t data_bytes, char version = 1) {
  std::string text = "\x93NUMPY";
  text += version;
  text += '\0';
  text += static_cast<char>(header.size() & 0xFF);
  text += static_cast<char>(header.size() >> 8);
  if (version > 1) text += std::string(2, '\0');
  return text + header + std::string(data_bytes, '\1');
}

/// Bytes behind which lies memory that nobody may read.
class BeforeTheEdge {
 public:
  explicit BeforeTheEdge(const std::string& content) : size_(content.size()) {
    const auto page = static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
    readable_ = (size_ + page - 1) / page * page;
    mapped_ = readable_ + page;
    start_ = static_cast<std::byte*>(
        ::mmap(nullptr, mapped_, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0));
    REQUIRE(start_ != MAP_FAILED);
    REQUIRE(::mprotect(start_ + readable_, page, PROT_NONE) == 0);
    std::memcpy(start_ + readable_ - size_, content.data(), size_);
  }
  BeforeTheEdge(const BeforeTheEdge&) = delete;
  BeforeTheEdge& operator=(const BeforeTheEdge&) = delete;
  ~BeforeTheEdge() { ::munmap(start_, mapped_); }
  [[nodiscard]] std::span<const std::byte> bytes() const {
    return {start_ + readable_ - size_, size_};
  }

 private:
  std::size_t size_ = 0;
  std::size_t readable_ = 0;
  std::size_t mapped_ = 0;
  std::byte* start_ = nullptr;
};

std::string fits(std::vector<std::string> cards, std::size_t data_bytes) {
  cards.push_back("END");
  std::string text;
  for (std::string card : cards) {
    card.resize(80, ' ');
    text += card;
  }
  text.resize((text.size() + 2879) / 2880 * 2880, ' ');
  text += std::string(data_bytes, '\0');
  text.resize((text.size() + 2879) / 2880 * 2880, '\0');
  return text;
}

std::vector<std::string> image_cards(const std::string& bitpix, const std::string& width,
                                     const std::string& height) {
  const auto card = [](const char* name, const std::string& value) {
    return std::string(name) + "= " +
           std::string(20 - std::min<std::size_t>(20, value.size()), ' ') + value;
  };
  return {card("SIMPLE  ", "T"), card("BITPIX  ", bitpix), card("NAXIS   ", "2"),
          card("NAXIS1  ", width), card("NAXIS2  ", height)};
}

/// A PNG file from encode_png, to be spoilt.
std::string good_png() {
  cv::Mat image(40, 50, CV_16UC1);
  cv::randu(image, 0, 65535);
  const auto bytes = encode_png(image);
  REQUIRE(bytes);
  return {reinterpret_cast<const char*>(bytes->data()), bytes->size()};
}

}  // namespace

TEST_CASE("empty and unknown files say what they are") {
  CHECK(kind_of("") == ErrorKind::empty);
  CHECK(kind_of("", "a.tif") == ErrorKind::empty);
  CHECK(kind_of(std::string(100, '\0'), "a.tif") == ErrorKind::not_this_format);
  CHECK(kind_of("1,2\n3,4\n", "a.dat") == ErrorKind::not_this_format);
  CHECK(kind_of("II", "a.tif") == ErrorKind::not_this_format);
  CHECK(kind_of(std::string("II*\0 this is no TIFF at all", 27), "a.tif") == ErrorKind::damaged);
}

TEST_CASE("closed and picture formats are refused with what to export instead") {
  // Source: the magic numbers of ITU-T T.81 (SOI marker), GIF89a, and PKWARE's APPNOTE.
  for (const std::string& start :
       {std::string("\xFF\xD8\xFF\xE0"), std::string("GIF89a"), std::string("PK\x03\x04"),
        std::string("%PDF-1.7"), std::string("BM\0\0\0\0", 6)}) {
    const Error error = error_of(start + std::string(50, '\0'), "a.jpg");
    CHECK(error.kind == ErrorKind::unsupported);
    CHECK(error.mend.find("16-bit TIFF") != std::string::npos);
    CHECK(error.mend.find("CSV") != std::string::npos);
  }
  CHECK(error_of(std::string("\xFF\xD8\xFF\xE0", 4), "a.csv").kind == ErrorKind::unsupported);
}

TEST_CASE("a matrix names the row and column of a cell that is no number") {
  const Error error = error_of("1,2,3\n4,5x,6\n7,8,9\n");
  CHECK(error.place.row == 2);
  CHECK(error.place.column == "2");
  CHECK(error.found == "5x");
  CHECK(error_of("Title\n\n1,2,3\n4,5,6\n7,8,oops\n").place.row == 5);
  // Foreign bytes never reach a message.
  CHECK(error_of("1,2\n3,\xB0\xB1\n5,6\n").found == "??");
  CHECK(error_of("1,2\n3," + std::string(1'000, 'x') + "\n5,6\n").found.size() < 100);
}

TEST_CASE("ragged, short and empty matrices are refused") {
  const Error ragged = error_of("1,2,3\n4,5,6\n7,8\n9,10,11\n");
  CHECK(ragged.kind == ErrorKind::damaged);
  CHECK(ragged.place.row == 3);
  CHECK(ragged.found == "2");
  CHECK(ragged.expected == "3");
  CHECK(kind_of("1,2,3\n4,5,6\n7,8,9,\n") == ErrorKind::damaged);
  CHECK(kind_of("1,2,3\n4,5,6\nend of matrix\n") == ErrorKind::damaged);
  CHECK(kind_of("\n\n \n") == ErrorKind::empty);
  CHECK(kind_of("1\n2\n3\n") == ErrorKind::not_this_format);
  CHECK(kind_of("motor,test,unit\nM1,x,a\n") == ErrorKind::not_this_format);
  CHECK(kind_of(std::string("1,2\n3,\0\n", 8)) == ErrorKind::not_this_format);
  CHECK(kind_of("1.5;2\n1,5;2,5\n3,5;4,5\n") == ErrorKind::not_this_format);
  // A first line that declares more rows than follow: the file was cut short.
  CHECK(kind_of("3,4\n1,2,3\n4,5,6\n7,8,9\n") == ErrorKind::damaged);
  CHECK(read("3,3\n1,2,3\n4,5,6\n7,8,9\n"));
}

TEST_CASE("a matrix of nothing but quotes or delimiters ends well") {
  CHECK(read("1," + std::string(1 << 20, '"') + "\n2,3\n").has_value() == false);
  const auto commas = read(std::string(1'000, ',') + "\n" + std::string(1'000, ',') + "\n");
  if (commas) CHECK(statistics(commas->pixels).finite == 0);
}

TEST_CASE("an NPY header that lies is damaged or unsupported, never believed") {
  const std::string good = "{'descr': '<u2', 'fortran_order': False, 'shape': (4, 6), }\n";
  CHECK(read(npy(good, 48), "a.npy"));
  CHECK(read(npy(good, 48, 2), "a.npy"));
  CHECK(kind_of(npy(good, 47)) == ErrorKind::damaged);
  CHECK(kind_of(npy(good, 49)) == ErrorKind::damaged);
  CHECK(kind_of(npy(good, 0)) == ErrorKind::damaged);
  CHECK(kind_of(npy(good, 48, 4)) == ErrorKind::unsupported);
  CHECK(kind_of(npy(good, 48).substr(0, 20)) == ErrorKind::damaged);
  CHECK(kind_of(npy(good, 48).substr(0, 8)) == ErrorKind::damaged);
  CHECK(kind_of(std::string("\x93NUMPY")) == ErrorKind::damaged);
  CHECK(kind_of(npy(good + std::string(20'000, ' '), 48)) == ErrorKind::damaged);
  for (const std::string shape : {"(4,)", "()", "(1, 2, 3, 4)", "(4, 6", "(-4, 6)", "(4 6)", "4",
                                  "(4.0, 6)", "(99999999999999999999999, 6)", "('a', 6)"}) {
    CAPTURE(shape);
    CHECK(kind_of(npy("{'descr': '<u2', 'fortran_order': False, 'shape': " + shape + "}", 48)) ==
          ErrorKind::unsupported);
  }
  for (const std::string shape :
       {"(0, 6)", "(4, 0)", "(0, 4, 6)", "(100000, 100000)", "(2, 4, 6)",
        "(18446744073709551615, 4, 6)", "(4294967296, 4294967296)", "(9223372036854775808, 2)"}) {
    CAPTURE(shape);
    CHECK(kind_of(npy("{'descr': '<u2', 'fortran_order': False, 'shape': " + shape + "}", 48)) ==
          ErrorKind::damaged);
  }
  for (const std::string descr : {"'<f2'", "'<c8'", "'|O'", "'<U3'", "'u2'", "'=u2'", "''", "'<'",
                                  "[('a', '<u2')]", "'|u2'", "<u2"}) {
    CAPTURE(descr);
    CHECK(kind_of(npy("{'descr': " + descr + ", 'fortran_order': False, 'shape': (4, 6)}", 48)) ==
          ErrorKind::unsupported);
  }
  for (const std::string header :
       {"", "{", "{}", "{'descr': '<u2'}", "x",
        "{'descr': '<u2', 'fortran_order': maybe, 'shape': (4, 6)}",
        "{'descr': '<u2', 'fortran_order': False, 'shape': (4, 6)} x",
        "{'descr': '<u2', 'fortran_order': False, 'shape': (4, 6), 'more': 1}",
        "{'descr': '<u2', 'fortran_order': False, 'shape': (4, 6),"}) {
    CAPTURE(header);
    CHECK(kind_of(npy(header, 48)) == ErrorKind::unsupported);
  }
}

TEST_CASE("a PNG with a wrong checksum, cut short or lying about its size is damaged") {
  const std::string good = good_png();
  CHECK(read(good, "a.png"));
  for (std::size_t at = 16; at < good.size(); at += 97) {
    CAPTURE(at);
    std::string bad = good;
    bad[at] = static_cast<char>(bad[at] ^ 0x55);
    const auto image = read(bad, "a.png");
    // Only the ancillary chunks, whose faults libpng passes over, may be wrong without an error.
    if (image) CHECK(cv::countNonZero(image->pixels != read(good, "a.png")->pixels) == 0);
  }
  for (const std::size_t keep :
       {std::size_t{8}, std::size_t{20}, std::size_t{33}, good.size() / 2, good.size() - 1}) {
    CAPTURE(keep);
    CHECK(kind_of(good.substr(0, keep)) == ErrorKind::damaged);
  }
}

TEST_CASE("a tiny PNG that declares a huge image is refused before anything is allocated") {
  // Source: PNG specification, section 11.2.2; the checksum is that of these bytes by zlib.crc32.
  const std::string start("\x89PNG\r\n\x1A\n\0\0\0\rIHDR\0\0\x27\x10\0\0\x27\x10\x10\0\0\0\0", 29);
  const std::string crc("\xCF\xB5\xE1\xB8", 4);
  const Error error = error_of(start + crc + std::string("\0\0\0\0IDAT\x35\xAF\x06\x1E", 12));
  CHECK(error.kind == ErrorKind::damaged);
  CHECK(error.what.find("too short") != std::string::npos);
}

TEST_CASE("a colour PNG is a picture of temperatures") {
  for (const int type : {CV_8UC3}) {
    const auto bytes = encode_png(cv::Mat(8, 8, type, cv::Scalar::all(100)));
    REQUIRE(bytes);
    const auto image = read_stored(*bytes, "a.png");
    REQUIRE_FALSE(image);
    CHECK(image.error().what == "this is a picture of temperatures, not temperatures");
  }
}

TEST_CASE("a FITS header that lies is refused") {
  CHECK(read(fits(image_cards("16", "6", "4"), 48)));
  CHECK(kind_of(fits(image_cards("16", "6", "4"), 0)) == ErrorKind::damaged);
  for (const auto& cards :
       {image_cards("16", "60000", "40000"), image_cards("16", "0", "4"),
        image_cards("16", "-6", "4"), image_cards("16", "2147483647", "2147483647"),
        image_cards("16", "9223372036854775807", "2"), image_cards("17", "6", "4"),
        image_cards("16", "6.5", "4"), image_cards("16", "x", "4"),
        image_cards("8", "9999999999", "1"), image_cards("-64", "6", "400")}) {
    CAPTURE(cards);
    const auto kind = kind_of(fits(cards, 48));
    CHECK((kind == ErrorKind::damaged || kind == ErrorKind::too_large ||
           kind == ErrorKind::unsupported));
  }
  for (const std::string naxis : {"0", "1", "4", "999", "-1", "x"}) {
    CAPTURE(naxis);
    auto cards = image_cards("16", "6", "4");
    cards[2] = "NAXIS   = " + std::string(20 - naxis.size(), ' ') + naxis;
    const auto image = read(fits(cards, 48));
    CHECK_FALSE(image);
  }
  CHECK(kind_of("SIMPLE  =") == ErrorKind::damaged);
  CHECK(kind_of("SIMPLE  =                    T") == ErrorKind::damaged);
  CHECK(kind_of(fits({"SIMPLE  =                    T"}, 0)) == ErrorKind::damaged);
  CHECK(kind_of(std::string("SIMPLE  =") + std::string(10'000, ' ')) == ErrorKind::damaged);
}

TEST_CASE("a FITS file that ends inside a record is read no further than it goes") {
  // Source: FITS Standard 4.0, section 3.1: records of 2880 bytes.
  const std::string whole = fits(image_cards("16", "6", "4"), 48);
  for (const std::size_t bytes : {std::size_t{2880 + 48}, std::size_t{2880 + 47}, whole.size()}) {
    INFO(bytes);
    const auto image = read_stored(BeforeTheEdge(whole.substr(0, bytes)).bytes(), "a.fits");
    INFO(why(image));
    CHECK(image.has_value() == (bytes >= 2880 + 48));
  }
}

TEST_CASE("a FITS name with commands of the library in it is only a name") {
  // Source: CFITSIO's extended file name syntax; the reader never hands a name over.
  const auto text = fits(image_cards("16", "6", "4"), 48);
  const auto image = read(text, "a.fits[1:2,1:2](/tmp/never-written.fits)");
  INFO(why(image));
  REQUIRE(image);
  CHECK(image->pixels.size() == cv::Size(6, 4));
}

TEST_CASE("blank pixels of an integer FITS image are not taken for temperatures") {
  auto cards = image_cards("16", "6", "4");
  cards.push_back("BLANK   =                    0");
  CHECK(kind_of(fits(cards, 48)) == ErrorKind::unsupported);
}

TEST_CASE("files that cannot be read say why, and a pipe does not hold the batch") {
  const auto folder = test_output();
  CHECK(read_bytes(folder / "absent.tif", 100).error().kind == ErrorKind::missing);
  CHECK(read_bytes(folder, 100).error().kind == ErrorKind::not_this_format);
  std::ofstream(folder / "empty.tif", std::ios::binary).flush();
  CHECK(read_bytes(folder / "empty.tif", 100).error().kind == ErrorKind::empty);
  std::ofstream(folder / "long.tif", std::ios::binary) << std::string(101, 'x');
  CHECK(read_bytes(folder / "long.tif", 100).error().kind == ErrorKind::too_large);
  CHECK(read_bytes(folder / "long.tif", 101)->size() == 101);
  CHECK(read_bytes(folder / "long.tif" / "inside", 100).error().kind == ErrorKind::missing);
  const auto pipe = folder / "pipe.tif";
  std::filesystem::remove(pipe);
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  CHECK(read_bytes(pipe, 100).error().kind == ErrorKind::not_this_format);
}
