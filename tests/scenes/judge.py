"""Holds proposals, carried marks and findings against the truth of the scenes.

    judge.py propose PROPOSALS.json TRUTH.json
    judge.py pairs CARRIED.json TRUTH.json
    judge.py hot FINDINGS.json TRUTH.json

A mark is right within half a radius of its lug's centre.

Propose. An image counts where a person sees every lug that is in the frame. Right: each of them has
one mark and there is no other; incomplete: all marks are on lugs, but not on all; wrong: a mark beside
the lugs. On an image that does not count, marks on lugs alone are right. Recall is right over
counted; precision is right over proposals, so incomplete ones lower both.

Carry. Right: every mark whose lug is in the frame came, and no other; partial: what came is right;
wrong: one lies beside its lug, or its lug is out of the frame. On another motor's box nothing should
come; marks that do, and lie beside its lugs, are what the name of the wrong phase comes of.

Hot. Found: a finding whose hottest place is on the hot body; misplaced: one elsewhere. False alarms
are findings where nothing is hot. A marked hot lug's own cable, and a background that a finding names
as possible, are listed apart.
"""
import argparse
import json
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

NEAR = 0.5  # radii
SURE = 0.9

# Where the program's documents hold what is judged.
VERDICT = "unmarked_hot_spot"
HOT_IMAGE, OUTSIDE, HOT_PLACE = "image", "outside", "hottest"
SAYS = ("reason", "note", "notes", "remark", "remarks", "limits")
TURNED_WORDS = ("half turn", "upside down", "180")
NAMED_IN = ("cautions", "evidence", "flags", "next_step", "action", "possible")
POSSIBLE_WORDS = ("reflect", "background", "wall", "sun", "mirror")
TWO_WORDS = ("two", "out of frame", "out of the frame", "out of the picture")


def said(entry):
    return " ".join(str(entry[name]) for name in SAYS if name in entry).lower()


def says(entry, words):
    return any(word in said(entry) for word in words)


def centre(mark):
    shape = mark["shape"]
    if shape["kind"] == "circle":
        return np.array(shape["center"], float)
    if shape["kind"] == "rectangle":
        return np.array(shape["corner"], float) + np.array(shape["size"], float) / 2
    return np.mean(np.array(shape["points"], float), axis=0)


def radius(mark):
    """Of the circle with the same area."""
    shape = mark["shape"]
    if shape["kind"] == "circle":
        return float(shape["radius"])
    if shape["kind"] == "rectangle":
        return float(np.sqrt(np.prod(shape["size"]) / np.pi))
    x, y = np.array(shape["points"], float).T
    area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    return float(np.sqrt(area / np.pi))


def lug_marks(entry):
    return [mark for mark in (entry or {}).get("marks", []) if mark.get("role", "lug") == "lug"]


def away(mark, lug):
    """From the lug's centre, in its radii."""
    return float(np.hypot(*(centre(mark) - np.array(lug["center"]))) / lug["radius"])


def percent(part, whole):
    return f"{100 * part / whole:.1f} %" if whole else "–"


def quantile(values, q):
    return float(np.quantile(values, q)) if len(values) else float("nan")


@dataclass
class Held:
    """A figure held against its limit; `most`: the limit is from above."""

    name: str
    value: float
    limit: float
    most: bool = False

    @property
    def met(self):
        # What was never seen, as an error of nothing, meets no limit.
        return bool(self.value <= self.limit if self.most else self.value >= self.limit)


def print_held(rows, before=None):
    """`before`: the same figures of another program."""
    earlier = {row.name: row.value for row in before or []}
    print("\nheld against the limits" + (", and before" if before else ""))
    for row in rows:
        sign = "<=" if row.most else ">="
        met = "met    " if row.met else "NOT MET"
        was = f"  before {earlier.get(row.name, float('nan')):.3f}" if before else ""
        print(f"  {row.name:40} {row.value:8.3f} {sign} {row.limit:<7g} {met}{was}")
    print()
    return all(row.met for row in rows)


# Propose


@dataclass
class Proposal:
    truth: dict
    entry: dict
    outcome: str  # right, incomplete, wrong, none
    counts: bool
    errors: list = field(default_factory=list)  # radii, of the marks on lugs
    ratios: list = field(default_factory=list)
    in_order: bool = False

    @property
    def negative(self):
        return self.truth["kind"] == "negative"


