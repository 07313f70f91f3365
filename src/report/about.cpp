#include "about.h"

#include "offered/vocabulary/number_text.h"
#include "words.h"

#include <fmt/format.h>
#include <set>

namespace ohmglow::report {
namespace {

// A number as it was written: 0.8, not 0.80.
std::string as_given(double value) {
  constexpr int kMostPlaces = 3;
  std::string text = decimals(value, kMostPlaces);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == reader().decimal_mark) text.pop_back();
  return text;
}

std::string number_in(const std::optional<double>& value, std::string_view unit) {
  return value ? fmt::format("{} {}", as_given(*value), unit) : "";
}
template <class Unit>
std::string number_in(const std::optional<Quantity<Unit>>& value, std::string_view unit) {
  return value ? fmt::format("{} {}", as_given(value->value()), unit) : "";
}

std::string with_commas(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) {
    if (!part.empty()) text += (text.empty() ? "" : ", ") + part;
  }
  return text;
}

std::string connection_in_words(Connection connection) {
  switch (connection) {
    case Connection::wye:
      return tr("wye");
    case Connection::delta:
      return tr("delta");
    case Connection::unknown:
      break;
  }
  return "";
}

std::string feed_in_words(Feed feed) {
  switch (feed) {
    case Feed::line:
      return tr("fed by the line");
    case Feed::soft_starter:
      return tr("fed by a soft starter");
    case Feed::drive:
      return tr("fed by a drive");
    case Feed::unknown:
      break;
  }
  return "";
}

std::string ratings(const Motor& motor) {
  return with_commas({number_in(motor.rated_kw, "kW"), number_in(motor.rated_v, "V"),
                      number_in(motor.rated_a, "A"), connection_in_words(motor.connection),
                      motor.poles ? say("{} poles", *motor.poles) : "",
                      feed_in_words(motor.fed_by)});
}

}  // namespace

std::vector<Fact> about_survey(const Survey& survey) {
  const Camera& camera = survey.camera;
  return {{tr("Thermographer"), survey.thermographer},
          {tr("Level"), survey.thermographer_level},
          {tr("Certificate"), survey.thermographer_certificate},
          {tr("Camera's make"), camera.make},
          {tr("Camera's model"), camera.model},
          {tr("Serial number"), camera.serial},
          {tr("Calibrated on"), camera.calibrated_on ? camera.calibrated_on->text : ""},
          {tr("Lens"), camera.lens}};
}

std::vector<Fact> about_motor(const Motor* motor, const CircuitStop* place) {
  const Motor known = motor != nullptr ? *motor : Motor{};
  const WorkSite site = work_site(motor, place);
  return {{tr("Drives"), known.description},
          {tr("Area"), site.area},
          {tr("Ratings"), ratings(known)},
          {tr("Criticality"), known.criticality ? say("{} of 5", *known.criticality) : ""},
          {tr("Locked out at"), site.lockout},
          {tr("Crew"), site.crew ? counted(static_cast<std::size_t>(*site.crew), msg("{} person"),
                                           msg("{} people"))
                                 : ""}};
}

std::string emissivities_of(const ImageEntry* entry, const diagnosis::ImageResult* image) {
  std::set<std::string> each;
  if (image != nullptr) {
    for (const diagnosis::LugResult& lug : image->lugs) {
      each.insert(decimals(lug.emissivity.value(), 2));
    }
  }
  if (each.empty() && entry != nullptr && entry->parameters.emissivity) {
    each.insert(decimals(entry->parameters.emissivity->value(), 2));
  }
  return with_commas({each.begin(), each.end()});
}

std::vector<Fact> about_image(const ImageEntry* entry, const diagnosis::ImageResult* image) {
  const ImageEntry known = entry != nullptr ? *entry : ImageEntry{};
  const std::optional<Moment>& taken_at =
      image != nullptr && image->taken_at ? image->taken_at : known.taken_at;
  return {{tr("Taken at"), taken_at ? taken_at->text : ""},
          {tr("Distance"), number_in(known.parameters.distance_m, "m")},
          {tr("Humidity"), number_in(known.parameters.humidity_pct, "%")},
          {tr("Wind"), number_in(known.parameters.wind_m_s, "m/s")},
          {tr("Emissivity"), emissivities_of(entry, image)},
          {tr("Note"), known.note},
          {tr("Photograph"), known.photo}};
}

std::string air_path_in_words(const ImageParameters& given) {
  return with_commas({given.distance_m ? say("{} m away", as_given(given.distance_m->value())) : "",
                      given.humidity_pct ? say("humidity {} %", as_given(*given.humidity_pct)) : "",
                      given.wind_m_s ? say("wind {} m/s", as_given(given.wind_m_s->value())) : ""});
}

std::vector<Fact> known_of(std::vector<Fact> facts) {
  std::erase_if(facts, [](const Fact& fact) { return fact.value.empty(); });
  return facts;
}

ReadingNotes notes_of(const diagnosis::Assessment& a) {
  // A motor's results stand in the order of its rows.
  std::unordered_map<std::string_view, std::vector<const Reading*>> rows;
  for (const Reading& reading : a.survey.readings) rows[reading.motor].push_back(&reading);
  ReadingNotes notes;
  for (const diagnosis::MotorResult& motor : a.motors) {
    const std::vector<const Reading*>& its = rows[motor.motor];
    for (std::size_t i = 0; i < motor.electrical.size() && i < its.size(); ++i) {
      if (!its[i]->note.empty()) notes.emplace(&motor.electrical[i], its[i]->note);
    }
  }
  return notes;
}

std::string with_note(std::string words, const ReadingNotes& notes,
                      const diagnosis::ElectricalResult& reading) {
  const auto note = notes.find(&reading);
  if (note == notes.end()) return words;
  return words + (words.empty() ? "" : "; ") + say("note: {}", std::string(note->second));
}

}  // namespace ohmglow::report
