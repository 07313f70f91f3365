"""Holds the judge against findings made by hand: python3 test_judge.py"""
import copy

import judge


def truth(name, kind, **more):
    base = {
        "motor": name,
        "kind": kind,
        "imaged": ["terminal box"],
        "bad_component": None,
        "bad_phase": None,
        "rise_at_rated_c": None,
        "camera_sees": False,
        "four_wire": True,
        "load_share": 0.7,
        "current_unbalance_pct": 0.5,
        "voltage_unbalance_pct": 0.1,
        "voltages_read": True,
        "hottest_over_air_c": 8.0,
        "resistance_places": [],
        "emissivity_entered": 0.95,
        "over_like_c": 0.5,
    }
    return {**base, **more}


BAD = {
    "bad_component": "terminal box",
    "bad_phase": 2,
    "camera_sees": True,
    "rise_at_rated_c": 20.0,
}


def component(motor, verdict, stated=0.9, top="sound"):
    return {
        "motor": motor,
        "component": "terminal box",
        "verdict": verdict,
        "verdict_probability": {"confirmed": stated},
        "explanations": [{"id": top, "probability": 0.8}, {"id": "winding", "probability": 0.2}],
    }


def finding(motor, rank, verdict, phase, band="plan", band_by="like"):
    return {
        "motor": motor,
        "rank": rank,
        "component": "terminal box",
        "verdict": verdict,
        "phase": phase,
        "band": band,
        "band_by": band_by,
    }


TRUTH = {
    "motors": [
        truth("A", "bad_joint", **BAD),
        truth("B", "bad_joint", **BAD),
        truth("C", "sound"),
        truth("D", "equal_lugs"),
        truth("E", "open_phase"),
        truth("F", "low_load_bad", **BAD),
        truth("G", "unequal_load", current_unbalance_pct=8.0),
        truth("H", "unequal_supply", voltage_unbalance_pct=2.0),
    ]
}
FOUND = {
    "components": [
        component("A", "confirmed", top="lug_joint"),
        component("B", "confirmed"),
        component("C", "even"),
        component("D", "no_reading"),
        component("E", "open_phase"),
        component("F", "even"),
        component("G", "load_unbalance", top="unequal_load"),
        component("H", "load_unbalance"),
    ],
    "findings": [
        finding("A", 1, "confirmed", 2),
        finding("B", 2, "confirmed", 3),
        finding("D", 3, "no_reading", 1, "watch"),
    ],
    "motors": [{"motor": m["motor"], "verdict": "even"} for m in TRUTH["motors"]],
}


def values(found):
    return {one.name: one.value for one in judge.figures(judge.gather(found, TRUTH))}


def every_figure_counts_what_it_says():
    got = values(FOUND)
    wanted = {
        "wrong among confirmed, 4-wire meters": 1 / 2,
        "calibration error of confirmed": 0.4,
        "low, short or no load called even": 1,
        "healthy motors in the ranking": 1 / 2,
        "healthy motors called plan or worse": 0,
        "right component and phase of a joint the camera sees": 1 / 3,
        "unequal load recalled": 1,
        "unequal supply recalled": 0,
        "joints lost to an unbalance verdict": 0,
        "equal lugs called hot": 1,
        "top explanation right": 4 / 8,
        "open phase recalled": 1,
    }
    for name, value in wanted.items():
        assert abs(got[name] - value) < 1e-12, (name, got[name], value)


def a_joint_called_unbalance_is_lost():
    changed = copy.deepcopy(FOUND)
    changed["components"][0]["verdict"] = "load_unbalance"
    assert values(changed)["joints lost to an unbalance verdict"] == 1


def what_is_listed_apart_is_not_called_even():
    changed = copy.deepcopy(FOUND)
    changed["components"] = [one for one in changed["components"] if one["motor"] != "F"]
    changed["not_judged"] = [{"motor": "F", "component": "terminal box"}]
    assert values(changed)["low, short or no load called even"] == 0


def remarks_are_written():
    assert "unequal load 0 of 0" in judge.remarks(judge.gather(FOUND, TRUTH))


def nothing_to_judge_by_is_not_met():
    assert not judge.Figure("none", None, 0.05, judge.LOWER, "").met()


def calibration_error_is_the_weighted_gap():
    stated, right = [0.95] * 4 + [0.55] * 4, [1, 1, 1, 0] + [1, 0, 0, 0]
    assert abs(judge.calibration_error(stated, right) - (0.2 + 0.3) / 2) < 1e-12


if __name__ == "__main__":
    for check in (
        every_figure_counts_what_it_says,
        a_joint_called_unbalance_is_lost,
        what_is_listed_apart_is_not_called_even,
        nothing_to_judge_by_is_not_met,
        remarks_are_written,
        calibration_error_is_the_weighted_gap,
    ):
        check()
        print("ok", check.__name__.replace("_", " "))
