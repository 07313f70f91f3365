"""Survey folders with known truth: make.py DIR --set tune|judge --seed N --scenes K [--task ...]

The tasks, each a folder of its own with truth.json:
- propose: DIR/survey, K unmarked images of three lugs or of none;
- pairs: DIR/older with marks, DIR/newer without, K pairs of each kind, 3 K of another motor's box;
- hot: DIR/survey with marks, K images with something hot outside every mark, or with nothing.
Without --task all three are made, in DIR/propose, DIR/pairs and DIR/hot. --real adds frames of open
data sets: as images without lugs, and warped as pairs.

truth.json holds `images` (propose, hot) or `pairs`, each with its `file` and `size`, columns and
rows. All places are in pixels; (0, 0) is the middle of the first one.
- propose: `kind` lugs or negative (then `negative` says what), `layout`, `temper`, `shape`, `course`;
  `lugs`: `order` along the row, from the left or the top where it is level or plumb, `center` and
  `radius` of the seat, `in_frame`, `hidden_share`, `contrast_k`, `outline_share`, `visible`.
- pairs: `kind`; `matrix`, older pixels to newer ones on the ground of the box; `half_turn`; `refuse`:
  another motor's box; `marks`: `name`, where it lies (`older_center`, `older_radius`) and where it
  must land (`center`, `radius`, `in_frame`), or of another box where the lug of that name is.
- hot: `kind`; `hot`, the place, or null, `hot_radius`, `hot_path` along the hot body, `rise_k` over the
  warmest marked lug; `lugs`.
"""
import argparse
import csv
import json
from pathlib import Path

import numpy as np

import box as boxes
import camera as optics
import canvas
import further_negatives
import hot
import negatives
import real
import settings
import visits

NEGATIVES = negatives.KINDS | further_negatives.KINDS
TASKS = ["propose", "pairs", "hot"]
STREAMS = {name: k for k, name in enumerate(TASKS)}
IMAGE_COLUMNS = ["file", "motor", "component", "air_c", "reflected_c", "emissivity"]
SITE = {"site": "Bexley Creek grain terminal", "surveyed_on": "2026-11-10"}


def generator(given_set, seed, task, *more):
    """A scene is the same in any company."""
    return np.random.default_rng(
        [seed, sorted(settings.SETS).index(given_set), STREAMS[task], *more]
    )


def write_survey(folder, rows, columns=IMAGE_COLUMNS):
    folder.mkdir(parents=True, exist_ok=True)
    with open(folder / "images.csv", "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)
    (folder / "survey.json").write_text(json.dumps(SITE))


def write_marks(folder, file, size, circles):
    """`circles`: centre and radius of the lugs T1, T2, T3."""
    path = folder / "marks" / f"{file}.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    marks = [
        {
            "name": f"T{k}",
            "role": "lug",
            "phase": k,
            "shape": {"kind": "circle", "center": list(centre), "radius": radius},
            "origin": "hand",
        }
        for k, centre, radius in circles
    ]
    path.write_text(json.dumps({"version": 1, "image": file, "size": list(size), "marks": marks}))


def write_truth(out, given_set, seed, task, key, entries):
    lines = ",\n".join(json.dumps(entry) for entry in entries)
    head = json.dumps({"version": 1, "set": given_set, "seed": seed, "task": task})[:-1]
    (out / "truth.json").write_text(f'{head}, "{key}": [\n{lines}\n]}}\n')


def lug_scene(random, setting, size):
    """Mostly one that a person can mark: of those with a lug that nobody sees, a quarter is kept."""
    for _ in range(8):
        box, shot = one_lug_scene(random, setting, size)
        inside = [lug for lug in shot.lugs if lug["in_frame"]]
        if all(lug["visible"] for lug in inside) or random.random() < 0.25:
            break
    return box, shot


def one_lug_scene(random, setting, size):
    box = boxes.draw(random, setting, max(size) / min(size))
    day = boxes.draw_day(random, setting, box)
    view = canvas.straight_on(*size)
    camera = optics.draw_camera(random, setting, size, box.lugs[0].radius * min(size))
    return box, boxes.photograph(box, day, view, camera, random)


def negative_scene(random, setting, size, kind):
    air = random.uniform(*setting.air_c)
    ground, items = NEGATIVES[kind](random, max(size) / min(size), air)
    camera = optics.draw_camera(random, setting, size, 0.1 * min(size))
    painted = canvas.paint(canvas.straight_on(*size), ground, items)
    return optics.recorded(camera, optics.focused(camera, painted.radiance), random)


def propose_kinds(given_set, setting, seed, scenes):
    """Negatives of each kind in turn, shuffled among the lugs."""
    random = generator(given_set, seed, "propose")
    names = sorted(setting.negatives)
    count = round(scenes * setting.negative_share)
    kinds = [names[k % len(names)] for k in range(count)] + [""] * (scenes - count)
    return [kinds[k] for k in random.permutation(scenes)]


