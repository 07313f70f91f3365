"""Times ohmglow beside its floors and peers: whole processes, interleaved in one run.

  cmake --preset bench && cmake --build --preset bench --target bench
  OHMGLOW_BENCH_OPTIONS="--quick --kind route" cmake --build --preset bench --target bench
  python3 tests/bench/run.py --build build/bench --program OTHER/ohmglow --encodings raw

Floors and peers read the frames of the `route` survey (of the first kind asked for); ohmglow
assesses the survey of each kind. Frames are kept in BUILD/bench-frames and made once.
Times say nothing on their own: the ratio to what ran in the same seconds does. CPU ratios hold on a
machine with other work, wall ratios do not.
"""
import argparse
import json
import os
import pathlib
import shlex
import shutil
import subprocess
import sys

from frames import survey_of
from process import interleave, median_of, ratio_to, run

HERE = pathlib.Path(__file__).resolve().parent
ENCODINGS = {"raw": "raw uint16", "deflate": "deflate, predictor 2", "lzw": "LZW",
             "float": "float32, deflate, predictor 3"}
SCRIPTS = {"tifffile": "numpy + tifffile script", "vips": "libvips script", "gdal": "GDAL script"}
PEERS = SCRIPTS | {"opencv": "plain OpenCV program"}
FLOORS = {"read": "bare read", "hash": "SHA-256 (nettle)", "openssl": "SHA-256 (OpenSSL)",
          "decode": "bare libtiff decode", "job": "floor job"}
KINDS = {"route": "ohmglow, route", "hot": "ohmglow, all hot"}
PLAIN_JOBS = ("job", *PEERS)
AS_OF = "2026-03-31"


class Bench:
    def __init__(self, given):
        self.given = given
        self.tools = given.build / "tests" / "bench"
        self.program = given.program or given.build / "ohmglow"
        self.frames = given.frames_folder or given.build / "bench-frames"

    def out(self, kind):
        return self.frames / f"out-{kind}"

    def assess(self, kind, survey, threads):
        return [self.program, "assess", survey, "-o", self.out(kind), "--format", "json", "--as-of",
                AS_OF, "--jobs", str(threads), "--progress", "never"]

    def commands(self, encoding, size, threads):
        surveys = {kind: survey_of(self.given.build, kind, encoding, size, self.given.frames, self.frames)
                   for kind in self.given.kind}
        frames = surveys[self.given.kind[0]]
        commands = {name: [self.tools / "bench_floor", name, frames, str(threads)]
                    for name in FLOORS if name != "openssl"}
        commands["openssl"] = [self.tools / "bench_floor_openssl", frames, str(threads)]
        for name in self.given.peers:
            script = ["/usr/bin/python3", HERE / "peer.py", name]
            program = script if name in SCRIPTS else [self.tools / f"bench_peer_{name}"]
            commands[name] = [*program, frames, str(threads)]
        for kind, survey in surveys.items():
            commands[kind] = self.assess(kind, survey, threads)
        return commands

    def clear(self, name):
        if name in KINDS:
            shutil.rmtree(self.out(name), ignore_errors=True)

    def findings(self, kind):
        count = ("import json, sys; found = json.load(open(sys.argv[1], 'rb')); print(len(found['findings']),"
                 " sum(image['status'] == 'measured' for image in found['images']))")
        # Counted in a process of its own: a child's peak memory starts from what this one holds.
        printed = run(["/usr/bin/python3", "-c", count, self.out(kind) / "findings.json"]).printed
        findings, measured = map(int, printed.split())
        if measured != self.given.frames:
            raise SystemExit(f"ohmglow measured {measured} of {self.given.frames} frames ({kind})")
        return findings


def outcomes(runs):
    """Programs that could not read, with their reason; stops where one that did got other sums."""
    refused, sums = {}, {}
    for name, own in runs.items():
        if own[0].code == 3 and name in PEERS:
            refused[name] = own[0].printed.strip()
        elif any(each.code != 0 for each in own):
            raise SystemExit(f"{name} ended with {[each.code for each in own]}: {own[0].printed}")
        elif name in PLAIN_JOBS:
            sums[name] = float(own[0].printed.split()[-1])
    for name, total in sums.items():
        if abs(total / sums["job"] - 1) > 1e-6:  # float32 against float64 in the sums
            raise SystemExit(f"{name} measured {total}, the floor job {sums['job']}")
    return refused


def slower(runs):
    """Round by round, the slower of the floor job and the hash that ohmglow's result must hold."""
    return {field: [max(pair, key=lambda run: getattr(run, field))
                    for pair in zip(runs["job"], runs["hash"])] for field in ("wall_s", "cpu_s")}


def measured(bench, encoding, size, threads):
    given = bench.given
    runs = interleave(bench.commands(encoding, size, threads), given.rounds, bench.clear)
    refused = outcomes(runs)
    slow = slower(runs)
    rows = []
    for name, own in runs.items():
        row = {"encoding": encoding, "size": size, "threads": threads, "what": name}
        if name in refused:
            rows.append(row | {"refused": refused[name]})
            continue
        for field, key in (("wall_s", "wall"), ("cpu_s", "cpu")):
            seconds = median_of(own, field)
            row[f"{key}_s"] = seconds
            row[f"frames_per_{key}_s"] = given.frames / seconds
            row[f"to_decode_{key}"] = ratio_to(runs["decode"], own, field)
            row[f"to_job_{key}"] = ratio_to(runs["job"], own, field)
            row[f"to_slower_{key}"] = ratio_to(slow[field], own, field)
        row["peak_mib"] = median_of(own, "peak_mib")
        if name in KINDS:
            row["findings"] = bench.findings(name)
        rows.append(row)
    return rows


