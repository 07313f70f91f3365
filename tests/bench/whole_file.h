#pragma once
/// A file read whole into a buffer that is reused: the least that anything can cost.

#include "frame_folder.h"

#include <fcntl.h>
#include <string>
#include <sys/stat.h>
#include <unistd.h>
#include <vector>

namespace bench {

/// Gives the count of bytes read; `buffer` only grows.
inline std::size_t read_whole(const std::string& path, std::vector<unsigned char>& buffer) {
  const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
  struct stat about {};
  if (file < 0 || fstat(file, &about) != 0) give_up("cannot open " + path);
  const auto size = static_cast<std::size_t>(about.st_size);
  if (buffer.size() < size) buffer.resize(size);
  std::size_t done = 0;
  while (done < size) {
    const ssize_t got = read(file, buffer.data() + done, size - done);
    if (got <= 0) give_up("cannot read " + path);
    done += static_cast<std::size_t>(got);
  }
  close(file);
  return size;
}

}  // namespace bench
