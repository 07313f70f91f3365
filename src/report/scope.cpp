#include "scope.h"

#include "words.h"

#include <set>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ImageResult;
using diagnosis::ImageStatus;
using diagnosis::LugResult;

std::size_t measured_lugs(const ImageResult& image) {
  std::size_t count = 0;
  for (const LugResult& lug : image.lugs) count += lug.temperature_c ? 1 : 0;
  return count;
}

// Why an image, or a lug on it, has no number; empty where all is measured.
std::vector<std::string> reasons(const ImageResult& image) {
  std::vector<std::string> why = image.problems;
  for (const LugResult& lug : image.lugs) {
    if (!lug.temperature_c) why.push_back("lug " + lug.name + " not measured");
  }
  if (why.empty() && image.status != ImageStatus::measured) why.emplace_back("no marks");
  return why;
}

std::string state_of(const ImageResult& image) {
  switch (image.status) {
    case ImageStatus::measured:
      return "measured in part";
    case ImageStatus::unmarked:
      return "unmarked";
    case ImageStatus::rejected:
      return "rejected";
  }
  return "";
}

std::set<std::string> motors_with_an_image(const Assessment& a) {
  std::set<std::string> motors;
  for (const ImageResult& image : a.images) motors.insert(image.motor);
  return motors;
}

void add_images(Listing& list, const Lookup& lookup) {
  for (const ImageResult& image : lookup.assessment.images) {
    std::string why;
    for (const std::string& reason : reasons(image)) why += (why.empty() ? "" : "; ") + reason;
    if (why.empty()) continue;
    const ImageEntry* entry = lookup.entry(image.file);
    if (entry != nullptr && !entry->note.empty()) why += "; note: " + entry->note;
    list.rows.push_back({ListCell{image.motor}, ListCell{image.component}, ListCell{image.file},
                         ListCell{state_of(image)}, ListCell{why}});
  }
}

}  // namespace

std::vector<Fact> scope_in_numbers(const Assessment& a) {
  std::size_t lugs = 0;
  std::size_t lost = 0;
  std::set<std::pair<std::string, std::string>> components;
  std::set<std::string> motors;
  for (const ImageResult& image : a.images) {
    const std::size_t measured = measured_lugs(image);
    lugs += measured;
    lost += image.lugs.size() - measured;
    if (measured == 0) continue;
    components.emplace(image.motor, image.component);
    motors.insert(image.motor);
  }
  std::size_t read = 0;
  for (const diagnosis::MotorResult& motor : a.motors) read += motor.electrical.size();
  const Counts images = count_images(a);
  return {
      {"Inspected", counted(lugs, "lug") + " on " + counted(components.size(), "component") +
                        " of " + counted(motors.size(), "motor") + ", in " +
                        counted(images.measured, "measured image")},
      {"Motors listed", std::to_string(a.survey.motors.size())},
      {"Electrical readings", std::to_string(read)},
      {"Not measurable", counted(images.rejected, "image") + " rejected, " +
                             counted(images.unmarked, "image") + " without marks, " +
                             counted(lost, "marked lug") + " without a number"},
  };
}

Listing not_covered(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Listing list{"not-measured",
               "Motors and places without an image; images, or lugs on them, without a number",
               {{"Motor", 0.9}, {"Component", 1}, {"Image", 1.3}, {"State", 0.9}, {"Why", 3}},
               {},
               "Every motor listed was imaged and every image was measured."};
  const auto imaged = motors_with_an_image(a);
  for (const Motor& motor : a.survey.motors) {
    if (imaged.contains(motor.id)) continue;
    list.rows.push_back({ListCell{motor.id}, ListCell{"every one"}, ListCell{"none"},
                         ListCell{"not inspected"},
                         ListCell{"the survey holds no image of this motor"}});
  }
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const std::string& place : motor.places_not_imaged) {
      list.rows.push_back({ListCell{motor.motor}, ListCell{place}, ListCell{"none"},
                           ListCell{"not inspected"},
                           ListCell{"readings were taken here, but no image"}});
    }
  }
  add_images(list, lookup);
  return list;
}

}  // namespace ohmglow::report
