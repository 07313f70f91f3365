"""What the machine does to a run: small disks, folders that cannot be written, limits of all kinds, files that are
no files or go away. Each time one message and an exit code, or the result; nothing half written, no signal.

faults.py PROGRAM SAMPLES FOLDER: in a mount namespace of its own (unshare -rm), which needs no root.
"""
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

PROGRAM, SAMPLES, FOLDER = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), Path(sys.argv[3]).resolve()
FORMATS = "json,csv,html,xlsx,workorders"
tried = []


def demand(holds, *what):
    if not holds:
        raise AssertionError(what)


def run(*arguments, limits=(), timeout=120, **options):
    def limit():
        for which, value in limits:
            resource.setrlimit(which, (value, value))
    ended = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, errors="replace", timeout=timeout,
                           preexec_fn=limit if limits else None, **options)
    demand(ended.returncode >= 0, arguments, "ended on signal", -ended.returncode, ended.stderr)
    return ended


def assess(survey, out, *options, formats=FORMATS, **how):
    return run("assess", survey, "-o", out, "--as-of", "2026-11-28", "--format", formats, *options, **how)


def whole_or_nothing(ended, out, what, listed=()):
    """The result is whole, or there is none of it and a reason."""
    names = {path.name for path in out.iterdir()} if out.is_dir() else set()
    demand(not [name for name in names if name.endswith(".tmp")], what, "left behind", names)
    if ended.returncode in (0, 1):
        demand({"findings.json", "ranked.csv", "report.html", "manifest.json"} - set(listed) <= names, what, names)
        for record in json.loads((out / "manifest.json").read_text())["outputs"]:
            demand((out / record["path"]).stat().st_size == record["bytes"], what, record)
    else:
        demand(ended.returncode == 3, what, ended.returncode)
        # What a killed run would be taken up from may stay.
        demand(names <= {"results.journal"}, what, "half written", names, ended.stderr)
        demand(1 <= len(ended.stderr.strip().splitlines()), what, "says nothing")
        demand("ohmglow" in ended.stderr, what, ended.stderr)
    tried.append(what)


def on_small_disk(place, options, work):
    place.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "none", place], check=True)
    try:
        return work(place)
    finally:
        subprocess.run(["umount", "-l", place], check=True)


def small_disks():
    outcomes = set()
    for size_kib in (4, 8, 16, 32, 64, 96, 128, 160, 192, 224, 256, 320, 384, 448, 512, 640, 768, 1024, 2048):
        def work(place):
            ended = assess(SAMPLES, place / "out")
            whole_or_nothing(ended, place / "out", f"a disk of {size_kib} KiB")
            outcomes.add(ended.returncode)
        on_small_disk(FOLDER / "disk", f"size={size_kib}k", work)
    for inodes in range(2, 14):
        def work(place):
            ended = assess(SAMPLES, place / "out")
            whole_or_nothing(ended, place / "out", f"a disk of {inodes} files")
            outcomes.add(ended.returncode)
        on_small_disk(FOLDER / "disk", f"size=8m,nr_inodes={inodes}", work)
    demand(outcomes == {1, 3} or outcomes == {0, 3}, "no size was too small, or none large enough", outcomes)


def older_result_on_a_full_disk():
    def work(place):
        demand(assess(SAMPLES, place / "out").returncode in (0, 1), "the older result")
        before = {path.name: path.read_bytes() for path in (place / "out").iterdir()}
        space = os.statvfs(place)
        (place / "full").write_bytes(bytes(space.f_bavail * space.f_frsize))
        ended = assess(SAMPLES, place / "out", "--paper", "letter")
        demand(ended.returncode == 3, "over an older result", ended.returncode, ended.stderr)
        now = {path.name: path.read_bytes() for path in (place / "out").iterdir() if path.name != "results.journal"}
        demand(now == before, "the older result is not what it was", now.keys() ^ before.keys())
        tried.append("a full disk, over an older result")
    on_small_disk(FOLDER / "disk", "size=1m", work)


def read_only():
    def work(place):
        shutil.copytree(SAMPLES, place / "survey")
        subprocess.run(["mount", "-o", "remount,ro", place], check=True)
        ended = assess(place / "survey", place / "out")
        demand(ended.returncode == 3 and "Read-only" in ended.stderr, "a disk that cannot be written", ended)
        ended = assess(place / "survey", FOLDER / "of-read-only")
        demand(ended.returncode in (0, 1), "a survey that cannot be written", ended.stderr)
        image = "route/be01_terminal_box.tif"
        ended = run("mark", place / "survey", image, "--rename", "nothing", "T9")
        demand(ended.returncode in (2, 3), "a mark in a survey that cannot be written", ended)
        tried.extend(["a disk that cannot be written", "a survey on one", "a mark on one"])
    on_small_disk(FOLDER / "disk", "size=8m", work)


