"""Holds the electrical half of a demo survey against its truth, and checks that no number of the
story sits close to a limit. Exits with 1 and says what is wrong. Limits: the default policy's."""

import sys

import numpy as np

from survey_reader import Survey

LIKE_LIMITS, AIR_LIMITS, PAIR_LIMITS = (1, 3, 15), (1, 10, 20, 40), (1, 5, 10)
CLEAR_K = 0.6     # of a limit, K: several times what the camera errs
CLEAR_PCT = 0.4   # of a limit of the pairs, percentage points: several times what the meter errs
CLEAR_LIMIT_K = 2.0
LOAD_EXPONENT = 1.9
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


def order(survey, motor, place):
    """How far from the supply, as circuit.csv has it."""
    return next(int(r["order"]) for r in survey.circuit if (r["motor"], r["place"]) == (motor, place))


def readings_that_see(survey, motor, component):
    """The latest resistance readings of each place that looks through the component, the nearest first, and of
    each place beyond it."""
    at = order(survey, motor, component)
    rows = [r for r in survey.readings if r["motor"] == motor and r["test"] == "winding_resistance"]
    rows = [r for r in rows if SURVEYED - np.datetime64(r["taken_at"][:10]) <= np.timedelta64(AGE_D)]
    latest = {r["place"]: r for r in sorted(rows, key=lambda r: r["taken_at"])}.values()
    sort = lambda r: abs(order(survey, motor, r["place"]) - at)
    sees = sorted((r for r in latest if order(survey, motor, r["place"]) <= at), key=sort)
    beyond = sorted((r for r in latest if order(survey, motor, r["place"]) > at), key=sort)
    return sees, beyond


def legs(pairs):
    r12, r23, r31 = pairs
    return np.array([r12 + r31 - r23, r12 + r23 - r31, r23 + r31 - r12]) / 2


def ohms(row):
    return np.array(values(row)) * {"ohm": 1, "mohm": 1e-3, "uohm": 1e-6}[row["unit"]]


def excess_ohm(legs_ohm):
    """The highest leg over the mean of the two others, and its phase."""
    i = int(np.argmax(legs_ohm))
    return legs_ohm[i] - np.delete(legs_ohm, i).mean(), i + 1


def heat_per_kelvin(survey, motor):
    """Watts that a lug may lose for each kelvin over its likes: from a bare lug with one bare conductor in still
    air to a painted one with three insulated conductors in a draught; conductors as fins of copper, 390 W/(m K)."""
    lug_m2 = float(survey.motors[motor]["lug_area_cm2"]) * 1e-4
    sizes = [float(r["size"].split()[0]) for r in survey.circuit if r["motor"] == motor and r["size"]]
    rated = float(survey.motors[motor]["rated_a"])
    least, most = (sizes[0], sizes[0]) if sizes else (rated / 6, rated / 1.5)  # 1.5 to 6 A/mm2 where no cable is listed

    def loss(h, section_mm2, conductors, thicker):
        section_m2 = section_mm2 * 1e-6
        around_m = thicker * 2 * np.sqrt(np.pi * section_m2)
        return h * lug_m2 + conductors * np.sqrt(h * around_m * 390 * section_m2)

    return loss(3, least, 1, 1), loss(20, most, 3, 1.4)


def of_one_size(survey, motor, rise_k, ohm, ampere):
    low, high = heat_per_kelvin(survey, motor)
    return rise_k * low <= ohm * ampere**2 <= rise_k * high


def verdict_of_unequal_currents(survey, motor, lugs, current):
    """Where the heat goes with the currents squared; else None."""
    per_square = [lug["rise_over_air_c"] / (current[lug["phase"] - 1] / current.mean()) ** 2 for lug in lugs]
    if np.ptp(per_square) >= 1 or unbalance(current) <= 5:
        return None
    voltage = newest(survey, motor, "line_voltage")
    return "supply_unbalance" if unbalance(values(voltage)) > 1 else "load_unbalance"


def joint_verdict(survey, motor, component, hot, hottest, current):
    """What a meter across the joints of the component says by itself; None where there was none or they are alike
    on a hot lug, "sound" where they are alike."""
    rows = [r for r in survey.readings
            if (r["motor"], r["place"], r["test"]) == (motor, component, "joint_resistance")]
    if not rows:
        return None
    joints = ohms(rows[-1])
    if joints.max() <= 1.5 * joints.min():
        return "sound"
    excess, phase = excess_ohm(joints)
    if not hot:
        return "reading_only"
    if phase != hottest["phase"]:
        return "phase_conflict"
    fits = of_one_size(survey, motor, hottest["rise_over_like_c"], excess, current[phase - 1])
    return "confirmed" if fits else "phase_agrees"


