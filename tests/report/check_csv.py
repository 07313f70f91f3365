"""Python's csv module reads the ranked list; prints one line a cell that differs.

check_csv.py FILE ROW COLUMN VALUE [ROW COLUMN VALUE …]   rows count from 0 behind the header
"""
import csv
import sys

with open(sys.argv[1], newline="", encoding="utf-8") as file:
    rows = list(csv.DictReader(file))
wrong = []
if any(None in row or None in row.values() for row in rows):
    wrong.append("rows of different lengths")
for row, column, value in zip(*[iter(sys.argv[2:])] * 3):
    got = rows[int(row)][column]
    try:
        same = abs(float(got) - float(value)) <= 1e-9
    except ValueError:
        same = got == value
    if not same:
        wrong.append(f"row {row}, {column}: {got!r}, wanted {value!r}")
print("\n".join(wrong), end="")
