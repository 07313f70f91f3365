"""Builds a preset without a compiler cache and tells what its compilers take.

    python3 tests/bench/build_time.py BUILD [--preset release] [--target T …] [-D NAME=VALUE …]

BUILD is a fresh build folder. CPU seconds of user and system are counted for every compilation, so
that they hold on a machine with other work too; wall time is that of the whole build.
"""
import argparse
import collections
import json
import os
import re
import resource
import subprocess
import sys
import time

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
LOG = "build_time.jsonl"


def launch(log, command):
    """Runs one compiler as ninja's launcher and notes what it took."""
    status = subprocess.run(command).returncode
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    output = command[command.index("-o") + 1] if "-o" in command else "?"
    line = json.dumps({"output": output, "cpu_s": used.ru_utime + used.ru_stime,
                       "peak_mib": used.ru_maxrss / 1024})
    with open(log, "a") as file:
        file.write(line + "\n")
    return status


def room_of(output):
    """"records" of CMakeFiles/ohmglow_records.dir/src/records/marks.cpp.o."""
    return re.search(r"(?:ohmglow_)?([a-z_]+)\.dir/", output).group(1)


def shown(output):
    kind = "precompiled" if output.endswith(".gch") else ""
    return kind or re.sub(r"^.*\.dir/(Unity/)?", "", output).removesuffix(".o")


def build(folder, preset, targets, definitions):
    log = os.path.join(os.path.abspath(folder), LOG)
    if os.path.exists(log):
        os.remove(log)
    launcher = ";".join([sys.executable, os.path.abspath(__file__), "--launch", log])
    subprocess.run(["cmake", "-S", SOURCE, "-B", folder, "--preset", preset,
                    f"-DCMAKE_CXX_COMPILER_LAUNCHER={launcher}",
                    *[f"-D{definition}" for definition in definitions]],
                   cwd=SOURCE, check=True, stdout=subprocess.DEVNULL)
    began = time.monotonic()
    ninja = ["cmake", "--build", folder, "--", "-k0", "-j2"]
    built = subprocess.run(ninja + targets, stdout=sys.stderr)
    wall_s = time.monotonic() - began
    everything = resource.getrusage(resource.RUSAGE_CHILDREN)
    return log, wall_s, everything.ru_utime + everything.ru_stime


def tell(log, slowest):
    rooms = collections.defaultdict(lambda: [0, 0.0, 0.0])
    steps = [json.loads(line) for line in open(log)]
    for step in steps:
        room = rooms[room_of(step["output"])]
        room[0] += 1
        room[1] += step["cpu_s"]
        room[2] = max(room[2], step["peak_mib"])
    print("| room | compilations | CPU s | peak MiB of one |\n|---|---|---|---|")
    for name, (count, cpu_s, peak_mib) in sorted(rooms.items(), key=lambda row: -row[1][1]):
        print(f"| {name} | {count} | {cpu_s:.1f} | {peak_mib:.0f} |")
    print(f"| all | {len(steps)} | {sum(step['cpu_s'] for step in steps):.1f} | |\n")
    print("| slowest | CPU s |\n|---|---|")
    for step in sorted(steps, key=lambda step: -step["cpu_s"])[:slowest]:
        print(f"| {room_of(step['output'])}: {shown(step['output'])} | {step['cpu_s']:.1f} |")


def main():
    if sys.argv[1:2] == ["--launch"]:
        return launch(sys.argv[2], sys.argv[3:])
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("build")
    options.add_argument("--preset", default="release")
    options.add_argument("--target", nargs="*", default=[])
    options.add_argument("-D", dest="definitions", action="append", default=[])
    options.add_argument("--slowest", type=int, default=15)
    given = options.parse_args()
    log, wall_s, cpu_s = build(given.build, given.preset, given.target, given.definitions)
    tell(log, given.slowest)
    print(f"\nthe whole build: {wall_s:.0f} s wall, {cpu_s:.0f} s CPU, configuring included in CPU")
    return 0


if __name__ == "__main__":
    sys.exit(main())
