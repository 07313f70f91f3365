"""Measures every marked lug of a demo survey by its own reading of the files and its own solution of
the radiation balance, and holds the temperatures against truth.json. Prints: lugs rms worst."""

import sys

import numpy as np
from scipy.optimize import brentq

from survey_reader import Survey, band, celsius, hottest_block


def apparent(t_stored, saved_e, saved_reflected):
    return saved_e * band(t_stored) + (1 - saved_e) * band(saved_reflected)


def or_else(value, default):
    return default if value is None else value


def object_temperature(survey, row, t_stored, emissivity, air, reflected):
    get = lambda name: survey.parameter(row, name)
    saved_e = or_else(get("saved_emissivity"), 1.0)
    radiance = apparent(t_stored, saved_e, or_else(get("saved_reflected_c"), reflected))
    ta = or_else(get("atmosphere_transmittance"), 1.0)
    tw = or_else(get("window_transmittance"), 1.0)
    rw = or_else(get("window_reflectance"), 0.0)
    window, behind = or_else(get("window_c"), air), or_else(get("window_reflected_c"), air)

    def balance(t):
        surface = emissivity * band(t) + (1 - emissivity) * band(reflected)
        return tw * (ta * surface + (1 - ta) * band(air)) + (1 - tw - rw) * band(window) + rw * band(behind)

    return brentq(lambda t: balance(t) - radiance, -50, 400, xtol=1e-6)


def patch_mean(image, mark):
    _, inside = hottest_block(image, mark["shape"])
    return np.nanmean(image[inside])


def errors_of(survey, row):
    image = celsius(survey, row)
    marks = survey.marks(row)
    by_role = {m["role"]: m for m in marks}
    air, reflected = survey.parameter(row, "air_c"), survey.parameter(row, "reflected_c")
    if "reflector" in by_role:
        reflected = patch_mean(image, by_role["reflector"])
    if "ambient" in by_role:
        mark = by_role["ambient"]
        air = object_temperature(survey, row, patch_mean(image, mark), mark["emissivity"], 0, reflected)
    reflected = or_else(reflected, air)
    truths = {t["lug"]: t for t in survey.truth["lugs"] if t["image"] == row["file"]}
    lugs = [m for m in marks if m["role"] == "lug"]
    assert {m["name"] for m in lugs} == set(truths), row["file"]
    for mark in lugs:
        (value, _), _ = hottest_block(image, mark["shape"])
        emissivity = mark.get("emissivity", survey.parameter(row, "emissivity"))
        t = object_temperature(survey, row, value, emissivity, air, reflected)
        truth = truths[mark["name"]]
        assert mark["phase"] == truth["phase"]
        assert abs(truth["temperature_c"] - air - truth["rise_over_air_c"]) < 0.1, row["file"]
        yield t - truth["temperature_c"]


def main(folder):
    survey = Survey(folder)
    errors = []
    for row in survey.images:
        if survey.status(row) == "measured":
            found = list(errors_of(survey, row))
            print(row["file"], *(f"{e:.3f}" for e in found), file=sys.stderr)
            errors += found
    errors = np.array(errors)
    print(len(errors), np.sqrt(np.mean(errors**2)), np.abs(errors).max())


if __name__ == "__main__":
    main(sys.argv[1])