def limits():
    for bytes_ in (0, 1, 4096, 20_000, 100_000, 150_000, 250_000):
        out = FOLDER / f"file-size-{bytes_}"
        whole_or_nothing(assess(SAMPLES, out, limits=[(resource.RLIMIT_FSIZE, bytes_)]), out, f"files of {bytes_} bytes at most")
    for files in range(3, 30):
        out = FOLDER / f"descriptors-{files}"
        ended = assess(SAMPLES, out, limits=[(resource.RLIMIT_NOFILE, files)])
        if ended.returncode == 127:  # the system's own loader found no room to begin
            continue
        whole_or_nothing(ended, out, f"{files} descriptors")
    for mebibytes in (60, 80, 100, 120, 140, 160, 180, 200, 250, 300, 400, 600):
        out = FOLDER / f"memory-{mebibytes}"
        ended = assess(SAMPLES, out, "--jobs", "2", formats="json,csv,html", limits=[(resource.RLIMIT_AS, mebibytes << 20)])
        if ended.returncode == 127:
            continue
        whole_or_nothing(ended, out, f"{mebibytes} MiB of memory")


def survey_with(name, change):
    folder = FOLDER / name
    shutil.copytree(SAMPLES, folder)
    change(folder)
    return folder


def odd_files():
    image = "route/be01_terminal_box.tif"

    def instead(make):
        def change(folder):
            (folder / image).unlink()
            make(folder / image)
        return change
    kinds = {"a pipe": os.mkfifo, "a folder": Path.mkdir, "a link to itself": lambda path: path.symlink_to(path.name),
             "a link to a device": lambda path: path.symlink_to("/dev/zero"), "nothing": lambda path: None,
             "a link out of the survey": lambda path: path.symlink_to("/etc/passwd")}
    for number, (what, make) in enumerate(kinds.items()):
        for place, target in (("image", image), ("table", "readings.csv"), ("marks", f"marks/{image}.json")):
            def change(folder):
                (folder / target).unlink()
                make(folder / target)
            survey = survey_with(f"odd-{number}-{place}", change)
            out = FOLDER / f"odd-{number}-{place}-out"
            ended = assess(survey, out, timeout=60)
            demand(ended.returncode in (0, 1), what, place, ended.returncode, ended.stderr)
            demand((out / "report.html").exists(), what, place)
            tried.append(f"{what} in the place of {'an' if place == 'image' else 'a'} {place}")


def vanishing():
    """Files go away and change while a run reads them: it ends, and what it says of its inputs is true."""
    survey = FOLDER / "vanishing"
    for number in range(12):
        shutil.rmtree(survey, ignore_errors=True)
        shutil.copytree(SAMPLES, survey)
        out = FOLDER / f"vanishing-out-{number}"

        def disturb():
            time.sleep(0.01 * number)
            for path in sorted((survey / "route").iterdir())[number % 3::3]:
                if number % 2:
                    path.unlink()
                else:
                    path.write_bytes(path.read_bytes()[:100])
        thread = threading.Thread(target=disturb)
        thread.start()
        ended = assess(survey, out)
        thread.join()
        whole_or_nothing(ended, out, f"images that {'vanish' if number % 2 else 'are cut'} during a run")


def two_runs():
    """Two runs into one folder: the result is one run's, and whoever gives way says so."""
    given_way = 0
    for number in range(8):
        out = FOLDER / f"two-{number}"
        runs = [subprocess.Popen([PROGRAM, "assess", SAMPLES, "-o", out, "--as-of", "2026-11-28"], stdout=subprocess.DEVNULL,
                                 stderr=subprocess.PIPE, text=True) for _ in range(2)]
        for each in runs:
            _, said = each.communicate(timeout=120)
            demand(each.returncode in (0, 1, 3), "two runs", each.returncode, said)
            if each.returncode == 3:
                given_way += 1
                demand("another run" in said, said)
        ended = run("recheck", out, "--survey", SAMPLES)
        demand(ended.returncode == 0, "two runs", ended.stdout, ended.stderr)
        demand(not [path for path in out.iterdir() if path.name.endswith(".tmp")], "left behind")
        tried.append("two runs into one folder")
    print(f"of 16 runs in pairs {given_way} gave way")


def signals():
    for which in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGPIPE):
        for wait_s in (0.0, 0.02, 0.05, 0.1, 0.2):
            out = FOLDER / f"signal-{which}-{wait_s}"
            process = subprocess.Popen([PROGRAM, "assess", SAMPLES, "-o", out, "--as-of", "2026-11-28"], stdout=subprocess.DEVNULL,
                                       stderr=subprocess.PIPE)
            time.sleep(wait_s)
            process.send_signal(which)
            process.communicate(timeout=60)
            names = {path.name for path in out.iterdir()} if out.is_dir() else set()
            demand(not [name for name in names if name.endswith(".tmp")] or process.returncode < 0, which, names)
            demand(("report.html" in names) <= ("manifest.json" in names), which, names)
            tried.append(f"signal {which.name} after {wait_s} s")
    ended = subprocess.run(f"'{PROGRAM}' look '{SAMPLES}/route/be01_terminal_box.tif' --json | head -c 1", shell=True,
                           capture_output=True, check=True)
    demand(len(ended.stdout) == 1, "a reader that goes away")


if os.environ.get("OHMGLOW_OWN_MOUNTS") is None:
    os.execvpe("unshare", ["unshare", "-rm", sys.executable, *sys.argv], {**os.environ, "OHMGLOW_OWN_MOUNTS": "1"})
shutil.rmtree(FOLDER, ignore_errors=True)
FOLDER.mkdir(parents=True)
for fault in (small_disks, older_result_on_a_full_disk, read_only, limits, odd_files, vanishing, two_runs, signals):
    fault()
print(f"{len(tried)} faults, and each time one message and an exit code, or the result")
