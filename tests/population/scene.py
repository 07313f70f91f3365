"""Small thermal images: three (or six) lug discs, their conductors, the enclosure behind.

A lug is one temperature; its conductor cools along its length as a fin does (warmth.py) and is seen
with the emissivity of its insulation, 0.93. A warm body shows in a part of the lug that mirrors it.
The enclosure is at its air with a slope of up to 2 K. Radiance is summed in the band, blurred,
turned back into an apparent temperature, then the camera adds its offset (one an image), a smooth
non-uniformity and noise.
"""
import json
from dataclasses import dataclass

import numpy as np
import tifffile
from scipy.ndimage import gaussian_filter, zoom

import planck

CONDUCTOR_EMISSIVITY = 0.93


@dataclass
class View:
    """What stands before the camera; one entry a lug."""

    lug_c: np.ndarray
    emissivity: np.ndarray
    reflected_c: np.ndarray  # of the surroundings
    mirrored_c: np.ndarray  # of a warm body that part of a lug mirrors; NaN: none
    far_c: np.ndarray  # of the conductor, far from the lug
    fin_per_m: np.ndarray  # 1/m
    wall_c: float


@dataclass
class Camera:
    width: int
    height: int
    disc_px: float
    metre_px: float
    blur_px: float
    offset_k: float
    nonuniformity_k: float
    noise_k: float


def centres(camera, columns, random):
    """Column centres from left to right, and their common height."""
    x = camera.width * (np.arange(columns) + 0.5) / columns + random.uniform(-0.8, 0.8, columns)
    y = camera.height * 0.4 + random.uniform(-1.5, 1.5, columns)
    return np.column_stack([x, y])


def mirroring_part(rows, columns, x, y, disc_px, random):
    """A lug is no flat mirror: a warm body shows in a patch of 0.5 to 0.9 of its radius."""
    radius = disc_px * random.uniform(0.5, 0.9)
    angle = random.uniform(0, 2 * np.pi)
    off = disc_px - radius
    column, row = x + off * np.cos(angle), y + off * np.sin(angle)
    return (columns - column) ** 2 + (rows - row) ** 2 <= radius**2


def picture_c(view, camera, spots, random):
    """Apparent temperatures, and the centres of the lugs in the order of `view`."""
    rows, columns = np.mgrid[0 : camera.height, 0 : camera.width].astype(float)
    slope = random.uniform(-1, 1, 2)
    wall = (
        view.wall_c
        + slope[0] * (rows / camera.height - 0.5)
        + slope[1] * (columns / camera.width - 0.5)
    )
    radiance = planck.radiance(wall)
    half_conductor = 0.45 * camera.disc_px
    for k, (x, y) in enumerate(spots):
        along = (rows - y - camera.disc_px) * camera.metre_px
        conductor = (np.abs(columns - x) <= half_conductor) & (rows >= y)
        rise = (view.lug_c[k] - view.far_c[k]) * np.exp(-view.fin_per_m[k] * np.maximum(along, 0))
        seen = planck.seen_radiance(view.far_c[k] + rise, CONDUCTOR_EMISSIVITY, view.wall_c)
        radiance = np.where(conductor, seen, radiance)
    for k, (x, y) in enumerate(spots):
        disc = (columns - x) ** 2 + (rows - y) ** 2 <= camera.disc_px**2
        radiance[disc] = planck.seen_radiance(
            view.lug_c[k], view.emissivity[k], view.reflected_c[k]
        )
        if np.isfinite(view.mirrored_c[k]):
            part = mirroring_part(rows, columns, x, y, camera.disc_px, random)
            radiance[part] = planck.seen_radiance(
                view.lug_c[k], view.emissivity[k], view.mirrored_c[k]
            )
    apparent = planck.apparent_c(gaussian_filter(radiance, camera.blur_px))
    coarse = random.normal(0, camera.nonuniformity_k, (4, 4))
    smooth = zoom(coarse, (camera.height / 4, camera.width / 4), order=1)
    return apparent + camera.offset_k + smooth + random.normal(0, camera.noise_k, apparent.shape)


def write_picture(path, apparent):
    """A 16-bit TIFF of 0.01 K, or a NumPy matrix in degrees Celsius, by the file's ending."""
    if path.suffix == ".npy":
        np.save(path, apparent.astype(np.float32))
    else:
        tifffile.imwrite(path, np.round((apparent + 273.15) * 100).astype(np.uint16), metadata=None)


def write_marks(path, image, camera, spots, names, phases, ambient):
    """Circles a pixel inside the lugs; a patch of the wall where `ambient`."""
    marks = [
        {
            "name": name,
            "role": "lug",
            "phase": int(phase),
            "shape": {
                "kind": "circle",
                "center": [round(float(x), 1), round(float(y), 1)],
                "radius": round(camera.disc_px - 1.0, 1),
            },
        }
        for name, phase, (x, y) in zip(names, phases, spots)
    ]
    if ambient:
        marks.append(
            {
                "name": "wall",
                "role": "ambient",
                "emissivity": 0.95,
                "shape": {"kind": "rectangle", "corner": [1, 1], "size": [camera.width - 3, 6]},
            }
        )
    path.write_text(
        json.dumps(
            {"version": 1, "image": image, "marks": marks, "size": [camera.width, camera.height]}
        )
    )
