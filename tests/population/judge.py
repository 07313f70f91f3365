"""Holds findings against the truth: judge.py FINDINGS TRUTH [--pictures FOLDER]

The judged component of a motor is the one with the bad joint if it was imaged, else the first one
imaged.

Right explanations. A kind of truth may have more than one name in the program's words:
- a bad joint at the judged component: lug_joint; with two conductors or two lugs a phase also
  double_conductor; worn contact: switch_contact; meter named otherwise: swapped_marking;
- a bad joint at another place: upstream_joint or downstream_joint, seen from the judged component;
- no load, low load, short running: lug_joint or sound, whichever is the truth;
- lugs of one temperature: sound, and unlike_emissivity, since their finish does scatter;
- drive-fed and sound: drive or sound; drive-fed and bad: lug_joint (that it is bad is the point).
Where the bad joint makes less than 1 K at rated load, `sound` is right as well.

Healthy are motors of the kinds sound, equal_lugs and low_load_sound. Equal lugs far above the air
belong in a ranking by the table's own column, and the lines into a drive are truly unequal: neither
is counted there.

`confirmed` is right where its component holds the bad joint and its first finding names the phase.
"""
import argparse
import json
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

HEALTHY = {"sound", "equal_lugs", "low_load_sound"}
EQUAL = {"equal_lugs", "equal_warm_lugs"}
HOT_VERDICTS = {"confirmed", "phase_agrees", "phase_conflict", "heat_only"}
SEVERE = {"plan", "monitor", "urgent"}
UNBALANCE_VERDICTS = {"load_unbalance", "supply_unbalance"}
BAD_JOINT_KINDS = {
    "bad_joint",
    "burnt_joint",
    "double_conductor",
    "parallel_lugs",
    "switch_contact",
    "swapped_marking",
    "drive_bad_joint",
    "low_load_bad",
    "short_run_bad",
    "no_load",
}
RIGHT_EXPLANATIONS = {
    "sound": {"sound"},
    "equal_lugs": {"sound", "unlike_emissivity"},
    "equal_warm_lugs": {"sound", "unlike_emissivity"},
    "bad_joint": {"lug_joint"},
    "burnt_joint": {"lug_joint"},
    "double_conductor": {"double_conductor", "lug_joint"},
    "parallel_lugs": {"double_conductor", "lug_joint"},
    "switch_contact": {"switch_contact"},
    "winding_turns": {"winding"},
    "winding_delta": {"winding"},
    "open_delta": {"winding"},
    "meter_lead": {"meter_lead"},
    "unequal_load": {"unequal_load"},
    "unequal_supply": {"unequal_supply"},
    "sun": {"sun"},
    "reflection": {"reflection"},
    "unlike_emissivity": {"unlike_emissivity"},
    "swapped_marking": {"swapped_marking"},
    "drive_sound": {"drive", "sound"},
    "drive_bad_joint": {"lug_joint"},
    "low_load_sound": {"sound"},
    "low_load_bad": {"lug_joint"},
    "no_load": {"lug_joint"},
    "short_run_bad": {"lug_joint"},
    "open_phase": {"open_phase"},
}
LOWER, HIGHER = "at most", "at least"


@dataclass
class Figure:
    name: str
    value: float  # None: nothing to judge it by
    limit: float
    sense: str
    counts: str

    def met(self):
        if self.value is None:
            return False
        return self.value <= self.limit if self.sense == LOWER else self.value >= self.limit


@dataclass
class Case:
    """One motor: what is true and what the program said of it."""

    truth: dict
    components: dict  # name -> entry of findings.json's components[]
    findings: list  # in the order of their ranks
    motor_verdict: str

    def judged(self):
        truth = self.truth
        name = (
            truth["bad_component"]
            if truth["bad_component"] in truth["imaged"]
            else truth["imaged"][0]
        )
        return self.components.get(name)

    def verdicts(self):
        said = [entry["verdict"] for entry in self.components.values()]
        said += [finding["verdict"] for finding in self.findings]
        return set(said + [self.motor_verdict])

    def says_confirmed(self):
        """(component entry, phase named) for every component called confirmed."""
        named = []
        for name, entry in self.components.items():
            if entry["verdict"] != "confirmed":
                continue
            phases = [
                finding["phase"]
                for finding in self.findings
                if finding["component"] == name and finding["verdict"] == "confirmed"
            ]
            named.append((entry, phases[0] if phases else None))
        return named