def table(rows, given):
    names = FLOORS | PEERS | KINDS
    lines = []
    for encoding, size, threads in sorted({(row["encoding"], row["size"], row["threads"])
                                           for row in rows}, key=lambda key: (key[1], key)):
        lines += ["", f"**{ENCODINGS[encoding]}, {size.replace('x', ' × ')}, {threads} "
                  f"thread{'s' if threads > 1 else ''}**", "",
                  "| program | frames/s | frames per CPU s | to bare decode | to floor job "
                  "| to the slower of floor job and SHA-256 | peak MiB |", "|---|---|---|---|---|---|---|"]
        for row in rows:
            if (row["encoding"], row["size"], row["threads"]) != (encoding, size, threads):
                continue
            name = names[row["what"]]
            if "refused" in row:
                lines.append(f"| {name} | {row['refused']} | | | | | |")
                continue
            if "findings" in row:
                name += f" ({row['findings']} findings)"
            ratios = " | ".join(f"{row[f'to_{to}_wall']:.2f} ({row[f'to_{to}_cpu']:.2f})"
                                for to in ("decode", "job", "slower"))
            lines.append(f"| {name} | {row['frames_per_wall_s']:.0f} | {row['frames_per_cpu_s']:.0f} "
                         f"| {ratios} | {row['peak_mib']:.0f} |")
    return "\n".join(lines)


def shared_libraries(program):
    listing = subprocess.run(["ldd", program], capture_output=True, text=True, check=True).stdout
    return sum("=>" in line for line in listing.splitlines())


def start_up(bench):
    runs = interleave({"floor": [bench.tools / "bench_start"], "ohmglow": [bench.program, "--version"]},
                      bench.given.starts)
    start = {name: {"wall_ms": 1e3 * median_of(own, "wall_s"), "cpu_ms": 1e3 * median_of(own, "cpu_s")}
             for name, own in runs.items()}
    start["floor"]["libraries"] = shared_libraries(bench.tools / "bench_start")
    start["ohmglow"]["libraries"] = shared_libraries(bench.program)
    start["ratio_wall"] = ratio_to(runs["ohmglow"], runs["floor"], "wall_s")
    start["ratio_cpu"] = ratio_to(runs["ohmglow"], runs["floor"], "cpu_s")
    return start


def start_table(start, given):
    lines = [f"Start-up, {given.starts} interleaved runs, medians", "",
             "| program | shared libraries | wall | CPU |", "|---|---|---|---|"]
    for key, name in (("floor", "linked with OpenCV core and imgproc, doing nothing"),
                      ("ohmglow", "`ohmglow --version`")):
        own = start[key]
        lines.append(f"| {name} | {own['libraries']} | {own['wall_ms']:.2f} ms | {own['cpu_ms']:.2f} ms |")
    lines.append(f"| ratio | | {start['ratio_wall']:.2f} | {start['ratio_cpu']:.2f} |")
    return "\n".join(lines)


def options():
    parser = argparse.ArgumentParser(description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--build", type=pathlib.Path, required=True, help="a build of the preset bench")
    parser.add_argument("--program", type=pathlib.Path, help="another ohmglow than the build's")
    parser.add_argument("--frames-folder", type=pathlib.Path, help="where frames are kept")
    parser.add_argument("--frames", type=int, help="[1000]")
    parser.add_argument("--rounds", type=int, help="[9]")
    parser.add_argument("--size", nargs="+", help="[640x480 1024x768]")
    parser.add_argument("--encodings", nargs="+", choices=ENCODINGS, default=list(ENCODINGS))
    parser.add_argument("--threads", nargs="+", type=int, default=[1, 2])
    parser.add_argument("--peers", nargs="*", choices=PEERS, default=list(PEERS))
    parser.add_argument("--kind", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--starts", type=int, help="runs of the start-up; 0 leaves it out [60]")
    parser.add_argument("--quick", action="store_true",
                        help="unless said: 100 frames, 3 rounds, 640x480, 20 starts; no figure to keep")
    parser.add_argument("--json", type=pathlib.Path, help="write the figures here as well")
    given = parser.parse_args(shlex.split(os.environ.get("OHMGLOW_BENCH_OPTIONS", "")) + sys.argv[1:])
    usual = {"frames": 1000, "rounds": 9, "starts": 60, "size": ["640x480", "1024x768"]}
    quick = {"frames": 100, "rounds": 3, "starts": 20, "size": ["640x480"]}
    for name, value in (quick if given.quick else usual).items():
        if getattr(given, name) is None:
            setattr(given, name, value)
    if given.rounds < 1 or given.frames < 1:
        parser.error("--rounds and --frames are at least 1")
    for name in ("build", "program", "frames_folder"):
        if getattr(given, name):
            setattr(given, name, getattr(given, name).resolve())
    return given


def main():
    given = options()
    bench = Bench(given)
    bench.frames.mkdir(parents=True, exist_ok=True)
    print(f"{given.frames} frames, {given.rounds} interleaved rounds, medians; ratios are floor time / "
          "own time, wall (CPU): above 1 is faster than the floor. Peaks near 20 MiB are this script's.")
    figures = {"frames": given.frames, "rounds": given.rounds, "cores": os.cpu_count(), "rows": []}
    for size in given.size:
        for encoding in given.encodings:
            for threads in given.threads:
                rows = measured(bench, encoding, size, threads)
                print(table(rows, given), flush=True)
                figures["rows"] += rows
    if given.starts:
        figures["start"] = start_up(bench)
        print("\n" + start_table(figures["start"], given))
    if given.json:
        given.json.write_text(json.dumps(figures, indent=1) + "\n")


if __name__ == "__main__":
    main()