def make_propose(out, given_set, seed, scenes, frames=()):
    setting = settings.SETS[given_set]
    rows, truths = [], []
    (out / "survey/images").mkdir(parents=True, exist_ok=True)
    for number, negative in enumerate(propose_kinds(given_set, setting, seed, scenes), 1):
        random = generator(given_set, seed, "propose", number)
        size = optics.draw_size(random, setting)
        file = f"images/s{number:04d}{optics.draw_ending(random, setting, size)}"
        entry = {"file": file, "size": list(size), "kind": "negative" if negative else "lugs"}
        if negative:
            celsius = negative_scene(random, setting, size, negative)
            entry.update(negative=negative, lugs=[])
        else:
            box, shot = lug_scene(random, setting, size)
            celsius = shot.celsius
            entry.update(
                layout=box.layout,
                temper=box.temper,
                shape=box.shape,
                course=box.course,
                hidden=box.hidden,
                lugs=shot.lugs,
            )
        optics.write(out / "survey" / file, celsius)
        rows.append({"file": file, "motor": f"S{number:04d}", "component": "terminal box"})
        truths.append(entry)
    for number, frame in enumerate(frames, 1):
        file = f"images/r{number:04d}.npy"
        optics.write(out / "survey" / file, frame.celsius)
        rows.append({"file": file, "motor": f"R{number:04d}", "component": "terminal box"})
        size = list(frame.celsius.shape[::-1])
        truths.append(
            {"file": file, "size": size, "kind": "negative", "negative": frame.kind, "lugs": []}
        )
    write_survey(out / "survey", rows)
    write_truth(out, given_set, seed, "propose", "images", truths)


def pairs_of(given_set, setting, seed, scenes, frames, kinds):
    """Kind, number and pair, one after the other."""
    for k, (kind, move) in enumerate(visits.KINDS.items()):
        if kinds and kind not in kinds:
            continue
        for number in range(1, move.times * scenes + 1):
            random = generator(given_set, seed, "pairs", k, number)
            made = visits.pair(random, setting, kind)
            yield number, made, optics.draw_ending(random, setting, made.newer_size)
    if frames:
        random = generator(given_set, seed, "pairs", len(visits.KINDS))
        for number, made in real.pairs(random, frames, scenes):
            yield number, made, ".npy"


def make_pairs(out, given_set, seed, scenes, frames=(), kinds=()):
    setting = settings.SETS[given_set]
    rows, truths = [], []
    for folder in ("older/images", "newer/images"):
        (out / folder).mkdir(parents=True, exist_ok=True)
    for number, pair, ending in pairs_of(given_set, setting, seed, scenes, frames, kinds):
        name = f"images/{pair.kind}_{number:03d}{ending}"
        optics.write(out / "older" / name, pair.older)
        optics.write(out / "newer" / name, pair.newer)
        circles = [(m["order"], m["older_center"], m["older_radius"]) for m in pair.marks]
        write_marks(out / "older", name, pair.older_size, circles)
        motor = f"{pair.kind}-{number:03d}"
        rows.append({"file": name, "motor": motor, "component": "terminal box"})
        truths.append(pair.truth(name))
    write_survey(out / "older", rows)
    write_survey(out / "newer", rows)
    write_truth(out, given_set, seed, "pairs", "pairs", truths)


def make_hot(out, given_set, seed, scenes, frames=()):
    """Of the frames none serves: nobody knows what is hot there."""
    setting = settings.SETS[given_set]
    rows, truths = [], []
    (out / "survey/images").mkdir(parents=True, exist_ok=True)
    for number in range(1, scenes + 1):
        random = generator(given_set, seed, "hot", number)
        size = optics.draw_size(random, setting)
        kind = hot.KINDS[(number - 1) % len(hot.KINDS)]
        file = f"images/h{number:04d}{optics.draw_ending(random, setting, size)}"
        scene = hot.scene(random, setting, size, kind)
        optics.write(out / "survey" / file, scene.celsius)
        write_marks(out / "survey", file, size, scene.circles)
        rows.append(
            {
                "file": file,
                "motor": f"H{number:04d}",
                "component": "terminal box",
                "air_c": f"{scene.air_c:.1f}",
                "reflected_c": f"{scene.reflected_c:.1f}",
                "emissivity": f"{scene.emissivity:.2f}",
            }
        )
        truths.append({"file": file, "size": list(size), "kind": kind, **scene.truth})
    write_survey(out / "survey", rows)
    write_truth(out, given_set, seed, "hot", "images", truths)


MAKERS = {"propose": make_propose, "pairs": make_pairs, "hot": make_hot}


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("out", type=Path)
    parser.add_argument("--set", choices=sorted(settings.SETS), default="tune")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--scenes", type=int, default=120)
    parser.add_argument("--task", choices=TASKS)
    parser.add_argument("--kind", choices=visits.KINDS, action="append", help="of pairs: only it")
    parser.add_argument("--real", type=Path, help="folder of real frames")
    given = parser.parse_args()
    frames = real.frames(given.real) if given.real else []
    for task in [given.task] if given.task else TASKS:
        out = given.out if given.task else given.out / task
        more = {"kinds": given.kind} if task == "pairs" and given.kind else {}
        MAKERS[task](out, given.set, given.seed, given.scenes, frames, **more)


if __name__ == "__main__":
    main()
