#include "sheets.h"

#include "ohmglow/reader.h"

#include <string>

namespace ohmglow::documents {
namespace {

using diagnosis::ElectricalResult;
using diagnosis::ImageResult;
using diagnosis::LugResult;
using radiometry::Estimate;

const SheetColumn kAbout[] = {{msg("What"), 32, Look::wrapped}, {msg("Entry"), 110, Look::wrapped}};

const SheetColumn kLugs[] = {{msg("Motor"), 14, Look::wrapped},
                             {msg("Component"), 18, Look::wrapped},
                             {msg("Image file"), 28, Look::wrapped},
                             {msg("Taken at"), 17, Look::day},
                             {msg("Lug"), 8, Look::text},
                             {msg("Phase"), 7, Look::whole},
                             {msg("Band"), 13, Look::text},
                             {msg("Temperature"), 12, Look::one_place, Of::temperature},
                             {msg("u of temperature"), 11, Look::two_places, Of::difference},
                             {msg("Hottest pixel"), 10, Look::one_place, Of::temperature},
                             {msg("Mean"), 9, Look::one_place, Of::temperature},
                             {msg("95th percentile"), 10, Look::one_place, Of::temperature},
                             {msg("Pixels"), 8, Look::whole},
                             {msg("Rise over like"), 10, Look::one_place, Of::difference},
                             {msg("u of rise over like"), 10, Look::two_places, Of::difference},
                             {msg("Rise over air"), 10, Look::one_place, Of::difference},
                             {msg("u of rise over air"), 10, Look::two_places, Of::difference},
                             {msg("Emissivity"), 10, Look::two_places},
                             {msg("Flags"), 30, Look::wrapped}};
constexpr std::size_t kLugBandColumn = 6;

const SheetColumn kAsides[] = {{msg("Motor"), 14, Look::wrapped},
                               {msg("Component"), 18, Look::wrapped},
                               {msg("Load, A"), 9, Look::one_place},
                               {msg("Load, % of rated"), 9, Look::one_place},
                               {msg("Why"), 50, Look::wrapped},
                               {msg("Image again from, A"), 10, Look::one_place},
                               {msg("Next step"), 50, Look::wrapped},
                               {msg("Lug"), 8, Look::text},
                               {msg("Phase"), 7, Look::whole},
                               {msg("Temperature"), 12, Look::one_place, Of::temperature},
                               {msg("Rise over like"), 10, Look::one_place, Of::difference},
                               {msg("u of rise over like"), 10, Look::two_places, Of::difference},
                               {msg("Rise over air"), 10, Look::one_place, Of::difference},
                               {msg("u of rise over air"), 10, Look::two_places, Of::difference},
                               {msg("Band of the table"), 13, Look::text},
                               {msg("Image file"), 28, Look::wrapped}};

const SheetColumn kReadings[] = {{msg("Motor"), 14, Look::wrapped},
                                 {msg("Test"), 18, Look::text},
                                 {msg("Place"), 20, Look::wrapped},
                                 {msg("Taken at"), 17, Look::day},
                                 {msg("Value 1"), 11, Look::six_places},
                                 {msg("Value 2"), 11, Look::six_places},
                                 {msg("Value 3"), 11, Look::six_places},
                                 {msg("Unit"), 7, Look::text},
                                 {msg("Unbalance, %"), 10, Look::two_places},
                                 {msg("u of unbalance, %"), 10, Look::two_places},
                                 {msg("Phase highest"), 9, Look::whole},
                                 {msg("Excess, ohm"), 11, Look::six_places},
                                 {msg("u of excess, ohm"), 11, Look::six_places},
                                 {msg("Excess, W"), 9, Look::one_place},
                                 {msg("Band alone"), 13, Look::text},
                                 {msg("Problem"), 50, Look::wrapped},
                                 {msg("Note"), 40, Look::wrapped}};
constexpr std::size_t kReadingBandColumn = 14;

const SheetColumn kProblems[] = {{msg("File"), 30, Look::wrapped},
                                 {msg("Row"), 7, Look::whole},
                                 {msg("Column"), 16, Look::text},
                                 {msg("Message"), 110, Look::wrapped}};

const SheetColumn kParameters[] = {{msg("Image file"), 28, Look::wrapped},
                                   {msg("Motor"), 14, Look::wrapped},
                                   {msg("Component"), 18, Look::wrapped},
                                   {msg("Taken at"), 17, Look::day},
                                   {msg("Status"), 11, Look::text},
                                   {msg("Reflected"), 10, Look::one_place, Of::temperature},
                                   {msg("Reflected from"), 16, Look::text},
                                   {msg("Air"), 9, Look::one_place, Of::temperature},
                                   {msg("Air from"), 14, Look::text},
                                   {msg("Atmosphere transmits"), 11, Look::three_places},
                                   {msg("Window transmits"), 10, Look::three_places},
                                   {msg("Stored for emissivity"), 10, Look::two_places},
                                   {msg("u of emissivity"), 10, Look::three_places},
                                   {msg("u of reflected"), 10, Look::two_places, Of::difference},
                                   {msg("u of air"), 9, Look::two_places, Of::difference},
                                   {msg("u of camera"), 9, Look::two_places, Of::difference},
                                   {msg("Noise"), 9, Look::three_places, Of::difference},
                                   {msg("Distance, m"), 9, Look::two_places},
                                   {msg("Humidity, %"), 9, Look::one_place},
                                   {msg("Wind, m/s"), 8, Look::one_place},
                                   {msg("Load 1, A"), 9, Look::one_place},
                                   {msg("Load 2, A"), 9, Look::one_place},
                                   {msg("Load 3, A"), 9, Look::one_place},
                                   {msg("Stored numbers mean"), 34, Look::wrapped},
                                   {msg("Note"), 40, Look::wrapped},
                                   {msg("Photograph"), 28, Look::wrapped},
                                   {msg("SHA-256"), 68, Look::text}};

const SheetColumn kMotors[] = {{msg("Motor"), 14, Look::wrapped},
                               {msg("Drives"), 34, Look::wrapped},
                               {msg("Area"), 18, Look::wrapped},
                               {msg("Locked out at"), 34, Look::wrapped},
                               {msg("Rated, kW"), 9, Look::one_place},
                               {msg("Rated, V"), 9, Look::whole},
                               {msg("Rated, A"), 9, Look::one_place},
                               {msg("Criticality"), 10, Look::whole},
                               {msg("Crew"), 8, Look::whole},
                               {msg("Torque, N m"), 9, Look::one_place},
                               {msg("Parts to bring"), 40, Look::wrapped}};

const SheetColumn kPlaces[] = {{msg("Motor"), 14, Look::wrapped},
                               {msg("Place"), 20, Look::wrapped},
                               {msg("Area"), 18, Look::wrapped},
                               {msg("Locked out at"), 34, Look::wrapped},
                               {msg("Torque, N m"), 9, Look::one_place},
                               {msg("Parts to bring"), 40, Look::wrapped},
                               {msg("Not inspected because"), 50, Look::wrapped}};

void tint_bands(Sheet& sheet, const SheetSource& source, std::size_t column) {
  for (const report::Tally& tally : source.contents.tallies) {
    sheet.tint(column, tally.what, tally.level);
  }
}

std::string band_of(const diagnosis::Assessment& a, const severity::Grade& grade) {
  return grade.band && *grade.band < a.policy.bands.size() ? tr(a.policy.bands[*grade.band].title)
                                                           : tr("none");
}

void lug_row(Sheet& sheet, const diagnosis::Assessment& a, const ImageResult& image,
             const LugResult& lug) {
  sheet.next_row();
  sheet.text(image.motor);
  sheet.text(image.component);
  sheet.text(image.file);
  sheet.moment(image.taken_at);
  sheet.text(lug.name);
  sheet.number(number_of(lug.phase));
  sheet.text(band_of(a, lug.grade));
  sheet.number(value_of(lug.temperature_c));
  sheet.number(u_of(lug.temperature_c));
  // Without a temperature the plain figures of the mark stand for nothing.
  const auto if_measured = [&lug](double value) {
    return lug.temperature_c ? std::optional(value) : std::nullopt;
  };
  sheet.number(if_measured(lug.max_c));
  sheet.number(if_measured(lug.mean_c));
  sheet.number(if_measured(lug.p95_c));
  sheet.number(static_cast<double>(lug.pixels));
  sheet.number(value_of(lug.rise_over_like));
  sheet.number(u_of(lug.rise_over_like));
  sheet.number(value_of(lug.rise_over_air));
  sheet.number(u_of(lug.rise_over_air));
  sheet.number(lug.emissivity.value());
  std::string flags;
  for (const diagnosis::Flag flag : lug.flags) {
    if (!flags.empty()) flags += ' ';
    flags += diagnosis::name_of(flag);
  }
  sheet.text(flags);
}

void asides(Workbook& book, const SheetSource& source, const std::string& title,
            const std::vector<diagnosis::Aside>& list) {
  Sheet sheet(book, title, kAsides, source.footer);
  for (const diagnosis::Aside& aside : list) {
    sheet.next_row();
    sheet.text(aside.motor);
    sheet.text(aside.component);
    sheet.number(aside.load_a);
    sheet.number(aside.load_pct);
    sheet.text(written(aside.why));
    sheet.number(aside.image_again_from_a);
    sheet.text(written(aside.next_step));
    sheet.text(aside.lug.value_or(""));
    sheet.number(aside.phase ? std::optional<double>(number_of(*aside.phase)) : std::nullopt);
    sheet.number(aside.temperature_c);
    sheet.number(value_of(aside.rise_over_like));
    sheet.number(u_of(aside.rise_over_like));
    sheet.number(value_of(aside.rise_over_air));
    sheet.number(u_of(aside.rise_over_air));
    sheet.text(band_of(source.assessment, aside.grade));
    sheet.text(aside.image.value_or(""));
  }
  sheet.close();
}

/// The unit that the cells of a test are in.
struct CellUnit {
  const char* name;
  double per_base = 1;  ///< of it in an ohm, ampere or volt
};
CellUnit unit_of(Test test) {
  switch (test) {
    case Test::winding_resistance:
      return {"ohm"};
    case Test::line_current:
      return {"A"};
    case Test::line_voltage:
      return {"V"};
    case Test::joint_resistance:
      return {"uohm", 1e6};
    case Test::joint_drop:
      return {"mV", 1e3};
  }
  return {""};
}

const char* name_of_test(Test test) {
  switch (test) {
    case Test::winding_resistance:
      return "winding_resistance";
    case Test::line_current:
      return "line_current";
    case Test::line_voltage:
      return "line_voltage";
    case Test::joint_resistance:
      return "joint_resistance";
    case Test::joint_drop:
      return "joint_drop";
  }
  return "";
}

void reading_row(Sheet& sheet, const diagnosis::Assessment& a, const std::string& motor,
                 const ElectricalResult& e, std::string_view note) {
  sheet.next_row();
  sheet.text(motor);
  sheet.text(name_of_test(e.test));
  sheet.text(e.place);
  sheet.moment(e.taken_at);
  const CellUnit unit = unit_of(e.test);
  for (const double value : e.values) sheet.number(value * unit.per_base);
  sheet.text(unit.name);
  sheet.number(value_of(e.unbalance));
  sheet.number(value_of(e.unbalance_u));
  const auto& r = e.resolution;
  sheet.number(r ? std::optional<double>(number_of(r->phase)) : std::nullopt);
  sheet.number(r ? std::optional(r->excess.value()) : std::nullopt);
  sheet.number(r ? std::optional(r->excess_u.value()) : std::nullopt);
  sheet.number(value_of(e.excess_w));
  sheet.text(band_of(a, e.grade));
  sheet.text(e.problem);
  sheet.text(note);
}

void used_cells(Sheet& sheet, const diagnosis::UsedParameters& u) {
  sheet.number(u.reflected_c);
  sheet.text(tr(u.reflected_from));
  sheet.number(value_of(u.air_c));
  sheet.text(tr(u.air_from));
  sheet.number(u.atmosphere_transmittance);
  sheet.number(u.window_transmittance);
  sheet.number(u.saved_emissivity);
  sheet.number(u.uncertainties.emissivity);
  sheet.number(u.uncertainties.reflected.value());
  sheet.number(u.uncertainties.air.value());
  sheet.number(u.uncertainties.camera.value());
  sheet.number(u.uncertainties.noise.value());
}

void parameter_row(Sheet& sheet, const SheetSource& source, const ImageResult& image) {
  constexpr int kUsedCells = 12;
  sheet.next_row();
  sheet.text(image.file);
  sheet.text(image.motor);
  sheet.text(image.component);
  sheet.moment(image.taken_at);
  sheet.text(tr(diagnosis::name_of(image.status)));
  if (image.used) {
    used_cells(sheet, *image.used);
  } else {
    for (int i = 0; i < kUsedCells; ++i) sheet.skip();
  }
  const ImageEntry* entry = source.lookup.entry(image.file);
  const ImageParameters given = entry != nullptr ? entry->parameters : ImageParameters{};
  sheet.number(value_of(given.distance_m));
  sheet.number(given.humidity_pct);
  sheet.number(value_of(given.wind_m_s));
  for (const auto& load : image.load_a) sheet.number(value_of(load));
  sheet.text(image.used ? image.used->declaration : "");
  sheet.text(entry != nullptr ? entry->note : "");
  sheet.text(entry != nullptr ? entry->photo : "");
  sheet.text(image.sha256);
}

}  // namespace

void about_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("About"), kAbout, source.footer);
  const auto row = [&sheet](const std::string& what, const std::string& entry) {
    sheet.next_row();
    sheet.text(what);
    sheet.text(entry);
  };
  row(tr("Site"), source.contents.site);
  for (const std::string& caution : source.contents.cautions) row(tr("Caution"), caution);
  for (const report::Fact& fact : source.contents.facts) row(fact.label, fact.value);
  for (const report::Fact& fact : source.contents.scope) row(fact.label, fact.value);
  for (const auto& cells : source.contents.not_covered.rows) {
    row(say("Not covered: {}, {}", cells.at(0).text, cells.at(1).text),
        cells.at(2).text + ", " + cells.at(3).text + ": " + cells.at(4).text);
  }
  sheet.close();
}

