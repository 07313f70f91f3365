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
    if (!lug.temperature_c) why.push_back(say("lug {} not measured", lug.name));
  }
  if (why.empty() && image.status != ImageStatus::measured) why.push_back(tr("no marks"));
  return why;
}

std::string state_of(const ImageResult& image) {
  switch (image.status) {
    case ImageStatus::measured:
      return tr("measured in part");
    case ImageStatus::unmarked:
      return tr("unmarked");
    case ImageStatus::rejected:
      return tr("rejected");
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
    if (entry != nullptr && !entry->note.empty()) why += say("; note: {}", entry->note);
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
      {tr("Inspected"),
       say("{} on {} of {}, in {}", counted(lugs, msg("{} lug"), msg("{} lugs")),
           counted(components.size(), msg("{} component"), msg("{} components")),
           counted(motors.size(), msg("{} motor"), msg("{} motors")),
           counted(images.measured, msg("{} measured image"), msg("{} measured images")))},
      {tr("Motors listed"), std::to_string(a.survey.motors.size())},
      {tr("Electrical readings"), std::to_string(read)},
      {tr("Not measurable"), say("{} rejected, {} without marks, {} without a number",
                                 counted(images.rejected, msg("{} image"), msg("{} images")),
                                 counted(images.unmarked, msg("{} image"), msg("{} images")),
                                 counted(lost, msg("{} marked lug"), msg("{} marked lugs")))},
  };
}

Listing not_covered(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  Listing list{"not-measured",
               tr("Motors and places without an image; images, or lugs on them, without a number"),
               {{tr("Motor"), 0.9},
                {tr("Component"), 1},
                {tr("Image"), 1.3},
                {tr("State"), 0.9},
                {tr("Why"), 3}},
               {},
               tr("Every motor listed was imaged and every image was measured.")};
  const auto imaged = motors_with_an_image(a);
  for (const Motor& motor : a.survey.motors) {
    if (imaged.contains(motor.id)) continue;
    list.rows.push_back({ListCell{motor.id}, ListCell{tr("every one")}, ListCell{tr("none")},
                         ListCell{tr("not inspected")},
                         ListCell{tr("the survey holds no image of this motor")}});
  }
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const std::string& place : motor.places_not_imaged) {
      list.rows.push_back({ListCell{motor.motor}, ListCell{place}, ListCell{tr("none")},
                           ListCell{tr("not inspected")},
                           ListCell{tr("readings were taken here, but no image")}});
    }
  }
  add_images(list, lookup);
  return list;
}

}  // namespace ohmglow::report
