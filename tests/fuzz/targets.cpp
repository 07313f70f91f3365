#include "targets.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <fstream>

namespace ohmglow::fuzz {
namespace fs = std::filesystem;

std::span<const Target> targets() {
  static constexpr std::array kTargets{
      Target{"tiff", tiff},         Target{"png", png},
      Target{"npy", npy},           Target{"fits", fits},
      Target{"matrix", matrix},     Target{"codecs", codecs},
      Target{"table", table},       Target{"workbook", workbook},
      Target{"marks", marks},       Target{"policy", policy},
      Target{"manifest", manifest}, Target{"recheck", recheck},
      Target{"journal", journal},   Target{"survey", survey},
      Target{"assess", assess},     Target{"signature", signature},
      Target{"request", request},   Target{"secret_key", secret_key},
      Target{"caller", caller},     Target{"bench", bench},
      Target{"limits", limits},     Target{"incoming", incoming},
  };
  return kTargets;
}

const Target* target_named(std::string_view name) {
  const auto at = std::ranges::find(targets(), name, &Target::name);
  return at == targets().end() ? nullptr : &*at;
}

const fs::path& scratch() {
  struct Scratch {
    fs::path path;
    Scratch() {
      // In memory where there is such a place: a run makes millions of files.
      std::string name =
          (fs::is_directory("/dev/shm") ? fs::path("/dev/shm") : fs::temp_directory_path()) /
          "ohmglow-fuzz-XXXXXX";
      demand(::mkdtemp(name.data()) != nullptr);
      path = name;
    }
    ~Scratch() {
      std::error_code ignored;
      fs::remove_all(path, ignored);
    }
  };
  static const Scratch folder;
  return folder.path;
}

void write_file(const fs::path& path, std::string_view content) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << content;
}

std::vector<std::string_view> cut_at(std::string_view text, std::string_view at) {
  std::vector<std::string_view> pieces;
  for (std::size_t end = text.find(at); end != std::string_view::npos; end = text.find(at)) {
    pieces.push_back(text.substr(0, end));
    text.remove_prefix(end + at.size());
  }
  pieces.push_back(text);
  return pieces;
}

}  // namespace ohmglow::fuzz
