"""Arrows between rooms point one way. A room sees its own headers, what lower rooms offer it (src/offered/<room>/),
what the library offers everybody (include/ohmglow/), and nothing of a room above it. The rooms of src/records/ see
each other's headers too, in their order. What is installed sees only what is installed."""
import pathlib
import re
import sys

RECORDS = ["files", "intake", "editing", "results"]
ORDER = ["vocabulary", "tabular", "imaging", "radiometry", "marking", "sight", "severity", "electrical", "rotor", "diagnosis", "acceptance",
         *RECORDS, "signing", "assessment", "report", "demo", "documents", "serve", "cli"]
NO_JSON = set(ORDER[:ORDER.index("files")]) - {"imaging"} | {"signing"}
BESIDE = {("radiometry", "imaging"), ("electrical", "severity"), ("electrical", "marking"), ("demo", "report"),
          ("demo", "assessment"), ("documents", "assessment"), ("documents", "demo"), ("serve", "documents"),
          ("severity", "marking"), ("report", "assessment"), ("radiometry", "tabular"), ("serve", "demo"),
          ("files", "diagnosis"), ("files", "electrical"), ("files", "marking"), ("files", "severity")}
BESIDE |= {("rotor", room) for room in ("imaging", "radiometry", "marking", "severity", "electrical")}
BESIDE |= {("files", "rotor"), ("files", "acceptance")}
# What signs sees texts alone.
BESIDE |= {("signing", room) for room in ORDER[1:] if room != "signing"}

# Results say what they say as data (ohmglow/sentence.h); whoever reads it is asked when it is written out.
KNOWS_NO_READER = set(ORDER[1:ORDER.index("files")]) | {"signing", "assessment", "demo"}
ASKS_THE_READER = re.compile(r"(?<![\w.])(tr|say|reader|written)\(|\bWritingFor\b")

root = pathlib.Path(sys.argv[1])


def room_of_public(header):
    """The namespace names the room of a header that is installed; the vocabulary's is the project's own."""
    namespace = re.search(r"namespace ohmglow::(\w+)", (root / "include" / header).read_text())
    name = namespace.group(1) if namespace else "vocabulary"
    return {"records": "intake"}.get(name, name)


def room_of_source(parts):
    """Of a path from src/; None for what no room has."""
    if parts[0] in ("offered", "records"):
        return parts[1] if len(parts) > 2 else None
    return parts[0] if len(parts) > 1 else None


broken = []
seen = 0


def check(source, room):
    for line in source.read_text().splitlines():
        asked = ASKS_THE_READER.search(line.split("//")[0])
        if asked and room in KNOWS_NO_READER:
            broken.append(f"{source}: {room} must not know who reads: {asked.group().strip('(')}")
        include = re.match(r'#include ["<]([^">]+)[">]', line)
        if not include:
            continue
        name = include.group(1)
        parts = name.split("/")
        if name.startswith("nlohmann/") and room in NO_JSON:
            broken.append(f"{source}: {room} must not know JSON")
        if parts[0] == "ohmglow":
            other = room_of_public(name)
        elif (root / "src" / name).is_file():
            other = room_of_source(parts)
            if source.is_relative_to(root / "include"):
                broken.append(f"{source}: is installed, and {name} is not")
        else:
            continue
        if other is None:  # embedded.h
            continue
        if parts[0] not in ("ohmglow", "offered") and other != room and not {other, room} <= set(RECORDS):
            broken.append(f"{source}: includes the header {name}, which {other} keeps to itself")
        if ORDER.index(other) > ORDER.index(room) or (room, other) in BESIDE:
            broken.append(f"{source}: {room} must not see {other}")


for source in sorted((root / "src").rglob("*.[ch]*")) + sorted((root / "include").rglob("*.h")):
    if source.suffix not in (".cpp", ".h"):
        continue
    installed = source.is_relative_to(root / "include")
    room = (room_of_public(source.relative_to(root / "include")) if installed
            else room_of_source(source.relative_to(root / "src").parts))
    if room is None:
        continue
    if room not in ORDER:
        broken.append(f"{source}: the room {room} has no place in the order; add it")
        continue
    seen += 1
    check(source, room)
print("\n".join(broken) or f"{seen} sources, every arrow points down")
sys.exit(1 if broken or not seen else 0)
