#include "test_images.h"
#include "tiff_builder.h"

#include <catch2/catch.hpp>
#include <limits>
#include <opencv2/core.hpp>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

StoredImage stored(const cv::Mat& pixels, std::string dtype = "test") {
  return {.pixels = pixels,
          .format = "npy",
          .dtype = std::move(dtype),
          .pages = 1,
          .embedded = std::nullopt};
}

StoredImage floats(double low, double high) {
  cv::Mat pixels(4, 5, CV_32F, cv::Scalar(low));
  pixels.at<float>(2, 3) = static_cast<float>(high);
  return stored(pixels);
}

StoredImage counts() {
  return stored(cv::Mat(4, 5, CV_16U, cv::Scalar(29'315)), "uint16");
}

ImageParameters given(std::optional<double> scale, std::optional<double> offset,
                      std::optional<TemperatureUnit> unit) {
  ImageParameters parameters;
  parameters.scale = scale;
  parameters.offset = offset;
  parameters.unit = unit;
  return parameters;
}

constexpr auto kC = TemperatureUnit::celsius;
constexpr auto kK = TemperatureUnit::kelvin;

}  // namespace

TEST_CASE("floats are taken for the unit in whose range all of them lie") {
  // Source: the project's rule: [193, 2300] K, else [-80, 2000] degrees Celsius, else rejected.
  CHECK(resolve_declaration(floats(193, 2300), {})->unit == kK);
  CHECK(resolve_declaration(floats(293, 310), {})->unit == kK);
  CHECK(resolve_declaration(floats(192.99, 300), {})->unit == kC);
  CHECK(resolve_declaration(floats(-80, 2000), {})->unit == kC);
  CHECK(resolve_declaration(floats(20, 45), {})->unit == kC);
  CHECK(resolve_declaration(floats(20, 45), {}) == Declaration{1, 0, kC, "range"});
  for (const auto& image :
       {floats(-80.1, 20), floats(20, 2000.1), floats(193, 2300.5), floats(0, 65535)}) {
    const auto declared = resolve_declaration(image, {});
    REQUIRE_FALSE(declared);
    CHECK(declared.error().kind == ErrorKind::undeclared);
  }
  CHECK(resolve_declaration(floats(kNan, 25), {})->unit == kC);
  CHECK_FALSE(resolve_declaration(floats(kNan, kNan), {}));
}

TEST_CASE("integers without a declaration are rejected with the cells to fill in") {
  for (const int depth : {CV_8U, CV_16U, CV_16S, CV_32S}) {
    const auto declared =
        resolve_declaration(stored(cv::Mat(4, 5, depth, cv::Scalar(25)), "uint16"), {});
    REQUIRE_FALSE(declared);
    CHECK(declared.error().kind == ErrorKind::undeclared);
    const std::string text = sentence(declared.error());
    for (const char* cell : {"scale", "offset", "unit", "images.csv"}) {
      CHECK(text.find(cell) != std::string::npos);
    }
  }
}

TEST_CASE("images.csv comes first, then the description, then the metadata, then the range") {
  StoredImage image = counts();
  image.embedded =
      EmbeddedDeclaration{.scale = 0.01, .offset = -273.15, .unit = kC, .from = "ImageDescription"};
  CHECK(resolve_declaration(image, {}) == Declaration{0.01, -273.15, kC, "ImageDescription"});
  CHECK(resolve_declaration(image, given(0.04, {}, kK)) == Declaration{0.04, 0, kK, "images.csv"});
  CHECK(resolve_declaration(image, given({}, 5, kC)) == Declaration{1, 5, kC, "images.csv"});
  StoredImage kelvin = floats(293, 310);
  kelvin.embedded = EmbeddedDeclaration{.scale = 0.1, .unit = kC, .from = "GDAL_METADATA"};
  CHECK(resolve_declaration(kelvin, {}) == Declaration{0.1, 0, kC, "GDAL_METADATA"});
  CHECK(resolve_declaration(floats(293, 310), given({}, {}, kC)) ==
        Declaration{1, 0, kC, "images.csv"});
  CHECK(resolve_declaration(counts(), given(0.01, {}, kK)) ==
        Declaration{0.01, 0, kK, "images.csv"});
}

TEST_CASE("a scale or offset without its unit is rejected, wherever it stands") {
  for (const auto& parameters : {given(0.01, {}, {}), given({}, -273.15, {}), given(0.01, 0, {})}) {
    const auto declared = resolve_declaration(counts(), parameters);
    REQUIRE_FALSE(declared);
    CHECK(declared.error().kind == ErrorKind::undeclared);
    CHECK(sentence(declared.error()).find("scale, offset and unit") != std::string::npos);
  }
  StoredImage image = counts();
  image.embedded = EmbeddedDeclaration{.scale = 0.01, .from = "GDAL_METADATA"};
  CHECK(resolve_declaration(image, {}).error().kind == ErrorKind::undeclared);
  const auto completed = resolve_declaration(image, given({}, {}, kK));
  REQUIRE(completed);
  CHECK(completed->scale == 0.01);
  CHECK(completed->unit == kK);
  CHECK(completed->from == "GDAL_METADATA, unit from images.csv");
}

TEST_CASE("two different units are a conflict, and an unknown one is not passed over") {
  StoredImage image = counts();
  image.embedded = EmbeddedDeclaration{.scale = 0.01, .unit = kK, .from = "GDAL_METADATA"};
  CHECK(resolve_declaration(image, given({}, {}, kK))->from == "GDAL_METADATA");
  CHECK(resolve_declaration(image, given({}, {}, kC)).error().kind == ErrorKind::conflict);
  // Floats in degrees Fahrenheit would pass for Celsius by their range.
  StoredImage fahrenheit = floats(70, 120);
  fahrenheit.embedded = EmbeddedDeclaration{.from = "ImageDescription", .not_understood = "unit F"};
  CHECK(resolve_declaration(fahrenheit, {}).error().kind == ErrorKind::undeclared);
  CHECK(resolve_declaration(fahrenheit, given(5.0 / 9, -160.0 / 9, kC))->from == "images.csv");
}

TEST_CASE("a declaration that cannot be meant is kept for the message") {
  // Source: written tag by tag here; 270 is ImageDescription (TIFF 6.0, section 8).
  const auto described = [](const std::string& description) {
    TiffBuilder tiff;
    const auto at = tiff.data(std::string(48, '\1'));
    const auto text = tiff.data(description + '\0');
    tiff.directory(plain_tags(6, 4, at, 48, {{270, 2, description.size() + 1, text}}));
    const auto image = read_stored(std::as_bytes(std::span(tiff.text())), "a.tif");
    REQUIRE(image);
    return image->embedded;
  };
  CHECK(described(R"({"scale": 0.01, "unit": "F"})")->not_understood == "unit F");
  CHECK(described(R"({"scale": "0.01", "unit": "k"})")->not_understood == "scale \"0.01\"");
  CHECK(described(R"({"scale": 0, "unit": "k"})")->not_understood == "scale 0");
  CHECK(described(R"({"offset": null, "unit": "k"})")->not_understood == "offset null");
  CHECK_FALSE(described(R"({"unit": 7})")->not_understood.empty());
  CHECK(described(R"({"unit": "K"})")->unit == kK);
  CHECK(described(R"(  {"unit": "°C", "scale": 2} )")->unit == kC);
  CHECK_FALSE(described(R"({"units": "K"})"));
  CHECK_FALSE(described(R"(["scale", 0.01])"));
  CHECK_FALSE(described(std::string(50'000, '{')));
}

TEST_CASE("a scale that makes nothing is refused") {
  CHECK(resolve_declaration(counts(), given(0.0, 20, kC)).error().kind == ErrorKind::invalid_value);
  CHECK(resolve_declaration(counts(), given(kNan, 20, kC)).error().kind ==
        ErrorKind::invalid_value);
  CHECK(resolve_declaration(counts(), given(1, kInfinity, kC)).error().kind ==
        ErrorKind::invalid_value);
}

TEST_CASE("stored numbers become degrees Celsius by the declaration") {
  // Source: SI Brochure, 9th edition, 2.3.1: t = T - 273.15.
  CHECK(stored_to_celsius(29'315, {0.01, 0, kK, ""}).value() == Approx(20).margin(1e-12));
  CHECK(stored_to_celsius(4'800, {0.025, -100, kC, ""}).value() == Approx(20).margin(1e-12));
  const ThermalImage image(counts(), {0.01, 0, kK, ""});
  const cv::Mat celsius = image.celsius();
  CHECK(celsius.type() == CV_32F);
  CHECK(celsius.size() == cv::Size(5, 4));
  CHECK(celsius.at<float>(3, 4) == 20.0f);
}

TEST_CASE("every count becomes the nearest float to its exact temperature") {
  // Source: double precision rounded once.
  cv::Mat pixels(256, 256, CV_16U);
  for (int i = 0; i < 65'536; ++i)
    pixels.at<std::uint16_t>(i / 256, i % 256) = static_cast<std::uint16_t>(i);
  const Declaration declaration{0.01, 0, kK, ""};
  const cv::Mat celsius = ThermalImage(stored(pixels), declaration).celsius();
  int wrong = 0;
  for (int i = 0; i < 65'536; ++i) {
    wrong += celsius.at<float>(i / 256, i % 256) !=
             static_cast<float>(stored_to_celsius(i, declaration).value());
  }
  CHECK(wrong == 0);
}

TEST_CASE("a part of an image is the same part of the whole") {
  cv::Mat pixels(50, 40, CV_16S);
  cv::randu(pixels, -30'000, 30'000);
  const ThermalImage image(stored(pixels), {0.01, 20, kC, ""});
  const cv::Rect part(7, 9, 21, 33);
  CHECK(cv::norm(image.celsius(part), image.celsius()(part), cv::NORM_INF) == 0);
  CHECK(image.celsius(part).size() == part.size());
}

TEST_CASE("NaN and infinite pixels are no data") {
  for (const int depth : {CV_32F, CV_64F}) {
    cv::Mat pixels(3, 4, depth, cv::Scalar(20));
    pixels.row(0).col(1).setTo(kNan);
    pixels.row(1).col(2).setTo(kInfinity);
    pixels.row(2).col(3).setTo(-kInfinity);
    pixels.row(2).col(0).setTo(26);
    const Statistics s = statistics(pixels);
    CHECK(s.no_data == 3);
    CHECK(s.finite == 9);
    CHECK(s.min == 20);
    CHECK(s.max == 26);
    CHECK(s.mean == Approx(186.0 / 9));
    const cv::Mat celsius = ThermalImage(stored(pixels), {1, 0, kC, ""}).celsius();
    CHECK(std::isnan(celsius.at<float>(0, 1)));
    CHECK(std::isnan(celsius.at<float>(1, 2)));
    CHECK(std::isnan(celsius.at<float>(2, 3)));
    CHECK(celsius.at<float>(2, 0) == 26);
  }
  const Statistics none = statistics(cv::Mat(2, 2, CV_32F, cv::Scalar(kNan)));
  CHECK(none.finite == 0);
  CHECK(none.no_data == 4);
}

TEST_CASE("statistics of integers are exact") {
  // Source: the sum 0 + 1 + ... + 65535.
  cv::Mat pixels(256, 256, CV_16U);
  for (int i = 0; i < 65'536; ++i)
    pixels.at<std::uint16_t>(i / 256, i % 256) = static_cast<std::uint16_t>(i);
  const Statistics s = statistics(pixels);
  CHECK(s.min == 0);
  CHECK(s.max == 65'535);
  CHECK(s.mean == 32'767.5);
  CHECK(s.no_data == 0);
}

TEST_CASE("a render runs from the low to the high end of its palette") {
  cv::Mat celsius = (cv::Mat_<float>(1, 5) << 10, 20, 30, static_cast<float>(kNan), 25);
  const cv::Mat grey = render(celsius, Celsius{20}, Celsius{30}, Palette::grey);
  REQUIRE(grey.type() == CV_8UC3);
  CHECK(grey.at<cv::Vec3b>(0, 0) == cv::Vec3b(0, 0, 0));
  CHECK(grey.at<cv::Vec3b>(0, 1) == cv::Vec3b(0, 0, 0));
  CHECK(grey.at<cv::Vec3b>(0, 2) == cv::Vec3b(255, 255, 255));
  CHECK(grey.at<cv::Vec3b>(0, 3) == cv::Vec3b(128, 128, 128));
  CHECK(std::abs(grey.at<cv::Vec3b>(0, 4)[0] - 128) <= 1);
  // Source: first and last entries of matplotlib's inferno and cividis (from memory), two levels
  // off at most.
  const auto near = [](cv::Vec3b bgr, int r, int g, int b) {
    return std::abs(bgr[2] - r) <= 2 && std::abs(bgr[1] - g) <= 2 && std::abs(bgr[0] - b) <= 2;
  };
  const cv::Mat inferno = render(celsius, Celsius{20}, Celsius{30}, Palette::inferno);
  CHECK(near(inferno.at<cv::Vec3b>(0, 0), 0, 0, 4));
  CHECK(near(inferno.at<cv::Vec3b>(0, 2), 252, 255, 164));
  const cv::Mat cividis = render(celsius, Celsius{20}, Celsius{30}, Palette::cividis);
  CHECK(near(cividis.at<cv::Vec3b>(0, 0), 0, 34, 78));
  CHECK(near(cividis.at<cv::Vec3b>(0, 2), 254, 232, 56));
  CHECK(render(celsius, Celsius{20}, Celsius{20}, Palette::grey).size() == celsius.size());
}

TEST_CASE("a 16-bit PNG that was written is read back bit by bit") {
  cv::Mat pixels(31, 47, CV_16UC1);
  cv::randu(pixels, 0, 65536);
  const auto bytes = encode_png(pixels);
  REQUIRE(bytes);
  const auto image = read_stored(*bytes, "a.png");
  REQUIRE(image);
  CHECK(cv::countNonZero(image->pixels != pixels) == 0);
  CHECK(encode_png(cv::Mat(3, 4, CV_8UC1, cv::Scalar(9))));
  CHECK(encode_png(pixels(cv::Rect(3, 4, 20, 11))));
  CHECK_FALSE(encode_png(cv::Mat(3, 4, CV_32F, cv::Scalar(9))));
  CHECK_FALSE(encode_png(cv::Mat()));
}

TEST_CASE("the endings of a folder scan are those of the formats that are read") {
  for (const std::string_view ending : image_endings()) {
    CHECK(ending.front() == '.');
    CHECK(ending != ".txt");
  }
}
