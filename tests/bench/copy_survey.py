"""Makes one large survey of many copies of a small one: copy_survey.py SURVEY OUT COPIES.

Every copy has motors and images of its own; rows and marks are copied as they stand.
"""
import csv
import json
import pathlib
import shutil
import sys

source, out, copies = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), int(sys.argv[3])
out.mkdir(parents=True, exist_ok=True)
if (source / "survey.json").exists():
    shutil.copy(source / "survey.json", out)


def renamed(file, copy):
    path = pathlib.PurePosixPath(file)
    return str(path.with_name(f"{copy:03d}_{path.name}"))


for table in ("motors.csv", "images.csv", "readings.csv", "circuit.csv"):
    if not (source / table).exists():
        continue
    with open(source / table, newline="", encoding="utf-8-sig") as text:
        rows = list(csv.DictReader(text))
    with open(out / table, "w", newline="", encoding="utf-8") as text:
        writer = csv.DictWriter(text, rows[0].keys())
        writer.writeheader()
        for copy in range(copies):
            for row in rows:
                new = row | {"motor": f"{row['motor']}-{copy:03d}"}
                if "file" in row:
                    new["file"] = renamed(row["file"], copy)
                    target = out / new["file"]
                    target.parent.mkdir(parents=True, exist_ok=True)
                    if (source / row["file"]).exists():
                        shutil.copy(source / row["file"], target)
                    marks = source / "marks" / (row["file"] + ".json")
                    if marks.exists():
                        kept = json.loads(marks.read_text(encoding="utf-8")) | {"image": new["file"]}
                        (out / "marks" / new["file"]).parent.mkdir(parents=True, exist_ok=True)
                        (out / "marks" / (new["file"] + ".json")).write_text(json.dumps(kept), encoding="utf-8")
                writer.writerow(new)
