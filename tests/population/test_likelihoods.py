"""Holds the counting of likelihoods against counts made by hand: python3 test_likelihoods.py"""
import likelihoods
import population
import settings

HEADER = """
enum class Cause {
  sound,
  lug_joint,
  upstream_joint,
  downstream_joint,
};
enum class Fact {
  heat_even,  // of the heat
  heat_one_lug,
  current_even,
  current_unequal,
};
"""
SOURCE = """
constexpr std::array<CauseRow, kCauses> kCauseRows{{{"sound", msg("nothing is wrong"), 1.0}}};
constexpr std::array<FactRow, kFacts> kFactRows{{
    {"heat_even", msg("the lugs are even"), {0.5}},
    {"heat_one_lug",
     msg("one lug alone is hot"), {0.5}},
    {"current_even", msg("the currents are alike"), {0.5}},
    {"current_unequal", msg("the currents are unequal"), {0.5}},
}};
constexpr std::array<Fact, 2> kKinds{Fact::heat_even, Fact::current_even};
"""
PROGRAM = likelihoods.tables(HEADER, SOURCE)


def motor(name, kind, bad=None):
    return {
        "motor": name,
        "kind": kind,
        "bad_component": bad,
        "components": ["disconnect", "starter load side", "terminal box"],
    }


def component(name, place, *seen):
    return {"motor": name, "component": place, "seen": list(seen)}


TRUTH = {
    "motors": [
        motor("A", "sound"),
        motor("B", "burnt_joint", "starter load side"),
        motor("C", "no_load"),
    ]
}
FOUND = {
    "components": [
        component("A", "terminal box", "heat_even", "current_even"),
        component("A", "disconnect", "heat_even"),
        component("B", "disconnect", "heat_even"),
        component("B", "starter load side", "heat_one_lug", "current_even"),
        component("B", "terminal box", "heat_one_lug", "current_unequal"),
        component("C", "terminal box", "current_even"),
    ]
}


def tables_are_those_of_the_program():
    assert PROGRAM.causes == ["sound", "lug_joint", "upstream_joint", "downstream_joint"]
    assert PROGRAM.kinds == [["heat_even", "heat_one_lug"], ["current_even", "current_unequal"]]
    assert PROGRAM.words["heat_one_lug"] == "one lug alone is hot"


def the_real_tables_can_be_read():
    header, source = (
        (likelihoods.DIAGNOSIS / f"explanations.{ending}").read_text() for ending in ("h", "cpp")
    )
    real = likelihoods.tables(header, source)
    assert all(len(kind) > 1 for kind in real.kinds)
    assert set(likelihoods.ELSEWHERE.values()) | set(likelihoods.JOINTS.values()) <= set(
        real.causes
    )
    counts, _ = likelihoods.count(FOUND, TRUTH)
    written = likelihoods.rows(real, counts)
    assert written.count("msg(") == len(real.words) == sum(len(kind) for kind in real.kinds)


def a_cause_is_what_is_seen_from_the_component():
    joint = TRUTH["motors"][1]
    assert likelihoods.cause_at(joint, "starter load side") == "lug_joint"
    assert likelihoods.cause_at(joint, "terminal box") == "upstream_joint"
    assert likelihoods.cause_at(joint, "disconnect") == "downstream_joint"
    assert likelihoods.cause_at(TRUTH["motors"][2], "terminal box") == "sound"
    assert likelihoods.cause_at(motor("D", "open_delta"), "disconnect") == "winding"


def every_kind_of_truth_has_its_cause():
    for kind in settings.TUNE_SHARES:
        with_joint = kind in likelihoods.JOINTS
        assert with_joint != (kind in likelihoods.ELSEWHERE), kind
    assert set(settings.TUNE_SHARES) == set(population.CHANGES)


def facts_are_counted_by_cause_and_smoothed():
    seen, components = likelihoods.count(FOUND, TRUTH)
    assert components == {"sound": 3, "lug_joint": 1, "upstream_joint": 1, "downstream_joint": 1}
    heat = likelihoods.likelihoods(PROGRAM.kinds[0], PROGRAM.causes, seen)
    # Of all causes: 3 even, 2 hot, with one more each 4/7 and 3/7; sound: 2 even of 2.
    # (2 + 3 * 4/7) / 5 = 0.743; lug_joint: 3 * 4/7 / 4 = 0.429; downstream: (1 + 12/7) / 4 = 0.679.
    assert heat["heat_even"] == [0.743, 0.429, 0.429, 0.679], heat
    assert heat["heat_one_lug"] == [0.257, 0.571, 0.571, 0.321], heat


def what_was_never_seen_is_what_is_usual():
    seen, _ = likelihoods.count(FOUND, TRUTH)
    current = likelihoods.likelihoods(PROGRAM.kinds[1], PROGRAM.causes, seen)
    # No current was noted downstream: 3 even, 1 unequal of all, with one more each 4/6 and 2/6.
    assert current["current_even"][3] == 0.667 and current["current_unequal"][3] == 0.333


def columns_sum_to_one_and_nothing_is_impossible():
    for column in ([0.99996, 0.00002, 0.00002], [1 / 3, 1 / 3, 1 / 3], [0.0005, 0.9995]):
        shares = likelihoods.rounded(column)
        assert abs(sum(shares) - 1) < 1e-12 and min(shares) >= 0.001, shares


def rows_are_written_as_the_program_has_them():
    seen, _ = likelihoods.count(FOUND, TRUTH)
    written = likelihoods.rows(PROGRAM, seen)
    assert written.startswith(
        '    {"heat_even", msg("the lugs are even"),\n     {0.743, 0.429, 0.429, 0.679}},\n'
    )
    assert '}},\n\n    {"current_even"' in written
    again = (
        SOURCE[: SOURCE.index('    {"heat_even')] + written + SOURCE[SOURCE.index("}};\nconst") :]
    )
    assert likelihoods.tables(HEADER, again) == PROGRAM


if __name__ == "__main__":
    for check in (
        tables_are_those_of_the_program,
        the_real_tables_can_be_read,
        a_cause_is_what_is_seen_from_the_component,
        every_kind_of_truth_has_its_cause,
        facts_are_counted_by_cause_and_smoothed,
        what_was_never_seen_is_what_is_usual,
        columns_sum_to_one_and_nothing_is_impossible,
        rows_are_written_as_the_program_has_them,
    ):
        check()
        print("ok", check.__name__.replace("_", " "))
