"""Reads the demo survey with general-purpose libraries only: csv, json, tifffile, numpy, astropy, and
libtiff by ctypes for the codings that tifffile leaves to a package of its own."""

import csv
import ctypes
import ctypes.util
import json
import struct
import zlib
from functools import lru_cache
from pathlib import Path

import numpy as np
import tifffile
from astropy.io import fits
from scipy import constants
from scipy.integrate import quad

ZERO_C = 273.15


def table(path):
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


class Survey:
    def __init__(self, folder):
        self.folder = Path(folder)
        self.settings = json.loads((self.folder / "survey.json").read_text(encoding="utf-8"))
        self.truth = json.loads((self.folder / "truth.json").read_text(encoding="utf-8"))
        self.images = table(self.folder / "images.csv")
        self.motors = {row["motor"]: row for row in table(self.folder / "motors.csv")}
        self.readings = table(self.folder / "readings.csv")
        self.circuit = table(self.folder / "circuit.csv")

    def parameter(self, row, name):
        text = row.get(name) or self.settings["defaults"].get(name)
        return None if text in (None, "") else float(text)

    def marks(self, row):
        path = self.folder / "marks" / (row["file"] + ".json")
        return json.loads(path.read_text(encoding="utf-8"))["marks"]

    def status(self, row):
        return next(i["status"] for i in self.truth["images"] if i["file"] == row["file"])


# --- files --------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def libtiff():
    library = ctypes.CDLL(ctypes.util.find_library("tiff"))
    library.TIFFOpen.restype = ctypes.c_void_p
    library.TIFFOpen.argtypes = [ctypes.c_char_p, ctypes.c_char_p]
    library.TIFFClose.argtypes = [ctypes.c_void_p]
    library.TIFFReadEncodedStrip.restype = ctypes.c_ssize_t
    library.TIFFReadEncodedStrip.argtypes = [ctypes.c_void_p, ctypes.c_uint32, ctypes.c_void_p,
                                             ctypes.c_ssize_t]
    return library


def strip_by_libtiff(path, page):
    pixels = np.zeros(page.shape, page.dtype)
    file = libtiff().TIFFOpen(str(path).encode(), b"r")
    read = libtiff().TIFFReadEncodedStrip(file, 0, pixels.ctypes.data, pixels.nbytes)
    libtiff().TIFFClose(file)
    assert read == pixels.nbytes, path
    return pixels


def tiff_pixels(path, number):
    with tifffile.TiffFile(path) as file:
        page = file.pages[number - 1]
        description = page.description
        coding = (page.compression, page.predictor)
        by_libtiff = coding[0] == tifffile.COMPRESSION.LZW or coding[1] == tifffile.PREDICTOR.FLOATINGPOINT
        if not by_libtiff:
            return page.asarray(), description
        assert number == 1
        return strip_by_libtiff(path, page), description


def png_pixels(path):
    """16-bit grey PNG by its standard (ISO/IEC 15948): filters 0 to 4, no interlacing."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, body, header = 8, b"", None
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        chunk = data[at + 8:at + 8 + size]
        if kind == b"IHDR":
            header = struct.unpack(">IIBBBBB", chunk)
        if kind == b"IDAT":
            body += chunk
        at += 12 + size
    width, height, depth, colour, _, _, interlaced = header
    assert (depth, colour, interlaced) == (16, 0, 0)
    raw = np.frombuffer(zlib.decompress(body), np.uint8).reshape(height, 1 + 2 * width).astype(int)
    rows = np.zeros((height + 1, 2 * width + 2), int)  # two zero bytes to the left, a zero row above
    for y in range(height):
        kind, up = raw[y, 0], rows[y]
        line = rows[y + 1]
        for i in range(2, 2 * width + 2):
            a, b, c = line[i - 2], up[i], up[i - 2]
            if kind == 4:
                p = a + b - c
                pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
                guess = a if pa <= pb and pa <= pc else b if pb <= pc else c
            else:
                guess = (0, a, b, (a + b) // 2)[kind]
            line[i] = (raw[y, i - 1] + guess) & 255
    bytes_ = rows[1:, 2:]
    return (bytes_[:, 0::2] * 256 + bytes_[:, 1::2]).astype(np.uint16)


def csv_pixels(path):
    lines = [line.split(";") for line in path.read_text(encoding="utf-8").splitlines()]
    header = {cells[0]: int(cells[1]) for cells in lines if len(cells) == 2}
    body = np.array([[float(c.replace(",", ".")) for c in cells] for cells in lines if len(cells) > 2])
    assert body.shape == (header["height"], header["width"])
    return body


def stored(survey, row):
    """Pixels as stored, and the file's own declaration."""
    path = survey.folder / row["file"]
    if path.suffix == ".tif":
        pixels, description = tiff_pixels(path, int(row["page"] or 1))
        return pixels, json.loads(description) if description else None
    if path.suffix == ".npy":
        return np.load(path), None
    if path.suffix == ".fits":
        with fits.open(path) as file:
            file.verify("exception")
            return file[0].data[::-1], None  # the first row of FITS is the bottom one
    return (png_pixels(path) if path.suffix == ".png" else csv_pixels(path)), None


def celsius(survey, row):
    pixels, declared = stored(survey, row)
    if row["unit"]:
        declared = {"scale": float(row["scale"]), "offset": float(row["offset"]), "unit": row["unit"]}
    if declared is None:
        assert pixels.dtype.kind == "f", "integers need a declaration"
        declared = {"scale": 1, "offset": 0, "unit": "k" if np.nanmin(pixels) > 190 else "c"}
    value = pixels.astype(float) * declared["scale"] + declared["offset"]
    return value - ZERO_C if declared["unit"] == "k" else value


# --- radiation ----------------------------------------------------------------------------------


def planck(wavelength_m, kelvin):
    h, c, k = constants.h, constants.c, constants.k
    return 2 * h * c**2 / wavelength_m**5 / np.expm1(h * c / (wavelength_m * k * kelvin))


@lru_cache(maxsize=None)
def band(t_c):
    """Radiance of a blackbody within 8 to 14 µm, W/(m² sr)."""
    return quad(planck, 8e-6, 14e-6, args=(t_c + ZERO_C,), epsabs=0, epsrel=1e-11)[0]


def hottest_block(image, shape):
    """Largest mean of 3×3 pixels whose centres are all inside the shape; else its hottest pixel."""
    ys, xs = np.mgrid[0:image.shape[0], 0:image.shape[1]]
    if shape["kind"] == "circle":
        (cx, cy), r = shape["center"], shape["radius"]
        inside = (xs - cx) ** 2 + (ys - cy) ** 2 <= r**2
    elif shape["kind"] == "rectangle":
        (x, y), (w, h) = shape["corner"], shape["size"]
        inside = (xs >= x) & (xs <= x + w) & (ys >= y) & (ys <= y + h)
    else:  # the demo's polygons are upright diamonds
        points = np.array(shape["points"])
        (cx, cy), r = points.mean(axis=0), np.ptp(points[:, 0]) / 2
        inside = abs(xs - cx) + abs(ys - cy) <= r + 1e-9
    windows = np.lib.stride_tricks.sliding_window_view
    whole = windows(inside, (3, 3)).all(axis=(2, 3))
    means = windows(image, (3, 3)).mean(axis=(2, 3))
    usable = whole & np.isfinite(means)
    return (means[usable].max(), True) if usable.any() else (np.nanmax(image[inside]), False), inside
