#include "cli/commands.h"
#include "cli/talk.h"
#include "offered/files/folder.h"
#include "offered/imaging/numbered_picture.h"
#include "offered/results/findings_texts.h"
#include "ohmglow/imaging.h"

#include <filesystem>
#include <memory>

namespace ohmglow::cli {
namespace {

struct LookGiven {
  std::string file;
  int page = 1;
  double max_megapixels = 200;
  std::string picture;
  bool json = false;
};

imaging::ReadOptions read_options(const LookGiven& given) {
  imaging::ReadOptions options;
  options.page = given.page;
  options.limits.max_pixels = static_cast<std::uint64_t>(given.max_megapixels * 1e6);
  return options;
}

Result<records::Look> look_at(const LookGiven& given) {
  const auto options = read_options(given);
  const auto bytes = imaging::read_bytes(given.file, options.limits.max_bytes);
  if (!bytes) return fail(bytes.error().in_file(given.file));
  auto stored = imaging::read_stored(*bytes, given.file, options);
  if (!stored) return fail(stored.error().in_file(given.file));
  records::Look look;
  look.file = given.file;
  look.image = std::move(*stored);
  look.stored = imaging::statistics(look.image.pixels);
  const auto declaration = imaging::resolve_declaration(look.image, {});
  if (declaration) {
    look.declaration = *declaration;
  } else {
    look.problems.push_back(sentence(declaration.error()));
  }
  return look;
}

void print_text(const records::Look& look) {
  const auto& image = look.image;
  print("{}: {}, {} × {} pixels, {}, {} page{}\n", look.file, image.format, image.pixels.cols,
        image.pixels.rows, image.dtype, image.pages, image.pages == 1 ? "" : "s");
  print("stored:      min {:.6g}, max {:.6g}, mean {:.6g}; {} pixels without data\n",
        look.stored.min, look.stored.max, look.stored.mean, look.stored.no_data);
  if (look.declaration) {
    const auto celsius = [&look](double stored) {
      return imaging::stored_to_celsius(stored, *look.declaration).value();
    };
    print(
        "temperature: min {:.2f} °C, max {:.2f} °C, mean {:.2f} °C (scale {}, offset {}, {}, by "
        "{})\n",
        celsius(look.stored.min), celsius(look.stored.max), celsius(look.stored.mean),
        look.declaration->scale, look.declaration->offset,
        look.declaration->unit == TemperatureUnit::kelvin ? "K" : "°C", look.declaration->from);
  }
  for (const std::string& problem : look.problems) print("problem:     {}\n", problem);
}

/// Stored numbers serve where no temperature is declared: a place is a place.
Result<void> write_picture(const std::string& path, const records::Look& look) {
  const Declaration as_stored;
  const imaging::ThermalImage image(look.image, look.declaration.value_or(as_stored));
  const auto png = imaging::encode_png(imaging::numbered_picture(image.celsius()));
  if (!png) return fail(png.error());
  return records::write_atomically(path, {reinterpret_cast<const char*>(png->data()), png->size()});
}

int look(const LookGiven& given) {
  const auto seen = look_at(given);
  if (!seen) {
    if (given.json) {
      print_whole(records::look_json(std::nullopt, given.file, {sentence(seen.error())}));
    }
    complain("look", seen.error());
    return kNothingDone;
  }
  if (!given.picture.empty()) {
    if (const auto written = write_picture(given.picture, *seen); !written) {
      complain("look", written.error());
      return kNothingDone;
    }
  }
  if (given.json) {
    print_whole(records::look_json(*seen, given.file, seen->problems));
  } else {
    print_text(*seen);
  }
  return seen->problems.empty() ? kDone : kSomeNotMeasured;
}

}  // namespace

void add_look(CLI::App& program, int& exit_code) {
  const auto given = std::make_shared<LookGiven>();
  CLI::App* command = program.add_subcommand(
      "look", "What an image file is: size, type, range, and what it declares of itself");
  command->add_option("IMAGE", given->file, "Image file")->required();
  command->add_option("--page", given->page, "Page or frame, counted from 1")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command->add_option("--max-megapixels", given->max_megapixels, "Refuse larger images")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  command
      ->add_option("--picture", given->picture,
                   "Write the image here with its pixels numbered, to mark it from the shell")
      ->type_name("FILE.png");
  command->add_flag("--json", given->json, "Print JSON");
  command->footer("Example: ohmglow look route/BE-101.tif --json");
  command->callback([given, &exit_code] { exit_code = look(*given); });
}

}  // namespace ohmglow::cli
