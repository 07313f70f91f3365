"""Kills at random moments: of assess, which --resume takes up again, and of the page's server while it saves.

kills.py PROGRAM SAMPLES FOLDER COUNT [PAGE_COUNT]. The moments are drawn by a fixed seed; what the machine does meanwhile is
not, so each run tries others.
"""
import hashlib
import http.client
import json
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

PROGRAM, SAMPLES, FOLDER = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), Path(sys.argv[3])
COUNTS = [int(word) for word in sys.argv[4:]]
ARGUMENTS = ("--format", "json,csv,html,xlsx,workorders", "--as-of", "2026-11-28", "--jobs", "2")


def files_of(folder):
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(folder.rglob("*")) if path.is_file()}


def leftovers(folder):
    return [path for path in folder.rglob("*") if path.name.endswith(".tmp") or ".ohmglow-" in path.name]


def assess(survey, out, *options):
    return subprocess.Popen([PROGRAM, "assess", survey, "-o", out, *ARGUMENTS, *options], cwd=FOLDER,
                            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


def finished(process):
    _, said = process.communicate(timeout=300)
    assert process.returncode in (0, 1), (process.returncode, said)


def kill_assess(count):
    survey, whole, out = FOLDER / "survey", FOLDER / "whole", FOLDER / "out"
    shutil.copytree(SAMPLES, survey)
    began = time.monotonic()
    finished(assess("survey", "whole"))
    lasts_s = time.monotonic() - began
    wanted = files_of(whole)
    draw = random.Random(1)
    kills = ended = 0
    while kills < count:
        # Over nothing, or over an older result, which must be whole until the new one is.
        is_over_older = draw.random() < 0.3
        if not is_over_older:
            shutil.rmtree(out, ignore_errors=True)
        for attempt in range(draw.randrange(1, 4)):
            process = assess("survey", "out", *(["--resume"] if attempt else []))
            try:
                process.communicate(timeout=draw.random() * lasts_s * 1.1)
                ended += 1
            except subprocess.TimeoutExpired:
                process.send_signal(draw.choice((signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGINT)))
                process.communicate(timeout=60)
                kills += 1
            if is_over_older and (out / "findings.json").exists():
                assert hashlib.sha256((out / "findings.json").read_bytes()).hexdigest() == wanted["findings.json"]
        finished(assess("survey", "out", "--resume"))
        assert files_of(out) == wanted, (set(files_of(out).items()) ^ set(wanted.items()))
        assert not leftovers(out), leftovers(out)
    print(f"assess: {kills} kills, {ended} runs were quicker; each time the same {len(wanted)} files")


class Page:
    def __init__(self, survey):
        self.process = subprocess.Popen([PROGRAM, "serve", survey], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        self.port = int(self.process.stdout.readline().strip().rstrip("/").rpartition(":")[2])
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        self.token = self.ask("GET", "/api/survey")[1]["csrf"]

    def ask(self, method, path, body=None, etag=None):
        headers = {"Content-Type": "application/json", "X-Ohmglow-Token": getattr(self, "token", "")}
        if etag:
            headers["If-Match"] = f'"{etag}"'
        self.connection.request(method, path, None if body is None else json.dumps(body), headers if body is not None else {})
        response = self.connection.getresponse()
        return response.status, json.loads(response.read())


def kill_page(count):
    survey = FOLDER / "served"
    shutil.copytree(SAMPLES, survey)
    image = "route/be01_terminal_box.tif"
    marks_file = survey / f"marks/{image}.json"
    draw = random.Random(2)
    tables = ("images.csv", "motors.csv", "readings.csv", "survey.json")
    saved = unsaved = 0
    for round_number in range(count):
        page = Page(survey)
        before = json.loads(marks_file.read_bytes())
        rows_before = (survey / "readings.csv").read_text().count("\n")
        # Killed between the first byte of the request and well after the answer.
        killer = subprocess.Popen([sys.executable, "-c", "import os,sys,time; time.sleep(float(sys.argv[1])); os.kill(int(sys.argv[2]), 9)",
                                   str(draw.random() * 0.12 + 0.02), str(page.process.pid)])
        acknowledged = None
        try:
            for step in range(10_000):
                etag = page.ask("GET", f"/api/image?file={image}")[1]["marks_etag"]
                wanted = json.loads(json.dumps(before))
                wanted["marks"][0]["shape"] = {"kind": "circle", "center": [40 + step % 50, 40 + round_number % 7], "radius": 5}
                status, _ = page.ask("PUT", f"/api/image/marks?file={image}", wanted, etag)
                if status == 200:
                    acknowledged = wanted["marks"][0]["shape"]["center"]
        except (OSError, http.client.HTTPException, ValueError):
            pass
        killer.wait()
        page.process.wait(timeout=60)
        now = json.loads(marks_file.read_bytes())  # whole, or this fails
        assert len(now["marks"]) == len(before["marks"])
        assert (survey / "readings.csv").read_text().count("\n") == rows_before
        if acknowledged is None:
            unsaved += 1
        else:
            saved += 1
            # What was said to be saved is there, or what was asked for next.
            center = [round(value) for value in now["marks"][0]["shape"]["center"]]
            follows = [40 + (acknowledged[0] - 40 + 1) % 50, acknowledged[1]]
            assert center in (acknowledged, follows), (center, acknowledged)
        for name in tables:
            assert (survey / name).read_bytes() == (SAMPLES / name).read_bytes(), name
    page = Page(survey)
    status, answer = page.ask("GET", f"/api/image?file={image}")
    assert status == 200
    status, answer = page.ask("PUT", f"/api/image/marks?file={image}", json.loads(marks_file.read_bytes()), answer["marks_etag"])
    assert status == 200, answer
    page.process.terminate()
    page.process.wait(timeout=60)
    assert not leftovers(survey), leftovers(survey)
    print(f"page: {count} kills, {saved} after a save, {unsaved} before the first; every file whole, nothing left behind")


shutil.rmtree(FOLDER, ignore_errors=True)
FOLDER.mkdir(parents=True)
kill_assess(COUNTS[0])
if len(COUNTS) > 1:
    kill_page(COUNTS[1])