def matched(marks, lugs):
    """Each mark's lug, or None: the nearest within half a radius, each lug once."""
    taken, lug_of = set(), []
    for mark in marks:
        near = [
            (away(mark, lug), k)
            for k, lug in enumerate(lugs)
            if k not in taken and away(mark, lug) <= NEAR
        ]
        lug_of.append(min(near)[1] if near else None)
        taken.add(lug_of[-1])
    return lug_of


def judge_proposal(truth, entry):
    marks = lug_marks(entry)
    lugs = truth["lugs"]
    inside = [lug for lug in lugs if lug["in_frame"]]
    counts = len(inside) >= 2 and all(lug["visible"] for lug in inside)
    if not marks:
        return Proposal(truth, entry or {}, "none", counts)
    lug_of = matched(marks, lugs)
    on_lugs = all(k is not None for k in lug_of)
    if not on_lugs:
        outcome = "wrong"
    elif counts and len(marks) < len(inside):
        outcome = "incomplete"
    else:
        outcome = "right"
    pairs = [(mark, lugs[k]) for mark, k in zip(marks, lug_of) if k is not None]
    orders = [lugs[k]["order"] for k in lug_of if k is not None]
    return Proposal(
        truth,
        entry,
        outcome,
        counts,
        [away(mark, lug) for mark, lug in pairs],
        [radius(mark) / lug["radius"] for mark, lug in pairs],
        orders == sorted(orders),
    )


def by_file(document):
    return {entry["file"]: entry for entry in document["images"]}


def judge_proposals(document, truth):
    entries = by_file(document)
    return [judge_proposal(image, entries.get(image["file"])) for image in truth["images"]]


def size_class(lugs, size):
    share = 2 * np.mean([lug["radius"] for lug in lugs]) / min(size)
    for limit in (0.06, 0.1, 0.2):
        if share < limit:
            return f"lugs under {100 * limit:.0f} % of the short side"
    return "lugs from 20 % of the short side"


def proposal_classes(truth):
    names = [f"layout {truth['layout']}", f"{truth['temper']}", f"shape {truth['shape']}"]
    names.append(f"{truth['size'][0]} columns")
    names.append(size_class(truth["lugs"], truth["size"]))
    if any(0.1 < lug["hidden_share"] for lug in truth["lugs"] if lug["in_frame"]):
        names.append("partly hidden")
    return names


def propose_figures(cases):
    counted = [case for case in cases if case.counts]
    proposed = [case for case in cases if case.outcome != "none"]
    negatives = [case for case in cases if case.negative]
    right = [case for case in cases if case.outcome == "right"]
    errors = [error for case in right for error in case.errors]
    ratios = [ratio for case in right for ratio in case.ratios]
    two = [case for case in counted if case.truth.get("layout") == "two_in_frame"]
    two_right = [case for case in two if case.outcome == "right"]
    return {
        "recall": sum(case.outcome == "right" for case in counted) / max(len(counted), 1),
        "precision": len(right) / len(proposed) if proposed else float("nan"),
        "counted": len(counted),
        "not counted": sum(not case.negative for case in cases) - len(counted),
        "right of counted": sum(case.outcome == "right" for case in counted),
        "proposals": len(proposed),
        "right": len(right),
        "incomplete": sum(case.outcome == "incomplete" for case in cases),
        "wrong": sum(case.outcome == "wrong" for case in cases),
        "negatives": len(negatives),
        "proposals on negatives": sum(case.outcome != "none" for case in negatives),
        "centre error median": quantile(errors, 0.5),
        "centre error p95": quantile(errors, 0.95),
        "radius ratio p5": quantile(ratios, 0.05),
        "radius ratio median": quantile(ratios, 0.5),
        "radius ratio p95": quantile(ratios, 0.95),
        "in order": sum(case.in_order for case in right),
        "two in frame right": len(two_right),
        "two in frame said": sum(says(case.entry, TWO_WORDS) for case in two_right),
    }


