"""Texts of a survey that mean something to a spreadsheet, a browser, a terminal, a calendar or a PDF viewer mean
nothing in any output. injection.py PROGRAM SAMPLES FOLDER"""
import csv
import html.parser
import io
import json
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import icalendar

PROGRAM, SAMPLES, FOLDER = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
FORMATS = "json,csv,html,pdf,xlsx,workorders"
OVERRIDES = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
# A word that no output has of itself, so that each text is found again.
FORMULA = "=cmd|' /C calc'!A0 qzx"
MARKUP = "</title></style></svg><script>alert(\"qzx\")</script><img src=http://203.0.113.1/qzx onerror=alert(1)>"
TERMINAL = "\x1b]0;qzx\x07\x1b[2J\x9b31m\u202eqzx\u202c"
CALENDAR = "qzx; END:VTODO, \\ ATTACH:http://203.0.113.1/ " + "ä" * 80
PDF = "qzx) Tj ET /URI (http://203.0.113.1/) \\050 endstream endobj"
ALL = (FORMULA, MARKUP, TERMINAL, CALENDAR, PDF)
MOTORS = {"BE-01": "-1+qzx BE-01 <b>&amp;", "BE-04": "@SUM(1)qzx BE-04 \u202e<script>", "CV-02": "=1+1 qzx CV-02 \x1b[31m"}


def rewrite(path, change):
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for number, row in enumerate(rows):
        change(number, row)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


def hostile_survey(folder):
    shutil.copytree(SAMPLES, folder)

    def change(number, row):
        row["motor"] = MOTORS.get(row["motor"], row["motor"])
        for place, column in enumerate(("description", "area", "lockout", "crew", "parts", "note", "not_inspected")):
            if column in row:
                row[column] = ALL[(number + place) % len(ALL)]
    for table in ("motors.csv", "images.csv", "readings.csv", "circuit.csv"):
        rewrite(folder / table, change)
    survey = json.loads((folder / "survey.json").read_text())
    survey["site"], survey["thermographer"] = MARKUP + "\u202eqzx", PDF + FORMULA
    survey["camera"]["model"] = MARKUP
    (folder / "survey.json").write_text(json.dumps(survey))
    # Names of files that are complained about.
    (folder / "route/\x1b[2J\u202eqzx<script>.tif").write_bytes(b"II*\0")
    with (folder / "images.csv").open("a", encoding="utf-8") as file:
        file.write("route/\x1b]0;qzx\x07.tif,x\x1b[1mqzx\n")


def demand(holds, *what):
    if not holds:
        raise AssertionError(what)


def check_terminal(text, where):
    demand("qzx" in text, where, "says nothing of the survey")
    for c in text:
        demand(c == "\n" or not (ord(c) < 32 or 0x7f <= ord(c) < 0xa0), where, "control character", hex(ord(c)))
        demand(c not in OVERRIDES, where, "override", hex(ord(c)))


def check_cell(cell, where):
    if cell and cell[0] in "=+-@\t\r":
        float(cell)  # a number is none to be afraid of
    demand(not any((ord(c) < 32 and c != "\n") or c in OVERRIDES for c in cell), where, "control character in", cell)


def check_csv(path):
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"), newline="")))
    demand(any("qzx" in cell for row in rows for cell in row), path, "holds none of the texts")
    demand({len(row) for row in rows} == {len(rows[0])}, path, "rows of different lengths")
    for row in rows:
        for cell in row:
            check_cell(cell, path)


class Page(html.parser.HTMLParser):
    KNOWN_ADDRESS = re.compile(r"#|data:image/(png|jpeg);base64,")

    def __init__(self):
        super().__init__()
        self.text = ""

    def handle_starttag(self, tag, attributes):
        demand(tag not in ("script", "iframe", "object", "embed", "base", "form", "link"), "html", tag)
        for name, value in attributes:
            demand(not name.startswith("on"), "html", name)
            if name in ("src", "href", "xlink:href", "action", "data", "srcset"):
                demand(self.KNOWN_ADDRESS.match(value or ""), "html", name, value)
            demand("javascript:" not in (value or "").lower(), "html", value)

    def handle_data(self, data):
        self.text += data


def check_html(path):
    page = Page()
    source = path.read_text(encoding="utf-8")
    page.feed(source)
    demand("alert(\"qzx\")" in page.text, "the markup is not shown as text")
    demand("<img src=http" in page.text, "the picture is not shown as text")
    demand(not any(c in source for c in OVERRIDES + "\x1b\x9b"), "html", "controls")


