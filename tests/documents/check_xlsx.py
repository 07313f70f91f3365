"""Reads a spreadsheet with openpyxl and holds it against findings.json; prints what is wrong.

check_xlsx.py XLSX FINDINGS.json
"""
import datetime
import json
import sys
import zipfile

import openpyxl

# What the file format keeps of a double: 16 significant digits.
RELATIVE = 1e-14
path, findings_path = sys.argv[1:]
book = openpyxl.load_workbook(path)
findings = json.load(open(findings_path, encoding="utf-8"))
wrong = []
if book.sheetnames != ["About", "Ranked list", "Not judged", "Warm and even", "Lugs", "Readings", "Problems",
                       "Parameters", "Motors", "Places"]:
    wrong.append(f"sheets {book.sheetnames}")
for sheet in book:
    if sheet.freeze_panes != "A2":
        wrong.append(f"{sheet.title}: frozen at {sheet.freeze_panes}")
    if not sheet.auto_filter.ref:
        wrong.append(f"{sheet.title}: no filter")
    for row in sheet.iter_rows():
        for cell in row:
            if cell.data_type == "f":
                wrong.append(f"{sheet.title} {cell.coordinate} is a formula: {cell.value}")
    if "qualified people" not in (sheet.oddFooter.left.text or ""):
        wrong.append(f"{sheet.title}: no caution at the foot")


def rows(name):
    table = list(book[name].iter_rows(values_only=True))
    return table[0], table[1:]


def same(where, cell, value):
    if value is None or isinstance(value, str):
        fits = (cell or "") == (value or "")
    else:
        fits = isinstance(cell, (int, float)) and abs(cell - value) <= RELATIVE * max(abs(value), 1e-9)
    if not fits:
        wrong.append(f"{where}: cell {cell!r}, findings.json {value!r}")


RANKED = {"Rank": "rank", "Motor": "motor", "Component": "component", "Phase": "phase", "Lug": "lug",
          "Temperature, °C": "temperature_c", "Reference, °C": "reference_c", "Rise over like, K": "rise_over_like_c",
          "Rise over air, K": "rise_over_air_c", "Rise over like at rated load, K": "projected_rise_c",
          "Band decided by": "band_by", "Phase highest by resistance": "electrical_phase",
          "Unbalance of the pairs, %": "resistance_unbalance_pct", "Excess, ohm": "excess_ohm",
          "Excess, W": "excess_w", "Recommended action": "action", "Next step": "next_step", "Image file": "image"}
head, table = rows("Ranked list")
if len(table) != len(findings["findings"]):
    wrong.append(f"{len(table)} rows, {len(findings['findings'])} findings")
for row, finding in zip(table, findings["findings"]):
    for title, key in RANKED.items():
        same(f"rank {finding['rank']}, {title}", row[head.index(title)], finding[key])

ASIDES = {"Motor": "motor", "Component": "component", "Load, A": "load_a", "Load, % of rated": "load_pct", "Why": "why",
          "Image again from, A": "image_again_from_a", "Next step": "next_step", "Lug": "lug", "Phase": "phase",
          "Temperature, °C": "temperature_c", "Rise over like, K": "rise_over_like_c",
          "u of rise over like, K": "rise_over_like_u_c", "Rise over air, K": "rise_over_air_c",
          "u of rise over air, K": "rise_over_air_u_c", "Image file": "image"}
for sheet, key in {"Not judged": "not_judged", "Warm and even": "warm_even"}.items():
    head, table = rows(sheet)
    if len(table) != len(findings[key]):
        wrong.append(f"{sheet}: {len(table)} rows, findings.json has {len(findings[key])}")
    for row, aside in zip(table, findings[key]):
        for title, member in ASIDES.items():
            same(f"{sheet}: {aside['motor']}, {title}", row[head.index(title)], aside[member])

LUGS = {"Lug": "name", "Phase": "phase", "Temperature, °C": "temperature_c", "u of temperature, K": "u_c",
        "Rise over like, K": "rise_over_like_c", "u of rise over like, K": "rise_over_like_u_c",
        "Rise over air, K": "rise_over_air_c", "u of rise over air, K": "rise_over_air_u_c", "Emissivity": "emissivity",
        "Pixels": "pixels"}
head, table = rows("Lugs")
lugs = [(image, lug) for image in findings["images"] for lug in image["lugs"]]
if len(table) != len(lugs):
    wrong.append(f"{len(table)} lugs, findings.json has {len(lugs)}")
for row, (image, lug) in zip(table, lugs):
    same("image", row[head.index("Image file")], image["file"])
    for title, key in LUGS.items():
        same(f"{image['file']} {lug['name']}, {title}", row[head.index(title)], lug[key])
    taken = row[head.index("Taken at")]
    if taken is not None and not isinstance(taken, datetime.datetime):
        wrong.append(f"{image['file']}: taken at {taken!r} is no date")

head, table = rows("Readings")
readings = [(m["motor"], e) for m in findings["motors"] for e in m["electrical"]]
if len(table) != len(readings):
    wrong.append(f"{len(table)} readings, findings.json has {len(readings)}")
for row, (motor, reading) in zip(table, readings):
    same("motor", row[head.index("Motor")], motor)
    same(f"{motor}, unbalance", row[head.index("Unbalance, %")], reading["unbalance_pct"])
    same(f"{motor}, excess", row[head.index("Excess, ohm")], reading.get("excess_ohm"))

head, table = rows("Problems")
if [row[3] for row in table] != [p["message"] for p in findings["problems"]]:
    wrong.append("the problems differ")
head, table = rows("Parameters")
if [row[0] for row in table] != [image["file"] for image in findings["images"]]:
    wrong.append("the images of the parameters differ")
head, table = rows("Motors")
MOTORS = {"Drives": "description", "Area": "area", "Locked out at": "lockout", "Criticality": "criticality",
          "Crew": "crew", "Torque, N m": "torque_nm", "Parts to bring": "parts"}
by_name = {row[0]: row for row in table}
for motor in findings["motors"]:
    if motor["motor"] not in by_name:
        wrong.append(f"no row for {motor['motor']}")
        continue
    for title, member in MOTORS.items():
        same(f"{motor['motor']}, {title}", by_name[motor["motor"]][head.index(title)], motor[member])
head, table = rows("Places")
places = {(row[0], row[1]): row for row in table}
PLACES = {"Area": "area", "Locked out at": "lockout", "Torque, N m": "torque_nm", "Parts to bring": "parts"}
for motor in findings["motors"]:
    for place in motor["places"]:
        row = places[motor["motor"], place["place"]]
        for title, member in PLACES.items():
            own = place[member] is not None
            same(f"{motor['motor']}, {place['place']}, {title}", row[head.index(title)],
                 place[member] if own else motor[member])
        same(f"{motor['motor']}, {place['place']}", row[head.index("Not inspected because")], place["not_inspected"])
ranked = book["Ranked list"]
if findings["findings"] and not ranked.conditional_formatting:
    wrong.append("no tints")
with_image = [f for f in findings["findings"] if f["image"]]
# openpyxl needs another library for pictures; their anchors stand in the file's own drawing part (ECMA-376, 20.5).
with zipfile.ZipFile(path) as parts:
    drawings = [parts.read(name).decode() for name in parts.namelist() if name.startswith("xl/drawings/drawing")]
pictures = sum(drawing.count("<xdr:pic>") for drawing in drawings)
if pictures != len(with_image):
    wrong.append(f"{pictures} pictures, {len(with_image)} findings with an image")
print("\n".join(wrong), end="")
