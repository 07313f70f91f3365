// The floor under a folder of TIFF frames: libtiff decodes every strip or tile of every file into a
// reused buffer, and nothing is done with the pixels.
//   bench_decode FOLDER [THREADS]

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <thread>
#include <tiffio.h>
#include <vector>

namespace {

std::size_t decode(const std::string& path, std::vector<unsigned char>& buffer) {
  TIFF* tiff = TIFFOpen(path.c_str(), "rm");
  if (tiff == nullptr) return 0;
  const bool tiled = TIFFIsTiled(tiff) != 0;
  const tmsize_t chunk = tiled ? TIFFTileSize(tiff) : TIFFStripSize(tiff);
  const auto chunks = tiled ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
  buffer.resize(static_cast<std::size_t>(chunk));
  std::size_t bytes = 0;
  for (std::uint32_t i = 0; i < chunks; ++i) {
    const tmsize_t got = tiled ? TIFFReadEncodedTile(tiff, i, buffer.data(), chunk)
                               : TIFFReadEncodedStrip(tiff, i, buffer.data(), chunk);
    if (got > 0) bytes += static_cast<std::size_t>(got);
  }
  TIFFClose(tiff);
  return bytes;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const int threads = argc > 2 ? std::atoi(argv[2]) : 1;
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(argv[1])) {
    if (entry.path().extension() == ".tif") files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  std::atomic<std::size_t> next = 0;
  std::atomic<std::size_t> bytes = 0;
  const auto work = [&] {
    std::vector<unsigned char> buffer;
    for (std::size_t i = next++; i < files.size(); i = next++) bytes += decode(files[i], buffer);
  };
  {
    std::vector<std::jthread> workers;
    for (int t = 1; t < threads; ++t) workers.emplace_back(work);
    work();
  }
  std::printf("%zu files, %zu bytes\n", files.size(), bytes.load());
  return 0;
}
