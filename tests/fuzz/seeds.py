"""Seeds for tests/fuzz: small sound files of every kind, and the shapes that once did harm.

seeds.py PROGRAM SAMPLES OUT: OUT/<target>/… for each target of targets.cpp. The same bytes each time.
"""
import base64
import io
import itertools
import json
import shutil
import struct
import subprocess
import sys
import tempfile
import zipfile
import zlib
from pathlib import Path

import numpy
import tifffile

PROGRAM, SAMPLES, OUT = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), Path(sys.argv[3])


def put(target, name, content):
    folder = OUT / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content.encode() if isinstance(content, str) else content)


def frame(dtype, height=6, width=8):
    values = numpy.arange(height * width).reshape(height, width) * 3 + 280
    return values.astype(dtype)


def tiffs():
    kinds = itertools.product(("uint8", "uint16", "int16", "float32", "float64"),
                              (None, "zlib", "lzw", "packbits", "zstd"), (False, True))
    for number, (dtype, compression, big) in enumerate(kinds):
        file = io.BytesIO()
        predictor = number % 2 == 1 and compression in ("zlib", "lzw")
        try:
            tifffile.imwrite(file, frame(dtype), compression=compression, predictor=predictor, bigtiff=big,
                             byteorder="<>"[number // 2 % 2], rowsperstrip=3, metadata=None,
                             description='{"scale": 0.01, "offset": 0, "unit": "k"}')
        except (ValueError, ImportError, KeyError):
            continue  # a compression that this tifffile lacks
        put("tiff", f"{dtype}-{compression}-{'big' if big else 'plain'}.tif", file.getvalue())
    for name, options in (("tiles", {"tile": (16, 16)}), ("pages", {}), ("gdal", {"extratags": [(
            42112, 2, 0, '<GDALMetadata><Item name="SCALE" sample="0" role="scale">0.01&amp;</Item>'
                         '<Item name="OFFSET" sample="0" role="offset">-273.15</Item>'
                         '<Item name="UNITTYPE" sample="0" role="unittype">K</Item></GDALMetadata>', True)]})):
        file = io.BytesIO()
        data = numpy.stack([frame("uint16"), frame("uint16")]) if name == "pages" else frame("uint16")
        tifffile.imwrite(file, data, metadata=None, photometric="minisblack", **options)
        put("tiff", name + ".tif", file.getvalue())
    for name, text in (("nested", "[" * 2000 + "]" * 2000), ("members", '{"a":' * 40 + "1" + "}" * 40),
                       ("blanks", '{"unit": "' + " " * 3000 + 'k"}')):
        file = io.BytesIO()
        tifffile.imwrite(file, frame("uint16"), description=text, metadata=None)
        put("tiff", f"description-{name}.tif", file.getvalue())
    file = io.BytesIO()
    tifffile.imwrite(file, frame("uint16"), metadata=None,
                     extratags=[(42112, 2, 0, "<GDALMetadata>" + "&lt;" * 800 + "</GDALMetadata>", True)])
    put("tiff", "entities.tif", file.getvalue())


def png(width, height, depth, colour, rows):
    def chunk(kind, content):
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
            + chunk(b"tEXt", b"Description\0{\"scale\": 0.01, \"unit\": \"k\"}")
            + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))


def fits(cards, data, padded=True):
    header = "".join(card.ljust(80) for card in [*cards, "END"]).ljust(2880)
    file = header.encode() + data
    return file + bytes(-len(file) % 2880) if padded else file


