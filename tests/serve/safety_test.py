"""Who may ask, and for what: hosts, origins, tokens, sizes, paths."""
import http.client
import json
import secrets
import shutil
import socket
import ssl
import subprocess
import unittest
from pathlib import Path

import numpy
from served import PROGRAM, Client, Server, ServedTest, demo_survey, run

POLICY = ("default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
          "font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")


class Requests(ServedTest):
    def test_every_answer_carries_the_headers_that_keep_other_sites_out(self):
        for path in ("/api/survey", "/api/nothing", "/", "/motor/BE-01"):
            headers = self.client.ask("GET", path).headers
            self.assertEqual(headers["Content-Security-Policy"], POLICY)
            self.assertEqual(headers["X-Content-Type-Options"], "nosniff")
            self.assertEqual(headers["Referrer-Policy"], "no-referrer")
            self.assertNotIn("Access-Control-Allow-Origin", headers)

    def test_a_name_that_leads_here_from_elsewhere_is_turned_away(self):
        port = self.server.port
        for host in ("evil.example", f"evil.example:{port}", "127.0.0.1", f"127.0.0.1:{port + 1}", f"127.0.0.1.evil.example:{port}", ""):
            self.assertEqual(self.client.ask("GET", "/api/survey", headers={"Host": host}).status, 421, host)
        for host in (f"localhost:{port}", f"LOCALHOST:{port}", f"[::1]:{port}"):
            self.assertEqual(self.client.ask("GET", "/api/survey", headers={"Host": host}).status, 200, host)

    def test_a_host_that_is_named_twice_is_turned_away(self):
        port = self.server.port
        for hosts in ((f"127.0.0.1:{port}", "evil.example"), ("evil.example", f"127.0.0.1:{port}"), (f"127.0.0.1:{port}",) * 2):
            named = "".join(f"Host: {host}\r\n" for host in hosts)
            with socket.create_connection(("127.0.0.1", port), timeout=60) as connection:
                connection.sendall(f"GET /api/survey HTTP/1.1\r\n{named}Connection: close\r\n\r\n".encode())
                self.assertRegex(connection.recv(100), b"^HTTP/1.1 421 ", hosts)

    def test_it_listens_at_this_computers_own_address_alone(self):
        listening = [line.split()[1] for line in Path(f"/proc/{self.server.process.pid}/net/tcp").read_text().splitlines()[1:]
                     if line.split()[3] == "0A" and line.split()[1].endswith(f":{self.server.port:04X}")]
        self.assertEqual(listening, [f"0100007F:{self.server.port:04X}"])

    def test_names_and_notes_are_sent_as_data_and_pictures_as_pictures(self):
        file = self.measured()
        script = "<script>alert(1)</script>"
        survey = json.loads((self.folder / "survey.json").read_text(encoding="utf-8"))
        (self.folder / "survey.json").write_text(json.dumps({**survey, "site": script}), encoding="utf-8")
        answer = self.client.get("/api/survey")
        self.assertEqual(answer.json["site"], script)
        self.assertEqual(answer.headers["Content-Type"], "application/json")
        self.assertEqual(self.client.get("/api/image/thumbnail", file=file).headers["Content-Type"], "image/png")
        self.assertNotIn(b"<script>", self.client.ask("GET", f"/{script}").body)

    def test_a_page_of_another_site_is_turned_away(self):
        port = self.server.port
        for origin in ("http://evil.example", f"https://127.0.0.1:{port}", "null", f"http://127.0.0.1:{port}.evil.example"):
            self.assertEqual(self.client.ask("GET", "/api/motor", headers={"Origin": origin}, motor="BE-01").status, 403, origin)
            self.assertEqual(self.client.ask("POST", "/api/try", {}, {"Origin": origin}).status, 403, origin)
        self.assertEqual(self.client.ask("GET", "/api/survey", headers={"Origin": f"http://127.0.0.1:{port}"}).status, 200)

    def test_a_change_without_the_pages_own_token_is_turned_away(self):
        file = self.measured()
        for token in (None, "", "0" * 64, self.client.token[:-1]):
            for method, path in (("PUT", "/api/image/marks"), ("PATCH", "/api/image/parameters"), ("POST", "/api/try"), ("POST", "/api/readings"),
                                 ("PUT", "/api/readings"), ("DELETE", "/api/readings")):
                answer = self.client.ask(method, path, {}, {"X-Ohmglow-Token": token}, file=file)
                self.assertEqual(answer.status, 403, f"{method} {path}")
        self.assertEqual(self.client.ask("DELETE", "/api/readings", None, {"X-Ohmglow-Token": None, "Content-Type": None}, row=2).status, 403)

    def test_a_form_of_another_site_cannot_pass_for_json(self):
        for media_type in ("text/plain", "application/x-www-form-urlencoded", "", "application/jsonp"):
            self.assertEqual(self.client.ask("POST", "/api/try", "{}", {"Content-Type": media_type}).status, 415, media_type)
        self.assertEqual(self.client.ask("POST", "/api/try", "{}", {"Content-Type": "multipart/form-data; boundary=x"}).status, 400)

    def test_a_body_that_is_no_object_is_said_so(self):
        for body in ("", "{", "[]", "nan", "\xff", "[" * 100_000):
            answer = self.client.ask("POST", "/api/try", body.encode("latin-1"))
            self.assertEqual(answer.status, 422, body[:9])
            self.assertEqual(answer.json["error"]["expected"], "a JSON object")

    def test_a_body_that_nests_too_deep_is_turned_away(self):
        file = self.measured()
        etag = {"If-Match": '"0"'}
        for method, path, member in (("PUT", "/api/image/marks", "marks"), ("PATCH", "/api/image/parameters", "emissivity"),
                                     ("POST", "/api/readings", "motor"), ("POST", "/api/try", "motor")):
            body = f'{{"{member}":' + '{"a":' * 60_000 + "1" + "}" * 60_000 + "}"
            answer = self.client.ask(method, path, body.encode(), etag, file=file)
            self.assertEqual(answer.status, 422, path)
            self.assertIn("nested deeper than 32 levels", answer.json["error"]["found"], path)
        self.assertEqual(self.client.get("/api/survey").status, 200)

    def test_a_body_that_is_too_large_is_turned_away(self):
        body = b" " * (9 << 20)
        connection = http.client.HTTPConnection("127.0.0.1", self.server.port)
        connection.putrequest("POST", "/api/try")
        for name, value in (("X-Ohmglow-Token", self.client.token), ("Content-Type", "application/json"), ("Content-Length", str(len(body)))):
            connection.putheader(name, value)
        connection.endheaders()
        try:
            connection.send(body)
        except (BrokenPipeError, ConnectionResetError):
            pass  # the server need not read what it refuses
        self.assertEqual(connection.getresponse().status, 413)
        connection.close()
        self.assertEqual(self.client.get("/api/survey").status, 200)

    def test_no_path_leaves_the_survey_folder(self):
        outside = self.folder.parent / "secret.tif"
        shutil.copy(self.folder / self.measured(), outside)
        for file in ("../secret.tif", str(outside), "route/../../secret.tif", "..%2fsecret.tif", "/etc/passwd", "C:\\secret.tif", "route/\0.tif"):
            for path in ("/api/image", "/api/image/temperatures", "/api/image/thumbnail", "/api/image/photo"):
                self.assertEqual(self.client.get(path, file=file).status, 404, file)
            self.assertEqual(self.client.put_marks(file, [], "none").status, 404)

    def test_a_link_that_leads_out_is_not_followed(self):
        file = self.measured()
        etag = self.client.image(file)["marks_etag"]
        elsewhere = self.folder.parent / "elsewhere"
        shutil.move(self.folder / "marks", elsewhere)
        (self.folder / "marks").symlink_to(elsewhere)
        before = {path: path.read_bytes() for path in elsewhere.rglob("*.json")}
        self.assertIn(self.client.put_marks(file, [], etag).status, (403, 422))
        self.assertEqual({path: path.read_bytes() for path in elsewhere.rglob("*.json")}, before)

    def test_a_photograph_outside_is_refused_when_it_is_entered(self):
        file = self.measured()
        (self.folder.parent / "secret.jpg").write_bytes(b"\xff\xd8\xff")
        (self.folder / "link.jpg").symlink_to(self.folder.parent / "secret.jpg")
        image = self.client.image(file)
        for photo in ("../secret.jpg", str(self.folder.parent / "secret.jpg"), "link.jpg"):
            saved = self.client.ask("PATCH", "/api/image/parameters", {"photo": photo}, {"If-Match": f'"{image["parameters_etag"]}"'}, file=file)
            self.assertEqual((saved.status, saved.json["error"]["column"]), (422, "photo"), saved.body)

    def test_a_method_that_an_address_does_not_take_is_said_so(self):
        answer = self.client.ask("DELETE", "/api/try", None)
        self.assertEqual((answer.status, answer.headers["Allow"]), (405, "POST"))

    def slow_ones(self, sent, small_window=False):
        slow = []
        for _ in range(50):
            connection = socket.socket()
            if small_window:
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            connection.settimeout(60)
            connection.connect(("127.0.0.1", self.server.port))
            connection.sendall(sent)  # and no more
            slow.append(connection)
        return slow

    def others_are_answered(self):
        for _ in range(3):
            client = Client(self.server)
            self.assertEqual(client.get("/api/news").status, 200)
            self.assertEqual(client.get("/api/motors").status, 200)
            client.connection.close()

    def test_fifty_that_are_slow_to_ask_keep_nobody_waiting(self):
        head = (f"POST /api/try HTTP/1.1\r\nHost: 127.0.0.1:{self.server.port}\r\nX-Ohmglow-Token: {self.client.token}\r\n"
                "Content-Type: application/json\r\nContent-Length: 100000\r\n\r\n{").encode()
        for sent in (b"GET /api/survey HTTP/1.1\r\nHost: 127", head):
            slow = self.slow_ones(sent)
            self.others_are_answered()
            # Nobody was answered only because a slow one had been given up.
            for connection in slow:
                connection.setblocking(False)
                with self.assertRaises(BlockingIOError):
                    connection.recv(1)
                connection.close()

    def test_fifty_that_are_slow_to_read_keep_nobody_waiting(self):
        # More than the system keeps of an answer on its way.
        numpy.save(self.folder / "wide.npy", numpy.linspace(20, 90, 1500 * 1250, dtype="<f4").reshape(1500, 1250))
        with (self.folder / "images.csv").open("a", encoding="utf-8") as table:
            table.write("wide.npy,BE-01,drive output\n")
        self.client.enter()
        asked = f"GET /api/image/temperatures?file=wide.npy HTTP/1.1\r\nHost: 127.0.0.1:{self.server.port}\r\n\r\n".encode()
        slow = self.slow_ones(asked, small_window=True)
        for connection in slow:
            self.assertEqual(connection.recv(12), b"HTTP/1.1 200")  # it is being answered
        self.others_are_answered()
        # Each is still being written to: nothing was given up, and more is to come than a connection holds.
        for connection in slow:
            connection.setblocking(False)
            self.assertTrue(connection.recv(1))
            connection.close()

    def test_forty_pages_that_stay_open_are_all_answered(self):
        pages = [Client(self.server) for _ in range(40)]
        for _ in range(2):
            for page in pages:
                self.assertEqual(page.get("/api/news").status, 200)
        for page in pages:
            page.connection.close()


