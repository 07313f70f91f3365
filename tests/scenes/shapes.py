"""Outlines in the plane of the picture: signed distances, negative inside.

World lengths are shares of the short side of the picture that a box is drawn for; x to the right,
y down, (0, 0) in its middle.
"""
from dataclasses import dataclass
from typing import Callable

import numpy as np


@dataclass
class Outline:
    x: float
    y: float
    angle: float  # radians, of the outline's own x axis
    reach: float  # nothing of it lies further than this from (x, y)
    own_distance: Callable  # of coordinates in its own axes

    def distance(self, x, y):
        c, s = np.cos(self.angle), np.sin(self.angle)
        dx, dy = x - self.x, y - self.y
        return self.own_distance(c * dx + s * dy, c * dy - s * dx)


def disc(x, y, radius):
    return Outline(x, y, 0, radius, lambda u, v: np.hypot(u, v) - radius)


def ring(x, y, radius, half_width):
    return Outline(
        x, y, 0, radius + half_width, lambda u, v: np.abs(np.hypot(u, v) - radius) - half_width
    )


def plate(x, y, half_length, half_width, angle=0.0, corner=0.0):
    """A rectangle with rounded corners."""

    def own_distance(u, v):
        p = np.abs(u) - half_length + corner
        q = np.abs(v) - half_width + corner
        return (
            np.hypot(np.maximum(p, 0), np.maximum(q, 0)) + np.minimum(np.maximum(p, q), 0) - corner
        )

    return Outline(x, y, angle, float(np.hypot(half_length, half_width)), own_distance)


def frame(x, y, half_length, half_width, thickness, angle=0.0):
    """The rim of a rectangle."""
    inner = plate(0, 0, half_length, half_width, 0.0, 0.02)

    def own_distance(u, v):
        return np.abs(inner.distance(u, v)) - thickness

    return Outline(
        x, y, angle, float(np.hypot(half_length, half_width)) + 2 * thickness, own_distance
    )


def polygon(x, y, sides, radius, angle=0.0):
    """A regular one; `radius` reaches its corners."""
    flats = np.arange(sides) * 2 * np.pi / sides + np.pi / sides
    apothem = radius * np.cos(np.pi / sides)

    def own_distance(u, v):
        away = u * np.cos(flats[0]) + v * np.sin(flats[0])
        for flat in flats[1:]:
            away = np.maximum(away, u * np.cos(flat) + v * np.sin(flat))
        return away - apothem

    return Outline(x, y, angle, radius, own_distance)


def lobed(x, y, radius, angle, waves):
    """A disc whose rim sways: of each wave how many lobes, how high over the radius, and its phase."""

    def own_distance(u, v):
        turn = np.arctan2(v, u)
        sway = sum(height * np.cos(lobes * turn + phase) for lobes, height, phase in waves)
        return np.hypot(u, v) - radius * (1 + sway)

    return Outline(x, y, angle, radius * (1 + sum(height for _, height, _ in waves)), own_distance)


def without(outline, cut):
    """What `cut`, which lies in the outline's own axes, leaves of it."""
    return Outline(
        outline.x, outline.y, outline.angle, outline.reach,
        lambda u, v: np.maximum(outline.own_distance(u, v), -cut.distance(u, v)),
    )


def capsule(x, y, half_length, radius, angle=0.0):
    return plate(x, y, half_length + radius, radius, angle, radius)


def bezier(points, count=18):
    """Points along a cubic curve."""
    t = np.linspace(0, 1, count)[:, None]
    a, b, c, d = np.asarray(points, float)
    return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
