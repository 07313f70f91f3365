"""Reads shutdown.xlsx with openpyxl and holds it against findings.json of the same run; prints what is wrong."""
import json
import sys

import openpyxl

book = openpyxl.load_workbook(sys.argv[1])
with open(sys.argv[2], encoding="utf-8") as file:
    findings = json.load(file)["findings"]
rows = list(book.active.iter_rows(values_only=True))
at = {title: column for column, title in enumerate(rows[0])}
wrong = []
told = [(row[at["No."]], row[at["Motor"]]) for row in rows[1:]]
wanted = {(f["case"], f["motor"]) for f in findings if f["leads_case"] and f["decision"] != "image_again"}
if set(told) != wanted or len(told) != len(wanted):
    wrong.append(f"cases {sorted(told)}, wanted {sorted(wanted)}")
# One lockout makes a group safe: its rows stand together.
places = [(row[at["Area"]], row[at["Lock out at"]]) for row in rows[1:]]
if len({place for place in places}) != 1 + sum(a != b for a, b in zip(places, places[1:])):
    wrong.append("a place of lockout stands in two places of the sheet")
for title in ("verified dead", "Found", "New image", "Winding resistance A-B, mΩ, after"):
    if title not in at:
        wrong.append(f"no column {title}")
print("\n".join(wrong), end="")
