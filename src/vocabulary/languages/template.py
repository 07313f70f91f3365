#!/usr/bin/python3
"""Writes ohmglow.pot, the list of every message for translators, to standard output or a file.

usage: template.py [OUTPUT]

Messages stand in the sources as sentence("…", …), tr("…"), say("…", …) and msg("…"), in the HTML templates between
{{#t}} and {{/t}}, and in the shipped policies as titles, rules, actions and sources.
"""
import json
import pathlib
import re
import subprocess
import sys
import tempfile

SOURCE = pathlib.Path(__file__).resolve().parents[2]


def from_templates():
    for path in sorted((SOURCE / "report" / "templates").glob("*.mustache")):
        for message in re.findall(r"\{\{#t\}\}(.*?)\{\{/t\}\}", path.read_text()):
            yield path, message


def from_policies():
    for path in sorted((SOURCE / "severity" / "policies").glob("*.json")):
        policy = json.loads(path.read_text())
        for member in ("title", "source", "rule"):
            yield path, policy[member]
        if "over_air_alone" in policy:
            yield path, policy["over_air_alone"]["action"]
        if "failure_cost" in policy:
            yield path, policy["failure_cost"]["source"]
        yield path, policy["judgement"]["sound_scatter"]["source"]
        for band in policy["bands"]:
            for member in ("id", "title", "action", "source"):
                yield path, band[member]
            yield path, band["due"]["source"]
            yield path, band["failure"]["source"]


def main():
    with tempfile.TemporaryDirectory() as folder:
        other = pathlib.Path(folder) / "texts.c"
        with open(other, "w") as out:
            for path, message in [*from_templates(), *from_policies()]:
                out.write(f"/* {path.relative_to(SOURCE.parent)} */ msg({json.dumps(message, ensure_ascii=False)});\n")
        files = sorted(str(p.relative_to(SOURCE.parent)) for p in SOURCE.rglob("*.*")
                       if p.suffix in (".cpp", ".h") and "web" not in p.parts)
        result = subprocess.run(
            ["xgettext", "--c++", "--from-code=UTF-8", "--no-location", "--sort-output",
             "--keyword", "--keyword=sentence:1", "--keyword=tr", "--keyword=say:1", "--keyword=msg",
             "--package-name=ohmglow", "--msgid-bugs-address=", "--output=-", "--width=100",
             *files, str(other)],
            cwd=SOURCE.parent, check=True, capture_output=True, text=True)
    # A date would make every run differ.
    text = re.sub(r'"POT-Creation-Date:.*?\\n"\n', "", result.stdout)
    if len(sys.argv) > 1:
        pathlib.Path(sys.argv[1]).write_text(text)
    else:
        sys.stdout.write(text)


main()
