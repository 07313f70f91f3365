#include "offered/editing/incoming_file.h"
#include "offered/editing/new_survey.h"
#include "ohmglow/survey_folder.h"
#include "targets.h"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

namespace ohmglow::fuzz {
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kTheirs = "theirs.tif";
constexpr std::string_view kWasThere = "this was there before";
constexpr imaging::ReadLimits kLimits{.max_pixels = 1 << 16, .max_bytes = 1 << 20};

std::string content_of(const fs::path& path) {
  std::ostringstream content;
  content << std::ifstream(path, std::ios::binary).rdbuf();
  return content.str();
}

std::map<std::string, std::string> contents_of(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::directory_iterator(folder)) {
    demand(entry.is_regular_file() && !entry.is_symlink());
    files.emplace(entry.path().filename().string(), content_of(entry.path()));
  }
  return files;
}

/// Sends a file piece by piece as the page does; whether all of it was taken.
bool send(const fs::path& folder, const records::IncomingFile& file, std::string_view content,
          std::size_t piece) {
  const auto before = records::arrived_of(folder, file, kLimits);
  if (!before) return false;
  demand(before->bytes == 0 && !before->is_whole);
  for (std::size_t at = 0; at < content.size(); at += piece) {
    const auto now = records::add_piece(folder, file, at, content.substr(at, piece), kLimits);
    if (!now) return false;
    demand(now->bytes == std::min(at + piece, content.size()));
    demand(now->is_whole == (now->bytes == file.bytes));
    // The same piece once more follows nothing.
    demand(!records::add_piece(folder, file, at, content.substr(at, piece), kLimits));
    if (!now->is_whole) demand(records::arrived_of(folder, file, kLimits)->bytes == now->bytes);
  }
  return true;
}

}  // namespace

/// The file's name, the bytes of a piece, then the file: it comes into a folder whole or not at
/// all, nothing else changes, and what came makes a survey that can be read.
void incoming(std::string_view input) {
  const auto lines = cut_at(input.substr(0, 1024), "\n");
  if (lines.size() < 3) return;
  const std::string_view content = input.substr(lines[0].size() + lines[1].size() + 2);
  std::size_t piece = 0;
  std::from_chars(lines[1].data(), lines[1].data() + lines[1].size(), piece);
  // A few dozen pieces show what thousands would.
  constexpr std::size_t kMostPieces = 24;
  piece = std::max({piece, content.size() / kMostPieces, std::size_t{1}});

  const fs::path place = scratch() / "incoming";
  const fs::path folder = place / "route";
  fs::remove_all(place);
  fs::create_directories(folder);
  write_file(folder / kTheirs, kWasThere);

  const records::IncomingFile file{std::string(lines[0]), content.size(), "now"};
  const bool came = send(folder, file, content, piece);
  records::drop_unfinished(folder);
  std::map<std::string, std::string> expected{{std::string(kTheirs), std::string(kWasThere)}};
  if (came) expected.emplace(file.name, content);
  demand(contents_of(folder) == expected);
  demand(std::distance(fs::directory_iterator(place), {}) == 1);
  if (!came) return;

  const auto found = records::find_images(folder, [](std::time_t) { return std::tm{}; });
  demand(found.has_value());
  if (found->images.empty()) return;
  demand(records::write_new_survey(folder, records::new_survey(folder, *found)).has_value());
  demand(records::read_survey(folder.string()).has_value());
}

}  // namespace ohmglow::fuzz