void not_judged_sheet(Workbook& book, const SheetSource& source) {
  asides(book, source, tr("Not judged"), source.assessment.not_judged);
}

void warm_even_sheet(Workbook& book, const SheetSource& source) {
  asides(book, source, tr("Warm and even"), source.assessment.warm_even);
}

void lugs_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Lugs"), kLugs, source.footer);
  for (const ImageResult& image : source.assessment.images) {
    for (const LugResult& lug : image.lugs) lug_row(sheet, source.assessment, image, lug);
  }
  tint_bands(sheet, source, kLugBandColumn);
  sheet.close();
}

void readings_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Readings"), kReadings, source.footer);
  const report::ReadingNotes notes = report::notes_of(source.assessment);
  for (const diagnosis::MotorResult& motor : source.assessment.motors) {
    for (const ElectricalResult& reading : motor.electrical) {
      const auto note = notes.find(&reading);
      reading_row(sheet, source.assessment, motor.motor, reading,
                  note == notes.end() ? std::string_view() : note->second);
    }
  }
  tint_bands(sheet, source, kReadingBandColumn);
  sheet.close();
}

void problems_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Problems"), kProblems, source.footer);
  for (const Problem& problem : source.assessment.problems) {
    sheet.next_row();
    sheet.text(problem.file);
    sheet.number(problem.row ? std::optional(static_cast<double>(*problem.row)) : std::nullopt);
    sheet.text(problem.column);
    sheet.text(problem.message);
  }
  sheet.close();
}

