"""Pairs of pictures of one box from two visits, and of two boxes alike.

The second visit stands elsewhere: turned, nearer, tilted. Both pictures are painted from the box, so
the second is no resampled copy of the first. Noise, drift and load are the second day's own; what
stays with the sensor stays in the picture where it was.
"""
import copy
from dataclasses import dataclass

import numpy as np

import box as boxes
import camera as optics
import canvas


@dataclass
class Move:
    """How far a visit may stand from the first one."""

    scale: tuple
    turn_deg: tuple
    contrast: float = 1.0
    shift: float = 0.03  # of the short side
    tilt: float = 0.0  # change of scale over the short side
    lean: float = 0.0  # world units that a body of height 1 moves
    half_turn: bool = False
    resolution: bool = False
    load: float = 0.1  # spread of the logarithm of the second day's rises
    thermal: bool = False
    leaves: bool = False
    other: bool = False
    times: int = 1  # pairs for each one of the other kinds


KINDS = {
    "small": Move((0.97, 1.03), (-1.5, 1.5), 0.97, 0.03),
    "medium": Move((0.94, 1.06), (-3, 3), 1.06, 0.05, 0, 0.05),
    "large": Move((0.90, 1.10), (-5, 5), 0.9, 0.08, 0.08, 0.1),
    "far": Move((0.7, 1.4), (-20, 20), 1.0, 0.08, 0.04, 0.1),
    "half_turn": Move((0.92, 1.08), (-5, 5), 1.0, 0.05, 0, 0.05, half_turn=True),
    "resolution": Move((0.95, 1.05), (-3, 3), 1.0, 0.04, resolution=True),
    "thermal": Move((0.96, 1.04), (-2, 2), 1.0, 0.03, thermal=True, load=0.5),
    "partly_out": Move((0.95, 1.15), (-4, 4), 1.0, 0.0, leaves=True),
    "other_box": Move((0.95, 1.05), (-3, 3), 1.0, 0.03, other=True, times=3),
}

OTHER_SIZES = {
    (160, 120): [(320, 240)],
    (320, 240): [(160, 120), (640, 480), (384, 288)],
    (384, 288): [(320, 240), (640, 480)],
    (640, 480): [(320, 240)],
    (256, 192): [(160, 120), (320, 256), (640, 512)],
    (320, 256): [(640, 512), (256, 192)],
    (640, 512): [(320, 256), (1024, 768)],
    (1024, 768): [(640, 512), (320, 256)],
}


@dataclass
class Pair:
    kind: str
    older: np.ndarray
    newer: np.ndarray
    older_size: tuple
    newer_size: tuple
    matrix: np.ndarray  # older pixels to newer ones, of the ground
    marks: list
    refuse: bool
    half_turn: bool
    layout: str
    temper: str
    shape: str

    def truth(self, file):
        return {
            "file": file,
            "kind": self.kind,
            "older_size": list(self.older_size),
            "size": list(self.newer_size),
            "layout": self.layout,
            "temper": self.temper,
            "shape": self.shape,
            "matrix": [[round(float(v), 9) for v in row] for row in self.matrix],
            "half_turn": self.half_turn,
            "refuse": self.refuse,
            "marks": self.marks,
        }


def spread(random, low_high, least=0.5):
    """Towards the ends of a range: the outer half of either side of its middle."""
    low, high = low_high
    middle, half = (low + high) / 2, (high - low) / 2
    return middle + random.choice([-1, 1]) * half * random.uniform(least, 1)


def similarity(scale, turn, shift):
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    return np.array([[c, -s, shift[0]], [s, c, shift[1]], [0, 0, 1.0]])


def moved_view(random, move, box, size):
    """The second visit's view: how the world lies before it is seen straight on."""
    scale = spread(random, move.scale)
    turn = np.radians(spread(random, move.turn_deg))
    if move.half_turn:
        turn += np.pi
    shift = random.uniform(-1, 1, 2) * move.shift
    if move.leaves:
        shift = leaving_shift(random, box, scale, turn)
    world = similarity(scale, turn, shift)
    way = random.uniform(0, 2 * np.pi)
    bend = np.eye(3)
    bend[2, :2] = move.tilt * random.uniform(0.5, 1) * np.array([np.cos(way), np.sin(way)])
    straight = canvas.straight_on(*size)
    lean = tuple(random.uniform(-1, 1, 2) * move.lean)
    return canvas.View(*size, straight.matrix @ bend @ world, lean)


def leaving_shift(random, box, scale, turn):
    """Takes the outermost lug out of the picture and leaves the others in, where that can be."""
    centres = np.array([[lug.x, lug.y] for lug in box.lugs])
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    moved = centres @ np.array([[c, s], [-s, c]])
    half = np.array([box.aspect / 2, 0.5])
    radius = box.lugs[0].radius * scale
    shifts = []
    for axis in (0, 1):
        for side in (-1, 1):
            order = np.argsort(-side * moved[:, axis])
            first, second = side * moved[order[0], axis], side * moved[order[1], axis]
            least = half[axis] + 0.3 * radius - first
            most = half[axis] - 1.2 * radius - second
            if most > least:
                shift = np.zeros(2)
                shift[axis] = side * random.uniform(least, most)
                shifts.append((abs(shift[axis]), shift))
    if not shifts:
        return np.zeros(2)
    return min(shifts, key=lambda entry: entry[0])[1]


