"""Writing back into the survey's own files: locking, conflicts, what must not be lost."""
import json
import signal
import threading

from served import Client, Server, ServedTest


class Marks(ServedTest):
    def test_the_second_of_two_who_mark_the_same_image_is_told_what_is_there_now(self):
        file = self.measured()
        image = self.client.image(file)
        first, second = image["marks"]["marks"][:2], image["marks"]["marks"][:1]
        self.assertEqual(self.client.put_marks(file, first, image["marks_etag"]).status, 200)
        refused = self.client.put_marks(file, second, image["marks_etag"])
        self.assertEqual(refused.status, 412)
        self.assertEqual([mark["name"] for mark in refused.json["current"]["marks"]], [mark["name"] for mark in first])
        self.assertEqual(self.client.put_marks(file, second, refused.json["marks_etag"]).status, 200)

    def test_marks_that_another_program_changed_are_seen_and_never_overwritten(self):
        file = self.measured()
        image = self.client.image(file)
        path = self.folder / "marks" / f"{file}.json"
        marks = json.loads(path.read_text())
        marks["marks"].pop()
        path.write_text(json.dumps(marks))
        self.assertEqual(self.client.put_marks(file, [], image["marks_etag"]).status, 412)
        shown = self.client.image(file)
        self.assertEqual(len(shown["marks"]["marks"]), len(marks["marks"]))
        self.assertEqual(len(shown["result"]["lugs"]), len(marks["marks"]))

    def test_an_unmarked_image_takes_its_first_marks_with_the_etag_none(self):
        file = next(row["file"] for row in self.client.rows("/api/images") if row["status"] == "unmarked")
        image = self.client.image(file)
        self.assertEqual((image["marks_etag"], image["marks"]["marks"]), ("none", []))
        mark = {"name": "T1", "role": "lug", "phase": 1, "shape": {"kind": "circle", "center": [image["width"] / 2, image["height"] / 2], "radius": 9}}
        self.assertEqual(self.client.put_marks(file, [mark], "none").status, 200)
        self.assertEqual(self.client.image(file)["result"]["status"], "measured")
        self.assertEqual(self.client.put_marks(file, [mark], "none").status, 412)

    def test_a_mark_file_that_cannot_be_read_whole_is_not_replaced(self):
        file = self.measured()
        path = self.folder / "marks" / f"{file}.json"
        marks = json.loads(path.read_text())
        marks["marks"][0]["shape"] = {"kind": "star"}
        for text in (json.dumps(marks), "{ not json"):
            path.write_text(text)
            etag = self.client.image(file)["marks_etag"]
            refused = self.client.put_marks(file, [], etag)
            self.assertEqual(refused.status, 422)
            self.assertIn("by hand", refused.json["error"]["mend"])
            self.assertEqual(path.read_text(), text)

    def test_marks_that_the_survey_would_leave_out_are_refused(self):
        file = self.measured()
        image = self.client.image(file)
        before = (self.folder / "marks" / f"{file}.json").read_bytes()
        for marks in ([{"name": "T1", "role": "lug"}], "none", [dict(image["marks"]["marks"][0], colour="red")],
                      image["marks"]["marks"][:1] * 2):
            self.assertEqual(self.client.put_marks(file, marks, image["marks_etag"]).status, 422)
        self.assertEqual(self.client.put_marks(file, image["marks"]["marks"], image["marks_etag"], size=[9, 9]).status, 422)
        self.assertEqual((self.folder / "marks" / f"{file}.json").read_bytes(), before)

    def test_a_change_without_an_etag_is_refused(self):
        file = self.measured()
        for headers in ({}, {"If-Match": "*"}):
            self.assertEqual(self.client.ask("PUT", "/api/image/marks", {"marks": []}, headers, file=file).status, 428)
            self.assertEqual(self.client.ask("PATCH", "/api/image/parameters", {"air_c": "20"}, headers, file=file).status, 428)
            self.assertEqual(self.client.ask("DELETE", "/api/readings", None, headers, row=2).status, 428)


