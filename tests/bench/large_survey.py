"""A survey of very many images, by hard links to few; measures a program on it if asked.

  large_survey.py OUT --images 100000 --build build/bench             links to 1000 raw frames
  large_survey.py OUT --images 600 --of DEMO                          copies of a survey at hand
  large_survey.py OUT --images 600 --of DEMO --measure ohmglow --format html
  large_survey.py OUT --images 100000 --build build/bench --measure build/bench/ohmglow --jobs 2

Every copy has motors, rows and marks of its own; only pixels are shared. Whole copies are made, so
that OUT may hold a few images more than asked for. An OUT that is there already is taken as it is.
"""
import argparse
import csv
import json
import os
import pathlib
import shutil
import tempfile

from frames import survey_of
from process import run

TABLES = ("motors.csv", "images.csv", "readings.csv", "circuit.csv")


def rows_of(table):
    with open(table, newline="", encoding="utf-8-sig") as text:
        return list(csv.DictReader(text))


def link(source, target):
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(source, target)
    except OSError:  # another file system, or no more links to a file
        shutil.copyfile(source, target)


def link_images(source, out, rows, prefix):
    for row in rows:
        if (source / row["file"]).exists():
            link(source / row["file"], out / prefix / row["file"])
        marks = source / "marks" / (row["file"] + ".json")
        if marks.exists():
            kept = json.loads(marks.read_bytes()) | {"image": f"{prefix}/{row['file']}"}
            target = out / "marks" / prefix / (row["file"] + ".json")
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(json.dumps(kept), encoding="utf-8")


def copy_many(source, out, images):
    image_rows = rows_of(source / "images.csv")
    copies = -(-images // len(image_rows))
    prefixes = [f"part{copy:04d}" for copy in range(copies)]
    part = out.with_name(out.name + ".part")
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir(parents=True)
    if (source / "survey.json").exists():
        shutil.copyfile(source / "survey.json", part / "survey.json")
    for prefix in prefixes:
        link_images(source, part, image_rows, prefix)
    for table in TABLES:
        if not (source / table).exists():
            continue
        rows = rows_of(source / table)
        with open(part / table, "w", newline="", encoding="utf-8") as text:
            writer = csv.DictWriter(text, rows[0].keys())
            writer.writeheader()
            for prefix in prefixes:
                for row in rows:
                    new = row | {"motor": f"{row['motor']}-{prefix[4:]}"}
                    if "file" in row:
                        new["file"] = f"{prefix}/{row['file']}"
                    writer.writerow(new)
    part.rename(out)


def measure(program, survey, images, jobs, formats):
    with tempfile.TemporaryDirectory(dir=survey.parent) as out:
        done = run([program, "assess", survey, "-o", out, "--format", formats, "--as-of", "2026-03-31",
                    "--jobs", str(jobs), "--progress", "never"])
        sizes = [path.stat().st_size for path in pathlib.Path(out).rglob("*") if path.is_file()]
    if done.code not in (0, 1):
        raise SystemExit(f"{program} ended with {done.code}: {done.printed}")
    print(f"{images} images, {jobs} threads: {done.wall_s:.1f} s ({images / done.wall_s:.0f} a second), "
          f"{done.cpu_s:.1f} s CPU, peak {done.peak_mib:.0f} MiB, {formats}: {len(sizes)} files, {sum(sizes) / 1e6:.0f} MB")


def main():
    parser = argparse.ArgumentParser(description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=pathlib.Path)
    parser.add_argument("--images", type=int, default=100000)
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("--build", type=pathlib.Path, help="a build of the preset bench: makes frames")
    source.add_argument("--of", type=pathlib.Path, help="a survey to copy instead")
    parser.add_argument("--kind", choices=["route", "hot"], default="route")
    parser.add_argument("--measure", type=pathlib.Path, help="an ohmglow to assess OUT with")
    parser.add_argument("--format", default="json", help="what it is to write, separated by commas")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    given = parser.parse_args()
    out = given.out.resolve()
    if not out.exists():
        source = given.of or survey_of(given.build.resolve(), given.kind, "raw", "640x480",
                                       min(given.images, 1000))
        copy_many(source, out, given.images)
    if given.measure:
        with open(out / "images.csv", "rb") as table:
            images = sum(1 for _ in table) - 1
        measure(given.measure.resolve(), out, images, given.jobs, given.format)


if __name__ == "__main__":
    main()
