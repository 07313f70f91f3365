#include "ohmglow/findings_texts.h"

#include "records/findings_parts.h"

namespace ohmglow::records {

std::string image_text(const diagnosis::Assessment& assessment, std::size_t index) {
  return dumped(image_json(assessment, index));
}

std::string lug_text(const diagnosis::Assessment& assessment, diagnosis::LugIndex at) {
  return dumped(lug_json(assessment, assessment.images.at(at.image).lugs.at(at.lug)));
}

std::string component_text(const diagnosis::Assessment& assessment,
                           const diagnosis::ComponentResult& component) {
  return dumped(component_json(assessment, component));
}

std::string electrical_text(const diagnosis::Assessment& assessment,
                            const diagnosis::MotorResult& motor) {
  return dumped(electrical_json(assessment, motor));
}

std::string segments_text(const diagnosis::Assessment& assessment,
                          const diagnosis::MotorResult& motor) {
  return dumped(segments_json(assessment, motor));
}

std::string finding_text(const diagnosis::Assessment& assessment,
                         const diagnosis::Finding& finding) {
  return dumped(finding_json(assessment, finding));
}

}  // namespace ohmglow::records