def images():
    tiffs()
    put("png", "grey16.png", png(8, 6, 16, 0, b"".join(b"\0" + row.tobytes() for row in frame(">u2"))))
    put("png", "grey8.png", png(8, 6, 8, 0, b"".join(b"\1" + row.tobytes() for row in frame("u1"))))
    put("png", "colour.png", png(2, 1, 8, 2, b"\0" + bytes(6)))
    for dtype in ("<u2", ">u2", "<f4", ">f8", "|u1", "<i4"):
        for order in "CF":
            file = io.BytesIO()
            numpy.save(file, numpy.array(frame(dtype), order=order))
            put("npy", f"{dtype[1:]}-{'big' if dtype[0] == '>' else 'little'}-{order}.npy", file.getvalue())
    file = io.BytesIO()
    numpy.save(file, numpy.zeros((2, 3, 4), "<f4"))
    put("npy", "frames.npy", file.getvalue())
    plain = ["SIMPLE  =                    T", "BITPIX  =                   16", "NAXIS   =                    2",
             "NAXIS1  =                    8", "NAXIS2  =                    6"]
    put("fits", "int16.fits", fits([*plain, "BZERO   =                32768", "BSCALE  =                    1",
                                    "BUNIT   = 'K       '", "BLANK   =               -32768"], frame(">i2").tobytes()))
    put("fits", "float.fits", fits([plain[0], "BITPIX  =                  -32", *plain[2:],
                                    "BUNIT   = 'deg C   '", "DATE-OBS= '2026-03-04T08:05:00'"], frame(">f4").tobytes()))
    put("fits", "ends-inside-a-record.fits", fits(plain, frame(">i2").tobytes(), padded=False))
    for name, text in (("comma.csv", "20.5,21.5,22.5\n20,nan,22\n1e1,-2,3\n"), ("semicolon.csv", "20,5;21,5\r\n20,0;22,25\r\n"),
                       ("headed.csv", "3,4\n20.5,21.5,22.5\n20,nan,22\n1e1,-2,3\n4,5,6\n"),
                       ("sep.csv", "sep=;\n1;2\n3;4\n"), ("quotes.csv", '"1","2"\n"3","4"\n')):
        put("matrix", name, text)
    for head in itertools.product((0, 1), (7, 63), (3, 15), range(6), range(4), (0, 1), (0, 1)):
        if sum(head) % 3:
            continue
        content = bytes(i * i % 251 for i in range(600))
        if head[0] == 1:
            content = (b"\x80\x00\x40\x40\x60\x50\x38\x24\x16\x0D\x02\x02", zlib.compress(content))[head[4] % 2]
        put("codecs", "-".join(map(str, head)), bytes(head) + content)


def workbook(cells, names=("Sheet1",)):
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    related = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        def add(name, text):
            archive.writestr(zipfile.ZipInfo(name), text)
        add("[Content_Types].xml", '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>')
        add("_rels/.rels", f'<Relationships><Relationship Id="a" Type="{related}/officeDocument" Target="xl/workbook.xml"/></Relationships>')
        add("xl/workbook.xml", f'<workbook xmlns="{main}" xmlns:r="{related}"><sheets>' + "".join(
            f'<sheet name="{name}" sheetId="{i + 1}" r:id="r{i}"/>' for i, name in enumerate(names)) + "</sheets></workbook>")
        add("xl/_rels/workbook.xml.rels", "<Relationships>" + "".join(
            f'<Relationship Id="r{i}" Type="{related}/worksheet" Target="worksheets/sheet{i + 1}.xml"/>'
            for i in range(len(names))) + f'<Relationship Id="s" Type="{related}/sharedStrings" Target="sharedStrings.xml"/></Relationships>')
        add("xl/sharedStrings.xml", f'<sst xmlns="{main}"><si><t>file</t></si><si><r><t>mo</t></r><r><t>tor</t></r></si></sst>')
        add("xl/styles.xml", f'<styleSheet xmlns="{main}"><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="10"/></cellXfs></styleSheet>')
        for i in range(len(names)):
            add(f"xl/worksheets/sheet{i + 1}.xml", f'<worksheet xmlns="{main}"><sheetData>{cells}</sheetData></worksheet>')
    return file.getvalue()


