#include "offered/assessment/images.h"
#include "offered/editing/survey_edits.h"
#include "offered/marking/proposing.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

namespace ohmglow::serve {
namespace {

/// Marks as mark files write them.
Json marks_json(const std::string& file, const std::vector<Mark>& marks) {
  // A size that a mark file must have; it is not looked at.
  return Json::parse(records::marks_json({file, 1, 1, marks})).at("marks");
}

}  // namespace

Answer get_proposals(OpenSurvey& served, const Request& request) {
  const auto named = named_image(served, request);
  if (!named) return answer_error(named.error());
  const auto motor = served.bench().motor(named->entry.motor);
  if (motor == nullptr) return answer_error(no_such_motor(named->entry.motor));
  // The motor's own part of the survey holds every image that marks may come from.
  const auto proposal =
      assessment::propose_marks(motor->assessment.survey, named->entry,
                                served.settings().open_sight, served.bench().options().limits);
  if (proposal) {
    const std::string note = proposal->note.empty() ? "" : "; " + proposal->note;
    return answer_json(json_text({{"marks", marks_json(named->entry.file, proposal->marks)},
                                  {"reason", proposal->reason + note}}));
  }
  if (proposal.error().kind != ErrorKind::not_measurable) return answer_error(proposal.error());
  return answer_json(json_text({{"marks", Json::array()}, {"reason", sentence(proposal.error())}}));
}

}  // namespace ohmglow::serve
