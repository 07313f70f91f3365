#pragma once
// findings.json of an assessment that a test made by hand, put together from the texts that kept
// results are written from.

#include "offered/results/findings_writer.h"
#include "offered/results/journal.h"

#include <string>

namespace ohmglow::by_hand {

inline std::string findings_text(const diagnosis::Assessment& assessment) {
  std::string text;
  records::FindingsWriter writer(
      [&text](std::string_view piece) -> Result<void> {
        text += piece;
        return {};
      },
      assessment.survey, assessment.policy, assessment.options);
  const auto list = [&writer](std::string_view name, const std::vector<std::string>& items) {
    writer.begin_list(name);
    for (const std::string& item : items) writer.item(item);
    writer.end_list();
  };
  diagnosis::Assessment one = assessment;
  const auto texts_with = [&one](const diagnosis::MotorResult& motor) {
    one.motors = {motor};
    return records::journal_entry(one);
  };
  const records::JournalEntry texts = texts_with({});
  list("images", texts.images);
  list("components", texts.components);
  std::vector<std::string> motors;
  for (const auto& motor : assessment.motors) motors.push_back(texts_with(motor).result);
  list("motors", motors);
  writer.begin_list("findings");
  for (std::size_t i = 0; i < texts.findings.size(); ++i) {
    writer.finding(static_cast<std::size_t>(assessment.findings[i].rank),
                   assessment.findings[i].case_number, texts.findings[i]);
  }
  writer.end_list();
  list("warm_even", texts.warm_even);
  list("not_judged", texts.not_judged);
  writer.begin_list("problems");
  for (const Problem& problem : assessment.problems) writer.problem(problem);
  writer.end_list();
  static_cast<void>(writer.finish());
  return text;
}

}  // namespace ohmglow::by_hand
