#include "scope.h"

#include "offered/vocabulary/utf8.h"
#include "words.h"

#include <map>
#include <set>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::ImageResult;
using diagnosis::ImageStatus;
using diagnosis::LugResult;

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
      return tr("partly measured");
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

void add_images(std::vector<NotCovered>& list, const Lookup& lookup) {
  for (const ImageResult& image : lookup.assessment.images) {
    std::string why;
    for (const std::string& reason : reasons(image)) why += (why.empty() ? "" : "; ") + reason;
    if (why.empty()) continue;
    const ImageEntry* entry = lookup.entry(image.file);
    if (entry != nullptr && !entry->note.empty()) why += "; " + say("note: {}", entry->note);
    list.push_back({image.motor, image.component, image.file, state_of(image), why});
  }
}

// Places without an image, and those of which the survey says why nobody looked at them.
void add_places(std::vector<NotCovered>& list, const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  const auto add = [&list](const std::string& motor, const std::string& place,
                           const std::string& image, const std::string& why) {
    list.push_back({motor, place, image, tr("not inspected"), why});
  };
  std::set<const CircuitStop*> said;
  for (const diagnosis::MotorResult& motor : a.motors) {
    for (const std::string& place : motor.places_not_imaged) {
      const CircuitStop* stop = lookup.place(motor.motor, place);
      if (stop != nullptr) said.insert(stop);
      add(motor.motor, place, "",
          stop != nullptr && !stop->not_inspected.empty()
              ? stop->not_inspected
              : tr("readings taken here, but no image"));
    }
  }
  std::map<std::pair<std::string, std::string>, std::string> files;
  for (const ImageResult& image : a.images) {
    files.emplace(std::pair(image.motor, folded_name(image.component)), image.file);
  }
  for (const CircuitStop& stop : a.survey.circuit) {
    if (stop.not_inspected.empty() || said.contains(&stop)) continue;
    const auto file = files.find({stop.motor, folded_name(stop.place)});
    add(stop.motor, stop.place, file == files.end() ? "" : file->second,
        stop.not_inspected);
  }
}

}  // namespace

std::vector<NotCovered> not_covered_places(const Lookup& lookup) {
  const Assessment& a = lookup.assessment;
  std::vector<NotCovered> list;
  const auto imaged = motors_with_an_image(a);
  for (const Motor& motor : a.survey.motors) {
    if (imaged.contains(motor.id)) continue;
    list.push_back({motor.id, tr("all"), "", tr("not inspected"), tr("no image of this motor")});
  }
  add_places(list, lookup);
  add_images(list, lookup);
  return list;
}

Listing not_covered(const Lookup& lookup) {
  Listing list{"not-measured",
               tr("Not inspected or not measured"),
               {{tr("Motor"), 0.9},
                {tr("Component"), 1},
                {tr("Image"), 1.3},
                {tr("State"), 0.9},
                {tr("Why"), 3}},
               {},
               tr("Every motor listed was imaged and every image was measured.")};
  for (const NotCovered& each : not_covered_places(lookup)) {
    list.rows.push_back({ListCell{each.motor}, ListCell{each.component},
                         ListCell{each.image.empty() ? tr("none") : each.image},
                         ListCell{each.state}, ListCell{each.why}});
  }
  return list;
}

}  // namespace ohmglow::report
