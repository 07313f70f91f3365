"""A folder without a survey: images are brought, and a survey is made of them."""
import csv
import json
import os
import shutil
import unittest

from served import Client, Server, demo_survey, fresh_folder, run

PIECE = 50_000


class Starting(unittest.TestCase):
    def setUp(self):
        self.place = fresh_folder("start")
        self.folder = self.place / "bexley"
        self.folder.mkdir()
        self.demo = demo_survey()
        self.tif = self.demo / "route/cv02_terminal_box.tif"
        self.server = Server(self.folder)
        self.client = Client(self.server)
        self.beginning()

    def tearDown(self):
        self.client.connection.close()
        if self.server.process.poll() is None:
            code, said = self.server.end()
            self.assertEqual(code, 0, said)
        shutil.rmtree(self.place)
        shutil.rmtree(self.demo.parent)

    def beginning(self):
        found = self.client.get("/api/start").json
        self.client.token = found["csrf"]
        return found

    def facts(self, name, content):
        return {"name": name, "size": len(content), "changed": "1"}

    def put(self, name, content, begin, end):
        return self.client.ask("PUT", "/api/incoming", content[begin:end], {"Content-Type": "application/octet-stream"},
                               **self.facts(name, content), **{"from": begin})

    def bring(self, name, content):
        """As the page does it: piece by piece, from where the server is."""
        answer = self.client.get("/api/incoming", **self.facts(name, content))
        while answer.status == 200 and not answer.json["is_whole"]:
            at = answer.json["bytes"]
            answer = self.put(name, content, at, at + PIECE)
        return answer

    def test_a_folder_without_a_survey_says_so_and_has_none_of_its_addresses(self):
        self.assertEqual(self.client.get("/api/news").json["holds"], "nothing")
        self.assertEqual(self.client.get("/api/survey").status, 404)
        found = self.beginning()
        self.assertEqual((found["name"], found["images"]["rows"], found["photos"]), ("bexley", [], []))
        refused = self.client.ask("POST", "/api/start", {"images": found["images"], "motors": found["motors"]})
        self.assertEqual(refused.status, 422)
        self.assertEqual(sorted(os.listdir(self.folder)), [])

    def test_images_are_brought_named_and_become_the_survey_that_start_would_make(self):
        content = self.tif.read_bytes()
        self.assertEqual(self.bring("CV-02 terminal box.tif", content).json, {"bytes": len(content), "is_whole": True})
        self.assertEqual(self.bring("CV-02 terminal box.jpg", b"\xff\xd8\xff\xe0 a picture").status, 200)
        self.assertEqual((self.folder / "CV-02 terminal box.tif").read_bytes(), content)
        found = self.beginning()
        row = dict(zip(found["images"]["columns"], found["images"]["rows"][0]))
        self.assertEqual((row["motor"], row["component"], row["photo"]), ("CV-02", "terminal box", "CV-02 terminal box.jpg"))
        # As the command line has it, to the byte.
        beside = self.place / "beside" / "bexley"
        shutil.copytree(self.folder, beside)
        self.assertEqual(run("start", beside).returncode, 0)
        body = {name: found[name] for name in ("site", "surveyed_on", "images", "motors")}
        started = self.client.ask("POST", "/api/start", body)
        self.assertEqual((started.status, started.json["written"]), (201, ["survey.json", "images.csv", "motors.csv"]), started.body)
        for name in started.json["written"]:
            self.assertEqual((self.folder / name).read_bytes(), (beside / name).read_bytes(), name)
        # From now on it is a survey as any other.
        self.assertEqual(self.client.get("/api/news").json["holds"], "survey")
        survey = self.client.enter()
        self.assertEqual((survey["name"], survey["site"]), ("bexley", "bexley"))
        self.assertEqual([row["file"] for row in self.client.rows("/api/images")], ["CV-02 terminal box.tif"])
        self.assertEqual(self.client.get("/api/start").status, 404)

    def test_cells_that_cannot_be_used_are_named_and_nothing_is_written(self):
        self.bring("a.tif", self.tif.read_bytes())
        found = self.beginning()
        columns = found["images"]["columns"]
        row = found["images"]["rows"][0]
        row[columns.index("motor")], row[columns.index("component")] = "CV-02", "terminal box"
        motors = {"columns": found["motors"]["columns"], "rows": [["CV-02"] + [""] * (len(found["motors"]["columns"]) - 1)]}
        body = {"site": "Bexley", "images": found["images"], "motors": motors}
        for column, text in (("emissivity", "1.4"), ("air_c", "abc"), ("load_1_a", "-5")):
            wrong = json.loads(json.dumps(body))
            wrong["images"]["rows"][0][columns.index(column)] = text
            refused = self.client.ask("POST", "/api/start", wrong)
            self.assertEqual(refused.status, 422)
            self.assertEqual([(p["file"], p["row"], p["column"]) for p in refused.json["problems"]], [("images.csv", 2, column)])
        wrong = json.loads(json.dumps(body))
        wrong["motors"]["rows"][0][motors["columns"].index("rated_a")] = "many"
        self.assertEqual([(p["file"], p["column"]) for p in self.client.ask("POST", "/api/start", wrong).json["problems"]], [("motors.csv", "rated_a")])
        wrong = json.loads(json.dumps(body))
        wrong["images"]["rows"][0][0] = "../b.tif"
        self.assertEqual(self.client.ask("POST", "/api/start", wrong).status, 412)
        self.assertEqual(self.client.ask("POST", "/api/start", {**body, "surveyed_on": "yesterday"}).status, 422)
        self.assertEqual(self.client.ask("POST", "/api/start", {**body, "motors": {"columns": [], "rows": []}}).status, 422)
        self.assertEqual(sorted(os.listdir(self.folder)), ["a.tif"])
        # What is right goes in as it is typed, formulas included.
        body["images"]["rows"][0][columns.index("note")] = "=1+1"
        self.assertEqual(self.client.ask("POST", "/api/start", body).status, 201)
        with (self.folder / "images.csv").open(encoding="utf-8", newline="") as table:
            self.assertEqual(list(csv.DictReader(table))[0]["note"], "=1+1")

    def test_a_file_goes_on_where_the_connection_broke_even_after_a_restart(self):
        content = self.tif.read_bytes()
        self.assertEqual(self.put("a.tif", content, 0, PIECE).json, {"bytes": PIECE, "is_whole": False})
        self.assertFalse((self.folder / "a.tif").exists())
        self.client.connection.close()
        self.server.end()
        self.server = Server(self.folder)
        self.client = Client(self.server)
        self.beginning()
        self.assertEqual(self.client.get("/api/incoming", **self.facts("a.tif", content)).json["bytes"], PIECE)
        # A piece that is sent twice, or out of turn, changes nothing.
        self.assertEqual(self.put("a.tif", content, 0, PIECE).status, 412)
        self.assertEqual(self.put("a.tif", content, 2 * PIECE, 3 * PIECE).status, 412)
        # Another file of that name and size begins anew.
        other = self.client.get("/api/incoming", name="a.tif", size=len(content), changed="2").json
        self.assertEqual(other, {"bytes": 0, "is_whole": False})
        self.assertEqual(self.bring("a.tif", content).json["is_whole"], True)
        self.assertEqual((self.folder / "a.tif").read_bytes(), content)

    def test_what_never_became_whole_goes_when_the_survey_is_there(self):
        content = self.tif.read_bytes()
        self.put("b.tif", content, 0, PIECE)
        self.bring("BE-01 starter.tif", content)
        self.assertTrue([name for name in os.listdir(self.folder) if name.startswith(".")])
        found = self.beginning()
        self.assertEqual(len(found["images"]["rows"]), 1)
        self.assertEqual(self.client.ask("POST", "/api/start", {"images": found["images"], "motors": found["motors"]}).status, 201)
        self.assertEqual([name for name in os.listdir(self.folder) if name.startswith(".")], [])

    def test_hostile_names_are_refused(self):
        content = self.tif.read_bytes()
        for name in ("", "../a.tif", "a/b.tif", "a\\b.tif", ".a.tif", "a\n.tif", "a\u202e.tif", "a\x1b[2J.tif", "C:a.tif", "a.tif ", "x" * 300 + ".tif",
                     "survey.json", "images.csv", "Motors.CSV", "images.xlsx", "ranked.csv", "findings.json", "a.svg", "a.html", "a.sh", "a", "a.tif\0.sh"):
            for answer in (self.put(name, content, 0, len(content)), self.client.get("/api/incoming", **self.facts(name, content))):
                self.assertEqual(answer.status, 422, name)
        self.assertEqual(os.listdir(self.folder), [])
        self.assertEqual(sorted(os.listdir(self.place)), ["bexley"])

    def test_nothing_is_written_over_and_no_link_is_followed(self):
        content = self.tif.read_bytes()
        (self.folder / "a.tif").write_bytes(b"mine")
        self.assertEqual(self.put("a.tif", content, 0, len(content)).status, 412)
        outside = self.place / "outside.tif"
        (self.folder / "b.tif").symlink_to(outside)
        self.assertEqual(self.put("b.tif", content, 0, len(content)).status, 412)
        # A link under the hidden name of what has come.
        self.put("c.tif", content, 0, PIECE)
        (hidden,) = [path for path in self.folder.iterdir() if path.name.startswith(".")]
        hidden.rename(outside)
        hidden.symlink_to(outside)
        before = outside.read_bytes()
        self.assertGreaterEqual(self.put("c.tif", content, PIECE, 2 * PIECE).status, 400)
        hidden.unlink()
        os.link(outside, hidden)
        self.assertEqual(self.put("c.tif", content, PIECE, 2 * PIECE).status, 412)
        self.assertEqual(outside.read_bytes(), before)
        self.assertEqual((self.folder / "a.tif").read_bytes(), b"mine")

    def test_what_the_readers_would_refuse_is_refused_and_thrown_away(self):
        for name, content in (("a.tif", b"II*\0 and no more"), ("a.jpg", b"GIF89a"), ("a.npy", b"x" * 100), ("a.csv", b"<html>")):
            refused = self.bring(name, content)
            self.assertEqual(refused.status, 422, name)
            self.assertEqual(refused.json["error"]["file"], name)
        self.assertEqual(self.bring("a.tif", b"").status, 422)
        self.assertEqual(os.listdir(self.folder), [])
        too_large = self.client.ask("PUT", "/api/incoming", b"x", {"Content-Type": "application/octet-stream"}, name="a.tif", size=1 << 40, **{"from": 0})
        self.assertEqual(too_large.status, 413)
        self.assertEqual(self.put("a.tif", b"x" * 10, 0, 20).status, 422)  # whole, and no image

    def test_a_piece_needs_the_pages_token_and_its_own_media_type(self):
        content = self.tif.read_bytes()
        for headers, status in (({"X-Ohmglow-Token": None}, 403), ({"Content-Type": "text/plain"}, 415), ({"Content-Type": "application/json"}, 415),
                                ({"Origin": "http://evil.example"}, 403)):
            answer = self.client.ask("PUT", "/api/incoming", content, {"Content-Type": "application/octet-stream", **headers}, **self.facts("a.tif", content), **{"from": 0})
            self.assertEqual(answer.status, status)
        self.assertEqual(self.client.ask("POST", "/api/start", "{}", {"Content-Type": "application/octet-stream"}).status, 415)
        self.assertEqual(os.listdir(self.folder), [])

    def test_a_piece_says_of_what_it_is_and_where_it_belongs(self):
        for query in ({"name": "a.tif", "from": 0}, {"name": "a.tif", "size": "x", "from": 0}, {"name": "a.tif", "size": 5}, {"name": "a.tif", "size": 5, "from": -1}):
            answer = self.client.ask("PUT", "/api/incoming", b"abc", {"Content-Type": "application/octet-stream"}, **query)
            self.assertEqual(answer.status, 422, query)