class Tables(ServedTest):
    def test_a_parameter_changes_its_cell_and_no_other_byte(self):
        file = self.measured()
        before = (self.folder / "images.csv").read_text()
        image = self.client.image(file)
        self.assertEqual(self.client.ask("PATCH", "/api/image/parameters", {"air_c": "19.5"}, {"If-Match": f'"{image["parameters_etag"]}"'},
                                         file=file).status, 200)
        after = (self.folder / "images.csv").read_text()
        changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines()) if a != b]
        self.assertEqual(len(before.splitlines()), len(after.splitlines()))
        rows = [pair for pair in changed if pair[0].startswith(file)]
        self.assertEqual(len(rows), 1)
        self.assertIn("19.5", rows[0][1])
        stale = self.client.ask("PATCH", "/api/image/parameters", {"air_c": "1"}, {"If-Match": f'"{image["parameters_etag"]}"'}, file=file)
        self.assertEqual(stale.status, 412)
        self.assertEqual((self.folder / "images.csv").read_text(), after)

    def test_a_parameter_that_cannot_be_is_refused_with_its_place(self):
        file = self.measured()
        image = self.client.image(file)
        for name, text in (("emissivity", "1.5"), ("air_c", "warm"), ("page", "0")):
            refused = self.client.ask("PATCH", "/api/image/parameters", {name: text}, {"If-Match": f'"{image["parameters_etag"]}"'}, file=file)
            self.assertEqual(refused.status, 422)
            self.assertEqual((refused.json["error"]["column"], refused.json["error"]["row"]), (name, image["parameters_row"]))

    def test_readings_are_added_changed_and_taken_out(self):
        motor = self.client.rows("/api/findings")[0]["motor"]
        view = self.client.get("/api/motor", motor=motor).json
        reading = {"motor": motor, "test": "line_current", "taken_at": "2026-03-04", "value_1": "10", "value_2": "11", "value_3": "10.5", "unit": "a"}
        added = self.client.ask("POST", "/api/readings", reading, {"If-Match": f'"{view["readings_etag"]}"'}, motor=motor)
        self.assertEqual(added.status, 201, added.body)
        shown = self.client.get("/api/motor", motor=motor).json
        row = shown["readings"][-1]
        self.assertEqual((row["row"], row["value_2"], row["note"]), (added.json["row"], "11", None))
        self.assertEqual(shown["readings_etag"], added.json["readings_etag"])
        changed = self.client.ask("PUT", "/api/readings", {"value_2": "12", "note": "meter 2"}, {"If-Match": f'"{shown["readings_etag"]}"'}, motor=motor, row=row["row"])
        self.assertEqual(changed.status, 200, changed.body)
        row = self.client.get("/api/motor", motor=motor).json["readings"][-1]
        self.assertEqual((row["value_1"], row["value_2"], row["note"]), ("10", "12", "meter 2"))
        stale = self.client.ask("DELETE", "/api/readings", None, {"If-Match": f'"{shown["readings_etag"]}"'}, row=row["row"])
        self.assertEqual(stale.status, 412)
        gone = self.client.ask("DELETE", "/api/readings", None, {"If-Match": f'"{changed.json["readings_etag"]}"'}, row=row["row"])
        self.assertEqual(gone.status, 200, gone.body)
        self.assertEqual(self.client.get("/api/motor", motor=motor).json["readings"], view["readings"])
        self.assertEqual(self.client.get("/api/motor", motor=motor).json["electrical"], view["electrical"])

    def test_a_table_that_a_spreadsheet_changed_is_taken_over(self):
        motor = next(row["motor"] for row in self.client.rows("/api/findings") if row["verdict"] == "confirmed")
        path = self.folder / "readings.csv"
        lines = path.read_text().splitlines(keepends=True)
        path.write_text(lines[0] + "".join(line for line in lines[1:] if not line.startswith(motor)))
        view = self.client.get("/api/motor", motor=motor).json
        self.assertEqual(view["readings"], [])
        self.assertEqual(view["verdict"], "no_reading")

    def test_what_was_not_touched_is_not_measured_again(self):
        revision = self.client.enter()["revision"]
        motor = self.client.rows("/api/findings")[0]["motor"]
        view = self.client.get("/api/motor", motor=motor).json
        self.client.ask("POST", "/api/readings", {"test": "line_current", "value_1": "10", "value_2": "11", "value_3": "10", "unit": "a"},
                        {"If-Match": f'"{view["readings_etag"]}"'}, motor=motor)
        survey = self.client.enter()
        self.assertEqual(survey["progress"]["done"], survey["progress"]["total"])
        self.assertGreater(survey["revision"], revision)


