#!/usr/bin/python3
"""Holds JSON files against a JSON Schema: check_schema.py SCHEMA FILE...

Says on stderr what breaks the schema and where, and exits with 1 if anything does. Numbers that
JSON does not have (NaN, Infinity) and members given twice break it too.
"""

import json
import sys
from pathlib import Path

from jsonschema.validators import validator_for


def refuse_constant(word):
    raise ValueError(f"{word} is not a JSON number")


def members_given_once(pairs):
    members = dict(pairs)
    if len(members) != len(pairs):
        raise ValueError(f"a member is given twice among {[key for key, _ in pairs]}")
    return members


def read_strictly(path):
    text = Path(path).read_text(encoding="utf-8")
    return json.loads(text, parse_constant=refuse_constant, object_pairs_hook=members_given_once)


def complaints(validator, path):
    try:
        document = read_strictly(path)
    except (OSError, ValueError) as error:
        return [f"{path}: {error}"]
    errors = sorted(validator.iter_errors(document), key=lambda error: list(map(str, error.absolute_path)))
    return [f"{path}: at /{'/'.join(map(str, error.absolute_path))}: {error.message[:500]}" for error in errors]


def main(arguments):
    if len(arguments) < 2:
        print(__doc__, file=sys.stderr)
        return 2
    schema = read_strictly(arguments[0])
    validator_class = validator_for(schema)
    validator_class.check_schema(schema)
    validator = validator_class(schema)
    found = [line for path in arguments[1:] for line in complaints(validator, path)]
    for line in found:
        print(line, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
