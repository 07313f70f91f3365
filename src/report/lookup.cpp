#include "offered/report/report_contents.h"
#include "offered/vocabulary/utf8.h"

namespace ohmglow::report {

using diagnosis::Assessment;
using diagnosis::ComponentResult;
using diagnosis::ImageResult;

Lookup::Lookup(const Assessment& all) : assessment(all) {
  for (const ImageResult& image : all.images) images_.emplace(image.file, &image);
  for (const ImageEntry& entry : all.survey.images) entries_.emplace(entry.file, &entry);
  for (const diagnosis::MotorResult& motor : all.motors) motors_.emplace(motor.motor, &motor);
  for (const Motor& row : all.survey.motors) rows_.emplace(row.id, &row);
  for (const CircuitStop& stop : all.survey.circuit) {
    places_.emplace(std::pair(std::string_view(stop.motor), folded_name(stop.place)), &stop);
  }
  for (const ComponentResult& component : all.components) {
    for (const std::size_t index : component.images) {
      if (index < all.images.size()) components_.emplace(all.images[index].file, &component);
    }
  }
}

namespace {
template <class Map>
auto find_in(const Map& map, std::string_view name) {
  const auto found = map.find(name);
  return found == map.end() ? nullptr : found->second;
}
}  // namespace

const ImageResult* Lookup::image(std::string_view file) const {
  return find_in(images_, file);
}
const ImageEntry* Lookup::entry(std::string_view file) const {
  return find_in(entries_, file);
}
const ComponentResult* Lookup::component_of(std::string_view file) const {
  return find_in(components_, file);
}
const diagnosis::MotorResult* Lookup::motor(std::string_view id) const {
  return find_in(motors_, id);
}
const Motor* Lookup::row(std::string_view motor) const {
  return find_in(rows_, motor);
}
const CircuitStop* Lookup::place(std::string_view motor, std::string_view place) const {
  const auto found = places_.find({motor, folded_name(place)});
  return found == places_.end() ? nullptr : found->second;
}

}  // namespace ohmglow::report