def expected_verdict(survey, motor, component, lugs):
    """The rules of the verdicts, written down a second time from the design."""
    current = loads(survey, motor, component)
    if current.min() == 0 and np.median(current) > 0:
        return "open_phase"
    like = [lug["rise_over_like_c"] for lug in lugs]
    lone = len(lugs) == 1
    hot = lugs[0]["rise_over_air_c"] >= 1 if lone else max(like) >= 1
    hottest = max(lugs, key=lambda lug: lug["temperature_c"])
    share = (current.mean() / float(survey.motors[motor]["rated_a"])) ** LOAD_EXPONENT
    if not hot and LIKE_LIMITS[1] * share < LIKE_LIMITS[0]:
        return "not_judged"
    joint = joint_verdict(survey, motor, component, hot, hottest, current)
    if joint not in (None, "sound"):
        return joint
    sees, beyond = readings_that_see(survey, motor, component)
    out_of_balance = bool(sees) and unbalance(values(sees[0])) > 1
    if hot and not out_of_balance and not lone:
        unequal = verdict_of_unequal_currents(survey, motor, lugs, current)
        if unequal:
            return unequal
    if not sees and joint is None:
        return "no_reading"
    if not hot:
        return "reading_only" if out_of_balance else "even"
    if not out_of_balance:
        return "heat_only"
    here = legs(ohms(sees[0])) - (legs(ohms(beyond[0])) if beyond else 0)
    excess, phase = excess_ohm(here)
    if phase != hottest["phase"]:
        return "phase_conflict"
    fits = of_one_size(survey, motor, hottest["rise_over_like_c"], excess, current[phase - 1])
    return "confirmed" if fits else "phase_agrees"


def check_motor(survey, motor, complain):
    for reading in (r for r in survey.readings if r["motor"] == motor and r["test"] == "winding_resistance"):
        pct = unbalance(values(reading))
        near = min(abs(pct - limit) for limit in PAIR_LIMITS)
        complain(near > CLEAR_PCT, f"{motor}: unbalance {pct:.2f} % is close to a limit")
    electrical = {f["electrical_phase"] for f in survey.truth["findings"] if f["motor"] == motor} - {None}
    reading = newest(survey, motor, "winding_resistance")
    joints = newest(survey, motor, "joint_resistance")
    if electrical:
        named = excess_ohm(ohms(joints))[1] if joints else high_phase(values(reading))
        complain(electrical == {named}, f"{motor}: phase {electrical}")


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
            warmest = warmest - air + air * (rated / mean_a) ** LOAD_EXPONENT
        complain(abs(warmest - limit_c) > CLEAR_LIMIT_K, f"{where}: {warmest:.1f} C near {limit_c}")
    complain(mean_a == 0 or abs(mean_a / rated - 0.4) > 0.02, f"{where}: load {mean_a / rated:.3f}")
    found = {f["verdict"] for f in survey.truth["findings"]
             if (f["motor"], f["component"]) == (motor, component)}
    verdict = expected_verdict(survey, motor, component, lugs)
    complain(found <= {verdict}, f"{where}: the story says {found}, the numbers {verdict}")
    share = (mean_a / rated) ** LOAD_EXPONENT
    complain(abs(LIKE_LIMITS[1] * share - LIKE_LIMITS[0]) > 0.05, f"{where}: hardly judged at {mean_a} A")
    hot = sorted(lug["temperature_c"] for lug in lugs)
    if len(hot) > 1 and hot[-1] - hot[0] > 0 and hot[-1] - hot[0] < 1:
        complain(hot[-1] - hot[-2] > 0.08, f"{where}: which lug is hottest is not clear: {hot}")


def main(folder):
    survey = Survey(folder)
    wrong = []
    complain = lambda holds, what: holds or wrong.append(what)
    for motor in survey.motors:
        check_motor(survey, motor, complain)
    verdicts = {}
    for (motor, component), lugs in components(survey).items():
        check_component(survey, motor, component, lugs, complain)
        verdicts.setdefault(motor, set()).add(expected_verdict(survey, motor, component, lugs))
    for row in survey.truth["motors"]:
        complain(row["verdict"] in verdicts[row["motor"]], f"{row}: no component of {verdicts[row['motor']]} has it")
    print("\n".join(wrong), file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
