"""Columns of texts by Unicode's own East Asian width (UAX 11) and general category tables.

check_width.py TEXT WIDTH [TEXT WIDTH …]
"""
import sys
import unicodedata


def columns(text):
    width = 0
    for c in text:
        if unicodedata.category(c) in {"Mn", "Me", "Cf"}:
            continue
        width += 2 if unicodedata.east_asian_width(c) in {"W", "F"} else 1
    return width


for text, width in zip(*[iter(sys.argv[1:])] * 2):
    if columns(text) != int(width):
        print(f"{text!r}: {width}, wanted {columns(text)}")