class Surveys(unittest.TestCase):
    """A folder of surveys."""

    def setUp(self):
        self.place = fresh_folder("surveys")
        self.folder = self.place / "contractor"
        self.folder.mkdir()
        made = demo_survey()
        shutil.copytree(made, self.folder / "bexley creek")
        shutil.copytree(made, self.folder / "second")
        shutil.rmtree(made.parent)
        shutil.rmtree(self.folder / "second" / "marks")
        (self.folder / "broken").mkdir()
        (self.folder / "broken" / "survey.json").write_text("{")
        (self.folder / "no survey").mkdir()
        (self.place / "elsewhere").mkdir()
        (self.place / "elsewhere" / "survey.json").write_text("{}")
        (self.folder / "link").symlink_to(self.place / "elsewhere")
        self.server = Server(self.folder)
        self.client = Client(self.server)

    def tearDown(self):
        self.client.connection.close()
        code, said = self.server.end()
        self.assertEqual(code, 0, said)
        shutil.rmtree(self.place)

    def listed(self):
        return {survey["name"]: survey for survey in self.client.get("/api/surveys").json["surveys"]}

    def finished(self):
        while True:
            surveys = self.listed()
            if surveys["broken"]["error"] and all("progress" in s and s["progress"]["done"] == s["progress"]["total"] for n, s in surveys.items() if n != "broken"):
                return surveys

    def test_all_surveys_are_listed_and_each_is_served_behind_its_name(self):
        self.assertEqual(self.client.get("/api/news").json["holds"], "surveys")
        surveys = self.finished()
        self.assertEqual(sorted(surveys), ["bexley creek", "broken", "second"])
        for name in ("bexley creek", "second"):
            inside = self.client.ask("GET", f"/survey/{name.replace(' ', '%20')}/api/findings").json
            self.assertEqual(sum(surveys[name]["counts"]["bands"].values()), len(inside["rows"]))
            self.assertTrue(surveys[name]["surveyed_on"])
        self.assertGreater(sum(surveys["bexley creek"]["counts"]["bands"].values()), sum(surveys["second"]["counts"]["bands"].values()))
        self.assertTrue(surveys["broken"]["error"]["message"])

    def test_a_change_reaches_the_survey_that_is_named_and_no_other(self):
        self.finished()
        prefix = "/survey/second"
        self.client.token = self.client.ask("GET", f"{prefix}/api/survey").json["csrf"]
        file = "route/cv02_terminal_box.tif"
        image = self.client.ask("GET", f"{prefix}/api/image", file=file).json
        body = {"version": 1, "image": file, "size": [image["width"], image["height"]],
                "marks": [{"name": "T1", "role": "lug", "phase": 1, "shape": {"kind": "circle", "center": [60, 60], "radius": 4}}]}
        untouched = (self.folder / "bexley creek" / "marks" / f"{file}.json").read_bytes()
        for token, status in (("0" * 64, 403), (self.client.token, 200)):
            saved = self.client.ask("PUT", f"{prefix}/api/image/marks", body, {"If-Match": f'"{image["marks_etag"]}"', "X-Ohmglow-Token": token}, file=file)
            self.assertEqual(saved.status, status, saved.body)
        self.assertTrue((self.folder / "second" / "marks" / f"{file}.json").exists())
        self.assertEqual((self.folder / "bexley creek" / "marks" / f"{file}.json").read_bytes(), untouched)

    def test_no_name_leads_to_another_folder(self):
        # A slash that is written otherwise is one: what is asked for is no address of the API, and gets the page.
        self.assertEqual(self.client.ask("GET", "/survey/..%2felsewhere/api/survey").headers["Content-Type"].split(";")[0], "text/html")
        for name in ("..", "link", "no%20survey", "%2e%2e", "none", "", "."):
            self.assertEqual(self.client.ask("GET", f"/survey/{name}/api/survey").status, 404, name)
        self.assertEqual(self.client.get("/api/survey").status, 404)
        self.assertEqual(self.client.get("/api/start").status, 404)
