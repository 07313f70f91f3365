"""Comes last by its name: nothing that docs/api/openapi.json describes is left untried."""
import re
import unittest

from served import DOCUMENT, SEEN, SOURCE


class Document(unittest.TestCase):
    def test_every_described_operation_was_tried(self):
        described = {(method.upper(), path) for path, item in DOCUMENT["paths"].items() for method in item}
        self.assertEqual(described - SEEN, set())


class Threats(unittest.TestCase):
    def test_every_threat_of_the_document_names_tests_that_are_there(self):
        text = (SOURCE / "docs/serve.md").read_text(encoding="utf-8")
        rows = [line.strip("| ").split("|") for line in text[text.index("| threat |"):].split("\n\n")[0].splitlines()[2:]]
        self.assertGreaterEqual(len(rows), 8)
        there = "".join(path.read_text(encoding="utf-8") for path in (SOURCE / "tests/serve").glob("*_test.py"))
        for threat, _, tests in rows:
            names = re.findall(r"`([a-z_]+)`", tests)
            self.assertTrue(names, threat)
            for name in names:
                self.assertIn(f"def test_{name}(self)", there, threat)
