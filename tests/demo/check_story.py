"""Holds the electrical half of a demo survey against its truth, and checks that no number of the
story sits close to a limit. Exits with 1 and says what is wrong. Limits: the default policy's."""

import sys

import numpy as np

from survey_reader import Survey

LIKE_LIMITS, AIR_LIMITS, PAIR_LIMITS = (1, 3, 15), (1, 10, 20, 40), (1, 5, 10)
CLEAR_K = 0.6     # of a limit, K: several times what the camera errs
CLEAR_PCT = 0.4   # of a limit of the pairs, percentage points: several times what the meter errs
CLEAR_LIMIT_K = 2.0
AGE_D = 365
SURVEYED = np.datetime64("2026-03-04")


def unbalance(values):
    values = np.array(values, float)
    return 100 * np.abs(values - values.mean()).max() / values.mean()


def values(row):
    return [float(row[f"value_{i}"]) for i in (1, 2, 3)]


def newest(survey, motor, test):
    rows = [r for r in survey.readings if r["motor"] == motor and r["test"] == test]
    rows = [r for r in rows if SURVEYED - np.datetime64(r["taken_at"][:10]) <= np.timedelta64(AGE_D)]
    return max(rows, key=lambda r: r["taken_at"], default=None)


def high_phase(pairs):
    """The phase common to the two high pairs: the highest leg of the equivalent wye."""
    r12, r23, r31 = pairs
    return 1 + int(np.argmax([r12 + r31 - r23, r12 + r23 - r31, r23 + r31 - r12]))


def components(survey):
    at = {row["file"]: (row["motor"], row["component"]) for row in survey.images}
    groups = {}
    for lug in survey.truth["lugs"]:
        groups.setdefault(at[lug["image"]], []).append(lug)
    return groups


def loads(survey, motor, component):
    row = next(r for r in survey.images if (r["motor"], r["component"]) == (motor, component))
    if row["load_1_a"]:
        return np.array([float(row[f"load_{i}_a"]) for i in (1, 2, 3)])
    return np.array(values(newest(survey, motor, "line_current")))


def expected_verdict(survey, motor, component, lugs):
    """The rules of the verdicts, written down a second time from the design."""
    like = [lug["rise_over_like_c"] for lug in lugs]
    lone = len(lugs) == 1
    hot = lugs[0]["rise_over_air_c"] >= 1 if lone else max(like) >= 1
    reading = newest(survey, motor, "winding_resistance")
    pct = unbalance(values(reading)) if reading else 0
    current = loads(survey, motor, component)
    if hot and pct <= 1 and not lone:
        per_square = [lug["rise_over_air_c"] / (current[lug["phase"] - 1] / current.mean()) ** 2 for lug in lugs]
        if np.ptp(per_square) < 1:
            voltage = newest(survey, motor, "line_voltage")
            return "supply_unbalance" if unbalance(values(voltage)) > 1 else "load_unbalance"
    if not reading:
        return "no_reading"
    if hot and pct > 1:
        hottest = max(lugs, key=lambda lug: lug["temperature_c"])
        return "confirmed" if high_phase(values(reading)) == hottest["phase"] else "phase_conflict"
    if hot:
        return "heat_only"
    return "reading_only" if pct > 1 else "even"


def check_motor(survey, motor, complain):
    for reading in (r for r in survey.readings if r["motor"] == motor and r["test"] == "winding_resistance"):
        pct = unbalance(values(reading))
        near = min(abs(pct - limit) for limit in PAIR_LIMITS)
        complain(near > CLEAR_PCT, f"{motor}: unbalance {pct:.2f} % is close to a limit")
    electrical = {f["electrical_phase"] for f in survey.truth["findings"] if f["motor"] == motor} - {None}
    reading = newest(survey, motor, "winding_resistance")
    if electrical:
        complain(electrical == {high_phase(values(reading))}, f"{motor}: phase {electrical}")


def check_component(survey, motor, component, lugs, complain):
    where = f"{motor} {component}"
    limit_c = float(survey.motors[motor]["conductor_limit_c"])
    rated = float(survey.motors[motor]["rated_a"])
    mean_a = loads(survey, motor, component).mean()
    for lug in lugs:
        like, air = lug["rise_over_like_c"], lug["rise_over_air_c"]
        if like is not None:
            complain(min(abs(like - x) for x in LIKE_LIMITS) > CLEAR_K, f"{where}: over like {like}")
        complain(min(abs(air - x) for x in AIR_LIMITS) > CLEAR_K, f"{where}: over air {air}")
        warmest = lug["temperature_c"]
        if mean_a > 0.4 * rated:
            warmest = warmest - air + air * (rated / mean_a) ** 1.8
        complain(abs(warmest - limit_c) > CLEAR_LIMIT_K, f"{where}: {warmest:.1f} C near {limit_c}")
    complain(mean_a == 0 or abs(mean_a / rated - 0.4) > 0.02, f"{where}: load {mean_a / rated:.3f}")
    found = {f["verdict"] for f in survey.truth["findings"]
             if (f["motor"], f["component"]) == (motor, component)}
    verdict = expected_verdict(survey, motor, component, lugs)
    complain(found <= {verdict}, f"{where}: the story says {found}, the numbers {verdict}")
    hot = sorted(lug["temperature_c"] for lug in lugs)
    if len(hot) > 1 and hot[-1] - hot[0] > 0 and hot[-1] - hot[0] < 1:
        complain(hot[-1] - hot[-2] > 0.08, f"{where}: which lug is hottest is not clear: {hot}")


def main(folder):
    survey = Survey(folder)
    wrong = []
    complain = lambda holds, what: holds or wrong.append(what)
    for motor in survey.motors:
        check_motor(survey, motor, complain)
    for (motor, component), lugs in components(survey).items():
        check_component(survey, motor, component, lugs, complain)
    print("\n".join(wrong), file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
