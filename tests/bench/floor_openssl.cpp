// The hash floor by OpenSSL, for comparison: bench_floor_openssl FOLDER THREADS. A program of its
// own, since the library's symbols would weigh on the start of the other floors.

#include "frame_folder.h"
#include "whole_file.h"

#include <openssl/evp.h>
#include <string>
#include <vector>

int main(int argc, char** argv) {
  if (argc != 3) bench::give_up("usage: bench_floor_openssl FOLDER THREADS");
  using Buffer = std::vector<unsigned char>;
  bench::run_over_frames<Buffer>(
      argv[1], std::atoi(argv[2]), [](const std::string& path, Buffer& buffer) -> double {
        const std::size_t size = bench::read_whole(path, buffer);
        unsigned char digest[EVP_MAX_MD_SIZE];
        if (EVP_Digest(buffer.data(), size, digest, nullptr, EVP_sha256(), nullptr) != 1) {
          bench::give_up("OpenSSL refused to hash " + path);
        }
        return digest[0];
      });
  return 0;
}
