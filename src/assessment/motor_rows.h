#pragma once
/// A motor's rows taken out of a survey.

#include "ohmglow/motor_by_motor.h"

namespace ohmglow::assessment {

/// The survey without its rows.
[[nodiscard]] Survey head_of(const Survey& survey);
/// Adds the rows and marks of another survey of the same head.
void append_rows(Survey& survey, const Survey& other);

/// The motor's rows with the survey's head, and the marks of its images as far as the survey holds
/// them.
[[nodiscard]] Survey rows_alone(const Survey& survey, const ImageRows& images,
                                const MotorRows& rows);

}  // namespace ohmglow::assessment