def tls_files(folder):
    """A certificate for localhost and this machine's loopback address."""
    made = subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
                           "-subj", "/CN=bexley", "-addext", "subjectAltName=DNS:bexley.example,DNS:localhost,IP:127.0.0.1",
                           "-keyout", folder / "key.pem", "-out", folder / "certificate.pem"], capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr
    return folder / "certificate.pem", folder / "key.pem"


class OtherAddresses(unittest.TestCase):
    def setUp(self):
        self.folder = demo_survey()
        self.place = self.folder.parent
        self.certificate, self.key = tls_files(self.place)
        self.token = secrets.token_hex(32)
        (self.place / "token").write_text(self.token + "\n")

    def tearDown(self):
        shutil.rmtree(self.place)

    def test_an_address_that_others_can_reach_demands_a_token_and_tls(self):
        tls = ["--certificate", self.certificate, "--key", self.key]
        token = ["--token", self.place / "token"]
        for address in ("0.0.0.0", "::", "192.0.2.7", "bexley.example"):
            for options in ([], tls, token, token + tls[:2]):
                refused = run("serve", self.folder, "--listen", address, *options)
                self.assertEqual(refused.returncode, 3, refused.stderr)
                self.assertRegex(refused.stderr, "--token FILE, --certificate FILE and --key FILE|--certificate FILE and --key FILE")
                self.assertEqual(refused.stdout, "")

    def test_a_token_that_could_be_guessed_is_refused(self):
        (self.place / "token").write_text("hunter2\n")
        refused = run("serve", self.folder, "--token", self.place / "token")
        self.assertEqual(refused.returncode, 3)
        self.assertIn("at least 32 characters", refused.stderr)

    def test_files_that_are_no_certificate_are_said_so(self):
        (self.place / "no.pem").write_text("no certificate")
        refused = run("serve", self.folder, "--certificate", self.place / "no.pem", "--key", self.key)
        self.assertEqual(refused.returncode, 3)
        self.assertIn("certificate", refused.stderr)

    def test_over_tls_the_token_is_shown_once_and_a_cookie_serves_from_then_on(self):
        server = Server(self.folder, "--listen", "0.0.0.0", "--token", self.place / "token", "--certificate", self.certificate, "--key", self.key)
        self.assertRegex(server.url, r"^https://bexley\.example:\d+/$")
        context = ssl.create_default_context(cafile=self.certificate)
        client = Client(server, http.client.HTTPSConnection("127.0.0.1", server.port, context=context, timeout=60))
        for headers in ({}, {"Authorization": "Bearer wrong"}, {"Authorization": self.token}, {"Cookie": f"ohmglow={self.token}"}, {"Cookie": "ohmglow="}):
            self.assertEqual(client.ask("GET", "/api/survey", headers=headers).status, 401, headers)
            self.assertEqual(client.ask("GET", "/", headers=headers).status, 401)
        self.assertEqual(client.ask("GET", "/api/survey", token=self.token[:-1]).status, 401)
        self.assertEqual(client.ask("GET", "/api/survey", headers={"Authorization": f"Bearer {self.token}"}).status, 200)
        entered = client.ask("GET", "/motor/BE-01", token=self.token)
        self.assertEqual((entered.status, entered.headers["Location"]), (303, "/motor/BE-01"))
        cookie = entered.headers["Set-Cookie"]
        for part in ("HttpOnly", "SameSite=Strict", "Secure"):
            self.assertIn(part, cookie)
        self.assertNotIn(self.token, cookie)
        for path, location in (("//evil.example/x", "/evil.example/x"), ("/image/a%20b%0d%0aX:%20y.tif", "/image/a%20b%0D%0AX%3A%20y.tif")):
            self.assertEqual(client.ask("GET", path, token=self.token).headers["Location"], location)
        pair = {"Cookie": cookie.split(";")[0]}
        self.assertEqual(client.ask("GET", "/api/survey", headers=pair).status, 200)
        self.assertEqual(client.ask("POST", "/api/try", {}, pair).status, 403)
        self.assertEqual(client.ask("GET", "/api/survey", headers={**pair, "Host": "evil.example"}).status, 421)
        self.assertEqual(client.ask("GET", "/api/survey", headers={**pair, "Host": f"bexley.example:{server.port}"}).status, 200)
        client.connection.close()
        plain = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        with self.assertRaises((http.client.HTTPException, OSError)):
            plain.request("GET", "/api/survey")
            plain.getresponse()
        self.assertEqual(server.end()[0], 0)

    def test_the_program_itself_does_not_link_the_server(self):
        needed = subprocess.run(["ldd", PROGRAM], capture_output=True, text=True, check=True).stdout
        for library in ("httplib", "libssl", "libcrypto"):
            self.assertNotIn(library, needed)

    def test_a_port_that_is_taken_is_said_so(self):
        server = Server(self.folder)
        refused = run("serve", self.folder, "--port", server.port)
        self.assertEqual(refused.returncode, 3)
        self.assertIn("cannot be used", refused.stderr)
        self.assertEqual(server.end()[0], 0)

    def test_a_folder_that_is_no_survey_is_said_so(self):
        for folder in (self.place / "none", self.certificate):
            self.assertEqual(run("serve", folder).returncode, 3)
        (self.folder / "survey.json").write_text("{")
        self.assertEqual(run("serve", self.folder).returncode, 3)
