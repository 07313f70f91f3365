"""Holds the judge against proposals, carried marks and findings made by hand: python3 test_judge.py"""
import contextlib
import io

import judge


def lug(order, x, y, radius=10.0, in_frame=True, visible=True):
    return {
        "order": order,
        "center": [x, y],
        "radius": radius,
        "in_frame": in_frame,
        "visible": visible,
        "hidden_share": 0.0,
    }


def mark(name, x, y, radius=10.0, confidence=0.95, role="lug"):
    shape = {"kind": "circle", "center": [x, y], "radius": radius}
    return {"name": name, "role": role, "shape": shape, "confidence": confidence}


def scene(file, lugs, layout="row", kind="lugs"):
    return {
        "file": file,
        "size": [320, 240],
        "kind": kind,
        "layout": layout,
        "temper": "warm",
        "shape": "ring",
        "negative": "wall",
        "lugs": lugs,
    }


ROW = [lug(1, 50, 100), lug(2, 100, 100), lug(3, 150, 100)]
TWO = [lug(1, 50, 100), lug(2, 100, 100), lug(3, 330, 100, in_frame=False, visible=False)]
FAINT = [lug(1, 50, 100), lug(2, 100, 100), lug(3, 150, 100, visible=False)]

PROPOSE_TRUTH = {
    "images": [
        scene("right", ROW),
        scene("beside", ROW),
        scene("incomplete", ROW),
        scene("nothing", ROW),
        scene("two", TWO, "two_in_frame"),
        scene("faint, on lugs", FAINT),
        scene("faint, nothing", FAINT),
        scene("wall, nothing", [], kind="negative"),
        scene("wall, marked", [], kind="negative"),
        scene("twice on one", ROW),
    ]
}
PROPOSED = {
    "images": [
        {
            "file": "right",
            "confidence": 0.9,
            "marks": [
                mark("A", 50, 101, 9),
                mark("B", 100, 102, 10),
                mark("C", 150, 103, 11),
                mark("air", 10, 10, role="ambient"),
            ],
        },
        {"file": "beside", "marks": [mark("A", 50, 100), mark("B", 100, 100), mark("C", 156, 100)]},
        {"file": "incomplete", "marks": [mark("A", 50, 100), mark("B", 100, 100)]},
        {"file": "nothing", "marks": []},
        {
            "file": "two",
            "note": "two lugs: the third is out of frame",
            "marks": [mark("A", 50, 100), mark("B", 100, 100)],
        },
        {"file": "faint, on lugs", "marks": [mark("A", 50, 100), mark("B", 100, 100)]},
        {"file": "wall, marked", "marks": [mark("A", 50, 100)]},
        {
            "file": "twice on one",
            "marks": [mark("A", 50, 100), mark("B", 51, 100), mark("C", 150, 100)],
        },
    ]
}


def test_proposals_are_counted():
    cases = judge.judge_proposals(PROPOSED, PROPOSE_TRUTH)
    outcomes = {case.truth["file"]: case.outcome for case in cases}
    assert outcomes == {
        "right": "right",
        "beside": "wrong",
        "incomplete": "incomplete",
        "nothing": "none",
        "two": "right",
        "faint, on lugs": "right",
        "faint, nothing": "none",
        "wall, nothing": "none",
        "wall, marked": "wrong",
        "twice on one": "wrong",
    }
    f = judge.propose_figures(cases)
    assert f["counted"] == 6 and f["not counted"] == 2
    assert f["right of counted"] == 2 and abs(f["recall"] - 2 / 6) < 1e-12
    assert f["proposals"] == 7 and f["right"] == 3 and abs(f["precision"] - 3 / 7) < 1e-12
    assert f["incomplete"] == 1 and f["wrong"] == 3
    assert f["negatives"] == 2 and f["proposals on negatives"] == 1
    # 0.1, 0.2, 0.3 and four of 0.
    assert f["centre error median"] == 0 and abs(f["centre error p95"] - 0.27) < 1e-9
    assert f["radius ratio median"] == 1
    assert f["two in frame right"] == 1 and f["two in frame said"] == 1


def test_a_mark_is_right_within_half_a_radius():
    for x, outcome in ((54.9, "right"), (55.1, "wrong")):
        marks = [mark("A", x, 100), mark("B", 100, 100), mark("C", 150, 100)]
        assert judge.judge_proposal(scene("a", ROW), {"marks": marks}).outcome == outcome


def test_shapes_have_centres_and_radii():
    rectangle = {"shape": {"kind": "rectangle", "corner": [1, 2], "size": [4, 6]}}
    assert list(judge.centre(rectangle)) == [3, 5]
    assert abs(judge.radius(rectangle) - (24 / 3.141592653589793) ** 0.5) < 1e-12
    square = {"shape": {"kind": "polygon", "points": [[0, 0], [2, 0], [2, 2], [0, 2]]}}
    assert list(judge.centre(square)) == [1, 1]
    assert abs(judge.radius(square) - (4 / 3.141592653589793) ** 0.5) < 1e-12


def pair(file, kind="small", refuse=False, out=None, half_turn=False):
    marks = [
        {"name": f"T{k}", "center": [50.0 * k, 100.0], "radius": 10.0, "in_frame": k != out}
        for k in (1, 2, 3)
    ]
    return {
        "file": file,
        "kind": kind,
        "older_size": [320, 240],
        "size": [320, 240],
        "layout": "row",
        "temper": "warm",
        "shape": "ring",
        "refuse": refuse,
        "half_turn": half_turn,
        "marks": marks,
    }


def three(x=0.0, confidence=0.95, names=(1, 2, 3)):
    return [mark(f"T{k}", 50 * k + x, 100, confidence=confidence) for k in names]


