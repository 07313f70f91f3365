"""Every address of the API, its answers held against docs/api/openapi.json by the client."""
import gzip
import json
import struct

import numpy
from served import SEEN, Client, Server, ServedTest, demo_survey, run


class Routes(ServedTest):
    def test_what_the_server_shows_is_what_assess_writes_number_by_number(self):
        out = self.folder.parent / "out"
        self.assertIn(run("assess", self.folder, "-o", out).returncode, (0, 1))
        written = json.loads((out / "findings.json").read_text())
        rows = self.client.rows("/api/findings")
        self.assertEqual(len(rows), len(written["findings"]))
        for row, finding in zip(rows, written["findings"]):
            self.assertEqual(row.pop("unconfirmed"), int("unconfirmed" in finding["flags"]))
            self.assertEqual(row.pop("leads_case"), int(finding["leads_case"]))
            self.assertRegex(row.pop("do"), r"^Stop it|^Take it off" if finding["decision"] == "stop_now" else r"^(?!Stop it|Take it off)\w.*\.$")
            cause, probability, likelier = (row.pop(name) for name in ("cause", "cause_probability", "likelier"))
            known = [[(e["title"], e["probability"]) for e in c["explanations"]] for c in written["components"]
                     if c["motor"] == finding["motor"] and c["component"] == finding["component"]]
            if cause is None:
                self.assertEqual((probability, likelier), (None, None))
            else: # of one component, whose likeliest explanation comes first
                of = next(explanations for explanations in known if (cause, probability) in explanations)
                self.assertEqual(of[0][0], likelier or cause)
            self.assertEqual({k: v for k, v in row.items() if k != "description"}, {k: finding[k] for k in row if k != "description"})
        asides = self.client.rows("/api/asides")
        for name in ("not_judged", "warm_even"):
            shown = [{k: v for k, v in row.items() if k != "list"} for row in asides if row["list"] == name]
            self.assertEqual(shown, [{k: item[k] for k in shown[0]} for item in written[name]] if shown else written[name])
        for motor in written["motors"]:
            with self.subTest(motor=motor["motor"]):
                view = self.client.get("/api/motor", motor=motor["motor"]).json
                of_motor = lambda part: [item for item in written[part] if item["motor"] == motor["motor"]]
                self.assertEqual(view["electrical"], motor["electrical"])
                self.assertEqual(view["segments"], motor["segments"])
                self.assertEqual(view["verdict"], motor["verdict"])
                self.assertEqual(view["findings"], of_motor("findings"))
                self.assertEqual(view["images"], of_motor("images"))
                self.assertEqual([{k: shown[k] for k in whole} for shown, whole in zip(view["components"], of_motor("components"))],
                                 of_motor("components"))
        exported = self.client.get("/api/export", format="json").body
        self.assertEqual(exported, (out / "findings.json").read_bytes())
        self.assertEqual(self.client.get("/api/export", format="csv").body, (out / "ranked.csv").read_bytes())
        self.assertEqual(self.client.get("/api/export", format="html").body, (out / "report.html").read_bytes())
        for name, begins in (("pdf", b"%PDF-"), ("xlsx", b"PK"), ("shutdown.pdf", b"%PDF-"), ("shutdown.xlsx", b"PK")):
            self.assertTrue(self.client.get("/api/export", format=name).body.startswith(begins))
        self.assertEqual(set(self.survey["formats"]), {"html", "pdf", "xlsx", "csv", "json", "shutdown.pdf", "shutdown.xlsx"})

    def test_the_survey_says_its_words_and_its_cautions(self):
        self.assertEqual(self.survey["name"], "bexley")
        progress = self.client.enter()["progress"]
        self.assertEqual(progress["done"], progress["total"])
        self.assertTrue(any("live enclosure" in caution for caution in self.survey["cautions"]))
        self.assertEqual([band["id"] for band in self.survey["policy"]["bands"]], ["watch", "plan", "monitor", "urgent"])
        self.assertEqual(self.survey["units"]["winding_resistance"], ["ohm", "mohm", "uohm"])

    def test_temperatures_are_floats_row_by_row(self):
        celsius = numpy.linspace(20, 90, 12 * 7, dtype="<f4").reshape(7, 12)
        celsius[3, 4] = numpy.nan
        numpy.save(self.folder / "ramp.npy", celsius)
        with (self.folder / "images.csv").open("a", encoding="utf-8") as table:
            table.write("ramp.npy,BE-01,drive output\n")
        answer = self.client.get("/api/image/temperatures", file="ramp.npy")
        self.assertEqual(answer.status, 404)  # the tables are looked at again with the survey, a motor or an image
        self.client.enter()
        answer = self.client.get("/api/image/temperatures", file="ramp.npy")
        self.assertEqual((answer.headers["X-Width"], answer.headers["X-Height"]), ("12", "7"))
        numpy.testing.assert_array_equal(numpy.frombuffer(answer.body, "<f4").reshape(7, 12), celsius)
        again = self.client.ask("GET", "/api/image/temperatures", headers={"If-None-Match": answer.headers["ETag"]}, file="ramp.npy")
        self.assertEqual((again.status, again.body), (304, b""))

    def test_pictures_are_pictures(self):
        file = self.measured()
        thumbnail = self.client.get("/api/image/thumbnail", file=file)
        self.assertTrue(thumbnail.body.startswith(b"\x89PNG"))
        self.assertLessEqual(struct.unpack(">I", thumbnail.body[16:20])[0], 160)
        self.assertEqual(self.client.get("/api/image/photo", file=file).status, 404)

    def test_a_photograph_is_shown_and_nothing_else_is(self):
        file = self.measured()
        (self.folder / "seen.jpg").write_bytes(b"\xff\xd8\xff\xe0 a picture")
        (self.folder / "page.svg").write_text("<svg onload='alert(1)'/>")
        image = self.client.image(file)
        for name, status in (("seen.jpg", 200), ("page.svg", 422)):
            saved = self.client.ask("PATCH", "/api/image/parameters", {"photo": name}, {"If-Match": f'"{image["parameters_etag"]}"'}, file=file)
            self.assertEqual(saved.status, 200, saved.body)
            image = saved.json
            self.assertEqual(self.client.get("/api/image/photo", file=file).status, status)

    def test_a_list_that_the_caller_has_is_not_sent_again(self):
        for path in ("/api/findings", "/api/asides", "/api/motors", "/api/images"):
            etag = self.client.get(path).headers["ETag"]
            again = self.client.ask("GET", path, headers={"If-None-Match": etag})
            self.assertEqual((again.status, again.body), (304, b""))

    def test_proposed_marks_can_be_tried_and_saved_as_they_are(self):
        file = self.measured()
        image = self.client.image(file)
        proposed = self.client.get("/api/proposals", file=file).json
        self.assertTrue(proposed["reason"])
        self.assertEqual((self.folder / "marks" / f"{file}.json").exists(), True)
        unmarked = [row["file"] for row in self.client.rows("/api/images") if row["status"] == "unmarked"]
        for other in unmarked:
            self.assertTrue(self.client.get("/api/proposals", file=other).json["reason"])
        self.assertGreater(len(proposed["marks"]), 2)
        for mark in proposed["marks"]:
            self.assertIn(mark["origin"], ("proposed", "carried"))
        tried = self.client.ask("POST", "/api/try", {"file": file, "marks": proposed["marks"]})
        self.assertEqual(tried.status, 200, tried.body)
        self.assertEqual(self.client.put_marks(file, proposed["marks"], image["marks_etag"]).status, 200)

    def test_what_is_not_there_is_said_so(self):
        for path, query in (("/api/image", {"file": "none.tif"}), ("/api/image", {}), ("/api/motor", {"motor": "none"}),
                            ("/api/export", {"format": "doc"}), ("/api/image/temperatures", {"file": "none.tif"}),
                            ("/api/proposals", {"file": "none.tif"}), ("/api/nothing", {})):
            with self.subTest(path=path):
                answer = self.client.get(path, **query)
                self.assertEqual(answer.status, 404)
                self.assertTrue(answer.json["error"]["message"])
        self.assertEqual(self.client.ask("POST", "/api/nothing", {}).status, 404)

    def test_news_tell_of_progress_and_of_every_change(self):
        before = self.client.get("/api/news").json
        self.assertEqual(before["progress"]["done"], before["progress"]["total"])
        self.assertEqual(self.client.get("/api/news").json, before)
        file = self.measured()
        image = self.client.image(file)
        self.assertEqual(self.client.put_marks(file, image["marks"]["marks"][:2], image["marks_etag"]).status, 200)
        after = self.client.get("/api/news").json
        self.assertGreater(after["changes"], before["changes"])
        self.assertEqual(after["run"], before["run"])

    def test_texts_are_sent_compressed_to_those_who_take_it(self):
        plain = self.client.get("/api/findings")
        packed = self.client.ask("GET", "/api/survey", headers={"Accept-Encoding": "identity"})
        self.assertNotIn("Content-Encoding", packed.headers)
        self.client.connection.request("GET", "/api/findings", headers={"Accept-Encoding": "gzip"})
        answer = self.client.connection.getresponse()
        body = answer.read()
        self.assertEqual(answer.getheader("Content-Encoding"), "gzip")
        self.assertEqual(answer.getheader("Vary"), "Accept-Encoding")
        self.assertEqual(gzip.decompress(body), plain.body)
        self.assertLess(2 * len(body), len(plain.body))

    def test_older_surveys_give_a_motor_its_history(self):
        server = Server(self.folder, "--earlier", demo_survey())
        client = Client(server)
        self.assertEqual(client.enter()["earlier"], ["bexley"])
        motor = client.finished().rows("/api/findings")[0]["motor"]
        own = [row for row in self.client.get("/api/motor", motor=motor).json["history"]]
        self.assertTrue(own)
        while len(client.get("/api/motor", motor=motor).json["history"]) < 2 * len(own):
            pass
        history = client.get("/api/motor", motor=motor).json["history"]
        self.assertEqual(history[:len(own)], history[len(own):])
        # The older survey's images stand beside those of this one; it is the same survey here.
        file = next(row["file"] for row in client.rows("/api/images") if row["motor"] == motor and row["status"] == "measured")
        image = client.image(file)
        self.assertIn(file, [older["file"] for older in image["earlier_images"] if older["survey"] == "bexley"])
        older = client.get("/api/image", file=file, survey="bexley").json
        self.assertEqual(older["earlier_images"], [])
        self.assertEqual([older[part] for part in ("marks", "result", "width")], [image[part] for part in ("marks", "result", "width")])
        for picture in ("temperatures", "thumbnail"):
            self.assertEqual(client.get(f"/api/image/{picture}", file=file, survey="bexley").body, client.get(f"/api/image/{picture}", file=file).body)
            self.assertEqual(client.get(f"/api/image/{picture}", file=file, survey="none").status, 404)
        client.connection.close()
        self.assertEqual(server.end()[0], 0)