def gather(found, truth):
    components, findings = defaultdict(dict), defaultdict(list)
    for entry in found["components"]:
        components[entry["motor"]][entry["component"]] = entry
    for finding in sorted(found["findings"], key=lambda one: one["rank"]):
        findings[finding["motor"]].append(finding)
    for entry in found.get("not_judged") or []:
        components[entry["motor"]].setdefault(
            entry["component"], {**entry, "verdict": "not_judged"}
        )
    verdicts = {entry["motor"]: entry["verdict"] for entry in found["motors"]}
    return [
        Case(true, components[true["motor"]], findings[true["motor"]], verdicts.get(true["motor"]))
        for true in truth["motors"]
    ]


def calibration_error(stated, right, bins=10):
    """Expected calibration error: over equal bins, |stated - true| weighted by their counts."""
    stated, right = np.asarray(stated, float), np.asarray(right, float)
    if not len(stated):
        return None
    which = np.minimum((stated * bins).astype(int), bins - 1)
    return float(
        sum(abs(stated[which == b].sum() - right[which == b].sum()) for b in range(bins))
        / len(stated)
    )


def share(hits):
    hits = list(hits)
    return sum(hits) / len(hits) if hits else None


def counted(hits):
    hits = list(hits)
    return f"{sum(hits)} of {len(hits)}"


# ---- one function a figure ---------------------------------------------------------------------


def confirmed_right(cases, four_wire_only):
    """[(stated probability, right)] of all components called confirmed."""
    pairs = []
    for case in cases:
        if four_wire_only and not case.truth.get("four_wire"):
            continue
        for entry, phase in case.says_confirmed():
            truth = case.truth
            right = truth["bad_component"] == entry["component"] and truth["bad_phase"] == phase
            pairs.append((stated_confirmed(entry), right))
    return pairs


def stated_confirmed(entry):
    return (entry.get("verdict_probability") or {}).get("confirmed", 0.0)


def wrong_confirmed(cases, four_wire_only):
    pairs = confirmed_right(cases, four_wire_only)
    wrong = [not right for _, right in pairs]
    limit = 0.05
    name = "wrong among confirmed" + (", 4-wire meters" if four_wire_only else ", all meters")
    return Figure(name, share(wrong), limit, LOWER, counted(wrong))


def confirmed_calibration(cases):
    pairs = confirmed_right(cases, False)
    value = calibration_error(*zip(*pairs)) if pairs else None
    return Figure("calibration error of confirmed", value, 0.05, LOWER, f"{len(pairs)} components")


def hidden_fault(case):
    """A fault that reaches a band at rated load, at a load or a running time that hides it."""
    truth = case.truth
    hidden = truth["kind"] in ("low_load_bad", "short_run_bad")
    return (
        hidden
        and truth["bad_component"] in truth["imaged"]
        and (truth["rise_at_rated_c"] or 0) >= 1
    )


def low_load_called_even(cases):
    """Low or short load with a bad lug there, and every component at 0 A."""
    even = [
        case.judged()["verdict"] == "even" for case in cases if hidden_fault(case) and case.judged()
    ]
    even += [
        entry["verdict"] == "even"
        for case in cases
        if case.truth["kind"] == "no_load"
        for entry in case.components.values()
    ]
    return Figure("low, short or no load called even", float(sum(even)), 0, LOWER, counted(even))


def healthy_ranked(cases):
    ranked = [bool(case.findings) for case in cases if case.truth["kind"] in HEALTHY]
    return Figure("healthy motors in the ranking", share(ranked), 0.05, LOWER, counted(ranked))


def healthy_severe(cases):
    severe = [
        any(finding["band"] in SEVERE for finding in case.findings)
        for case in cases
        if case.truth["kind"] in HEALTHY
    ]
    return Figure(
        "healthy motors called plan or worse", share(severe), 0.03, LOWER, counted(severe)
    )


def named_first(case):
    truth = case.truth
    if not case.findings:
        return False
    first = case.findings[0]
    return first["component"] == truth["bad_component"] and first["phase"] == truth["bad_phase"]


def seen_joint_named(cases):
    named = [
        named_first(case)
        for case in cases
        if case.truth["kind"] in BAD_JOINT_KINDS and case.truth["camera_sees"]
    ]
    return Figure(
        "right component and phase of a joint the camera sees",
        share(named),
        0.95,
        HIGHER,
        counted(named),
    )


