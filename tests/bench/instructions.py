"""Instructions of `ohmglow assess` for one frame, counted by callgrind: regressions without a clock.

  python3 tests/bench/instructions.py --build build/bench             exit code 1 on a regression
  python3 tests/bench/instructions.py --build build/bench --accept    writes instructions.json anew

Each survey is assessed with 20 and with 40 frames; the difference holds neither start-up nor what a
survey costs once. Counts belong to one compiler and one set of libraries: instructions.json names
them, and others are told of. valgrind has no SHA extensions, so that the hash runs in plain
instructions here, some ten times those of a processor that has them; libraries that choose
by processor (libdeflate, OpenCV, nettle) choose among what valgrind knows.
"""
import argparse
import json
import pathlib
import re
import subprocess
import sys
import tempfile

from frames import survey_of

EXPECTED = pathlib.Path(__file__).resolve().parent / "instructions.json"
FEWER, MORE = 20, 40
LINE = re.compile(r"^\s*([\d,]+)(?:\s*\([^)]*\))?\s+(\S.*)$")


def counted(program, survey):
    """Inclusive instructions by function, and of the whole program as ''."""
    with tempfile.TemporaryDirectory() as folder:
        profile = pathlib.Path(folder) / "profile"
        done = subprocess.run(
            ["valgrind", "--tool=callgrind", f"--callgrind-out-file={profile}", program, "assess",
             survey, "-o", f"{folder}/out", "--format", "json", "--as-of", "2026-03-31", "--jobs", "1",
             "--progress", "never"], capture_output=True, text=True)
        if done.returncode not in (0, 1) or not profile.exists():
            raise SystemExit(f"{program} under valgrind ended with {done.returncode}:\n{done.stderr}")
        listing = subprocess.run(
            ["callgrind_annotate", "--inclusive=yes", "--threshold=100", "--auto=no", profile],
            capture_output=True, text=True, check=True).stdout
    counts = {}
    for line in listing.splitlines():
        found = LINE.match(line)
        if found:
            what = found[2]
            name = "" if what.startswith("PROGRAM TOTALS") else what.split(" [")[0].split(":", 1)[-1]
            counts[name] = max(counts.get(name, 0), int(found[1].replace(",", "")))
    return counts


def a_frame(build, program, kind, encoding):
    fewer, more = (counted(program, survey_of(build, kind, encoding, "640x480", count))
                   for count in (FEWER, MORE))
    return {name: (count - fewer.get(name, 0)) / (MORE - FEWER) for name, count in more.items()}


def tools():
    first = [subprocess.run([name, "--version"], capture_output=True, text=True, check=True).stdout
             .splitlines()[0] for name in ("g++", "valgrind")]
    return ", ".join(first)


def short(name, width=88):
    name = re.sub(r"<[^<>]*>|\([^()]*\)", "", re.sub(r"<[^<>]*>|\([^()]*\)", "", name))
    return name if len(name) <= width else name[:width] + "…"


def table(counts, functions):
    print("| survey | million instructions a frame | expected | change |\n|---|---|---|---|")
    expected = json.loads(EXPECTED.read_text())["a_frame"] if EXPECTED.exists() else {}
    for survey, own in counts.items():
        was = expected.get(survey)
        change = f"{100 * (own[''] / was - 1):+.1f} %" if was else "new"
        print(f"| {survey} | {own[''] / 1e6:.2f} | {was / 1e6 if was else 0:.2f} | {change} |")
    for survey, own in counts.items():
        print(f"\n{survey}, inclusive:\n\n| function | million instructions a frame | share |\n|---|---|---|")
        top = sorted((item for item in own.items() if item[0]), key=lambda item: -item[1])
        for name, count in top[:functions]:
            print(f"| `{short(name)}` | {count / 1e6:.2f} | {100 * count / own['']:.0f} % |")


def complaints(counts, tolerance_pct):
    if not EXPECTED.exists():
        raise SystemExit(f"{EXPECTED} is not there: write it with --accept")
    kept = json.loads(EXPECTED.read_text())
    if kept["tools"] != tools():
        print(f"counted with {tools()}, expected counts with {kept['tools']}", file=sys.stderr)
    for survey, own in counts.items():
        expected = kept["a_frame"].get(survey)
        if expected is None:
            yield f"{survey}: {EXPECTED.name} holds no count of it: write it with --accept"
        elif own[""] > expected * (1 + tolerance_pct / 100):
            yield (f"{survey}: more instructions a frame than {EXPECTED.name} has, by over "
                   f"{tolerance_pct:g} %")


def main():
    parser = argparse.ArgumentParser(description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--build", type=pathlib.Path, required=True, help="a build of the preset bench")
    parser.add_argument("--program", type=pathlib.Path, help="another ohmglow than the build's")
    parser.add_argument("--encodings", nargs="+", default=["raw", "deflate", "lzw", "float"])
    parser.add_argument("--kind", nargs="+", choices=["route", "hot"], default=["route", "hot"])
    parser.add_argument("--functions", type=int, default=25, help="functions to list of each survey")
    parser.add_argument("--tolerance", type=float, default=3, help="percent that are no regression")
    parser.add_argument("--accept", action="store_true", help="write instructions.json anew")
    given = parser.parse_args()
    build = given.build.resolve()
    program = (given.program or build / "ohmglow").resolve()
    counts = {f"{kind}, {encoding}": a_frame(build, program, kind, encoding)
              for encoding in given.encodings for kind in given.kind}
    table(counts, given.functions)
    if given.accept:
        kept = json.loads(EXPECTED.read_text())["a_frame"] if EXPECTED.exists() else {}
        kept |= {survey: round(own[""]) for survey, own in counts.items()}
        EXPECTED.write_text(json.dumps({"tools": tools(), "a_frame": kept}, indent=1) + "\n")
        return 0
    found = list(complaints(counts, given.tolerance))
    for complaint in found:
        print(complaint, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
