"""Makes scenes, lets the program mark and assess them, and judges; 1 if a figure is not met.

    python3 tests/scenes/run.py --program build/release/ohmglow [--set judge] [--seed 1]
        [--scenes 150] [--pairs 14] [--hot 42] [--task propose] [--work FOLDER] [--pictures FOLDER]
        [--real FOLDER] [--untimed] [--before PROGRAM]

--pictures draws ten successes and every failure, at most sixty, of each task.
"""
import argparse
import contextlib
import csv
import io
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import judge
import make
import real
import settings

AS_OF = "2026-11-28"


def spoken(command, allowed):
    """The document on standard output, and the processor's seconds; one core is all it gets."""
    core = min(os.sched_getaffinity(0))
    before = os.times()
    done = subprocess.run(
        [str(part) for part in command],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: os.sched_setaffinity(0, {core}),
    )
    after = os.times()
    if done.returncode not in allowed:
        complaint = done.stderr.decode("utf-8", "replace")[-3000:]
        sys.exit(f"{complaint}\n{' '.join(map(str, command))} ended with {done.returncode}")
    seconds = after.children_user + after.children_system
    seconds -= before.children_user + before.children_system
    return json.loads(done.stdout), seconds


def linked_survey(source, target, files):
    """The rows of `files`, their images and marks, without a copy."""
    with open(source / "images.csv", newline="", encoding="utf-8") as table:
        rows = [row for row in csv.DictReader(table) if row["file"] in files]
    make.write_survey(target, rows, list(rows[0]))
    for file in files:
        for path in (file, f"marks/{file}.json"):
            if (source / path).exists():
                (target / path).parent.mkdir(parents=True, exist_ok=True)
                os.link(source / path, target / path)


def carry(program, work, truth):
    """Size by size, so that the time of each is known."""
    sizes = {}
    for pair in truth["pairs"]:
        older, newer = pair["older_size"], pair["size"]
        name = f"{newer[0]}x{newer[1]}" if older == newer else "unlike sizes"
        sizes.setdefault(name, []).append(pair["file"])
    images, milliseconds = [], {}
    for name, files in sizes.items():
        with tempfile.TemporaryDirectory(dir=work, prefix="by-size-") as folder:
            older, newer = Path(folder) / "older", Path(folder) / "newer"
            linked_survey(work / "older", older, files)
            linked_survey(work / "newer", newer, files)
            command = [program, "carry", newer, "--from", older, "--json"]
            said, seconds = spoken(command, (0, 1, 3))
        images += said["images"]
        milliseconds[name] = 1000 * seconds / len(files)
    return {"images": images}, milliseconds


def run_propose(program, given, work, truth):
    said, seconds = spoken([program, "propose", work / "survey", "--json"], (0, 1, 3))
    cases = judge.judge_proposals(said, truth)
    judge.print_proposals(cases, seconds)
    return cases, judge.propose_held(cases)


def run_pairs(program, given, work, truth):
    said, milliseconds = carry(program, work, truth)
    cases = judge.judge_pairs(said, truth)
    judge.print_pairs(cases, milliseconds)
    return cases, judge.carry_held(cases, {} if given.untimed else milliseconds)


def run_hot(program, given, work, truth):
    command = [program, "assess", work / "survey", "--json", "--as-of", AS_OF]
    said, _ = spoken(command + ["--progress", "never"], (0, 1))
    cases = judge.judge_hot(said, truth)
    judge.print_hot(cases)
    return cases, judge.hot_held(cases)


RUNS = {"propose": run_propose, "pairs": run_pairs, "hot": run_hot}


def run(given, work):
    frames = real.frames(given.real) if given.real else []
    counts = {"propose": given.scenes, "pairs": given.pairs, "hot": given.hot}
    met = True
    for task in given.task or make.TASKS:
        started = time.monotonic()
        folder = work / task
        make.MAKERS[task](folder, given.set, given.seed, counts[task], frames)
        truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        print(
            f"== {task}: set {given.set}, seed {given.seed}, "
            f"made in {time.monotonic() - started:.0f} s\n"
        )
        cases, held = RUNS[task](given.program, given, folder, truth)
        before = None
        if given.before:
            with contextlib.redirect_stdout(io.StringIO()):
                before = RUNS[task](given.before, given, folder, truth)[1]
        met = judge.print_held(held, before) and met
        if given.pictures:
            import pictures  # draws with matplotlib, which no figure needs

            pictures.DRAWN[task](cases, folder, given.pictures)
    return met


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--program", type=Path, required=True)
    parser.add_argument("--before", type=Path, help="another program, for its figures beside")
    parser.add_argument("--set", choices=sorted(settings.SETS), default="judge")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--scenes", type=int, default=150, help="images to propose on")
    parser.add_argument(
        "--pairs", type=int, default=14, help="pairs of each kind, a third of those of other boxes"
    )
    parser.add_argument("--hot", type=int, default=42, help="images with marks")
    parser.add_argument("--task", choices=make.TASKS, action="append")
    parser.add_argument("--real", type=Path, help="folder of real frames to add")
    parser.add_argument("--untimed", action="store_true", help="hold no time: debug builds")
    parser.add_argument("--work", type=Path, help="keeps scenes there")
    parser.add_argument("--pictures", type=Path)
    given = parser.parse_args()
    if given.work:
        sys.exit(0 if run(given, given.work) else 1)
    with tempfile.TemporaryDirectory(prefix="ohmglow-scenes-") as folder:
        met = run(given, Path(folder))
    sys.exit(0 if met else 1)


if __name__ == "__main__":
    main()
