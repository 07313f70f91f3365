"""Makes a set, lets the program assess it and judges what it says; 1 if a figure is not met.

    python3 tests/population/run.py --program build/release/ohmglow [--set judge] [--motors 2400]
        [--seed 1] [--work FOLDER] [--pictures docs/pictures]
"""
import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import judge
import make
import settings

AS_OF = "2026-11-28"


def assess(program, survey, out):
    """1 means that some inputs could not be measured, which is no failure here."""
    command = [
        str(program),
        "assess",
        str(survey),
        "-o",
        str(out),
        "--format",
        "json",
        "--as-of",
        AS_OF,
        "--progress",
        "never",
    ]
    with open(f"{out}.log", "w", encoding="utf-8") as log:  # its complaints, one a line
        done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=log)
    if done.returncode not in (0, 1):
        complaints = Path(f"{out}.log").read_text(encoding="utf-8")
        sys.exit(f"{complaints}\n{' '.join(command)} ended with {done.returncode}")


def run(given, work):
    started = time.monotonic()
    make.make(work, given.motors, given.seed, given.set)
    made = time.monotonic()
    assess(given.program, work / "survey", work / "out")
    print(
        f"{given.motors} motors of the set {given.set}, seed {given.seed}: "
        f"made in {made - started:.0f} s, "
        f"assessed in {time.monotonic() - made:.0f} s\n"
    )
    return judge.report(work / "out/findings.json", work / "truth.json", given.pictures)


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--program", type=Path, required=True)
    parser.add_argument("--set", choices=sorted(settings.SETS), default="judge")
    parser.add_argument("--motors", type=int, default=2400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--work", type=Path, help="keeps survey and results there")
    parser.add_argument("--pictures", type=Path)
    given = parser.parse_args()
    if given.work:
        sys.exit(0 if run(given, given.work) else 1)
    with tempfile.TemporaryDirectory(prefix="ohmglow-population-") as folder:
        met = run(given, Path(folder))
    sys.exit(0 if met else 1)


if __name__ == "__main__":
    main()
