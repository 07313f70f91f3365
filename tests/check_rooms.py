"""Arrows between rooms point one way: a source of src/<room>/ may include the public header of its own room,
of the rooms below it, and the vocabulary's, and private headers of its own room alone."""
import pathlib
import re
import sys

ORDER = ["vocabulary", "tabular", "imaging", "radiometry", "marking", "severity", "electrical", "diagnosis",
         "records", "signing", "assessment", "report", "demo", "documents", "serve", "cli"]
NO_JSON = set(ORDER[:ORDER.index("records")]) - {"imaging"} | {"signing"}
BESIDE = {("radiometry", "imaging"), ("electrical", "severity"), ("electrical", "marking"), ("demo", "report"),
          ("demo", "assessment"), ("documents", "assessment"), ("documents", "demo"), ("serve", "documents"),
          ("severity", "marking"), ("report", "assessment"), ("radiometry", "tabular"), ("serve", "demo")}
# What signs sees texts alone.
BESIDE |= {("signing", room) for room in ORDER[1:] if room != "signing"}

# Results say what they say as data (ohmglow/sentence.h); whoever reads it is asked when it is written out.
KNOWS_NO_READER = set(ORDER[1:ORDER.index("records")]) | {"signing", "assessment", "demo"}
ASKS_THE_READER = re.compile(r"(?<![\w.])(tr|say|reader|written)\(|\bWritingFor\b")

root = pathlib.Path(sys.argv[1])


def room_of(header):
    """A room may have several public headers: their namespace names it, the vocabulary's is the project's own."""
    namespace = re.search(r"namespace ohmglow::(\w+)", (root / "include/ohmglow" / f"{header}.h").read_text())
    return namespace.group(1) if namespace and namespace.group(1) in ORDER else "vocabulary"


broken = []
seen = 0
for source in sorted((root / "src").rglob("*.[ch]*")):
    parts = source.relative_to(root / "src").parts
    if len(parts) < 2 or source.suffix not in (".cpp", ".h"):
        continue
    room = parts[0]
    if room not in ORDER:
        broken.append(f"{source}: the room {room} has no place in the order; add it")
        continue
    seen += 1
    for line in source.read_text().splitlines():
        asked = ASKS_THE_READER.search(line.split("//")[0])
        if asked and room in KNOWS_NO_READER:
            broken.append(f"{source}: {room} must not know who reads: {asked.group().strip('(')}")
        include = re.match(r'#include ["<]([^">]+)[">]', line)
        if not include:
            continue
        name = include.group(1)
        other = None
        if name.startswith("ohmglow/"):
            header = name[len("ohmglow/"):-len(".h")]
            other = room_of(header)
        elif "/" in name and name.split("/")[0] in ORDER:
            other = name.split("/")[0]
            if other != room:
                broken.append(f"{source}: includes the private header {name}")
        if other is None:
            if name.startswith("nlohmann/") and room in NO_JSON:
                broken.append(f"{source}: {room} must not know JSON")
            continue
        if ORDER.index(other) > ORDER.index(room) or (room, other) in BESIDE:
            broken.append(f"{source}: {room} must not see {other}")
print("\n".join(broken) or f"{seen} sources, every arrow points down")
sys.exit(1 if broken or not seen else 0)
