"""Reports that are saved from the page: named, in pages where they are large, the filtered list alone, cancelled."""
import csv
import io
import re
import shutil
import tempfile
import time
import unittest
import zipfile
from pathlib import Path

from served import Client, Server, ServedTest, demo_survey, run


def saved_name(answer):
    return re.fullmatch(r'attachment; filename="(.*)"', answer.headers["Content-Disposition"])[1]


class Exports(ServedTest):
    def begin(self, **body):
        return self.client.ask("POST", "/api/exports", body)

    def ready(self, job):
        while job["state"] == "writing":
            time.sleep(0.02)
            job = self.client.get("/api/exports", id=job["id"]).json
        return job

    def test_an_export_is_written_apart_and_named_by_site_and_day(self):
        job = self.ready(self.begin(format="html").json)
        self.assertEqual(job["state"], "ready", job)
        self.assertEqual(job["progress"]["total"], len(self.client.rows("/api/findings")))
        saved = self.client.get("/api/export", id=job["id"])
        self.assertEqual((saved.status, len(saved.body)), (200, job["bytes"]))
        self.assertEqual(saved.body, self.client.get("/api/export", format="html").body)
        self.assertRegex(job["file"], r"^[a-z0-9-]+-20\d\d-\d\d-\d\d-report\.html$")
        self.assertEqual(saved_name(saved), job["file"])
        self.assertEqual(self.client.ask("DELETE", "/api/exports", None, id=job["id"]).status, 200)
        for method, path in (("GET", "/api/exports"), ("GET", "/api/export"), ("DELETE", "/api/exports")):
            self.assertEqual(self.client.ask(method, path, None, id=job["id"]).status, 404)

    def test_the_filtered_list_alone_is_those_rows_of_the_list(self):
        whole = list(csv.reader(io.StringIO(self.client.get("/api/export", format="csv").body.decode("utf-8-sig"))))
        job = self.ready(self.begin(format="csv", ranks=[3, 1, 3]).json)
        saved = self.client.get("/api/export", id=job["id"])
        self.assertEqual(list(csv.reader(io.StringIO(saved.body.decode("utf-8-sig")))), [whole[0], whole[1], whole[3]])
        self.assertRegex(saved_name(saved), r"-part-of-ranked\.csv$")
        for body in ({"format": "pdf", "ranks": [1]}, {"format": "csv", "ranks": []}, {"format": "csv", "ranks": ["1"]}, {"format": "csv", "ranks": [0]},
                     {"format": "csv", "ranks": 1}, {"format": "csv", "rank": [1]}):
            self.assertEqual(self.begin(**body).status, 422, body)
        self.assertEqual(self.begin(format="doc").status, 404)

    def test_what_is_left_of_exports_goes_with_the_server(self):
        mine = lambda: [path for path in Path(tempfile.gettempdir()).glob(f"ohmglow-export-{self.server.process.pid}-*")]
        self.ready(self.begin(format="csv").json)
        self.assertEqual(len(mine()), 1)
        self.server.end()
        self.assertEqual(mine(), [])

    def test_what_a_killed_server_left_goes_with_the_next_export(self):
        self.ready(self.begin(format="csv").json)
        (left,) = Path(tempfile.gettempdir()).glob(f"ohmglow-export-{self.server.process.pid}-*")
        self.server.end(9)
        server = Server(self.folder)
        client = Client(server)
        self.assertEqual(client.get("/api/export", format="csv").status, 200)
        self.assertFalse(left.exists())
        client.connection.close()
        self.assertEqual(server.end()[0], 0)


class ManyFindings(unittest.TestCase):
    """More findings than a page holds."""

    def setUp(self):
        self.folder = demo_survey()
        table = (self.folder / "images.csv").read_text(encoding="utf-8").splitlines()
        file = next(row["file"] for row in csv.DictReader(table) if row["file"] == "route/cv02_terminal_box.tif")
        column = table[0].split(",").index("motor")
        row = next(line for line in table if line.startswith(file + ","))
        for i in range(130):
            copy = f"route/copy{i:03}.tif"
            shutil.copy(self.folder / file, self.folder / copy)
            marks = (self.folder / "marks" / f"{file}.json").read_text(encoding="utf-8").replace(file, copy)
            (self.folder / "marks" / f"{copy}.json").write_text(marks, encoding="utf-8")
            cells = row.split(",")
            cells[0], cells[column] = copy, f"XX-{i:03}"
            table.append(",".join(cells))
        (self.folder / "images.csv").write_text("\n".join(table) + "\n", encoding="utf-8")
        self.server = Server(self.folder)
        self.client = Client(self.server)
        self.client.enter()
        self.client.finished()

    def tearDown(self):
        self.client.connection.close()
        code, said = self.server.end()
        self.assertEqual(code, 0, said)
        shutil.rmtree(self.folder.parent)

    def test_a_report_of_many_findings_is_a_zip_of_the_pages_that_assess_writes(self):
        self.assertGreater(len(self.client.rows("/api/findings")), 100)
        out = self.folder.parent / "out"
        self.assertIn(run("assess", self.folder, "-o", out, "--format", "html").returncode, (0, 1))
        written = {str(path.relative_to(out)): path.read_bytes() for path in out.rglob("*.html")}
        saved = self.client.get("/api/export", format="html")
        self.assertRegex(saved_name(saved), r"-report\.zip$")
        self.assertEqual(saved.headers["Content-Type"], "application/zip")
        with zipfile.ZipFile(io.BytesIO(saved.body)) as archive:
            self.assertEqual({name: archive.read(name) for name in archive.namelist()}, written)

    def test_a_cancelled_export_leaves_nothing(self):
        job = self.client.ask("POST", "/api/exports", {"format": "html"}).json
        self.assertEqual(self.client.ask("DELETE", "/api/exports", None, id=job["id"]).status, 200)
        self.assertEqual(list(Path(tempfile.gettempdir()).glob(f"ohmglow-export-{self.server.process.pid}-*")), [])
        self.assertEqual(self.client.get("/api/exports", id=job["id"]).status, 404)
