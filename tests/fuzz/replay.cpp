// Plays seeds and what once crashed, then mutations of them by a fixed seed: the same inputs on
// every machine, without libFuzzer.
//
//   fuzz_replay FOLDER MUTATIONS [TARGET]    FOLDER/<target>/… are the inputs

#include "targets.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <random>
#include <sstream>
#include <unistd.h>

namespace {
namespace fs = std::filesystem;
using namespace ohmglow::fuzz;

/// What is being played, for the one who asks when the program ends.
std::string g_input;
const char* g_target = "";

void keep_input(int signal) {
  constexpr const char* kKept = "fuzz-crash.bin";
  if (std::FILE* const file = std::fopen(kKept, "wb")) {
    std::fwrite(g_input.data(), 1, g_input.size(), file);
    std::fclose(file);
  }
  std::fprintf(stderr, "%s ended on signal %d; its input is in %s\n", g_target, signal, kKept);
  std::signal(signal, SIG_DFL);
  std::raise(signal);
}

std::string content_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream content;
  content << in.rdbuf();
  return std::move(content).str();
}

std::vector<std::string> inputs_in(const fs::path& folder) {
  std::vector<fs::path> files;
  if (fs::is_directory(folder))
    for (const auto& entry : fs::directory_iterator(folder)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<std::string> inputs;
  for (const fs::path& file : files) inputs.push_back(content_of(file));
  return inputs;
}

/// Draws that are the same with every C++ library.
class Draws {
 public:
  explicit Draws(std::uint32_t seed) : engine_(seed) {}
  std::size_t below(std::size_t n) { return n == 0 ? 0 : engine_() % n; }

 private:
  std::mt19937 engine_;
};

std::string mutated(const std::vector<std::string>& seeds, Draws& draws) {
  std::string bytes = seeds[draws.below(seeds.size())];
  constexpr std::array<unsigned char, 10> kWicked{0x00, 0xFF, 0x7F, 0x80, 0x01,
                                                  0x0A, 0x22, 0x2C, 0x39, 0x5B};
  for (std::size_t changes = 1 + draws.below(5); changes > 0 && !bytes.empty(); --changes) {
    // Half of the changes go where headers are.
    const std::size_t at =
        draws.below(draws.below(2) == 0 ? std::min<std::size_t>(bytes.size(), 128) : bytes.size());
    switch (draws.below(7)) {
      case 0:
        bytes[at] = static_cast<char>(bytes[at] ^ (1 << draws.below(8)));
        break;
      case 1:
        bytes[at] = static_cast<char>(kWicked.at(draws.below(kWicked.size())));
        break;
      case 2:
        bytes.resize(at);
        break;
      case 3:
        bytes.insert(at, std::string(bytes, at, draws.below(64)));
        break;
      case 4: {
        // Numbers at the ends of their range, in a machine's way and in a person's.
        constexpr std::array<std::string_view, 6> kNumbers{"1e308", "-1", "99999999999",
                                                           "nan",   "0",  "4294967296"};
        bytes.replace(at, draws.below(6), kNumbers.at(draws.below(kNumbers.size())));
        break;
      }
      case 5: {
        const std::string& other = seeds[draws.below(seeds.size())];
        const std::size_t from = draws.below(other.size());
        bytes.replace(at, draws.below(32), other.substr(from, draws.below(64)));
        break;
      }
      default:
        bytes.erase(at, draws.below(16));
        break;
    }
  }
  return bytes;
}

/// A number that stands for the target's name, so that targets draw apart from each other.
std::uint32_t seed_of(std::string_view name) {
  std::uint32_t seed = 2166136261u;  // FNV-1a
  for (const char c : name) seed = (seed ^ static_cast<unsigned char>(c)) * 16777619u;
  return seed;
}

int play(const Target& target, const fs::path& folder, std::size_t mutations) {
  std::vector<std::string> seeds = inputs_in(folder / target.name);
  if (seeds.empty()) {
    std::fprintf(stderr, "%s/%s holds no seed\n", folder.c_str(), std::string(target.name).c_str());
    return 1;
  }
  const std::string name(target.name);
  g_target = name.c_str();
  const auto run = [&target](std::string input) {
    g_input = std::move(input);
    target.run(g_input);
  };
  for (const std::string& seed : inputs_in(fs::path(OHMGLOW_FUZZ_FOUND) / target.name)) run(seed);
  for (const std::string& seed : seeds) run(seed);
  Draws draws(seed_of(target.name));
  for (std::size_t i = 0; i < mutations; ++i) run(mutated(seeds, draws));
  std::printf("%s: %zu seeds, %zu mutations\n", name.c_str(), seeds.size(), mutations);
  g_target = "";
  return 0;
}

}  // namespace

int main(int count, char** words) {
  std::size_t mutations = 0;
  if (count < 3 ||
      std::from_chars(words[2], words[2] + std::strlen(words[2]), mutations).ec != std::errc{}) {
    std::fputs("fuzz_replay FOLDER MUTATIONS [TARGET]\n", stderr);
    return 2;
  }
  for (const int signal : {SIGSEGV, SIGABRT, SIGFPE, SIGBUS, SIGILL})
    std::signal(signal, keep_input);
  int result = 0;
  bool any = false;
  for (const Target& target : targets()) {
    if (count > 3 && target.name != words[3]) continue;
    any = true;
    result |= play(target, words[1], mutations);
  }
  return any ? result : 2;
}
