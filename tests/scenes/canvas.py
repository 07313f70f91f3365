"""Paints outlines as a camera on a tilted, turned stand sees them.

Every body is opaque. Its radiance is that of its temperature times its emissivity, plus what it
mirrors, with the fourth power of the temperature in place of the camera's band. A pixel that an
edge crosses holds its share of both sides. Bodies stand at a height over the ground of the box, so
that a tilted camera sees them beside their place.
"""
from dataclasses import dataclass, field
from typing import Any, Optional

import numpy as np

ZERO_C_K = 273.15


def radiance(celsius):
    return ((np.asarray(celsius) + ZERO_C_K) / 300) ** 4


def apparent_c(radiances):
    return 300 * np.maximum(radiances, 1e-9) ** 0.25 - ZERO_C_K


@dataclass
class View:
    """`matrix` takes (x, y, 1) of the world to pixels; the middle of the first pixel is (0, 0)."""

    width: int
    height: int
    matrix: np.ndarray
    lean: tuple = (0.0, 0.0)  # world units that a body of height 1 is seen beside its place

    pixel: float = field(init=False)  # world units a pixel in the middle of the picture

    def __post_init__(self):
        middle = self.to_world(np.array([[self.width / 2, self.height / 2]]))[0]
        a, b, c = self.to_pixels(middle + np.array([[0, 0], [1e-4, 0], [0, 1e-4]]))
        area = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]) / 1e-8
        self.pixel = 1 / np.sqrt(area)

    def to_pixels(self, points, height=0.0):
        points = np.asarray(points, float) + height * np.asarray(self.lean)
        return divided(points, self.matrix)

    def to_world(self, pixels):
        return divided(np.asarray(pixels, float), np.linalg.inv(self.matrix))

    def radius_px(self, point, radius, height=0.0):
        """Of the circle with the same area as the seen ellipse."""
        x, y = point
        a, b, c = self.to_pixels([[x, y], [x + radius, y], [x, y + radius]], height)
        return float(np.sqrt(abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])))


def divided(points, matrix):
    lifted = points @ matrix[:, :2].T + matrix[:, 2]
    return lifted[:, :2] / lifted[:, 2:]


def straight_on(width, height):
    """The view that a box is drawn for: the short side is 1."""
    short = min(width, height)
    matrix = np.array([[short, 0, (width - 1) / 2], [0, short, (height - 1) / 2], [0, 0, 1.0]])
    return View(width, height, matrix)


@dataclass
class Body:
    outline: Any  # an Outline, or a Cable
    temperature_c: Any  # a number, or a function of world x, y and, of a cable, of its length
    emissivity: float = 0.95
    reflected_c: float = 20.0
    height: float = 0.0
    lug: int = 0  # which lug it is part of, counted from 1
    seat: bool = False  # the palm that a person would circle
    stays: bool = False  # part of a lug that is seen without the lug too: its cable


@dataclass
class Cable:
    path: np.ndarray  # points of the world
    radius: float


@dataclass
class Painted:
    radiance: np.ndarray
    bare: np.ndarray  # the radiance without the lugs, their cables left
    owner: np.ndarray  # lug that a pixel belongs to, 0: none
    seats: dict = field(default_factory=dict)  # lug: pixels of its seat, seen or hidden


def grid(view):
    rows, columns = np.mgrid[0 : view.height, 0 : view.width].astype(np.float32)
    world = np.linalg.inv(view.matrix)
    w = world[2, 0] * columns + world[2, 1] * rows + world[2, 2]
    x = (world[0, 0] * columns + world[0, 1] * rows + world[0, 2]) / w
    y = (world[1, 0] * columns + world[1, 1] * rows + world[1, 2]) / w
    return x.astype(np.float32), y.astype(np.float32)


def crop(view, points, margin, height):
    """The pixels around world points, or None where they are out of the picture."""
    x0, y0 = points.min(axis=0) - margin
    x1, y1 = points.max(axis=0) + margin
    corners = view.to_pixels(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), height)
    left, top = np.floor(corners.min(axis=0)).astype(int) - 2
    right, bottom = np.ceil(corners.max(axis=0)).astype(int) + 3
    left, top = max(left, 0), max(top, 0)
    right, bottom = min(right, view.width), min(bottom, view.height)
    if left >= right or top >= bottom:
        return None
    return slice(top, bottom), slice(left, right)


def cable_distance(view, cable, height, x, y):
    """Distance from the cable's skin and the length along it, where it is near; else infinite."""
    near = np.full(x.shape, np.inf, np.float32)
    along = np.zeros(x.shape, np.float32)
    lengths = np.hypot(*np.diff(cable.path, axis=0).T)
    starts = np.concatenate([[0], np.cumsum(lengths)])
    for k in range(len(lengths)):
        part = crop(view, cable.path[k : k + 2], cable.radius + 2 * view.pixel, height)
        if part is None or lengths[k] < 1e-9:
            continue
        (ax, ay), (bx, by) = cable.path[k], cable.path[k + 1]
        u, v = (bx - ax) / lengths[k], (by - ay) / lengths[k]
        dx, dy = x[part] - ax, y[part] - ay
        t = np.clip(dx * u + dy * v, 0, lengths[k])
        d = np.hypot(dx - t * u, dy - t * v) - cable.radius
        better = d < near[part]
        near[part] = np.where(better, d, near[part])
        along[part] = np.where(better, starts[k] + t, along[part])
    return near, along


def paint(view, ground_c, bodies):
    """`ground_c`: a function of world x, y. Later bodies lie over earlier ones."""
    x, y = grid(view)
    pixel = view.pixel
    ground = radiance(ground_c(x, y)).astype(np.float32)
    painted = Painted(ground, ground.copy(), np.zeros(x.shape, np.uint8))
    lean = np.asarray(view.lean)
    for body in bodies:
        shift = body.height * lean
        if isinstance(body.outline, Cable):
            part = crop(view, body.outline.path, body.outline.radius + 2 * pixel, body.height)
            if part is None:
                continue
            d, along = cable_distance(view, body.outline, body.height, x - shift[0], y - shift[1])
            d, along = d[part], along[part]
            celsius = body.temperature_c(along, d / body.outline.radius)
        else:
            o = body.outline
            part = crop(view, np.array([[o.x, o.y]]), o.reach + 2 * pixel, body.height)
            if part is None:
                continue
            bx, by = x[part] - shift[0], y[part] - shift[1]
            d = o.distance(bx, by)
            celsius = body.temperature_c
            if callable(celsius):
                celsius = celsius(bx, by)
        share = np.clip(0.5 - d / pixel, 0, 1)
        seen = body.emissivity * radiance(celsius) + (1 - body.emissivity) * radiance(
            body.reflected_c
        )
        painted.radiance[part] += share * (seen - painted.radiance[part])
        if body.stays or not body.lug:
            painted.bare[part] += share * (seen - painted.bare[part])
        inside = share > 0.5
        painted.owner[part][inside] = 0 if body.stays else body.lug
        if body.seat:
            seat = np.zeros(x.shape, bool)
            seat[part] = inside
            painted.seats[body.lug] = seat | painted.seats.get(body.lug, False)
    return painted
