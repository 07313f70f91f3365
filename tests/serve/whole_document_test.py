"""Comes last by its name: nothing that docs/api/openapi.json describes is left untried."""
import unittest

from served import DOCUMENT, SEEN


class Document(unittest.TestCase):
    def test_every_described_operation_was_tried(self):
        described = {(method.upper(), path) for path, item in DOCUMENT["paths"].items() for method in item}
        self.assertEqual(described - SEEN, set())