def print_proposals(cases, seconds=None):
    f = propose_figures(cases)
    print(f"right of counted  {f['right of counted']} of {f['counted']}, recall {f['recall']:.3f}")
    print(
        f"precision         {f['precision']:.3f}: {f['right']} of {f['proposals']} right, "
        f"{f['incomplete']} incomplete, {f['wrong']} wrong"
    )
    print(f"negatives         proposals on {f['proposals on negatives']} of {f['negatives']}")
    print(
        f"centre error      median {f['centre error median']:.3f}, "
        f"p95 {f['centre error p95']:.3f} radii"
    )
    print(
        f"radius ratio      p5 {f['radius ratio p5']:.2f}, median {f['radius ratio median']:.2f}, "
        f"p95 {f['radius ratio p95']:.2f}"
    )
    print(f"in order          {f['in order']} of {f['right']}")
    print(f"two in frame      {f['two in frame right']} right, {f['two in frame said']} say so")
    print(f"not counted       {f['not counted']} images with a lug that nobody could see")
    if seconds:
        print(f"time              {1000 * seconds / len(cases):.0f} ms an image")
    table = defaultdict(Counter)
    for case in cases:
        if case.counts:
            for name in proposal_classes(case.truth):
                table[name][case.outcome] += 1
    print("\nworst first          counted   right  incomplete  wrong  none")
    share = lambda row: row["right"] / sum(row.values())
    for name, row in sorted(table.items(), key=lambda entry: share(entry[1])):
        print(
            f"{name:38} {sum(row.values()):5d} {percent(row['right'], sum(row.values())):>8}"
            f" {row['incomplete']:5d} {row['wrong']:5d} {row['none']:5d}"
        )
    hit = Counter(case.truth["negative"] for case in cases if case.negative)
    false = Counter(c.truth["negative"] for c in cases if c.negative and c.outcome != "none")
    print("\nnegatives: " + ", ".join(f"{k} {false[k]} of {n}" for k, n in sorted(hit.items())))
    stated = [
        (c.entry.get("confidence"), c.outcome == "right") for c in cases if c.outcome != "none"
    ]
    print_reliability([(p, r) for p, r in stated if p is not None], "proposals")


def propose_held(cases):
    f = propose_figures(cases)
    two = f["two in frame said"] / f["two in frame right"] if f["two in frame right"] else 0.0
    return [
        Held("recall of right marks", f["recall"], 0.85),
        Held("precision", f["precision"], 0.97),
        Held("centre error p95, radii", f["centre error p95"], 0.25, True),
        Held("proposals on negatives", f["proposals on negatives"], 0, True),
        Held("says that a lug is out of frame", two, 0.9),
    ]


# Carry


@dataclass
class Carried:
    truth: dict
    entry: dict
    outcome: str  # right, partial, wrong, refused
    marks: list = field(default_factory=list)  # (confidence, right, radii away)
    beside: bool = False  # on another box: a mark that is on no lug of its name

    @property
    def turned_said(self):
        return says(self.entry, TURNED_WORDS) or bool(self.entry.get("half_turn"))


def judge_pair(truth, entry):
    lugs = {mark["name"]: mark for mark in truth["marks"]}
    came = lug_marks(entry)
    if not came:
        return Carried(truth, entry or {}, "refused")
    marks = []
    for mark in came:
        lug = lugs.get(mark["name"])
        off = away(mark, lug) if lug else float("inf")
        right = bool(lug) and lug["in_frame"] and off <= NEAR
        confidence = mark.get("confidence", entry.get("confidence", 1.0))
        marks.append((float(confidence), right, off))
    due = sum(lug["in_frame"] for lug in lugs.values())
    if not all(right for _, right, _ in marks):
        outcome = "wrong"
    else:
        outcome = "right" if len(came) == due else "partial"
    beside = truth["refuse"] and outcome == "wrong"
    return Carried(truth, entry, outcome, marks, beside)


def judge_pairs(document, truth):
    entries = by_file(document)
    return [judge_pair(pair, entries.get(pair["file"])) for pair in truth["pairs"]]


def calibration_error(stated, right, bins=10):
    """Mean distance of stated and true share over ten equal bins, weighted by their number."""
    stated, right = np.asarray(stated, float), np.asarray(right, float)
    if not len(stated):
        return float("nan")
    which = np.minimum((stated * bins).astype(int), bins - 1)
    return float(
        sum(
            (which == b).mean() * abs(stated[which == b].mean() - right[which == b].mean())
            for b in np.unique(which)
        )
    )


