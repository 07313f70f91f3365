"""Reads a PDF with programs that this project has no part in (poppler's and qpdf) and prints what is wrong.

check_pdf.py PDF PAPER CASES EXPECTED: PAPER is a4 or letter, CASES how many, EXPECTED a file with one text a
line that must be in the PDF. Texts are compared without white space: a cell may break anywhere.
"""
import json
import re
import subprocess
import sys

# ISO 216 and ANSI/ASME Y14.1, in points
SIZES = {"a4": (595.276, 841.89), "letter": (612, 792)}
CAUTIONS = ["Only qualified people may open a live enclosure", "Measure resistance on dead equipment only"]
COVER = CAUTIONS + ["local codes and the responsible person come first", "A rise measured at low load understates the fault",
                    "No hot spot does not prove a sound joint"]

path, paper, cases, expected = sys.argv[1:]
wrong = []


def ran(*command):
    done = subprocess.run(command, capture_output=True)
    if done.returncode:
        wrong.append(f"{command[0]}: {done.stderr.decode()} {done.stdout.decode()}")
    return done.stdout.decode()


def bare(text):
    return re.sub(r"\s+", "", text)


info = dict(re.match(r"([^:]+):\s*(.*)", line).groups() for line in ran("pdfinfo", "-isodates", path).splitlines())
pages = int(info["Pages"])
size = tuple(map(float, re.findall(r"[\d.]+", info["Page size"])[:2]))
if max(abs(a - b) for a, b in zip(size, SIZES[paper])) > 0.5:
    wrong.append(f"page size {info['Page size']}")
if info["Tagged"] != "yes":
    wrong.append("not tagged")
if "motor connections" not in info["Title"] or not info["Creator"].startswith("ohmglow"):
    wrong.append(f"title {info['Title']}, creator {info['Creator']}")

fonts = ran("pdffonts", path).splitlines()
embedded_at = fonts[0].index("emb")
if len(fonts) < 3 or any(line[embedded_at:embedded_at + 3] != "yes" for line in fonts[2:]):
    wrong.append("fonts not embedded: " + "; ".join(fonts[2:]))

if "No syntax or stream encoding errors found" not in ran("qpdf", "--check", path):
    wrong.append("qpdf finds errors")

texts = ran("pdftotext", "-raw", path, "-").split("\f")[:-1]
if len(texts) != pages:
    wrong.append(f"{len(texts)} pages of text, {pages} pages")
for number, text in enumerate(texts, 1):
    for caution in CAUTIONS:
        if bare(caution) not in bare(text):
            wrong.append(f"page {number} lacks: {caution}")
    if bare(f"page {number} of {pages}") not in bare(text):
        wrong.append(f"page {number} is not numbered of {pages}")
for caution in COVER:
    if bare(caution) not in bare(texts[0]):
        wrong.append(f"the cover lacks: {caution}")
whole = bare("".join(texts))
for line in open(expected, encoding="utf-8"):
    if bare(line) not in whole:
        wrong.append(f"not in the text: {line.strip()}")

outlines = json.loads(ran("qpdf", "--json", "--json-key=outlines", path))["outlines"]
under = [len(entry["kids"]) for entry in outlines if entry["title"].startswith("Findings")]
if under != [int(cases)]:
    wrong.append(f"bookmarks of cases {under}, wanted {cases}")
# With all evidence, or a page a case alone.
is_full = any(entry["title"] == "Evidence" for entry in outlines)
if len(outlines) != (14 if is_full else 10) or any(entry["dest"] is None for entry in outlines):
    wrong.append(f"{len(outlines)} bookmarks: {[entry['title'] for entry in outlines]}")
# Structure types of ISO 32000-1, 14.8.4.
tags = re.findall(r"^ *(\w+)", ran("pdfinfo", "-struct", path), re.M)
for tag, least in {"Document": 1, "H1": 11 if is_full else 9, "H2": int(cases), "Table": 2, "TH": 10, "TD": 10, "L": 2, "P": 5,
                   "Link": 9 + 2 * int(cases)}.items():
    if tags.count(tag) < least:
        wrong.append(f"{tags.count(tag)} of the structure type {tag}, wanted {least}")
dests = ran("pdfinfo", "-dests", path)
there = len(set(re.findall(r'"finding-\d+"', dests)))
if there != int(cases):
    wrong.append(f"places to lead to: {there} of {cases}")
print("\n".join(wrong), end="")
