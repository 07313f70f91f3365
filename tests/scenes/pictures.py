"""Ten successes and every failure of each task, twelve to a sheet.

Green, solid: where the lugs are. White, dashed: what the program marked. Blue: marks given, or a lug
that nobody could see. Captions say what the scene is and what came of it.
"""
import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

import camera
import judge

SUCCESSES, FAILURES, PER_SHEET, COLUMNS = 10, 60, 12, 4
TRUE, MARKED, GIVEN, HOT = "#62d96b", "#ffffff", "#6ab7ff", "#ff5a5a"


def circle(axes, centre, radius, colour, style="-"):
    axes.add_patch(
        plt.Circle(centre, radius, fill=False, color=colour, linestyle=style, linewidth=1.1)
    )


def thermogram(axes, path, caption):
    celsius = camera.read(path)
    low, high = np.percentile(celsius, [0.5, 99.7])
    axes.imshow(celsius, cmap="inferno", vmin=low, vmax=high, interpolation="nearest")
    axes.set(xlim=(-0.5, celsius.shape[1] - 0.5), ylim=(celsius.shape[0] - 0.5, -0.5))
    axes.set_xticks([])
    axes.set_yticks([])
    axes.set_title(caption, fontsize=6.5, loc="left")


def sheets(drawings, folder, name):
    """`drawings`: functions that draw onto axes."""
    folder.mkdir(parents=True, exist_ok=True)
    for start in range(0, len(drawings), PER_SHEET):
        some = drawings[start : start + PER_SHEET]
        rows = -(-len(some) // COLUMNS)
        figure, grid = plt.subplots(rows, COLUMNS, figsize=(12, 2.75 * rows), squeeze=False)
        for axes in grid.flat[len(some) :]:
            axes.axis("off")
        for axes, draw in zip(grid.flat, some):
            draw(axes)
        figure.tight_layout(pad=0.4)
        path = folder / f"{name}_{start // PER_SHEET + 1}.png"
        figure.savefig(path, dpi=80, metadata={"Software": None})
        plt.close(figure)


def proposal(case, folder):
    truth = case.truth
    what = truth.get("negative") or f"{truth['layout']} {truth['temper']} {truth['shape']}"
    name = truth["file"].split("/")[-1]

    def draw(axes):
        thermogram(
            axes,
            folder / "survey" / truth["file"],
            f"{name}, {truth['size'][0]} columns: {what}\n{case.outcome}"
            + ("" if case.counts or case.negative else " (not counted)"),
        )
        for lug in truth["lugs"]:
            circle(axes, lug["center"], lug["radius"], TRUE if lug["visible"] else GIVEN)
        for mark in judge.lug_marks(case.entry):
            circle(axes, judge.centre(mark), judge.radius(mark), MARKED, "--")

    return draw


def draw_proposals(cases, folder, out):
    right = [c for c in cases if c.counts and c.outcome == "right"]
    failed = [c for c in cases if c.outcome in ("wrong", "incomplete")]
    failed += [c for c in cases if c.counts and c.outcome == "none"]
    sheets([proposal(c, folder) for c in right[:SUCCESSES]], out, "propose_right")
    sheets([proposal(c, folder) for c in failed[:FAILURES]], out, "propose_failed")


def older_and_newer(case, folder):
    truth = case.truth
    name = truth["file"].split("/")[-1]

    def older(axes):
        caption = f"{name}, older, {truth['older_size'][0]} columns"
        thermogram(axes, folder / "older" / truth["file"], f"{caption}\n{truth['layout']}")
        for mark in truth["marks"]:
            circle(axes, mark["older_center"], mark["older_radius"], GIVEN)

    def newer(axes):
        sure = [f"{mark[0]:.2f}" for mark in case.marks]
        caption = f"newer, {truth['size'][0]} columns: {case.outcome}\n{', '.join(sure)}"
        thermogram(axes, folder / "newer" / truth["file"], caption)
        for mark in truth["marks"]:
            circle(axes, mark["center"], mark["radius"], TRUE)
        for mark in judge.lug_marks(case.entry):
            circle(axes, judge.centre(mark), judge.radius(mark), MARKED, "--")

    return [older, newer]


def draw_pairs(cases, folder, out):
    good = lambda c: c.outcome == ("refused" if c.truth["refuse"] else "right")
    right = [c for c in cases if good(c) and not c.truth["refuse"]]
    right = right[:: max(1, len(right) // SUCCESSES)][:SUCCESSES]
    failed = sorted((c for c in cases if not good(c)), key=lambda c: c.outcome != "wrong")
    for some, name in ((right, "carry_right"), (failed[:FAILURES], "carry_failed")):
        sheets([draw for c in some for draw in older_and_newer(c, folder)], out, name)


def hot_place(case, folder):
    truth = case.truth
    name = truth["file"].split("/")[-1]

    def draw(axes):
        rise = f", {truth['rise_k']:.0f} K over the marked" if truth["hot"] else ""
        caption = f"{name}: {truth['kind']}{rise}\n{case.outcome}"
        thermogram(axes, folder / "survey" / truth["file"], caption)
        for lug in truth["lugs"]:
            circle(axes, lug["center"], lug["radius"], GIVEN)
        if truth["hot"]:
            circle(axes, truth["hot"], truth["hot_radius"], HOT)
        for finding in case.findings:
            axes.plot(*finding[judge.HOT_PLACE], "+", color=MARKED, markersize=9)

    return draw


def draw_hot(cases, folder, out):
    right = [c for c in cases if c.outcome in ("found", "clear", "named")]
    failed = [c for c in cases if c.outcome in ("missed", "misplaced", "alarm")]
    sheets([hot_place(c, folder) for c in right[:SUCCESSES]], out, "hot_right")
    sheets([hot_place(c, folder) for c in failed[:FAILURES]], out, "hot_failed")


DRAWN = {"propose": draw_proposals, "pairs": draw_pairs, "hot": draw_hot}
