#include "offered/editing/survey_drafts.h"
#include "serve/body.h"
#include "serve/parameters.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"
#include "serve/sent_marks.h"

namespace ohmglow::serve {
namespace {

using assessment::Draft;
using diagnosis::MotorState;

/// What is tried out, and on what.
struct Trial {
  std::string motor;
  std::optional<NamedImage> image;
  Draft draft;
  bool marks_alone = false;
};

Result<std::vector<Reading>> readings_in(OpenSurvey& served, const std::string& motor,
                                         const Json& rows) {
  if (!rows.is_array()) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the readings cannot be used",
                 .expected = "a list of rows"});
  }
  std::vector<std::vector<records::CellText>> texts;
  for (const Json& row : rows) {
    auto cells = cells_in(row, "a reading");
    if (!cells) return fail(cells.error());
    std::erase_if(*cells,
                  [](const auto& cell) { return cell.column == "row" || cell.column == "motor"; });
    cells->push_back({"motor", motor});
    texts.push_back(std::move(*cells));
  }
  return records::draft_readings(served.folder(), texts);
}

Result<ImageEntry> entry_in(OpenSurvey& served, const ImageEntry& current, const Json& parameters) {
  const auto cells = cells_in(parameters, "the parameters");
  if (!cells) return fail(cells.error());
  for (const records::CellText& cell : *cells) {
    if (!is_parameter(cell.column)) return fail(no_such_parameter(cell.column));
  }
  return records::draft_image(served.folder(), current, *cells);
}

std::string text_member(const Json& body, const char* name) {
  const auto at = body.find(name);
  return at != body.end() && at->is_string() ? at->get<std::string>() : std::string();
}

bool has(const Json& body, const char* name) {
  const auto at = body.find(name);
  return at != body.end() && !at->is_null();
}

Result<Trial> trial_in(OpenSurvey& served, const Json& body) {
  Trial trial;
  trial.motor = text_member(body, "motor");
  if (has(body, "file")) {
    const auto page = has(body, "page") ? json_text(body.at("page")) : std::string();
    auto named = named_image(served, text_member(body, "file"), page);
    if (!named) return fail(named.error());
    trial.motor = named->entry.motor;
    trial.image = std::move(*named);
  }
  const bool needs_image = has(body, "marks") || has(body, "parameters");
  if (needs_image && !trial.image) return fail(named_image(served, "", "").error());
  if (has(body, "marks")) {
    auto marks = sent_marks(served, *trial.image, body.at("marks"));
    if (!marks) return fail(marks.error());
    trial.draft.marks = std::move(*marks);
  }
  if (has(body, "parameters")) {
    auto entry = entry_in(served, trial.image->entry, body.at("parameters"));
    if (!entry) return fail(entry.error());
    trial.draft.entry = std::move(*entry);
  }
  if (has(body, "readings")) {
    auto readings = readings_in(served, trial.motor, body.at("readings"));
    if (!readings) return fail(readings.error());
    trial.draft.readings = std::move(*readings);
  }
  trial.marks_alone = trial.image && !trial.draft.entry && !trial.draft.readings;
  return trial;
}

/// The image's result and its component's.
void add_image(ObjectText& object, const MotorState& motor,
               const std::optional<NamedImage>& image) {
  const auto index = image ? motor.place_of(image->place) : std::nullopt;
  object.add_text("result", index ? result_text(motor, *index) : "null");
  object.add_text("component_result",
                  index ? component_view_of(motor.assessment, image->entry.file) : "null");
}

}  // namespace

Answer post_try(OpenSurvey& served, const Request& request) {
  const auto body =
      object_in(request, {"file", "page", "motor", "marks", "parameters", "readings"});
  if (!body) return answer_error(body.error());
  const auto trial = trial_in(served, *body);
  if (!trial) return answer_error(trial.error());
  const auto place = trial->image ? std::optional(trial->image->place) : std::nullopt;
  const auto before = served.bench().motor(trial->motor);
  const auto after = served.bench().try_out(trial->motor, place, trial->draft);
  if (before == nullptr || !after) return answer_error(no_such_motor(trial->motor));
  ObjectText object;
  add_image(object, *after, trial->image);
  if (!trial->marks_alone) {
    auto view = motor_view(served, *after);
    if (!view) return answer_error(view.error());
    object.add_text("motor", view->finish());
  }
  ObjectText was;
  add_image(was, *before, trial->image);
  return answer_json(object.add_text("before", was.finish()).finish());
}

}  // namespace ohmglow::serve
