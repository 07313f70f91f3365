"""Interleaved timings of whole processes: ohmglow beside its floors, in the same run.

Prints medians, ratios and peak memory as a Markdown table. Times say nothing on their own: the ratio
to the peer measured in the same minutes does.
"""
import argparse
import os
import shutil
import statistics
import subprocess
import time


def timed(command):
    """Wall and CPU seconds of a child, and its peak resident kibibytes."""
    start = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    wall = time.perf_counter() - start
    code = os.waitstatus_to_exitcode(status)
    if code not in (0, 1):
        raise SystemExit(f"{command} ended with {code}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss


def interleave(commands, pairs):
    """Runs the commands in turn, `pairs` times after one round that is not counted."""
    runs = {name: [] for name in commands}
    for round_number in range(pairs + 1):
        for name, command in commands.items():
            result = timed(command)
            if round_number:
                runs[name].append(result)
    return {name: [statistics.median(column) for column in zip(*results)]
            for name, results in runs.items()}


def throughput(given):
    print(f"\n{given.count} frames, {given.pairs} interleaved rounds, medians\n")
    print("| encoding | size | threads | bare libtiff, frames/s | bare SHA-256, frames/s | ohmglow assess, frames/s "
          "| to libtiff, wall (CPU) | to the slower floor, wall (CPU) | peak MiB |")
    print("|---|---|---|---|---|---|---|---|---|")
    for width, height in given.sizes:
        for encoding in given.encodings:
            folder = os.path.join(given.work, f"{encoding}-{width}x{height}")
            if not os.path.isdir(folder):
                subprocess.run([given.frames, folder, str(given.count), str(width), str(height), encoding],
                               check=True)
            for threads in given.threads:
                output = os.path.join(given.work, "out")
                shutil.rmtree(output, ignore_errors=True)
                medians = interleave({
                    "decode": [given.floor, "decode", folder, str(threads)],
                    "hash": [given.floor, "hash", folder, str(threads)],
                    "assess": [given.program, "assess", folder, "-o", output, "--format", "json",
                               "--jobs", str(threads), "--as-of", "2026-03-04"],
                }, given.pairs)
                decode, hashing, ours = (medians[name] for name in ("decode", "hash", "assess"))
                slower = [max(pair) for pair in zip(decode, hashing)]
                rates = " | ".join(f"{given.count / run[0]:.0f}" for run in (decode, hashing, ours))
                ratios = " | ".join(f"{floor[0] / ours[0]:.2f} ({floor[1] / ours[1]:.2f})"
                                    for floor in (decode, slower))
                print(f"| {encoding} | {width}×{height} | {threads} | {rates} | {ratios} | {ours[2] / 1024:.0f} |",
                      flush=True)


def start_up(given):
    medians = interleave({"floor": [given.start], "ohmglow": [given.program, "--version"]},
                         10 * given.pairs)
    libraries = {}
    for name, path in (("floor", given.start), ("ohmglow", given.program)):
        listing = subprocess.run(["ldd", path], capture_output=True, text=True, check=True).stdout
        libraries[name] = sum("=>" in line for line in listing.splitlines())
    floor, ours = medians["floor"][0], medians["ohmglow"][0]
    print(f"\nStart-up: a program linked with OpenCV core and imgproc {floor * 1e3:.2f} ms "
          f"({libraries['floor']} shared libraries), ohmglow --version {ours * 1e3:.2f} ms "
          f"({libraries['ohmglow']}), ratio {ours / floor:.2f}")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("program", "floor", "frames", "start", "work"):
        parser.add_argument("--" + name, required=True)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--pairs", type=int, default=9)
    parser.add_argument("--threads", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--encodings", nargs="+", default=["raw", "deflate", "lzw", "float"])
    parser.add_argument("--sizes", nargs="+", default=["640x480"],
                        type=lambda text: tuple(int(part) for part in text.split("x")))
    given = parser.parse_args()
    given.sizes = [size if isinstance(size, tuple) else tuple(map(int, size.split("x"))) for size in given.sizes]
    os.makedirs(given.work, exist_ok=True)
    start_up(given)
    throughput(given)


if __name__ == "__main__":
    main()