def tables():
    for name in ("motors.csv", "images.csv", "readings.csv", "circuit.csv"):
        put("table", name, "".join((SAMPLES / name).read_text().splitlines(True)[:4]))
    put("table", "utf16.csv", "\ufefffile;motor\nä;1,5\n".encode("utf-16-le"))
    put("table", "utf16-be.csv", "\ufefffile;motor\nä;1,5\n".encode("utf-16-be"))
    put("table", "latin.csv", "file;motor\nä;1,5\n".encode("latin-1"))
    put("table", "open-quote.csv", 'a,b\n1,2\n"3,4\n5,6\n')
    put("table", "stray-quote.csv", 'a,b\n1,2"x"\n3,4\n')
    put("table", "nul.csv", b"a,b\n1,2\0\n3,4\n")
    put("table", "wide.csv", "a,b\n" + "," * 300 + "\n1,2\n")
    row = '<row r="{0}"><c r="A{0}" t="s"><v>0</v></c><c r="B{0}" t="inlineStr"><is><t>BE-01</t></is></c><c r="D{0}" s="1"><v>46085.25</v></c>' \
          '<c r="E{0}"><f>1+1</f><v>2</v></c><c r="F{0}" t="b"><v>1</v></c><c r="G{0}" t="e"><v>#N/A</v></c></row>'
    put("workbook", "plain.xlsx", workbook("".join(row.format(i) for i in (1, 2, 7))))
    put("workbook", "sheets.xlsx", workbook(row.format(1), ("one", "two")))
    put("workbook", "far.xlsx", workbook('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'))


def records():
    marks = {"version": 1, "image": "a.tif", "size": [32, 24], "marks": [
        {"name": "T1", "role": "lug", "phase": 1, "shape": {"kind": "circle", "center": [5, 12], "radius": 3}},
        {"name": "L2", "role": "lug", "emissivity": 0.9, "emissivity_u": 0.02,
         "shape": {"kind": "rectangle", "corner": [1, 2], "size": [3, 4]}, "confirmed": True},
        {"name": "wall", "role": "ambient", "shape": {"kind": "polygon", "points": [[0, 0], [9, 0], [4, 7]]}}]}
    put("marks", "all.json", json.dumps(marks))
    put("marks", "nested.json", '{"version":1,"marks":' + "[" * 40 + "]" * 40 + "}")
    for number, file in enumerate(sorted((SAMPLES / "marks").rglob("*.json"))[:4]):
        put("marks", f"sample-{number}.json", file.read_bytes())
    policies = Path(__file__).resolve().parents[2] / "src/severity/policies"
    for file in sorted(policies.glob("*.json")):
        put("policy", file.name, file.read_bytes())


def result_of(survey, folder, *options):
    ended = subprocess.run([PROGRAM, "assess", survey, "-o", folder, "--as-of", "2026-11-28", *options],
                           capture_output=True, cwd=folder.parent)
    assert ended.returncode in (0, 1), ended.stderr.decode()


def results():
    with tempfile.TemporaryDirectory() as kept:
        survey = Path(kept, "survey")
        shutil.copytree(SAMPLES, survey)
        for name in ("images.csv", "motors.csv"):
            path = survey / name
            path.write_text("".join(path.read_text().splitlines(True)[:3]))
        whole, part = Path(kept, "whole"), Path(kept, "part")
        # A folder named from here, so that no path of this machine comes in.
        result_of("survey", whole, "--format", "json,csv")
        result_of("survey", part, "--shard", "1/1")
        put("manifest", "whole.json", (whole / "manifest.json").read_bytes())
        findings = (whole / "findings.json").read_text()
        put("recheck", "same.json", findings)
        small = {"version": 1, "images": [], "motors": [{"motor": "BE-01", "rises": [1.5, None, "x"]}], "findings": []}
        other = json.loads(json.dumps(small).replace("1.5", "1.6"))
        put("recheck", "other.json", json.dumps(small) + "\n=== recomputed\n" + json.dumps(other))
        put("journal", "part.journal", (part / "results.journal").read_bytes())


def sections(**files):
    return "".join(f"=== {name.replace('__', '/').replace('_json', '.json').replace('_csv', '.csv')}\n{text}"
                   for name, text in files.items())