def second_day(random, move, setting, box, day):
    later = boxes.Day(**vars(day))
    later.lug_rise_k = day.lug_rise_k * np.exp(random.normal(0, move.load))
    later.lug_rise_k = later.lug_rise_k * np.exp(random.normal(0, 0.04, 3))
    later.cable_rise_k = day.cable_rise_k * np.exp(random.normal(0, move.load))
    later.air_c = day.air_c + random.normal(0, 4)
    later.reflected_c = day.reflected_c + later.air_c - day.air_c + random.normal(0, 0.5)
    if move.thermal:
        which = int(random.integers(3))
        change = random.choice([-1, 1]) * np.exp(random.uniform(np.log(4), np.log(40)))
        rise = later.lug_rise_k.copy()
        rise[which] = max(rise[which] + change, -1.0) if change > 0 else 0.25 * rise[which]
        later.lug_rise_k = rise
        later.air_c = day.air_c + random.uniform(-12, 12)
        later.plate_rise_k = day.plate_rise_k * random.uniform(0.6, 1.5)
    return later


def pair(random, setting, kind):
    """Drawn anew until every mark of the older picture can be seen, as whoever marked it did."""
    for attempt in range(60):
        made = attempt_pair(random, setting, kind)
        if made is not None:
            return made
    raise RuntimeError(f"no pair of the kind {kind}")


def attempt_pair(random, setting, kind):
    move = KINDS[kind]
    size = optics.draw_size(random, setting)
    if move.resolution:
        newer_size = OTHER_SIZES[size][int(random.integers(len(OTHER_SIZES[size])))]
    else:
        newer_size = size
    layout = None
    box = boxes.draw(random, setting, max(size) / min(size), layout=layout)
    if box.layout == "two_in_frame":
        return None
    day = boxes.draw_day(random, setting, box)
    camera = optics.draw_camera(random, setting, size, box.lugs[0].radius * min(size))
    first = boxes.photograph(box, day, canvas.straight_on(*size), camera, random)
    if not all(lug["visible"] for lug in first.lugs):
        return None

    second_box, later = box, second_day(random, move, setting, box, day)
    if move.other:
        second_box = like_box(random, setting, box)
        if second_box is None:
            return None
        later = boxes.draw_day(random, setting, second_box)
    view = moved_view(random, move, second_box, newer_size)
    second_camera = optics.Camera(**vars(camera))
    second_camera.blur_px *= min(newer_size) / min(size) * random.uniform(0.9, 1.15)
    second = boxes.photograph(second_box, later, view, second_camera, random)
    inside = [lug for lug in second.lugs if lug["in_frame"]]
    if not all(lug["visible"] for lug in inside) or len(inside) < (2 if move.leaves else 3):
        return None
    if move.leaves and len(inside) == 3:
        return None
    mean = second.celsius.mean()
    celsius = mean + move.contrast * (second.celsius - mean)
    straight = canvas.straight_on(*size)
    matrix = view.matrix @ np.linalg.inv(straight.matrix)
    marks = [
        {
            "name": f"T{old['order']}",
            "order": old["order"],
            "older_center": old["center"],
            "older_radius": old["radius"],
            "center": new["center"],
            "radius": new["radius"],
            "in_frame": new["in_frame"],
        }
        for old, new in zip(first.lugs, second.lugs)
    ]
    return Pair(
        kind,
        first.celsius,
        celsius,
        size,
        newer_size,
        matrix / matrix[2, 2],
        marks,
        move.other,
        move.half_turn,
        box.layout,
        box.temper,
        box.shape,
    )


def like_box(random, setting, box):
    """Another motor's box as plants have them: the same enclosure, the lugs bolted elsewhere.

    Every second one has the same screws, rails and stains too, so that only the lugs tell it apart.
    Lugs of the first box lie two radii or more from those of their name.
    """
    for _ in range(300):
        other = copy.deepcopy(box)
        if random.random() < 0.5:
            other.seed = int(random.integers(1 << 30))
        lengthen = random.choice([random.uniform(0.65, 0.85), random.uniform(1.15, 1.4)])
        turned = similarity(lengthen, random.uniform(-0.15, 0.15), (0, 0))[:2, :2]
        centres = np.array([[lug.x, lug.y] for lug in box.lugs])
        middle = centres.mean(axis=0)
        radius = box.lugs[0].radius * random.uniform(0.85, 1.15)
        way = random.uniform(0, 2 * np.pi)
        shift = random.uniform(2, 6) * radius * np.array([np.cos(way), np.sin(way)])
        moved = (centres - middle) @ turned.T + middle + shift
        leave = [lug.turn + random.normal(0, 0.1) for lug in box.lugs]
        inside = np.all(np.abs(moved) + 1.3 * radius < np.array([box.aspect / 2, 0.5]))
        apart = np.hypot(*(moved - centres).T).min() > 2 * radius
        if not inside or not apart or boxes.touch(moved, leave, radius, box.shape):
            continue
        for lug, point, turn in zip(other.lugs, moved, leave):
            lug.x, lug.y, lug.radius, lug.turn = *point, radius, turn
            lug.hex_turn = random.uniform(0, np.pi)
        return other
    return None