def load_recalled(cases):
    said = [
        "load_unbalance" in case.verdicts()
        for case in cases
        if case.truth["kind"] == "unequal_load"
        and case.truth["current_unbalance_pct"] > 5
        and case.truth["load_share"] > 0.5
    ]
    return Figure("unequal load recalled", share(said), 0.70, HIGHER, counted(said))


def recalled_where_warm(cases, kind, verdict):
    """The same where the unbalance truly makes 2 K between the lugs, at any load."""
    said = [
        verdict in case.verdicts()
        for case in cases
        if case.truth["kind"] == kind and case.truth["over_like_c"] > 2
    ]
    return counted(said)


def supply_recalled(cases):
    """Only where somebody measured the supply's voltages."""
    said = [
        "supply_unbalance" in case.verdicts()
        for case in cases
        if case.truth["kind"] == "unequal_supply"
        and case.truth["voltage_unbalance_pct"] > 1.5
        and case.truth["load_share"] > 0.5
        and case.truth["voltages_read"]
    ]
    return Figure("unequal supply recalled", share(said), 0.70, HIGHER, counted(said))


def joints_lost_to_unbalance(cases):
    lost = [
        case.judged()["verdict"] in UNBALANCE_VERDICTS
        for case in cases
        if case.truth["kind"] in BAD_JOINT_KINDS and case.truth["camera_sees"] and case.judged()
    ]
    return Figure("joints lost to an unbalance verdict", float(sum(lost)), 0, LOWER, counted(lost))


def called_hot(case, entry):
    if entry["verdict"] in HOT_VERDICTS:
        return True
    return entry["verdict"] == "no_reading" and any(
        finding["component"] == entry["component"] and finding["band_by"] == "like"
        for finding in case.findings
    )


def equal_called_hot(cases):
    hot = [
        called_hot(case, entry)
        for case in cases
        if case.truth["kind"] in EQUAL
        for entry in case.components.values()
    ]
    return Figure("equal lugs called hot", share(hot), 0.05, LOWER, counted(hot))


def right_explanations(truth):
    kind = truth["kind"]
    if kind in ("upstream_joint", "downstream_joint"):
        right = {kind}
    else:
        right = set(RIGHT_EXPLANATIONS[kind])
    if kind == "no_load":
        right |= {"lug_joint"} if truth["bad_component"] else {"sound"}
    rated = truth["rise_at_rated_c"]
    if truth["bad_component"] in truth["imaged"] and rated is not None and rated < 1:
        right.add("sound")
    return right


def top_explanations(cases):
    """[(case, stated probability, right)] of the likeliest explanation of each judged component."""
    tops = []
    for case in cases:
        entry = case.judged()
        if entry is None or not entry.get("explanations"):
            continue
        top = max(entry["explanations"], key=lambda one: one["probability"])
        tops.append((case, top["probability"], top["id"] in right_explanations(case.truth)))
    return tops


def explanation_figures(cases):
    tops = top_explanations(cases)
    right = [hit for _, _, hit in tops]
    error = calibration_error([stated for _, stated, _ in tops], right)
    return [
        Figure("top explanation right", share(right), 0.65, HIGHER, counted(right)),
        Figure(
            "calibration error of the top explanation",
            error,
            0.10,
            LOWER,
            f"{len(right)} components",
        ),
    ]


def open_phase_recalled(cases):
    said = ["open_phase" in case.verdicts() for case in cases if case.truth["kind"] == "open_phase"]
    return Figure("open phase recalled", share(said), 1.0, HIGHER, counted(said))


def figures(cases):
    return [
        wrong_confirmed(cases, True),
        wrong_confirmed(cases, False),
        confirmed_calibration(cases),
        low_load_called_even(cases),
        healthy_ranked(cases),
        healthy_severe(cases),
        seen_joint_named(cases),
        load_recalled(cases),
        supply_recalled(cases),
        joints_lost_to_unbalance(cases),
        equal_called_hot(cases),
        *explanation_figures(cases),
        open_phase_recalled(cases),
    ]


# ---- what a person reads -----------------------------------------------------------------------


def table(results):
    lines = [f"{'figure':<54}{'value':>8}  {'wanted':<15}{'met':<5}{'counts'}"]
    for one in results:
        value = (
            "-"
            if one.value is None
            else f"{one.value:.0f}"
            if one.limit == 0
            else f"{one.value:.3f}"
        )
        lines.append(
            f"{one.name:<54}{value:>8}  {one.sense + ' ' + format(one.limit, 'g'):<15}"
            f"{'yes' if one.met() else 'NO':<5}{one.counts}"
        )
    return "\n".join(lines)


