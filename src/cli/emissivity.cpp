#include "cli/commands.h"
#include "cli/image_in_survey.h"
#include "cli/talk.h"
#include "offered/assessment/contact.h"
#include "offered/assessment/images.h"
#include "offered/editing/survey_edits.h"
#include "offered/intake/mark_files.h"
#include "offered/radiometry/surfaces.h"
#include "offered/results/instrument_records.h"
#include "ohmglow/survey_folder.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

namespace ohmglow::cli {
namespace {

struct EmissivityGiven {
  std::string image;
  std::string survey;
  std::string mark;
  int page = 1;
  double contact_c = 0;
  double contact_u_c = 1;
  bool force = false;
  bool write = false;
  bool materials = false;
  bool json = false;
};

void print_materials() {
  print("{:<28} {:>11}  {:>8} {:>8}  {}\n", "material", "range", "ε", "u", "surface");
  for (const radiometry::Material& m : radiometry::materials()) {
    print("{:<28} {:.2f} – {:.2f}  {:>8.3f} {:>8.3f}  {}\n", m.name, m.low, m.high,
          m.emissivity().value(), m.emissivity_u(), m.title);
  }
  print(
      "\nThe middle of the range and half its width over the root of 3 serve a mark that names "
      "the\n"
      "material and no emissivity. Handbooks spread 2:1 on one nominal surface: below 0.5 put "
      "tape\n"
      "or a painted target beside the lug. Sources: --json.\n");
}

struct Measured {
  ImageInSurvey where;
  MarkFile marks;
  radiometry::MeasuredEmissivity result;
};

Result<ImageEntry> entry_of(const Survey& survey, const std::string& file, int page) {
  for (const ImageEntry& entry : survey.images) {
    if (entry.file == file && entry.parameters.page.value_or(1) == page) return entry;
  }
  return fail(Error{ErrorKind::missing,
                    "the survey does not list this image, so that its parameters are not known",
                    {},
                    {},
                    "add a row to images.csv, or see --page",
                    Place{file, {}, {}, {}}});
}

Result<Measured> measure(const EmissivityGiven& given) {
  const auto where = locate_image(given.image, given.survey);
  if (!where) return fail(where.error());
  const auto survey = records::read_survey(where->folder);
  if (!survey) return fail(survey.error());
  const auto entry = entry_of(*survey, where->relative, given.page);
  if (!entry) return fail(entry.error());
  const auto marks = records::read_marks(where->folder, where->relative, survey->phase_names);
  if (!marks) return fail(marks.error());
  const auto band = radiometry::BandRadiance::of(survey->band);
  if (!band) return fail(band.error());
  const auto image = assessment::open_image(*survey, *entry, imaging::ReadLimits{});
  if (!image) return fail(image.error());
  const auto result = assessment::measure_emissivity(
      *band, *image, *entry, marks->file, given.mark,
      {Celsius{given.contact_c}, KelvinDifference{given.contact_u_c}}, given.force);
  if (!result) return fail(result.error().in_file(where->relative));
  if (given.write && !marks->problems.empty())
    // Writing the file back would lose what could not be read.
    return fail(Error{ErrorKind::conflict,
                      "the mark file has problems: " + marks->problems.front().message,
                      {},
                      {},
                      "mend it by hand first",
                      Place{marks->problems.front().file, {}, {}, {}}});
  return Measured{*where, marks->file, *result};
}

void print_text(const EmissivityGiven& given, const radiometry::MeasuredEmissivity& m) {
  print("{}: emissivity {:.3f} ± {:.3f} (standard uncertainty)\n", given.mark, m.emissivity, m.u);
  print(
      "contact {:.2f} ± {:.2f} °C; received {:.2f} °C; reflected {:.2f} °C (by {}); {} "
      "pixels, spread {:.2f} K\n",
      m.contact.value(), m.contact_u.value(), m.apparent.value(), m.reflected.value(),
      m.reflected_from, m.pixels, m.spread.value());
  for (const auto& part : m.parts) print("  {:<26} {:.4f}\n", part.input, std::abs(part.u));
}

/// Four decimals are finer than any emissivity is known.
double rounded(double value) {
  return std::round(value * 1e4) / 1e4;
}

Result<void> write_back(const EmissivityGiven& given, Measured& measured) {
  const auto mark = std::find_if(measured.marks.marks.begin(), measured.marks.marks.end(),
                                 [&](const Mark& m) { return m.name == given.mark; });
  mark->emissivity = Emissivity{std::max(rounded(measured.result.emissivity), 1e-4)};
  mark->emissivity_u = rounded(measured.result.u);
  return records::write_marks(measured.where.folder, measured.marks);
}

int emissivity(const EmissivityGiven& given) {
  auto measured = measure(given);
  if (!measured) {
    complain("emissivity", measured.error());
    return kNothingDone;
  }
  if (given.write) {
    if (const auto written = write_back(given, *measured); !written) {
      complain("emissivity", written.error());
      return kNothingDone;
    }
    tell("wrote {}\n",
         records::marks_path(measured->where.folder, measured->where.relative).string());
  }
  if (given.json) {
    print_whole(records::emissivity_json(measured->where.relative, given.mark, measured->result));
  } else {
    print_text(given, measured->result);
  }
  return kDone;
}

int list_materials(const EmissivityGiven& given) {
  if (given.json) {
    print_whole(records::materials_json());
  } else {
    print_materials();
  }
  return kDone;
}

}  // namespace

void add_emissivity(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<EmissivityGiven>();
  CLI::App* command = program.add_subcommand(
      "emissivity",
      "The emissivity of a mark from a contact thermometer, or the list of materials");
  command->add_option("IMAGE", given->image, "Image file of the survey");
  command->add_option("--mark", given->mark, "Name of the mark")->type_name("NAME");
  const auto* contact = command->add_option("--contact-c", given->contact_c,
                                            "What the contact thermometer shows, °C");
  command->add_option("--contact-u", given->contact_u_c, "Its standard uncertainty, °C")
      ->check(CLI::NonNegativeNumber)
      ->capture_default_str();
  command->add_option("--survey", given->survey, "Survey folder [the nearest one above the image]");
  command->add_option("--page", given->page, "Page or frame, counted from 1")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command->add_flag("--force", given->force,
                    "Even where the spot is within 10 K of the reflected temperature");
  command->add_flag("--write", given->write, "Put the emissivity and its u into the mark file");
  command->add_flag("--materials", given->materials, "List the known materials instead");
  command->add_flag("--json", given->json, "Print JSON");
  command->footer(
      "Example: ohmglow emissivity route/BE-101.tif --mark T1 --contact-c 48.5 --write");
  command->callback([given, contact, &exit_code] {
    if (given->materials) {
      exit_code = list_materials(*given);
      return;
    }
    if (given->image.empty() || given->mark.empty() || contact->count() == 0)
      throw CLI::ValidationError("emissivity",
                                 "IMAGE, --mark and --contact-c are needed, or "
                                 "--materials alone");
    exit_code = emissivity(*given);
  });
}

}  // namespace ohmglow::cli