def surveys():
    lines = []
    for y in range(24):
        lines.append(",".join(str(70 if 20 < x < 27 and 8 < y < 16 else 30 + (x + y) % 3) for x in range(32)))
    matrix = "\n".join(lines) + "\n"
    mark = json.dumps({"version": 1, "image": "a.csv", "size": [32, 24], "marks": [
        {"name": f"T{n}", "role": "lug", "phase": n,
         "shape": {"kind": "circle", "center": [9 * n - 4, 12], "radius": 3}} for n in (1, 2, 3)]})
    head = '{"site":"Bexley Creek","surveyed_on":"2026-03-04","defaults":{"emissivity":0.95},"phase_names":["A","B","C"]}\n'
    motors = "motor,rated_a,connection,rated_v,poles\nBE-01,118,wye,460,4\nCV-02,40,delta,460,2\n"
    rows = "file,motor,component,taken_at,air_c,reflected_c,load_1_a,load_2_a,load_3_a\na.csv,BE-01,terminal box,2026-03-04,20,20,70,71,70\n"
    readings = ("motor,test,taken_at,place,value_1,value_2,value_3,unit,temperature_c\n"
                "BE-01,winding_resistance,2026-02-18,terminal box,61.9,61.9,59.8,mohm,12\n"
                "BE-01,insulation_resistance,2026-02-18,terminal box,500,500,500,Mohm,12\n")
    circuit = "motor,place,order,size,length_m\nBE-01,starter load side,1,50 mm2,15\nBE-01,terminal box,2,,\n"
    whole = sections(survey_json=head, motors_csv=motors, images_csv=rows, readings_csv=readings, circuit_csv=circuit)
    for target in ("survey", "assess"):
        put(target, "whole", whole + f"=== a.csv\n{matrix}=== marks/a.csv.json\n{mark}")
        put(target, "bare", sections(survey_json=head) + f"=== be01_starter.csv\n{matrix}")
        put(target, "readings", sections(survey_json=head, motors_csv=motors, readings_csv=readings))
    with tempfile.TemporaryDirectory() as kept:
        story = Path(kept, "fan")
        subprocess.run([PROGRAM, "demo", story, "--story", "rotor"], check=True, capture_output=True)
        for side in ("before", "after"):
            files = {name: (story / side / name).read_text()
                     for name in ("survey.json", "motors.csv", "readings.csv", "sweeps.csv", "air_gap.csv")}
            put("bench", side, "".join(f"=== {name}\n{text}" for name, text in files.items()))
        put("bench", "few", "".join(f"=== {name}\n{''.join(text.splitlines(True)[:14])}" for name, text in files.items()))
    put("limits", "shop", (Path(__file__).parents[2] / "src/acceptance/limits/shop.json").read_text())
    for name in ("survey.json", "motors.csv", "images.csv", "readings.csv", "circuit.csv"):
        text = "".join((SAMPLES / name).read_text().splitlines(True)[:40])
        put("survey", f"sample-{name}", f"=== survey.json\n{head}=== {name}\n{text}")
    put("survey", "dates", sections(survey_json=head.replace("2026-03-04", "3026-03-04"),
                                    readings_csv=readings.replace("2026-02-18", "1600-02-30T25:61")))
    put("survey", "nested", sections(survey_json='{"defaults":' * 40 + "1" + "}" * 40))


def keys():
    key_id = bytes(range(8))
    put("signature", "good.minisig",
        "untrusted comment: signature from minisign secret key\n"
        "RURKN41elBRKZwZ1VDeNFj3x4xv1uF+Izk0vy88dV4hqHkom6nWTrR2LBbX0z+YgyoKxrrl8s4+VavthxmEzK371EFTwivhZ3gg=\n"
        "trusted comment: by hand\n"
        "fhFkd/K0B60rOXwoFQFA1QFBkW1EgOVILW8Fw4TUhTZ1KNILWU/clZuLzfX0XvpkBZ4RZoLvMecWPXMJ15CpAQ==\n")
    put("signature", "key.pub", "untrusted comment: a key\n" + base64.b64encode(b"Ed" + key_id + bytes(32)).decode() + "\n")
    put("secret_key", "plain.key",
        "untrusted comment: minisign encrypted secret key\n"
        "RWQAAEIyAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAASjeNXpQUSmewsl4/EkKlmUQzF6XRcNv+"
        "wkqdZwAmEUd1cENwmPqKoYz7bMAURoRbA0VJHFNLnjMydij4DosqOd3I+LoQhDbmAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n")
    put("secret_key", "encrypted.key", "untrusted comment: a key\n" + base64.b64encode(
        b"EdScB2" + bytes(32) + struct.pack("<QQ", 33554432, 1073741824) + bytes(104)).decode() + "\n")


