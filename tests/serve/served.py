"""The real program serving a fresh demo survey, and a client that holds every answer against docs/api/openapi.json.

Environment: OHMGLOW_PROGRAM, OHMGLOW_SOURCE_DIR, OHMGLOW_TEST_OUTPUT.
"""
import http.client
import json
import os
import pathlib
import shutil
import signal
import subprocess
import tempfile
import threading
import unittest
import urllib.parse

import jsonschema

PROGRAM = os.environ["OHMGLOW_PROGRAM"]
SOURCE = pathlib.Path(os.environ["OHMGLOW_SOURCE_DIR"])
OUTPUT = pathlib.Path(os.environ["OHMGLOW_TEST_OUTPUT"])
API = SOURCE / "docs/api/openapi.json"
DOCUMENT = json.loads(API.read_text(encoding="utf-8"))
RESOLVER = jsonschema.RefResolver(API.as_uri(), DOCUMENT)
SEEN = set()
HOLDING = threading.Lock()  # the resolver keeps its place among the files


def fresh_folder(name):
    OUTPUT.mkdir(parents=True, exist_ok=True)
    return pathlib.Path(tempfile.mkdtemp(prefix=f"{name}-", dir=OUTPUT))


def run(*arguments):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, timeout=300, check=False)


_DEMO = None


def demo_survey():
    """A copy of the demo survey, written once."""
    global _DEMO
    if _DEMO is None:
        _DEMO = fresh_folder("demo") / "survey"
        written = run("demo", _DEMO)
        assert written.returncode == 0, written.stderr
    folder = fresh_folder("survey") / "bexley"
    shutil.copytree(_DEMO, folder)
    return folder


class Server:
    """`ohmglow serve`, ready when it has printed its address."""

    def __init__(self, folder, *options):
        self.process = subprocess.Popen([PROGRAM, "serve", str(folder), *map(str, options)], text=True,
                                        stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.url = self.process.stdout.readline().strip()
        if not self.url:
            raise AssertionError(self.process.stderr.read())
        self.port = urllib.parse.urlsplit(self.url).port

    def end(self, how=signal.SIGTERM):
        if self.process.poll() is None:
            self.process.send_signal(how)
        _, said = self.process.communicate(timeout=60)
        return self.process.returncode, said


def described(method, path):
    return DOCUMENT["paths"].get(path, {}).get(method.lower())


def hold_against_document(method, path, response, body):
    operation = described(method, path)
    if operation is None:
        assert response.status in (404, 405, 421, 401, 403), f"{method} {path} is not described"
        return
    SEEN.add((method, path))
    answers = operation["responses"]
    assert str(response.status) in answers, f"{method} {path}: status {response.status} is not described"
    content = answers[str(response.status)].get("content", {})
    media_type = (response.getheader("Content-Type") or "").split(";")[0]
    if not content:
        assert not body, f"{method} {path}: a body that is not described"
        return
    assert media_type in content, f"{method} {path}: media type {media_type} is not described"
    schema = content[media_type].get("schema")
    if schema is None:
        return
    parts = ("#", "paths", path, method.lower(), "responses", str(response.status), "content", media_type, "schema")
    pointer = "/".join(part.replace("~", "~0").replace("/", "~1") for part in parts)
    validator = jsonschema.Draft202012Validator({"$ref": f"{API.as_uri()}{pointer}"}, resolver=RESOLVER)
    with HOLDING:
        errors = sorted(validator.iter_errors(json.loads(body)), key=lambda error: len(error.absolute_path))
    assert not errors, f"{method} {path}: at /{'/'.join(map(str, errors[0].absolute_path))}: {errors[0].message[:400]}"


class Answer:
    def __init__(self, response, body):
        self.status = response.status
        self.headers = response.headers
        self.body = body

    @property
    def json(self):
        return json.loads(self.body)


class Client:
    def __init__(self, server, connection=None):
        self.connection = connection or http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        self.token = ""
        self.sizes = {}

    def ask(self, method, path, body=None, headers=None, **query):
        """A request as the page makes it; `headers` replace its own, None leaves one out."""
        target = path + ("?" + urllib.parse.urlencode(query, safe="/") if query else "")
        sent = {}
        if method not in ("GET", "HEAD"):
            sent = {"X-Ohmglow-Token": self.token, "Content-Type": "application/json"}
        sent.update(headers or {})
        data = body if body is None or isinstance(body, (str, bytes)) else json.dumps(body)
        sent = {name: value for name, value in sent.items() if value is not None}
        try:
            self.connection.request(method, target, body=data, headers=sent)
            response = self.connection.getresponse()
        except (http.client.RemoteDisconnected, BrokenPipeError):  # idle for too long: again, as a browser does
            self.connection.close()
            self.connection.request(method, target, body=data, headers=sent)
            response = self.connection.getresponse()
        content = response.read()
        if path.startswith("/api/"):
            hold_against_document(method, path, response, content)
        return Answer(response, content)

    def get(self, path, **query):
        return self.ask("GET", path, **query)

    def enter(self):
        survey = self.get("/api/survey").json
        self.token = survey["csrf"]
        return survey

    def rows(self, path):
        table = self.get(path).json
        return [dict(zip(table["columns"], row)) for row in table["rows"]]

    def finished(self):
        """Waits until everything is measured and judged."""
        while any(row["band"] is None for row in self.rows("/api/motors")):
            pass
        return self

    def image(self, file):
        image = self.get("/api/image", file=file).json
        self.sizes[file] = [image["width"], image["height"]]
        return image

    def put_marks(self, file, marks, etag, size=None):
        size = size or self.sizes.get(file, [1, 1])
        return self.ask("PUT", "/api/image/marks", {"version": 1, "image": file, "size": size, "marks": marks},
                        {"If-Match": f'"{etag}"'}, file=file)


class ServedTest(unittest.TestCase):
    """Each test has a survey, a server and a client of its own."""

    options = ()

    def setUp(self):
        self.folder = demo_survey()
        self.server = Server(self.folder, *self.options)
        self.client = Client(self.server)
        self.survey = self.client.enter()
        self.client.finished()

    def tearDown(self):
        self.client.connection.close()
        if self.server.process.poll() is None:
            code, said = self.server.end()
            self.assertEqual(code, 0, said)
        shutil.rmtree(self.folder.parent)

    def measured(self):
        """A measured image whose motor has readings: its first."""
        return next(row["file"] for row in self.client.rows("/api/images") if row["status"] == "measured")