def check_xlsx(path):
    space = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    found = False
    with zipfile.ZipFile(path) as archive:
        demand(archive.testzip() is None, "xlsx", "damaged")
        for name in archive.namelist():
            content = archive.read(name)
            if name.endswith((".xml", ".rels")):
                root = ElementTree.fromstring(content)
                found = found or b"qzx" in content
                demand(not any(e.tag == space + "f" for e in root.iter()), name, "a formula")
                demand(not any(e.tag == space + "hyperlink" for e in root.iter()), name, "a link")
                demand("External" not in [e.get("TargetMode") for e in root.iter()], name, "leads out")
                text = "".join(root.itertext())
                demand(not any(c in text for c in OVERRIDES), name, "override")
            demand("vba" not in name.lower() and "externalLink" not in name, "xlsx", name)
    demand(found, "xlsx", "holds none of the texts")


def check_ics(path, orders):
    raw = path.read_bytes()
    demand(raw.count(b"\n") == raw.count(b"\r\n"), "ics", "a bare line end")
    for line in raw.split(b"\r\n"):
        demand(len(line) <= 75, "ics", "a line of", len(line))
        line.decode("utf-8")  # folded between characters
    text = raw.decode()
    demand(not any(ord(c) < 32 and c not in "\r\n" for c in text), "ics", "control character")
    demand(not any(c in text for c in OVERRIDES), "ics", "override")
    calendar = icalendar.Calendar.from_ical(raw)
    tasks = calendar.walk("VTODO")
    demand(len(tasks) == len(orders) > 0, "ics", len(tasks), len(orders))
    known = {"UID", "DTSTAMP", "DUE", "SUMMARY", "DESCRIPTION", "LOCATION", "CATEGORIES", "PRIORITY", "STATUS"}
    for task in tasks:
        demand(set(task.keys()) <= known, "ics", task.keys())
    demand("qzx" in str(tasks[0]["SUMMARY"]), "ics", "holds none of the texts")


def check_pdf(path):
    subprocess.run(["qpdf", "--check", path], check=True, capture_output=True)
    objects = subprocess.run(["qpdf", "--qdf", "--object-streams=disable", path, "-"], check=True, capture_output=True).stdout
    for action in (b"/JavaScript", b"/JS", b"/OpenAction", b"/Launch", b"/AA", b"/URI", b"/EmbeddedFile", b"/SubmitForm", b"/GoToR"):
        demand(not re.search(re.escape(action) + rb"\b", objects), "pdf", action)
    text = subprocess.run(["pdftotext", "-layout", path, "-"], check=True, capture_output=True).stdout.decode()
    demand("qzx" in text and "<script>" in text, "pdf", "holds none of the texts")
    demand(not any(c in text for c in OVERRIDES + "\x1b"), "pdf", "controls")


def check_json(path):
    content = path.read_bytes()
    json.loads(content)
    demand(not any(byte < 32 and byte != 10 for byte in content), path, "control character")


def run(*arguments, codes=(0, 1)):
    ended = subprocess.run([PROGRAM, *arguments], capture_output=True)
    demand(ended.returncode in codes, arguments, ended.returncode, ended.stderr)
    return ended.stdout.decode(), ended.stderr.decode()


def main():
    shutil.rmtree(FOLDER, ignore_errors=True)
    FOLDER.mkdir(parents=True)
    survey, out = FOLDER / "survey", FOLDER / "out"
    hostile_survey(survey)
    said, complained = run("assess", survey, "-o", out, "--format", FORMATS, "--as-of", "2026-11-28")
    check_terminal(said + complained, "assess")
    for command in ("readings", "check"):
        check_terminal("".join(run(command, survey, codes=(0, 1))), command)
    check_csv(out / "ranked.csv")
    check_csv(out / "workorders.csv")
    check_html(out / "report.html")
    check_xlsx(out / "report.xlsx")
    check_ics(out / "workorders.ics", json.loads((out / "workorders.json").read_text())["orders"])
    check_pdf(out / "report.pdf")
    for name in ("findings.json", "workorders.json", "manifest.json"):
        check_json(out / name)
    said, _ = run("recheck", out, "--survey", survey, "--certificate", str(FOLDER / "certificate.html"))
    page = Page()
    page.feed((FOLDER / "certificate.html").read_text())
    after, verified = FOLDER / "after", FOLDER / "verified"
    hostile_survey(after)
    said, complained = run("verify", survey, after, "-o", verified, "--as-of", "2026-11-28")
    check_terminal(said + complained, "verify")
    check_html(verified / "verification.html")
    print("nothing in", FORMATS, "certificate and verification does what a text of the survey asks for")


main()
