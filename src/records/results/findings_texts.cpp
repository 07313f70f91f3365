#include "offered/results/findings_texts.h"

#include "records/results/findings_parts.h"

namespace ohmglow::records {

std::string image_text(const diagnosis::Assessment& assessment, std::size_t index) {
  return line_text(by(put_image, assessment, index));
}

std::string lug_text(const diagnosis::Assessment& assessment, diagnosis::LugIndex at) {
  return line_text(by(put_lug, assessment, assessment.images.at(at.image).lugs.at(at.lug)));
}

std::string component_text(const diagnosis::Assessment& assessment,
                           const diagnosis::ComponentResult& component) {
  return line_text(by(put_component, assessment, component));
}

std::string electrical_text(const diagnosis::Assessment& assessment,
                            const diagnosis::MotorResult& motor) {
  return line_text(by(put_electrical, assessment, motor));
}

std::string segments_text(const diagnosis::Assessment& assessment,
                          const diagnosis::MotorResult& motor) {
  return line_text(by(put_segments, assessment, motor));
}

std::string finding_text(const diagnosis::Assessment& assessment,
                         const diagnosis::Finding& finding) {
  return line_text(by(put_finding, assessment, finding));
}

std::string aside_text(const diagnosis::Assessment& assessment, const diagnosis::Aside& aside) {
  return line_text(by(put_aside, assessment, aside));
}

}  // namespace ohmglow::records
