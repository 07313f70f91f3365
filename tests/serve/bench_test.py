"""A motor on the bench: what is shown, tried and saved of sweeps, air gaps and tests of the shop."""
import json
import math

from served import Client, Server, ServedTest, fresh_folder, run


def rows(angles, name, mark="."):
    """46 mH, one cycle of half a per cent a turn in all pairs together."""
    def value(i, pair):
        return f"{46 * (1 + 0.005 * math.cos(2 * math.pi * i / 36)) + 0.002 * ((7 * i + 3 * pair) % 5 - 2):.3f}".replace(".", mark)
    return [{"sweep": name, "taken_at": "2026-05-01", "angle_deg": str(10 * i), "unit": "mh",
             **{f"value_{pair + 1}": value(i, pair) for pair in range(3)}} for i in range(angles)]


class Bench(ServedTest):
    MOTOR = "DF-20"

    def setUp(self):
        super().setUp()
        self.client.connection.close()
        self.server.end()
        story = fresh_folder("fan") / "fan"
        self.assertEqual(run("demo", story, "--story", "rotor").returncode, 0)
        self.before = story / "before"
        self.server = Server(self.before)
        self.client = Client(self.server)
        self.client.enter()

    def bench(self, **query):
        return self.client.get("/api/bench", motor=self.MOTOR, **query).json

    def save(self, table, sent, etag):
        return self.client.ask("POST", f"/api/{table}", {"rows": sent}, {"If-Match": f'"{etag}"'}, motor=self.MOTOR)

    def test_what_is_shown_is_what_rotor_and_accept_say(self):
        view = self.bench()
        rotor = json.loads(run("rotor", self.before, "--json").stdout)
        self.assertEqual([s["pattern"] for s in view["sweeps"]], [s["pattern"] for s in rotor["sweeps"]])
        # One next test a motor, which all of its evidence asks for.
        self.assertEqual([s["next_test"] for s in view["sweeps"]], [None])
        test = rotor["behind"][0]["next_tests"][0]
        self.assertEqual(view["behind"]["next_test"], f"{test['title']}. {test['how']}")
        self.assertIn(rotor["behind"][0]["explanations"][0]["title"], view["behind"]["result"])
        self.assertEqual([s["cannot_tell"] for s in view["sweeps"]], [s["cannot_tell"] for s in rotor["sweeps"]])
        self.assertEqual([(g["end"], g["conformity"]) for g in view["air_gaps"]], [(g["end"], g["result"]) for g in rotor["air_gaps"]])
        for shown in view["sweeps"] + view["air_gaps"]:
            self.assertTrue(shown["svg"].startswith("<svg "))
        for stage in ("bought", "repaired", "installed"):
            out = fresh_folder("accept")
            run("accept", self.before, "--motor", self.MOTOR, "--stage", stage, "-o", out, "--format", "json")
            written = json.loads((out / "acceptance.json").read_text())
            shown = self.bench(stage=stage)["acceptance"]
            self.assertEqual(shown["conclusion"], written["conclusion"])
            self.assertEqual([(c["id"], c["conformity"]) for c in shown["checks"]],
                             [(c["id"], "recorded" if c["recorded_only"] else c["result"]) for c in written["checks"]])
        motors = {row["motor"]: row["bench_rows"] for row in self.client.rows("/api/motors")}
        self.assertGreater(motors[self.MOTOR], 40)

    def test_rows_that_are_tried_give_what_saving_them_gives_and_save_nothing(self):
        sweeps = self.before / "sweeps.csv"
        was = sweeps.read_bytes()
        view = self.bench()
        tried = self.client.ask("POST", "/api/bench/try", {"motor": self.MOTOR, "stage": "bought", "sweeps": rows(36, "again")})
        self.assertEqual(tried.status, 200, tried.body)
        self.assertEqual(tried.json["problems"], [])
        self.assertEqual(sweeps.read_bytes(), was)
        saved = self.save("sweeps", rows(36, "again"), view["tables"]["sweeps"]["etag"])
        self.assertEqual(saved.status, 201, saved.body)
        self.assertEqual(saved.json["row"], was.count(b"\n") + 1)
        self.assertTrue(sweeps.read_bytes().startswith(was))
        after = self.bench()
        for part in ("sweeps", "air_gaps", "acceptance"):
            self.assertEqual(after[part], tried.json[part])
        self.assertIn("once_a_turn", [s["pattern"] for s in after["sweeps"] if s["sweep"] == "again"])
        self.assertEqual(after["tables"]["sweeps"]["etag"], saved.json["etag"])

    def test_a_bad_row_is_named_and_keeps_all_of_them_out(self):
        sweeps = self.before / "sweeps.csv"
        was = sweeps.read_bytes()
        etag = self.bench()["tables"]["sweeps"]["etag"]
        for change, column in (({"value_2": "x"}, "value_2"), ({"angle_deg": "0"}, "angle_deg"), ({"unit": "ohm"}, "unit"), ({"value_3": None}, "value_3")):
            with self.subTest(change=change):
                bad = rows(36, "again")
                bad[7].update(change)
                tried = self.client.ask("POST", "/api/bench/try", {"motor": self.MOTOR, "sweeps": bad}).json
                self.assertEqual([(p["table"], p["row"], p["column"]) for p in tried["problems"]], [("sweeps.csv", 7, column)])
                refused = self.save("sweeps", bad, etag)
                self.assertEqual(refused.status, 422)
                self.assertEqual(refused.json["error"]["column"], column)
                self.assertEqual(sweeps.read_bytes(), was)
        self.assertEqual(self.save("sweeps", rows(5, "short"), etag).status, 422)
        self.assertEqual(self.save("sweeps", [{"colour": "red"}], etag).status, 422)
        self.assertEqual(self.save("sweeps", "none", etag).status, 422)
        self.assertEqual(self.client.ask("POST", "/api/sweeps", {"rows": []}, motor=self.MOTOR).status, 428)
        self.assertEqual(self.client.ask("POST", "/api/sweeps", {"rows": []}, {"If-Match": '"x"'}, motor="none").status, 404)
        self.assertEqual(self.client.get("/api/bench", motor="none").status, 404)
        self.assertEqual(self.client.get("/api/bench", motor=self.MOTOR, stage="lost").status, 422)

    def test_a_table_that_somebody_else_changed_is_not_written(self):
        etag = self.bench()["tables"]["air_gaps"]["etag"]
        table = self.before / "air_gap.csv"
        table.write_bytes(table.read_bytes().replace(b"\n", b"\r\n"))
        was = table.read_bytes()
        gap = {"end": "drive", "taken_at": "2026-05-01", "rotor_deg": "0", "position_deg": "0", "gap": "2.8", "unit": "mm"}
        self.assertEqual(self.save("air_gaps", [gap], etag).status, 412)
        self.assertEqual(table.read_bytes(), was)
        saved = self.save("air_gaps", [gap], self.bench()["tables"]["air_gaps"]["etag"])
        self.assertEqual(saved.status, 201, saved.body)
        added = table.read_bytes()[len(was):]
        self.assertTrue(table.read_bytes().startswith(was))
        self.assertTrue(added.startswith(b"DF-20,") and added.endswith(b"\r\n"), added)

    def test_a_table_with_semicolons_and_decimal_commas_stays_one_and_a_missing_one_is_made(self):
        table = self.before / "sweeps.csv"
        table.write_text(table.read_text().replace(",", ";").replace(".", ","))
        was = table.read_text()
        shown = self.bench()["tables"]["sweeps"]
        self.assertEqual(shown["decimal_mark"], ",")
        self.assertEqual(self.save("sweeps", rows(36, "again", ","), shown["etag"]).status, 201)
        self.assertEqual(len(self.bench()["sweeps"]), 2)
        self.assertTrue(table.read_text().startswith(was))
        table.unlink()
        shown = self.bench()["tables"]["sweeps"]
        self.assertEqual((shown["etag"], shown["decimal_mark"]), ("none", "."))
        self.assertEqual(self.save("sweeps", rows(36, "again"), "none").status, 201)
        self.assertEqual([s["sweep"] for s in self.bench()["sweeps"]], ["again"])
        self.assertTrue(table.read_text().startswith("motor,taken_at,sweep,angle_deg,"))

    def test_a_test_of_the_shop_is_tried_and_saved_as_a_reading(self):
        view = self.bench()
        reading = {"test": "runout", "taken_at": "2026-11-01", "value_1": "0.9", "unit": "mm"}
        tried = self.client.ask("POST", "/api/bench/try", {"motor": self.MOTOR, "readings": [reading]}).json
        check = next(c for c in tried["acceptance"]["checks"] if c["id"].startswith("runout"))
        self.assertEqual((check["conformity"], check["measured"]), ("fail", "0.900 mm"))
        saved = self.client.ask("POST", "/api/readings", reading, {"If-Match": f'"{view["tables"]["readings"]["etag"]}"'}, motor=self.MOTOR)
        self.assertEqual(saved.status, 201, saved.body)
        self.assertEqual(self.bench()["acceptance"], tried["acceptance"])


if __name__ == "__main__":
    import unittest
    unittest.main()