PAIR_TRUTH = {
    "pairs": [
        pair("right"),
        pair("one lug on"),
        pair("partial"),
        pair("refused"),
        pair("out", "partly_out", out=3),
        pair("out, carried all", "partly_out", out=3),
        pair("turned", "half_turn", half_turn=True),
        pair("turned, silent", "half_turn", half_turn=True),
        pair("other, beside", "other_box", refuse=True),
        pair("other, on lugs", "other_box", refuse=True),
        pair("other, refused", "other_box", refuse=True),
    ]
}
CARRIED = {
    "images": [
        {"file": "right", "marks": three(1)},
        {"file": "one lug on", "marks": three(50, 0.92)},
        {"file": "partial", "marks": three(0, 0.55, (1, 2))},
        {"file": "refused", "marks": [], "reason": "no likeness"},
        {"file": "out", "marks": three(0, 0.85, (1, 2))},
        {"file": "out, carried all", "marks": three(0, 0.85)},
        {"file": "turned", "reason": "after a half turn", "marks": three()},
        {"file": "turned, silent", "marks": three()},
        {"file": "other, beside", "marks": three(20, 0.95)},
        {"file": "other, on lugs", "marks": three(2, 0.95)},
    ]
}


def test_carried_marks_are_counted():
    cases = judge.judge_pairs(CARRIED, PAIR_TRUTH)
    outcomes = {case.truth["file"]: case.outcome for case in cases}
    assert outcomes == {
        "right": "right",
        "one lug on": "wrong",
        "partial": "partial",
        "refused": "refused",
        "out": "right",
        "out, carried all": "wrong",
        "turned": "right",
        "turned, silent": "right",
        "other, beside": "wrong",
        "other, on lugs": "right",
        "other, refused": "refused",
    }
    f = judge.carry_figures(cases)
    assert f["success"] == {"small": 0.25, "partly_out": 0.5, "half_turn": 1.0}
    assert f["sure"] == 12 and f["sure and wrong"] == 3
    assert f["sure with other boxes"] == 18 and f["sure and wrong with other boxes"] == 6
    assert (f["other boxes"], f["other boxes carried"], f["other boxes beside"]) == (3, 2, 1)
    assert (f["half turns carried"], f["half turns said"]) == (2, 1)
    assert f["half turns said falsely"] == 0


def test_calibration_error_by_hand():
    """0.95 stated four times and right three times; 0.25 stated twice and never right."""
    error = judge.calibration_error([0.95] * 4 + [0.25] * 2, [1, 1, 1, 0, 0, 0])
    assert abs(error - (4 / 6 * 0.20 + 2 / 6 * 0.25)) < 1e-12
    assert judge.calibration_error([1.0, 1.0], [1, 1]) == 0


def hot_image(file, kind, hot=None, path=()):
    return {
        "file": file,
        "size": [320, 240],
        "kind": kind,
        "hot": hot,
        "hot_radius": 5.0 if hot else None,
        "hot_path": list(path),
        "rise_k": 20.0 if hot else None,
        "lugs": ROW,
    }


def finding(image, place, **more):
    return {"verdict": judge.VERDICT, judge.HOT_IMAGE: image, judge.HOT_PLACE: place, **more}


def test_hot_places_are_counted():
    truth = {
        "images": [
            hot_image("found", "between", [80, 90]),
            hot_image("along", "cable", [80, 90], [[80, 90], [80, 120]]),
            hot_image("elsewhere", "between", [80, 90]),
            hot_image("missed", "forgotten", [80, 90]),
            hot_image("clear", "none"),
            hot_image("alarm", "none"),
            hot_image("sun", "background"),
            hot_image("sun, not named", "background"),
        ]
    }
    document = {
        "findings": [
            finding("found", [83, 93]),
            finding("along", [82, 121]),
            finding("elsewhere", [180, 90]),
            finding("alarm", [10, 10]),
            finding("sun", [10, 10], cautions=["may be a reflection"]),
            finding("sun, not named", [10, 10]),
            {"verdict": "heat_only", "image": "clear", "hottest": [50, 100]},
        ]
    }
    document["images"] = [
        {"file": finding["image"], "outside": {"hottest": finding.pop("hottest")}}
        for finding in document["findings"]
    ] + [{"file": "missed", "outside": None}]
    cases = judge.judge_hot(document, truth)
    assert [case.outcome for case in cases] == [
        "found",
        "found",
        "misplaced",
        "missed",
        "clear",
        "alarm",
        "named",
        "alarm",
    ]
    f = judge.hot_figures(cases)
    assert f == {"hot": 4, "found": 2, "none": 2, "alarms": 1}


def test_limits_are_met_or_not():
    assert judge.Held("a", 0.85, 0.85).met and not judge.Held("a", 0.84, 0.85).met
    assert judge.Held("a", 0.2, 0.25, True).met and not judge.Held("a", 0.3, 0.25, True).met
    nothing = float("nan")
    assert not judge.Held("a", nothing, 0.25, True).met and not judge.Held("a", nothing, 0.5).met


def test_tables_print_every_class():
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        judge.print_proposals(judge.judge_proposals(PROPOSED, PROPOSE_TRUTH), 1.0)
        judge.print_pairs(judge.judge_pairs(CARRIED, PAIR_TRUTH), {"320x240": 20.0})
        met = judge.print_held([judge.Held("a", 0.1, 0.5)])
    assert not met
    for words in ("layout two_in_frame", "wall 1 of 2", "partly_out", "320x240 20 ms", "NOT MET"):
        assert words in said.getvalue(), words


def main():
    for name, test in sorted(globals().items()):
        if name.startswith("test_"):
            test()
            print(f"{name[5:].replace('_', ' ')}: held")


if __name__ == "__main__":
    main()
