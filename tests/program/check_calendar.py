"""Prints each task of an iCalendar file as one JSON line, as python3-icalendar reads it.

Exits with 1 where a line breaks a rule of RFC 5545 that the parser forgives.
"""
import json
import sys

from icalendar import Calendar

raw = open(sys.argv[1], "rb").read()
for line in raw.split(b"\r\n"):
    if len(line) > 75 or b"\n" in line or b"\r" in line:
        sys.exit(f"a line of {len(line)} octets, or with a bare line end: {line[:80]!r}")
    line.decode("utf-8")  # folded between characters
if not raw.endswith(b"\r\n"):
    sys.exit("the last line is not ended")
calendar = Calendar.from_ical(raw)
if not calendar["PRODID"] or calendar["VERSION"] != "2.0" or calendar.errors:
    sys.exit("PRODID or VERSION is wrong")
for task in calendar.walk("VTODO"):
    if task.errors:
        sys.exit(str(task.errors))
    print(json.dumps({
        "uid": str(task["UID"]),
        "stamp": task["DTSTAMP"].dt.isoformat(),
        "due": task["DUE"].dt.isoformat() if "DUE" in task else None,
        "summary": str(task["SUMMARY"]),
        "description": str(task["DESCRIPTION"]),
        "location": str(task.get("LOCATION", "")),
        "priority": int(task["PRIORITY"]),
    }))
