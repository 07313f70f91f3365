// Sources: Exif orientation by CIPA DC-008 (tag 0x0112; 6: the picture's top is at its right side);
// PNG's first chunk by ISO/IEC 15948, 11.2.2; poppler lists what the PDF holds.
#include "../report/fixture.h"
#include "document_checks.h"
#include "documents/jpeg.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <opencv2/core.hpp>

namespace ohmglow::documents {
namespace {

namespace fs = std::filesystem;

// A wide picture, blue on its left half and red on its right.
cv::Mat two_halves() {
  cv::Mat picture(240, 320, CV_8UC3, cv::Scalar(0, 0, 255));
  picture.colRange(0, 160) = cv::Scalar(255, 0, 0);
  return picture;
}

// An APP1 segment with one entry, put behind the start-of-image marker.
std::vector<std::byte> with_orientation(const std::vector<std::byte>& jpeg, int orientation) {
  const std::vector<int> exif{0xff, 0xe1, 0, 34, 'E', 'x',         'i', 'f', 0,    0,    'M', 'M',
                              0,    42,   0, 0,  0,   8,           0,   1,   0x01, 0x12, 0,   3,
                              0,    0,    0, 1,  0,   orientation, 0,   0,   0,    0,    0,   0};
  std::vector<std::byte> result(jpeg.begin(), jpeg.begin() + 2);
  for (const int byte : exif) result.push_back(static_cast<std::byte>(byte));
  result.insert(result.end(), jpeg.begin() + 2, jpeg.end());
  return result;
}

struct Folder {
  explicit Folder(const std::string& name) : path(fs::path(OHMGLOW_TEST_OUTPUT) / name) {
    fs::create_directories(path);
    survey.folder = path.string();
  }
  Result<report::Photograph> photo(const std::string& file, const std::vector<std::byte>& bytes) {
    std::ofstream(path / file, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes.data()),
               static_cast<std::streamsize>(bytes.size()));
    ImageEntry entry;
    entry.photo = file;
    return photograph(survey, entry);
  }
  fs::path path;
  Survey survey;
};

std::vector<std::byte> bytes_of(const std::string& text) {
  const auto* begin = reinterpret_cast<const std::byte*>(text.data());
  return {begin, begin + text.size()};
}

}  // namespace

TEST_CASE("a photograph held sideways comes out upright, without what the camera wrote into it") {
  Folder folder("upright");
  const auto jpeg = encode_jpeg(two_halves(), 90);
  REQUIRE(jpeg.has_value());
  const auto photo = folder.photo("sideways.jpg", with_orientation(*jpeg, 6));
  REQUIRE(photo.has_value());
  CHECK(photo->width == 240);
  CHECK(photo->height == 320);
  CHECK(exif_orientation(with_orientation(*jpeg, 6)) == 6);
  CHECK(exif_orientation(photo->bytes) == 1);
  const std::string text(reinterpret_cast<const char*>(photo->bytes.data()), photo->bytes.size());
  CHECK_THAT(text, !Catch::Contains("Exif"));
}

TEST_CASE("a large photograph is made smaller, a small one is kept") {
  Folder folder("sizes");
  const auto large = encode_jpeg(cv::Mat(3000, 4000, CV_8UC3, cv::Scalar(90, 120, 60)), 80);
  REQUIRE(large.has_value());
  const auto photo = folder.photo("large.jpg", *large);
  REQUIRE(photo.has_value());
  CHECK(photo->width == 1000);
  CHECK(photo->height == 750);
  const auto small = encode_jpeg(two_halves(), 90);
  CHECK(folder.photo("small.jpg", *small)->width == 320);
}

TEST_CASE("what is no photograph is refused with what to do") {
  Folder folder("refused");
  CHECK_THAT(sentence_with_place(folder.photo("a.jpg", bytes_of("not a picture")).error()),
             Catch::Contains("a.jpg: the photograph is no JPEG and no PNG"));
  CHECK(folder.photo("b.jpg", bytes_of("\xff\xd8\xff\xe0 cut")).error().kind == ErrorKind::damaged);
  // IHDR says 100000 x 100000.
  const std::string bomb = std::string("\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR", 16) +
                           std::string("\0\x01\x86\xa0\0\x01\x86\xa0\x08\x02\0\0\0", 13);
  CHECK(folder.photo("c.png", bytes_of(bomb)).error().kind == ErrorKind::too_large);
  ImageEntry outside;
  outside.photo = "../../etc/passwd";
  CHECK(photograph(folder.survey, outside).error().kind == ErrorKind::outside_survey);
}

TEST_CASE("a finding's page shows its photograph, JPEG and PNG alike") {
  auto a = report_test::bexley_creek();
  a.survey.images[0].photo = "door.jpg";
  a.survey.images[2].photo = "door.png";
  const report::OpenPhoto open = [](const ImageEntry& entry) -> Result<report::Photograph> {
    const bool is_png = entry.photo.ends_with("png");
    auto bytes = is_png ? imaging::encode_png(two_halves()) : encode_jpeg(two_halves(), 90);
    if (!bytes) return fail(bytes.error());
    return report::Photograph{std::move(*bytes), is_png ? "image/png" : "image/jpeg", 320, 240};
  };
  const auto pdf = documents_test::pdf_with(a, report_test::synthetic_images(),
                                            {.open_photo = open, .findings_sha256 = ""}, Paper::a4);
  CHECK(documents_test::wrong_with_pdf_bytes("photos.pdf", pdf, a, Paper::a4,
                                             {"Photograph: door.jpg", "Photograph: door.png"}) ==
        "");
  // 3 thermal images and 2 photographs.
  CHECK(documents_test::shell("pdfimages -list '" OHMGLOW_TEST_OUTPUT
                              "/photos.pdf' | awk 'NR > 2 {print $11}' | sort -u | wc -l") ==
        "5\n");
}

}  // namespace ohmglow::documents
