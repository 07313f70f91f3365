#include "assessment/pixel_memory.h"

#include <algorithm>

namespace ohmglow::assessment {
namespace fs = std::filesystem;

std::shared_ptr<const OpenedFile> PixelMemory::open(const fs::path& folder,
                                                    const ImageEntry& entry) {
  const Key key{entry.file, entry.parameters.page.value_or(1)};
  const auto stamp = records::stamp_of(folder / entry.file);
  if (auto known = find(key, stamp)) return known;
  auto file = std::make_shared<OpenedFile>(OpenedFile{stamp, open_stored(folder, entry, limits_)});
  if (const auto& stored = file->opened.stored) {
    keep({key, file, stored->pixels.total() * stored->pixels.elemSize()});
  }
  return file;
}

std::shared_ptr<const OpenedFile> PixelMemory::find(
    const Key& key, const std::optional<records::FileStamp>& stamp) {
  const std::lock_guard lock(mutex_);
  const auto at = std::find_if(entries_.begin(), entries_.end(),
                               [&key](const Entry& entry) { return entry.key == key; });
  if (at == entries_.end() || at->file->stamp != stamp) return nullptr;
  entries_.splice(entries_.begin(), entries_, at);
  return at->file;
}

void PixelMemory::keep(Entry entry) {
  const std::lock_guard lock(mutex_);
  entries_.remove_if([&](const Entry& known) {
    if (known.key != entry.key) return false;
    bytes_ -= known.bytes;
    return true;
  });
  bytes_ += entry.bytes;
  entries_.push_front(std::move(entry));
  // The newest stays, however large it is.
  while (bytes_ > most_bytes_ && entries_.size() > 1) {
    bytes_ -= entries_.back().bytes;
    entries_.pop_back();
  }
}

}  // namespace ohmglow::assessment