class Together(ServedTest):
    def test_nothing_is_lost_when_two_clients_save_at_the_same_time(self):
        motor = self.client.rows("/api/findings")[0]["motor"]
        before = len(self.client.get("/api/motor", motor=motor).json["readings"])
        saved = []

        def add(name):
            client = Client(self.server)
            client.enter()
            for i in range(15):
                while True:
                    etag = client.get("/api/motor", motor=motor).json["readings_etag"]
                    reading = {"test": "line_current", "value_1": "10", "value_2": "11", "value_3": "10", "unit": "a", "note": f"{name} {i}"}
                    answer = client.ask("POST", "/api/readings", reading, {"If-Match": f'"{etag}"'}, motor=motor)
                    assert answer.status in (201, 412), answer.body
                    if answer.status == 201:
                        saved.append(f"{name} {i}")
                        break
            client.connection.close()

        threads = [threading.Thread(target=add, args=(name,)) for name in ("left", "right")]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        notes = [row["note"] for row in self.client.get("/api/motor", motor=motor).json["readings"]][before:]
        self.assertEqual(sorted(notes), sorted(saved))
        self.assertEqual(len(notes), 30)

    def test_two_servers_of_one_survey_tell_each_other_by_the_etags(self):
        other = Server(self.folder)
        second = Client(other)
        second.enter()
        file = self.measured()
        image = second.image(file)
        self.client.image(file)
        self.assertEqual(self.client.put_marks(file, image["marks"]["marks"][:2], image["marks_etag"]).status, 200)
        self.assertEqual(second.put_marks(file, [], image["marks_etag"]).status, 412)
        self.assertEqual(len(second.image(file)["marks"]["marks"]), 2)
        second.connection.close()
        self.assertEqual(other.end()[0], 0)


class Ending(ServedTest):
    def test_a_polite_end_is_0_and_finishes_the_save_under_way(self):
        file = self.measured()
        image = self.client.image(file)
        thread = threading.Thread(target=lambda: self.client.put_marks(file, image["marks"]["marks"][:2], image["marks_etag"]))
        thread.start()
        thread.join()
        code, said = self.server.end(signal.SIGTERM)
        self.assertEqual(code, 0, said)
        self.assertIn("saves under way are finished", said)
        self.assertEqual(len(json.loads((self.folder / "marks" / f"{file}.json").read_text())["marks"]), 2)

    def test_killed_in_the_middle_of_a_save_the_file_is_the_old_or_the_whole_new_one(self):
        file = self.measured()
        path = self.folder / "marks" / f"{file}.json"
        marks = self.client.image(file)["marks"]["marks"]
        many = [dict(marks[0], name=f"T1 {'x' * 200} {i}", phase=1) for i in range(400)]
        self.server.end()
        whole = set()
        for round_number in range(8):
            server = Server(self.folder)
            client = Client(server)
            client.enter()
            whole.add(path.read_text())

            def save(client=client):
                try:
                    while True:
                        for wanted in (marks, many):
                            etag = client.image(file)["marks_etag"]
                            client.put_marks(file, wanted, etag)
                except (OSError, Exception):  # the server is gone
                    return

            thread = threading.Thread(target=save)
            thread.start()
            thread.join(0.05 + 0.03 * round_number)
            server.end(signal.SIGKILL)
            thread.join()
            client.connection.close()
            kept = json.loads(path.read_text())
            self.assertIn(len(kept["marks"]), (len(marks), len(many)))
        again = Server(self.folder)
        client = Client(again)
        client.enter()
        self.assertEqual(client.put_marks(file, marks, client.image(file)["marks_etag"]).status, 200)
        client.connection.close()
        self.assertEqual(again.end()[0], 0)
