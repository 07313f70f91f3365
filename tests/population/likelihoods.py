"""Counts how often each observation is made with each cause: likelihoods.py FINDINGS TRUTH

FINDINGS is a findings.json of the set `tune`, whose components name the observations that their
explanations rest on (`seen`); TRUTH is that set's truth.json. Prints the rows of kFactRows for
src/diagnosis/explanations.cpp, with causes and facts in the order of explanations.h; their words
and kinds are those of explanations.cpp. On standard error: how many components each cause has.

The cause of a component is what its motor's truth is seen from there: a bad joint at the component
itself is that joint; from any other component it lies upstream or downstream. A cause that was seen
too seldom to tell is drawn to what is usual: to the counts of a cause within a kind come 3 more, in
the proportions of all causes together (additive smoothing). Each kind then sums to 1 for each
cause, to the printed 0.001, and nothing is impossible.
"""
import argparse
import json
import re
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

DIAGNOSIS = Path(__file__).parents[2] / "src/diagnosis"
PSEUDO_COUNTS = 3.0
UNITS = 1000  # of the printed 0.001

#: A joint's excess: the cause at the component that holds it.
JOINTS = {
    "bad_joint": "lug_joint",
    "burnt_joint": "lug_joint",
    "drive_bad_joint": "lug_joint",
    "low_load_bad": "lug_joint",
    "short_run_bad": "lug_joint",
    "no_load": "lug_joint",
    "upstream_joint": "lug_joint",
    "downstream_joint": "lug_joint",
    "double_conductor": "double_conductor",
    "parallel_lugs": "double_conductor",
    "switch_contact": "switch_contact",
    "swapped_marking": "swapped_marking",
}
#: The cause wherever one looks.
ELSEWHERE = {
    "sound": "sound",
    "equal_lugs": "sound",
    "equal_warm_lugs": "sound",
    "low_load_sound": "sound",
    "drive_sound": "drive",
    "winding_turns": "winding",
    "winding_delta": "winding",
    "open_delta": "winding",
    "meter_lead": "meter_lead",
    "unequal_load": "unequal_load",
    "unequal_supply": "unequal_supply",
    "sun": "sun",
    "reflection": "reflection",
    "unlike_emissivity": "unlike_emissivity",
    "open_phase": "open_phase",
}


@dataclass
class Tables:
    """Of the program: causes, facts by kind, and a fact's words."""

    causes: list
    kinds: list  # lists of facts
    words: dict


def enumerators(header, name):
    body = re.search(rf"enum class {name} \{{(.*?)\}};", header, re.DOTALL).group(1)
    return re.findall(r"\w+", re.sub(r"//.*", "", body))


def tables(header, source):
    facts = enumerators(header, "Fact")
    first = re.search(r"kKinds\{(.*?)\}", source, re.DOTALL).group(1)
    starts = [facts.index(name) for name in re.findall(r"Fact::(\w+)", first)]
    ends = starts[1:] + [len(facts)]
    kinds = [facts[start:end] for start, end in zip(starts, ends)]
    rows = source[source.index("kFactRows") :]
    words = dict(re.findall(r'\{"(\w+)",\s*msg\("([^"]*)"\)', rows))
    return Tables(enumerators(header, "Cause"), kinds, {fact: words[fact] for fact in facts})


def cause_at(truth, component):
    kind, bad = truth["kind"], truth["bad_component"]
    if bad is None:
        return "sound" if kind == "no_load" else ELSEWHERE[kind]
    if component == bad:
        return JOINTS[kind]
    order = truth["components"]
    return "upstream_joint" if order.index(bad) < order.index(component) else "downstream_joint"


def count(found, truth):
    """cause -> how often each fact was seen, and how many components each cause has."""
    motors = {motor["motor"]: motor for motor in truth["motors"]}
    seen, components = defaultdict(Counter), Counter()
    for entry in found["components"]:
        cause = cause_at(motors[entry["motor"]], entry["component"])
        seen[cause].update(entry["seen"])
        components[cause] += 1
    return seen, components


def likelihoods(kind, causes, seen):
    """fact -> shares in the order of the causes."""
    overall = Counter({fact: sum(seen[cause][fact] for cause in causes) for fact in kind})
    total = sum(overall.values()) + len(kind)
    usual = {fact: (overall[fact] + 1) / total for fact in kind}
    shares = {fact: [] for fact in kind}
    for cause in causes:
        of_kind = sum(seen[cause][fact] for fact in kind)
        column = [
            (seen[cause][fact] + PSEUDO_COUNTS * usual[fact]) / (of_kind + PSEUDO_COUNTS)
            for fact in kind
        ]
        for fact, share in zip(kind, rounded(column)):
            shares[fact].append(share)
    return shares


def rounded(column):
    """To 0.001 and a sum of 1: none below 0.001, the largest takes what is left."""
    units = [max(1, round(share * UNITS)) for share in column]
    units[units.index(max(units))] += UNITS - sum(units)
    return [unit / UNITS for unit in units]


def rows(program, seen):
    kinds = []
    for kind in program.kinds:
        shares = likelihoods(kind, program.causes, seen)
        kinds.append(
            "\n".join(
                f'    {{"{fact}", msg("{program.words[fact]}"),\n'
                f'     {{{", ".join(f"{share:.3f}" for share in shares[fact])}}}}},'
                for fact in kind
            )
        )
    return "\n\n".join(kinds)


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("findings", type=Path)
    parser.add_argument("truth", type=Path)
    given = parser.parse_args()
    truth = json.loads(given.truth.read_text())
    if truth["set"] != "tune":
        sys.exit(
            f'{given.truth} is of the set "{truth["set"]}": likelihoods are counted in the set '
            '"tune" alone, or the set that judges them has seen them'
        )
    header, source = (
        (DIAGNOSIS / f"explanations.{ending}").read_text(encoding="utf-8")
        for ending in ("h", "cpp")
    )
    program = tables(header, source)
    seen, components = count(json.loads(given.findings.read_text()), truth)
    print(rows(program, seen))
    for cause in program.causes:
        print(f"{cause:<20}{components[cause]:>6}", file=sys.stderr)


if __name__ == "__main__":
    main()
