"""Whole processes measured: wall and CPU time, peak memory, and what they print."""
import os
import statistics
import subprocess
import tempfile
import time
from typing import NamedTuple


class Run(NamedTuple):
    wall_s: float
    cpu_s: float
    peak_mib: float  # of the largest process, where there are several
    code: int
    printed: str


def run(command, kept_characters=4000):
    with tempfile.TemporaryFile("w+", errors="replace") as out:
        start = time.perf_counter()
        child = subprocess.Popen(command, stdout=out, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        wall_s = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        return Run(wall_s, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024,
                   child.returncode, out.read(kept_characters))


def interleave(commands, rounds, between=lambda name: None):
    """Runs of each command, one a round, after a round that is not counted. Every second round goes
    backwards, so that a drift of the machine does not favour a place in the order."""
    runs = {name: [] for name in commands}
    for number in range(rounds + 1):
        order = list(commands) if number % 2 else list(reversed(commands))
        for name in order:
            between(name)
            done = run(commands[name])
            if number or not rounds:
                runs[name].append(done)
    return runs


def median_of(runs, field):
    return statistics.median(getattr(run, field) for run in runs)


def ratio_to(floors, ours, field):
    """Median over the rounds of floor / ours: what ran in the same seconds is held together."""
    return statistics.median(getattr(floor, field) / getattr(own, field)
                             for floor, own in zip(floors, ours))