def print_reliability(pairs, name):
    stated = np.array([p for p, _ in pairs], float)
    right = np.array([r for _, r in pairs], float)
    print(f"\nconfidence of {name}: ECE {calibration_error(stated, right):.3f}, {len(pairs)}")
    which = np.minimum((stated * 10).astype(int), 9) if len(pairs) else np.array([])
    for b in np.unique(which):
        inside = which == b
        print(
            f"  {b / 10:.1f} to {(b + 1) / 10:.1f}: {inside.sum():5d}, stated "
            f"{stated[inside].mean():.3f}, right {right[inside].mean():.3f}"
        )


def carry_figures(cases):
    same = [case for case in cases if not case.truth["refuse"]]
    other = [case for case in cases if case.truth["refuse"]]
    marks = [mark for case in same for mark in case.marks]
    sure = [mark for mark in marks if mark[0] >= SURE]
    all_marks = [mark for case in cases for mark in case.marks]
    all_sure = [mark for mark in all_marks if mark[0] >= SURE]
    turned = [case for case in same if case.truth["half_turn"] and case.outcome != "refused"]
    straight = [case for case in same if not case.truth["half_turn"]]
    figures = {
        "success": {
            kind: sum(c.outcome == "right" for c in same if c.truth["kind"] == kind)
            / sum(c.truth["kind"] == kind for c in same)
            for kind in dict.fromkeys(case.truth["kind"] for case in same)
        },
        "sure": len(sure),
        "sure and wrong": sum(not right for _, right, _ in sure),
        "sure with other boxes": len(all_sure),
        "sure and wrong with other boxes": sum(not right for _, right, _ in all_sure),
        "ece": calibration_error([m[0] for m in marks], [m[1] for m in marks]),
        "ece with other boxes": calibration_error(
            [m[0] for m in all_marks], [m[1] for m in all_marks]
        ),
        "other boxes": len(other),
        "other boxes carried": sum(case.outcome != "refused" for case in other),
        "other boxes beside": sum(case.beside for case in other),
        "half turns carried": len(turned),
        "half turns said": sum(case.turned_said for case in turned),
        "half turns said falsely": sum(case.turned_said for case in straight),
    }
    return figures


def print_pairs(cases, milliseconds=None):
    f = carry_figures(cases)
    print("kind            pairs  right  partial  wrong  refused   success   error p95, radii")
    for kind in dict.fromkeys(case.truth["kind"] for case in cases):
        of_kind = [case for case in cases if case.truth["kind"] == kind]
        count = Counter(case.outcome for case in of_kind)
        off = [m[2] for case in of_kind for m in case.marks if m[1]]
        print(
            f"{kind:15} {len(of_kind):5d} {count['right']:6d} {count['partial']:8d}"
            f" {count['wrong']:6d} {count['refused']:8d} {percent(count['right'], len(of_kind)):>9}"
            f" {quantile(off, 0.95):10.3f}"
        )
    print(
        f"\nother boxes       {f['other boxes carried']} of {f['other boxes']} carried, "
        f"{f['other boxes beside']} of them beside its lugs"
    )
    print(
        f"wrong at >= {SURE}     {f['sure and wrong']} of {f['sure']} marks "
        f"({percent(f['sure and wrong'], f['sure'])}); with other boxes "
        f"{f['sure and wrong with other boxes']} of {f['sure with other boxes']}"
    )
    print(
        f"half turn         said in {f['half turns said']} of {f['half turns carried']} carried, "
        f"falsely in {f['half turns said falsely']}"
    )
    if milliseconds:
        spent = ", ".join(f"{size} {ms:.0f} ms" for size, ms in milliseconds.items())
        print(f"time a pair       {spent}")
    same = [case for case in cases if not case.truth["refuse"]]
    print_reliability([m[:2] for case in same for m in case.marks], "carried marks, same box")
    print(f"  with other boxes: ECE {f['ece with other boxes']:.3f}")
    print("\nworst classes of the same box    pairs   right")
    table = defaultdict(Counter)
    for case in same:
        for name in (
            f"{case.truth['size'][0]} columns",
            f"layout {case.truth['layout']}",
            case.truth["temper"],
            f"shape {case.truth['shape']}",
        ):
            table[name][case.outcome] += 1
    share = lambda row: row["right"] / sum(row.values())
    for name, row in sorted(table.items(), key=lambda entry: share(entry[1]))[:8]:
        print(f"{name:32} {sum(row.values()):5d} {percent(row['right'], sum(row.values())):>8}")


LEAST_SUCCESS = {"small": 0.97, "medium": 0.95, "large": 0.85}
MOST_MS = {"640x480": 150, "640x512": 160}  # the same time a pixel


