"""Surveys of synthetic frames, made by bench_frames once and kept."""
import hashlib
import os
import pathlib
import shutil
import subprocess
import sys

MAKER = pathlib.Path(__file__).resolve().parent / "make_frames.cpp"


def survey_of(build, kind, encoding, size, count, folder=None):
    """The folder of a survey, made where no earlier run left it; its name holds all it depends on."""
    version = hashlib.sha256(MAKER.read_bytes()).hexdigest()[:8]
    kept = (folder or build / "bench-frames") / f"{kind}-{encoding}-{size}-{count}-{version}"
    if not kept.exists():
        print(f"making {kept}", file=sys.stderr)
        part = kept.with_name(kept.name + ".part")
        shutil.rmtree(part, ignore_errors=True)
        part.parent.mkdir(parents=True, exist_ok=True)
        width, height = size.split("x")
        subprocess.run([build / "tests" / "bench" / "bench_frames", part, str(count), width, height,
                        encoding, kind, str(os.cpu_count())], check=True)
        part.rename(kept)
    return kept