void parameters_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Parameters"), kParameters, source.footer);
  for (const ImageResult& image : source.assessment.images) parameter_row(sheet, source, image);
  sheet.close();
}

void motors_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Motors"), kMotors, source.footer);
  for (const Motor& motor : source.assessment.survey.motors) {
    sheet.next_row();
    sheet.text(motor.id);
    sheet.text(motor.description);
    sheet.text(motor.area);
    sheet.text(motor.lockout);
    sheet.number(motor.rated_kw);
    sheet.number(value_of(motor.rated_v));
    sheet.number(value_of(motor.rated_a));
    sheet.number(motor.criticality);
    sheet.number(motor.crew);
    sheet.number(motor.torque_nm);
    sheet.text(motor.parts);
  }
  sheet.close();
}

void places_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Places"), kPlaces, source.footer);
  const report::Lookup& lookup = source.lookup;
  for (const CircuitStop& stop : source.assessment.survey.circuit) {
    const WorkSite site = work_site(lookup.row(stop.motor), &stop);
    sheet.next_row();
    sheet.text(stop.motor);
    sheet.text(stop.place);
    sheet.text(site.area);
    sheet.text(site.lockout);
    sheet.number(site.torque_nm);
    sheet.text(site.parts);
    sheet.text(stop.not_inspected);
  }
  sheet.close();
}

}  // namespace ohmglow::documents