def carry_held(cases, milliseconds):
    f = carry_figures(cases)
    of = lambda part, whole: part / whole if whole else float("nan")
    rows = [
        Held(f"success {kind}", f["success"][kind], least) for kind, least in LEAST_SUCCESS.items()
    ]
    rows += [
        Held(f"wrong at >= {SURE}", of(f["sure and wrong"], f["sure"]), 0.003, True),
        Held(
            f"wrong at >= {SURE}, other boxes too",
            of(f["sure and wrong with other boxes"], f["sure with other boxes"]),
            0.003,
            True,
        ),
        Held("calibration error", f["ece"], 0.05, True),
        Held(
            "other boxes: marks beside lugs",
            of(f["other boxes beside"], f["other boxes"]),
            0.01,
            True,
        ),
        Held("half turns said", of(f["half turns said"], f["half turns carried"]), 1.0),
        Held("half turns said falsely", f["half turns said falsely"], 0, True),
    ]
    rows += [
        Held(f"ms a pair at {size}", milliseconds[size], most, True)
        for size, most in MOST_MS.items()
        if size in milliseconds
    ]
    return rows


# Hot outside the marks


@dataclass
class Hot:
    truth: dict
    findings: list
    outcome: str  # found, misplaced, missed; clear, named, alarm


def names_a_background(finding):
    text = json.dumps([finding[name] for name in NAMED_IN if name in finding]).lower()
    return any(word in text for word in POSSIBLE_WORDS)


def judge_hot_image(truth, findings):
    places = [np.array(f[HOT_PLACE], float) for f in findings if f.get(HOT_PLACE)]
    if truth["hot"] is None:
        named = all(names_a_background(finding) for finding in findings)
        alarm = "named" if truth["kind"] == "background" and named else "alarm"
        return Hot(truth, findings, alarm if findings else "clear")
    if not findings:
        return Hot(truth, findings, "missed")
    reach = truth["hot_radius"] + 1.5
    ends = truth.get("hot_path") or [truth["hot"]]
    on = any(min(np.hypot(*(place - np.array(end))) for end in ends) <= reach for place in places)
    return Hot(truth, findings, "found" if on else "misplaced")


def judge_hot(document, truth):
    places = {image["file"]: image[OUTSIDE][HOT_PLACE] for image in document["images"] if image[OUTSIDE]}
    findings = defaultdict(list)
    for finding in document["findings"]:
        if finding["verdict"] == VERDICT:
            place = {HOT_PLACE: places[finding[HOT_IMAGE]]}
            findings[finding[HOT_IMAGE]].append(finding | place)
    return [judge_hot_image(image, findings[image["file"]]) for image in truth["images"]]


def hot_figures(cases):
    hot = [case for case in cases if case.truth["hot"] is not None]
    none = [case for case in cases if case.truth["kind"] == "none"]
    return {
        "hot": len(hot),
        "found": sum(case.outcome == "found" for case in hot),
        "none": len(none),
        "alarms": sum(case.outcome == "alarm" for case in none),
    }


def hot_held(cases):
    f = hot_figures(cases)
    return [
        Held("hot places found", f["found"] / f["hot"], 0.95),
        Held("false alarms", f["alarms"] / f["none"], 0.05, True),
    ]


def print_hot(cases):
    f = hot_figures(cases)
    print(
        f"hot outside the marks  found {f['found']} of {f['hot']}, false alarms {f['alarms']} of {f['none']}"
    )
    for kind in dict.fromkeys(case.truth["kind"] for case in cases):
        count = Counter(case.outcome for case in cases if case.truth["kind"] == kind)
        print(f"  {kind:16} " + ", ".join(f"{name} {n}" for name, n in sorted(count.items())))


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("task", choices=["propose", "pairs", "hot"])
    parser.add_argument("said", type=Path)
    parser.add_argument("truth", type=Path)
    given = parser.parse_args()
    document = json.loads(given.said.read_text(encoding="utf-8"))
    truth = json.loads(given.truth.read_text(encoding="utf-8"))
    if given.task == "propose":
        print_proposals(judge_proposals(document, truth))
    elif given.task == "pairs":
        print_pairs(judge_pairs(document, truth))
    else:
        print_hot(judge_hot(document, truth))


if __name__ == "__main__":
    sys.exit(main())
