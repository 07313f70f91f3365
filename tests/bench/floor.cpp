// The floors under a folder of TIFF frames.
//   bench_floor decode FOLDER [THREADS]   libtiff decodes every strip or tile into a reused buffer
//   bench_floor hash FOLDER [THREADS]     every file is read into a reused buffer and hashed
//   (SHA-256)

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nettle/sha2.h>
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

std::size_t hash(const std::string& path, std::vector<unsigned char>& buffer) {
  buffer.resize(std::filesystem::file_size(path));
  std::ifstream in(path, std::ios::binary);
  in.read(reinterpret_cast<char*>(buffer.data()), static_cast<std::streamsize>(buffer.size()));
  sha256_ctx context{};
  sha256_init(&context);
  sha256_update(&context, buffer.size(), buffer.data());
  unsigned char digest[SHA256_DIGEST_SIZE];
  sha256_digest(&context, sizeof digest, digest);
  return buffer.size() + digest[0] % 2;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  const auto job = std::string(argv[1]) == "hash" ? hash : decode;
  const int threads = argc > 3 ? std::atoi(argv[3]) : 1;
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(argv[2])) {
    if (entry.path().extension() == ".tif") files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  std::atomic<std::size_t> next = 0;
  std::atomic<std::size_t> bytes = 0;
  const auto work = [&] {
    std::vector<unsigned char> buffer;
    for (std::size_t i = next++; i < files.size(); i = next++) bytes += job(files[i], buffer);
  };
  {
    std::vector<std::jthread> workers;
    for (int t = 1; t < threads; ++t) workers.emplace_back(work);
    work();
  }
  std::printf("%zu files, %zu bytes\n", files.size(), bytes.load());
  return 0;
}