class Trying(ServedTest):
    def test_a_mark_that_is_tried_gives_what_saving_it_gives_and_saves_nothing(self):
        file = self.measured()
        image = self.client.image(file)
        before = (self.folder / "marks" / f"{file}.json").read_bytes()
        marks = image["marks"]["marks"]
        marks[1]["shape"] = dict(marks[0]["shape"])
        tried = self.client.ask("POST", "/api/try", {"file": file, "marks": marks}).json
        self.assertNotIn("motor", tried)
        self.assertEqual(tried["before"]["result"], image["result"])
        self.assertNotEqual(tried["result"], image["result"])
        self.assertEqual((self.folder / "marks" / f"{file}.json").read_bytes(), before)
        self.assertEqual(self.client.image(file)["result"], image["result"])
        self.assertEqual(self.client.put_marks(file, marks, image["marks_etag"]).status, 200)
        saved = self.client.image(file)
        self.assertEqual(saved["result"], tried["result"])
        self.assertEqual(saved["component_result"], tried["component_result"])

    def test_a_parameter_that_is_tried_gives_what_saving_it_gives(self):
        file = self.measured()
        image = self.client.image(file)
        tried = self.client.ask("POST", "/api/try", {"file": file, "parameters": {"emissivity": "0.6", "air_c": "21"}}).json
        self.assertNotEqual(tried["result"]["lugs"], image["result"]["lugs"])
        self.assertEqual(self.client.image(file)["result"], image["result"])
        saved = self.client.ask("PATCH", "/api/image/parameters", {"emissivity": "0.6", "air_c": "21"},
                                {"If-Match": f'"{image["parameters_etag"]}"'}, file=file)
        self.assertEqual(saved.status, 200, saved.body)
        self.assertEqual(saved.json["result"], tried["result"])
        shown = {parameter["name"]: parameter for parameter in saved.json["parameters"]}
        self.assertEqual((shown["emissivity"]["row"], shown["emissivity"]["used"], shown["emissivity"]["from"]), ("0.6", 0.6, "images.csv"))

    def test_readings_that_are_tried_give_what_saving_them_gives(self):
        motor = next(row["motor"] for row in self.client.rows("/api/motors") if row["verdict"] == "no_reading")
        view = self.client.get("/api/motor", motor=motor).json
        reading = {"test": "winding_resistance", "taken_at": "2026-03-04", "place": view["components"][0]["component"],
                   "value_1": "520", "value_2": "410", "value_3": "520", "unit": "mohm"}
        tried = self.client.ask("POST", "/api/try", {"motor": motor, "readings": view["readings"] + [reading]}).json
        self.assertIsNone(tried["result"])
        self.assertNotEqual(tried["motor"]["verdict"], "no_reading")
        saved = self.client.ask("POST", "/api/readings", reading, {"If-Match": f'"{view["readings_etag"]}"'}, motor=motor)
        self.assertEqual(saved.status, 201, saved.body)
        after = self.client.get("/api/motor", motor=motor).json
        for part in ("verdict", "electrical", "components", "segments"):
            self.assertEqual(after[part], tried["motor"][part])

    def test_a_draft_that_the_survey_would_not_take_is_told_what_is_wrong(self):
        file = self.measured()
        marks = self.client.image(file)["marks"]["marks"]
        for body, column in (({"file": file, "marks": [{"name": "T1"}]}, "marks[0]"),
                             ({"file": file, "marks": marks + [marks[0]]}, "marks"),
                             ({"file": file, "parameters": {"emissivity": "2"}}, "emissivity"),
                             ({"motor": self.survey["name"], "readings": 5}, None),
                             ({"file": file, "parameters": {"motor": "X"}}, None),
                             ({"file": file, "colour": 1}, None)):
            with self.subTest(body=str(body)[:60]):
                answer = self.client.ask("POST", "/api/try", body)
                self.assertEqual(answer.status, 422)
                if column:
                    self.assertIn(column, answer.json["error"]["column"])