def worst_kinds(cases):
    """Top explanations by kind of truth, worst first, with what was said instead."""
    tops = defaultdict(list)
    for case, _, right in top_explanations(cases):
        said = max(case.judged()["explanations"], key=lambda one: one["probability"])["id"]
        tops[case.truth["kind"]].append((right, said))
    lines = ["top explanation right, by kind of truth, worst first:"]
    for kind, hits in sorted(tops.items(), key=lambda item: share(right for right, _ in item[1])):
        wrong = Counter(said for right, said in hits if not right).most_common(3)
        instead = ", ".join(f"{said} {count}" for said, count in wrong)
        lines.append(f"  {kind:<20}{counted(right for right, _ in hits):>12}   {instead}")
    return "\n".join(lines)


def named_by_kind(cases):
    named = defaultdict(list)
    for case in cases:
        if case.truth["kind"] in BAD_JOINT_KINDS and case.truth["camera_sees"]:
            named[case.truth["kind"]].append(named_first(case))
    lines = ["component and phase right where the camera sees the joint, worst first:"]
    lines += [
        f"  {kind:<20}{counted(hits):>12}"
        for kind, hits in sorted(named.items(), key=lambda item: share(item[1]))
    ]
    return "\n".join(lines)


def confirmed_by_kind(cases):
    kinds = defaultdict(list)
    for case in cases:
        for entry, phase in case.says_confirmed():
            kinds[case.truth["kind"]].append(
                not (
                    case.truth["bad_component"] == entry["component"]
                    and case.truth["bad_phase"] == phase
                )
            )
    lines = ["wrong among confirmed, by kind of truth:"]
    lines += [
        f"  {kind:<20}{counted(hits):>12}"
        for kind, hits in sorted(kinds.items(), key=lambda item: -share(item[1]))
    ]
    return "\n".join(lines)


def remarks(cases):
    """Figures that nothing is wanted of, for a reader who asks why."""
    healthy = [case for case in cases if case.truth["kind"] in HEALTHY]
    warm = [case.truth["hottest_over_air_c"] > 20 for case in healthy]
    by_kind = {
        kind: counted(bool(case.findings) for case in cases if case.truth["kind"] == kind)
        for kind in sorted(HEALTHY | EQUAL | {"drive_sound"})
    }
    equal = {}
    for case in cases:
        if case.truth["kind"] in EQUAL:
            entered = case.truth["emissivity_entered"]
            equal.setdefault(entered, []).extend(
                called_hot(case, entry) for entry in case.components.values()
            )
    by_ohms = [
        any(entry["verdict"] == "reading_only" for entry in case.components.values())
        for case in healthy
        if case.truth["resistance_places"]
    ]
    like = [any(finding["band_by"] == "like" for finding in case.findings) for case in healthy]
    return "\n".join(
        [
            "beside them:",
            f"  healthy motors with a lug truly above 20 K over the air at it: {counted(warm)}",
            "  motors in the ranking: "
            + ", ".join(f"{kind} {count}" for kind, count in by_kind.items()),
            f"  healthy motors with a finding by the rise over like: {counted(like)}",
            "  recalled where it truly makes 2 K: unequal load "
            + recalled_where_warm(cases, "unequal_load", "load_unbalance")
            + ", unequal supply "
            + recalled_where_warm(cases, "unequal_supply", "supply_unbalance"),
            "  equal lugs called hot, by entered emissivity: "
            + ", ".join(
                f"{entered:g}: {counted(hot)}"
                for entered, hot in sorted(equal.items(), reverse=True)
            ),
            f"  healthy motors with readings called reading_only: {counted(by_ohms)}",
        ]
    )


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("findings", type=Path)
    parser.add_argument("truth", type=Path)
    parser.add_argument(
        "--pictures", type=Path, help="folder for the confusion table and the reliability diagrams"
    )
    given = parser.parse_args()
    sys.exit(0 if report(given.findings, given.truth, given.pictures) else 1)


def report(findings, truth, pictures=None):
    """Prints everything; true if every figure is met."""
    cases = gather(json.loads(findings.read_text()), json.loads(truth.read_text()))
    results = figures(cases)
    print(
        table(results),
        confirmed_by_kind(cases),
        named_by_kind(cases),
        worst_kinds(cases),
        remarks(cases),
        sep="\n\n",
    )
    if pictures:
        from pictures import draw  # matplotlib only where pictures are asked for

        draw(cases, pictures)
    return all(one.met() for one in results)


if __name__ == "__main__":
    main()