def requests():
    shape = {"kind": "circle", "center": [5, 12], "radius": 3}
    marks = [{"name": "T1", "role": "lug", "phase": 1, "shape": shape}]
    row = {"motor": "BE-01", "test": "winding_resistance", "taken_at": "2026-02-19", "value_1": "61.5", "value_2": "61.5",
           "value_3": "59", "unit": "mohm"}
    asked = {
        "marks": ("PUT /api/image/marks", "file=a.csv", "@", {"version": 1, "image": "a.csv", "size": [32, 24], "marks": marks}),
        "parameters": ("PATCH /api/image/parameters", "file=a.csv", "@", {"emissivity": "0.9", "air_c": None}),
        "add": ("POST /api/readings", "motor=BE-01", "@", row),
        "change": ("PUT /api/readings", "row=2", "@", {"value_1": "60", "note": "=1+1"}),
        "delete": ("DELETE /api/readings", "row=2", "@", ""),
        "try-marks": ("POST /api/try", "", "", {"motor": "BE-01", "file": "a.csv", "marks": marks}),
        "try-readings": ("POST /api/try", "", "", {"motor": "BE-01", "readings": [row]}),
        "try-parameters": ("POST /api/try", "", "", {"motor": "BE-01", "file": "a.csv", "parameters": {"emissivity": "0.8"}}),
        "nested": ("POST /api/try", "", "", "[" * 3000),
        "stale": ("PUT /api/image/marks", "file=a.csv", '"0"', {"marks": marks}),
        "motor": ("GET /api/motor", "motor=BE-01", "", ""),
        "image": ("GET /api/image", "file=a.csv&page=1", "", ""),
        "temperatures": ("GET /api/image/temperatures", "file=a.csv", "", ""),
        "thumbnail": ("GET /api/image/thumbnail", "file=../../etc/passwd", "", ""),
    }
    for path in ("survey", "findings", "asides", "motors", "images", "proposals", "export", "image/photo"):
        asked[path.replace("/", "-")] = (f"GET /api/{path}", "file=b.csv", "", "")
    for name, (line, query, etag, body) in asked.items():
        put("request", name, f"{line}\n{query}\n{etag}\n{body if isinstance(body, str) else json.dumps(body)}")
    headers = ["POST", "/api/try", "127.0.0.1:40123", "http://127.0.0.1:40123", "", "", "Bearer " + "t" * 40, "c" * 64,
               "application/json", "{}"]
    put("caller", "good", "\n".join(headers))
    put("caller", "elsewhere", "\n".join(headers).replace("http://127.0.0.1", "https://example.org"))
    put("caller", "cookie", "\n".join(["GET", "/", "127.0.0.1:40123", "", "ohmglow=x; a=b", "t" * 40]))


def incoming():
    image = io.BytesIO()
    tifffile.imwrite(image, frame("uint16"), metadata=None, description='{"scale": 0.01, "offset": 0, "unit": "k"}')
    photograph = b"\xff\xd8\xff\xe0" + bytes(60) + b"\xff\xd9"
    for name, piece, content in (
            ("be01 terminal box.tif", 100, image.getvalue()), ("M-3 T1.csv", 7, b"20.5,21\n20,22.5\n" * 4),
            ("photo.JPG", 30, photograph), ("../theirs.tif", 50, image.getvalue()), ("theirs.tif", 50, image.getvalue()),
            (".ohmglow-incoming-0", 50, image.getvalue()), ("survey.json", 20, b"{}"), ("a\tb.png", 9, b"\x89PNG\r\n\x1a\n")):
        put("incoming", name.replace("/", "_"), f"{name}\n{piece}\n".encode() + content)


shutil.rmtree(OUT, ignore_errors=True)
for make in (images, tables, records, results, surveys, keys, requests, incoming):
    make()
print(f"{sum(1 for _ in OUT.rglob('*') if _.is_file())} seeds in {OUT}")
