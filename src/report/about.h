#pragma once
/// What a survey says about itself, its motors and images beside the measurements: label and value.
/// A value that the survey does not hold is empty; on paper a person writes it in.

#include "offered/report/report_contents.h"

#include <string>
#include <vector>

namespace ohmglow::report {

/// Who took the images, and with which camera.
[[nodiscard]] std::vector<Fact> about_survey(const Survey& survey);

/// What the motor is, where it stands and is locked out, how many people the work takes. Either
/// may be null; what the place says wins.
[[nodiscard]] std::vector<Fact> about_motor(const Motor* motor, const CircuitStop* place);

/// When, from where and in what air an image was taken, and what was noted. Either may be null.
[[nodiscard]] std::vector<Fact> about_image(const ImageEntry* entry,
                                            const diagnosis::ImageResult* image);

/// "0.8 m away, humidity 48 %, wind 6.5 m/s": what is known of it; may be empty.
[[nodiscard]] std::string air_path_in_words(const ImageParameters& given);

/// "0.95", or each that the image's lugs have; empty where none is known.
[[nodiscard]] std::string emissivities_of(const ImageEntry* entry,
                                          const diagnosis::ImageResult* image);

/// Those without a value left out.
[[nodiscard]] std::vector<Fact> known_of(std::vector<Fact> facts);

/// The words and, where the reading has one, its note.
[[nodiscard]] std::string with_note(std::string words, const ReadingNotes& notes,
                                    const diagnosis::ElectricalResult& reading);

}  // namespace ohmglow::report
