"""Connection boxes: three lugs, their cables and what else is in such a box.

A box is drawn once (`draw`) and can be looked at on several days (`Day`): what is metal stays, what
is warm changes. The circle of a lug is the one that a person would draw: around the palm or the
bolt's seat, not the barrel and not the cable.
"""
from dataclasses import dataclass, field

import numpy as np
from scipy.ndimage import map_coordinates

import camera as optics
import canvas
import further_lugs
import shapes
from canvas import Body, Cable
from settings import choose

TAPE, INSULATION = 0.95, 0.94


@dataclass
class Lug:
    x: float
    y: float
    radius: float
    turn: float  # radians: where its cable leaves to
    emissivity: float
    nut_emissivity: float
    hex_turn: float
    height: float


@dataclass
class Box:
    shape: str
    layout: str
    temper: str
    course: str
    hidden: bool
    ground: str
    aspect: float
    lugs: list
    clutter: set
    seed: int
    gland: tuple
    half: tuple  # of the box's inside
    middle: tuple
    cable_ratio: float


@dataclass
class Day:
    """Temperatures of one visit."""

    air_c: float
    plate_rise_k: float
    reflected_c: float
    lug_rise_k: np.ndarray
    cable_rise_k: float
    slope_k: tuple
    hot: list = field(default_factory=list)  # bodies that are hot outside all marks


def spacings(random, setting):
    """The two spacings over their mean."""
    part = random.uniform(-setting.unequal, setting.unequal) / 2
    return 1 - part, 1 + part


def places(random, setting, layout):
    """Three centres about (0, 0) for a mean spacing of 1, and the way their cables leave."""
    near, far = spacings(random, setting)
    along = np.array([-near, 0, far])
    off = random.normal(0, 0.025, 3)
    turn, out = 0.0, np.pi / 2
    if layout == "bent":  # an angle of any size
        bend = random.uniform(-1.3, 1.3)
        far_end = far * np.array([np.cos(bend), np.sin(bend)])
        points = np.array([[-near, 0.0], [0.0, 0.0], far_end])
        turn = random.uniform(0, 2 * np.pi)
    elif layout in ("row", "column", "slanted", "stagger", "two_in_frame"):
        if layout == "stagger":
            off = off + random.choice([-1, 1]) * random.uniform(0.25, 0.5) * np.array([0, 1, 0])
        turn = {
            "row": random.uniform(-0.3, 0.3),
            "column": np.pi / 2 + random.uniform(-0.3, 0.3),
            "stagger": random.uniform(0, np.pi),
            "two_in_frame": random.choice([0, np.pi / 2]) + random.uniform(-0.2, 0.2),
        }.get(layout, random.choice([-1, 1]) * random.uniform(0.35, 1.2))
        points = np.column_stack([along, off])
    elif layout == "arc":
        radius = random.uniform(1.1, 2.2)
        bend = along / radius
        points = np.column_stack([radius * np.sin(bend), radius * (1 - np.cos(bend))])
        turn = random.uniform(0, 2 * np.pi) if random.random() < 0.5 else random.normal(0, 0.2)
    else:
        apex = random.uniform(0.75, 1.1)
        points = np.array([[-near / 1.6, 0], [random.uniform(-0.15, 0.15), -apex], [far / 1.6, 0]])
        turn = random.uniform(0, 2 * np.pi) if random.random() < 0.5 else random.normal(0, 0.2)
    points = points - points.mean(axis=0)
    turned = points @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    if random.random() < 0.3:
        out = -out
    leave = np.full(3, turn + out) + random.normal(0, 0.07, 3)
    if layout in ("arc", "triangle") and random.random() < 0.5:
        leave = np.arctan2(turned[:, 1], turned[:, 0]) + random.normal(0, 0.1, 3)
    return turned, leave


def draw_radius(random, setting):
    """On a logarithmic scale; every fifth is a close-up."""
    least, most = setting.lug_share
    if random.random() < 0.2:
        return random.uniform((least + most) / 2, most) / 2
    return np.exp(random.uniform(np.log(least), np.log(most))) / 2


def fitted(random, setting, layout, aspect):
    """Centres and radius within the picture; the third just out of it for two_in_frame."""
    for attempt in range(2000):
        if attempt % 50 == 0:
            radius = draw_radius(random, setting)
        points, leave = places(random, setting, layout)
        gaps = [np.hypot(*(points[a] - points[b])) for a, b in ((0, 1), (1, 2), (0, 2))]
        spacing = radius * np.exp(random.uniform(np.log(2.5), np.log(8))) / min(gaps)
        points = points * spacing
        half = np.array([aspect / 2, 0.5])
        reach = np.abs(points).max(axis=0) + 1.3 * radius
        if layout == "two_in_frame":
            end = random.choice([0, 2])
            others = [k for k in range(3) if k != end]
            away = points[end] - points[1]
            axis = int(np.argmax(np.abs(away)))
            side = np.sign(away[axis])
            moved = points - points[end]
            moved[:, axis] += side * (half[axis] + radius * random.uniform(0.6, 1.6))
            cross = 1 - axis
            moved[:, cross] += random.uniform(-0.2, 0.2) * half[cross] - moved[1, cross]
            if np.all(np.abs(moved[others]) + 1.3 * radius < half):
                return moved, leave, radius
        elif np.all(reach < half):
            room = np.maximum(half - reach, 0) * 0.8
            return points + random.uniform(-1, 1, 2) * room, leave, radius
    raise RuntimeError(f"no room for {layout}")


# How far a lug's metal reaches back from its seat and out with its cable, in its radii.
METAL_BACK, METAL_OUT = {"pad": 3.4}, 2.2


def touch(points, leave, radius, shape):
    """Whether the metal of a lug comes near another's seat: no box is built so."""
    back = METAL_BACK.get(shape, 1.0)
    for k in range(3):
        out = np.array([np.cos(leave[k]), np.sin(leave[k])])
        for other in range(3):
            away = (points[other] - points[k]) / radius
            along = np.clip(away @ out, -back, METAL_OUT)
            if other != k and np.hypot(*(away - along * out)) < 1.85:
                return True
    return False


def fitted_apart(random, setting, layout, aspect, shape):
    for _ in range(100):
        points, leave, radius = fitted(random, setting, layout, aspect)
        if not touch(points, leave, radius, shape):
            return points, leave, radius
    raise RuntimeError(f"no room for {layout} of {shape}")


def draw(random, setting, aspect, temper=None, layout=None, hidden=None):
    layout = layout or choose(random, setting.layouts)
    temper = temper or choose(random, setting.tempers)
    shape = choose(random, setting.lugs)
    course = choose(random, setting.courses)
    points, leave, radius = fitted_apart(random, setting, layout, aspect, shape)
    if hidden is None:
        hidden = random.random() < setting.hidden_share
    metal = random.uniform(0.25, 0.5) if random.random() < 0.5 else random.uniform(0.6, 0.9)
    if temper == "cold":
        metal = random.uniform(0.15, 0.45)
    if shape == "splice":
        metal = TAPE
    lugs = [
        Lug(
            *points[k],
            radius,
            leave[k],
            float(np.clip(metal * random.uniform(0.92, 1.08), 0.1, 0.96)),
            random.uniform(0.2, 0.7),
            random.uniform(0, np.pi),
            random.uniform(0.05, 0.25),
        )
        for k in range(3)
    ]
    clutter = {name for name, share in setting.clutter.items() if random.random() < share}
    clutter -= set(random.permutation(sorted(clutter))[6:])
    middle = points.mean(axis=0) * random.uniform(0, 0.7)
    reach = np.abs(points - middle).max(axis=0) + 2.2 * radius
    half = np.maximum(
        reach + random.uniform(0.02, 0.2, 2), np.array([aspect, 1]) * random.uniform(0.38, 0.75)
    )
    direction = np.array([np.cos(leave).mean(), np.sin(leave).mean()])
    direction = direction / max(np.hypot(*direction), 0.2)
    gland = middle + direction * half * 0.96
    return Box(
        shape,
        layout,
        temper,
        course,
        bool(hidden),
        choose(random, setting.grounds),
        aspect,
        lugs,
        clutter,
        int(random.integers(1 << 30)),
        tuple(gland),
        tuple(half),
        tuple(middle),
        random.uniform(0.42, 0.72),
    )


def draw_day(random, setting, box):
    air = random.uniform(*setting.air_c)
    plate_rise = random.uniform(0, 5)
    reflected = air + random.uniform(-3, 3)
    if box.temper == "cold":
        plate_rise = random.uniform(3, 9)
        reflected = air - random.uniform(1, 8)
        rise = random.uniform(-0.3, 0.6, 3)
        cable = random.uniform(-0.5, 0.5)
    elif box.temper == "one_hot":
        base = np.exp(random.uniform(np.log(0.7), np.log(12)))
        rise = base * random.uniform(0.85, 1.15, 3)
        rise[random.integers(3)] += np.exp(random.uniform(np.log(4), np.log(setting.rise_k[1])))
        cable = base * random.uniform(0.3, 0.8)
    else:
        base = np.exp(random.uniform(*np.log(setting.rise_k)))
        rise = base * random.uniform(0.8, 1.2, 3)
        cable = base * random.uniform(0.25, 0.7)
    slope = tuple(random.uniform(-1, 1, 2) * random.uniform(0, 4 if box.ground == "sloped" else 1))
    return Day(air, plate_rise, reflected, rise, cable, slope)


def ground(box, day):
    """The back plate, warmed about the lugs, before the room around the box."""
    random = np.random.default_rng([1, box.seed])
    waves = []
    for _ in range(40 if box.ground == "mottled" else 5):
        fast = np.exp(random.uniform(np.log(2), np.log(25)))
        size = random.normal() * 2 / (1 + fast / 5)
        waves.append((random.normal(0, 1, 2) * fast, random.uniform(0, 6.3), size))
    rough = random.uniform(0.04, 0.14) if box.ground == "mottled" else 0.02
    spread = random.uniform(0.03, 0.12)
    plate_c = day.air_c + day.plate_rise_k

    def at(x, y):
        celsius = plate_c + day.slope_k[0] * x + day.slope_k[1] * y
        for (u, v), phase, size in waves:
            celsius = celsius + rough * size * np.sin(u * x + v * y + phase)
        for lug, rise in zip(box.lugs, day.lug_rise_k):
            away = (x - lug.x) ** 2 + (y - lug.y) ** 2
            celsius = celsius + spread * rise * np.exp(-away / (2 * (2.5 * lug.radius) ** 2))
        return celsius

    return at


def beyond(box, day, random):
    """What is seen past the rim of the box: four sides of wall or floor, then the rim."""
    (mx, my), (hx, hy) = box.middle, box.half
    wall_c = day.air_c + random.uniform(-4, 4)
    wide = 3.0
    sides = [
        (mx - hx - wide, my, wide, 6),
        (mx + hx + wide, my, wide, 6),
        (mx, my - hy - wide, 6, wide),
        (mx, my + hy + wide, 6, wide),
    ]
    slope = random.uniform(-1, 1, 2)
    wave = random.uniform(3, 9, 2)

    def at(x, y):
        return wall_c + slope[0] * x + slope[1] * y + 0.2 * np.sin(wave[0] * x + wave[1] * y)

    bodies = [Body(shapes.plate(x, y, a, b), at, 0.93, day.reflected_c) for x, y, a, b in sides]
    rim = shapes.frame(mx, my, hx, hy, random.uniform(0.008, 0.025))
    rim_c = day.air_c + random.uniform(0, 1) * day.plate_rise_k
    return bodies + [Body(rim, rim_c, random.choice([0.3, 0.9]), day.reflected_c)]


def lug_parts(shape, lug, number, rise_k, plate_c, day, seed):
    """Barrel, seat and bolt of a lug, from below."""
    if shape in further_lugs.KINDS:
        return further_lugs.parts(shape, lug, number, rise_k, plate_c, day, seed)
    r, t = lug.radius, lug.turn
    out = np.array([np.cos(t), np.sin(t)])
    lug_c = plate_c + rise_k

    def body(outline, emissivity, cooler=0.0, seat=False):
        celsius = lug_c - cooler * rise_k
        return Body(outline, celsius, emissivity, day.reflected_c, lug.height, number, seat)

    def toward(distance):
        return lug.x + distance * r * out[0], lug.y + distance * r * out[1]

    barrel = body(shapes.plate(*toward(1.45), 0.75 * r, 0.45 * r, t, 0.1 * r), lug.emissivity, 0.08)
    nut = body(shapes.polygon(lug.x, lug.y, 6, 0.55 * r, lug.hex_turn), lug.nut_emissivity)
    stud = body(shapes.disc(lug.x, lug.y, 0.25 * r), min(lug.nut_emissivity + 0.25, 0.95))
    palm = body(shapes.disc(lug.x, lug.y, r), lug.emissivity, seat=True)
    if shape == "ring":
        return [barrel, palm, nut, stud]
    if shape == "bolt":
        washer = body(shapes.disc(lug.x, lug.y, 0.8 * r), 0.5 * lug.emissivity + 0.1)
        head = body(shapes.polygon(lug.x, lug.y, 6, 0.68 * r, lug.hex_turn), lug.nut_emissivity)
        square = shapes.plate(lug.x, lug.y, 0.95 * r, 0.9 * r, t, 0.2 * r)
        return [barrel, body(square, lug.emissivity, seat=True), washer, head]
    if shape == "pad":
        bar = body(
            shapes.plate(*toward(-1.9), 1.5 * r, 0.85 * r, t, 0.05 * r), lug.emissivity, 0.12
        )
        square = shapes.plate(lug.x, lug.y, r, r, t, 0.15 * r)
        return [bar, barrel, body(square, lug.emissivity, seat=True), nut, stud]
    if shape == "clamp":
        block = body(shapes.plate(lug.x, lug.y, r, 0.9 * r, t, 0.1 * r), lug.emissivity, seat=True)
        screw = body(shapes.disc(*toward(-0.1), 0.45 * r), lug.nut_emissivity)
        slot = body(shapes.plate(*toward(-0.1), 0.4 * r, 0.08 * r, lug.hex_turn), 0.95)
        return [block, screw, slot]
    if shape == "flag":  # the barrel leaves across the palm's edge
        side = np.array([-out[1], out[0]])
        x, y = np.array([lug.x, lug.y]) + 0.62 * r * side + 1.1 * r * out
        off_barrel = body(shapes.plate(x, y, 1.0 * r, 0.36 * r, t, 0.1 * r), lug.emissivity, 0.06)
        long_palm = shapes.plate(lug.x, lug.y, 1.1 * r, 0.95 * r, t, 0.6 * r)
        return [off_barrel, body(long_palm, lug.emissivity, seat=True), nut, stud]
    if shape == "blade":
        blade = body(shapes.plate(*toward(0.5), 1.5 * r, 0.62 * r, t, 0.1 * r), lug.emissivity)
        head = body(shapes.disc(lug.x, lug.y, r), lug.emissivity, seat=True)
        cross = body(shapes.plate(lug.x, lug.y, 0.6 * r, 0.13 * r, lug.hex_turn), 0.95)
        return [blade, head, cross]
    if shape == "dome":  # a cap nut before an insulating base
        base = Body(
            shapes.polygon(lug.x, lug.y, 8, 1.35 * r, lug.hex_turn),
            plate_c + 0.35 * rise_k,
            0.93,
            day.reflected_c,
            0.5 * lug.height,
            number,
        )

        def domed(x, y):
            away = np.hypot(x - lug.x + 0.3 * r, y - lug.y + 0.3 * r) / r
            return lug_c - 0.12 * rise_k * away**2

        cap = Body(
            shapes.disc(lug.x, lug.y, r),
            domed,
            lug.emissivity,
            day.reflected_c,
            lug.height,
            number,
            True,
        )
        return [base, barrel, cap]
    if shape == "splice":  # two leads bolted back to back under tape

        def taped(x, y):
            along = ((x - lug.x) * out[0] + (y - lug.y) * out[1]) / r
            return lug_c - 0.15 * rise_k * np.minimum(along**2, 4)

        return [
            Body(
                shapes.capsule(lug.x, lug.y, 1.0 * r, 0.95 * r, t),
                taped,
                TAPE,
                day.reflected_c,
                lug.height,
                number,
                True,
            )
        ]
    if shape == "twin":  # two screws in one pad; the circle is about both
        square = body(shapes.plate(lug.x, lug.y, r, 0.8 * r, t, 0.1 * r), lug.emissivity, seat=True)
        heads = [
            body(shapes.polygon(*toward(k), 6, 0.36 * r, lug.hex_turn), lug.nut_emissivity)
            for k in (-0.45, 0.45)
        ]
        return [barrel, square, *heads]
    raise ValueError(shape)


# Where a cable begins, in radii from the seat's middle.
CABLE_FROM = {"clamp": 0.9, "splice": 0.9, "assembled": 0.9, "cup": 0.5, "post": 0.9, "saddle": 0.5}


def cable_path(box, lug, number, random):
    start = np.array([lug.x, lug.y])
    out = np.array([np.cos(lug.turn), np.sin(lug.turn)])
    side = np.array([-out[1], out[0]])
    begin = start + out * lug.radius * CABLE_FROM.get(box.shape, 1.9)
    length = random.uniform(0.9, 1.6)
    if box.course == "straight":
        end = begin + out * 2.2 + side * random.normal(0, 0.08)
        return shapes.bezier([begin, begin + out * 0.5, end - out * 0.5, end])
    if box.course == "converge":
        end = np.array(box.gland) + side * (number - 2) * 1.1 * lug.radius * box.cable_ratio
        reach = max(np.hypot(*(end - begin)), 0.1)
        inward = np.array(box.gland) - np.array(box.middle)
        inward = inward / max(np.hypot(*inward), 1e-6)
        path = shapes.bezier([begin, begin + out * 0.45 * reach, end - inward * 0.4 * reach, end])
        return np.vstack([path, end + inward * 1.2])
    if box.course == "loop":
        way = 1 if number > 1 else -1
        end = begin - out * 1.6 + side * way * (3.2 * lug.radius + 0.15 * number)
        peak = begin + out * min(0.3, 5 * lug.radius)
        return shapes.bezier([begin, peak + out * 0.2, peak + (end - begin), end])
    if box.course == "sweep":
        way = 1 if box.seed % 2 else -1
        corner = begin + out * (0.12 + 1.3 * lug.radius * (number if way > 0 else 4 - number))
        end = corner + side * way * 2.5
        return shapes.bezier([begin, corner, corner, end])
    if box.course == "back":  # under the lug, away over the other side
        end = start - out * 2.0 + side * random.normal(0, 0.2)
        return shapes.bezier([begin, begin + out * length * lug.radius * 2, end + out, end])
    if box.course == "curl":
        way = np.random.default_rng([8, box.seed]).choice([-1, 1])
        radius = np.random.default_rng([9, box.seed]).uniform(3, 9) * lug.radius
        turns = np.linspace(0, np.pi / 2, 12)
        arc = np.column_stack([np.sin(turns), way * (1 - np.cos(turns))]) * radius
        path = begin + arc @ np.array([out, side])
        return np.vstack([path, path[-1] + 2.0 * way * side])
    if box.course == "wavy":
        away = np.linspace(0, 2.2, 40)
        size = random.uniform(0.1, 0.5) * lug.radius
        wave = size * (1 - np.cos(away * random.uniform(0.3, 0.9) / lug.radius))
        return begin + np.outer(away, out) + np.outer(wave, side)
    raise ValueError(box.course)


def cable_body(box, lug, number, rise_k, plate_c, day, random):
    radius = lug.radius * box.cable_ratio
    path = cable_path(box, lug, number, random)
    decay = random.uniform(2.5, 7) * lug.radius
    far_k = day.cable_rise_k

    def at(along, across):
        return plate_c + far_k + (0.85 * rise_k - far_k) * np.exp(-along / decay)

    height = 0.6 * lug.height if box.course != "back" else 0.02
    return Body(Cable(path, radius), at, INSULATION, day.reflected_c, height, number, stays=True)


def under_lugs(box, day, random, plate_c):
    """Clutter that stands behind lugs and cables."""
    (mx, my), (hx, hy) = box.middle, box.half
    lug_r = box.lugs[0].radius
    centres = np.array([[lug.x, lug.y] for lug in box.lugs])
    mid = centres.mean(axis=0)
    axis = centres[2] - centres[0]
    turn = float(np.arctan2(axis[1], axis[0]))
    bodies = []

    def thing(outline, celsius, emissivity, height=0.0):
        bodies.append(Body(outline, celsius, emissivity, day.reflected_c, height))

    if box.ground == "ribbed":
        pitch = random.uniform(0.06, 0.2)
        rib_turn = random.choice([0, np.pi / 2]) + random.normal(0, 0.05)
        across = np.array([-np.sin(rib_turn), np.cos(rib_turn)])
        for k in np.arange(-1, 1, pitch):
            middle = np.array([mx, my]) + k * across
            celsius = plate_c + random.uniform(-0.6, 0.6)
            thing(shapes.plate(*middle, 2.0, 0.25 * pitch, rib_turn), celsius, 0.9)
    if box.ground == "studded":
        pitch = random.uniform(0.1, 0.22)
        size = pitch * random.uniform(0.08, 0.2)
        studs = random.uniform(0.4, 0.9)
        for x in np.arange(mx - hx, mx + hx, pitch):
            for y in np.arange(my - hy, my + hy, pitch):
                thing(shapes.plate(x, y, size, size, np.pi / 4), plate_c + 0.3, studs)
    if box.ground == "perforated":
        pitch = random.uniform(0.07, 0.13)
        hole = pitch * random.uniform(0.14, 0.25)
        dark = plate_c + random.uniform(-2.5, 1.5)
        for x in np.arange(mx - hx + pitch, mx + hx - pitch / 2, pitch):
            for y in np.arange(my - hy + pitch, my + hy - pitch / 2, pitch):
                thing(shapes.disc(x, y, hole), dark, 0.97)
    if "corner_screws" in box.clutter:
        size = random.uniform(0.01, 0.025)
        for u in (-0.9, 0.9):
            for v in (-0.88, 0.88):
                thing(
                    shapes.disc(mx + u * hx, my + v * hy, size), plate_c, random.uniform(0.3, 0.6)
                )
    if "block" in box.clutter and box.layout not in ("triangle", "arc"):
        half = np.hypot(*axis) / 2 + 1.7 * lug_r
        thing(
            shapes.plate(*centres[[0, 2]].mean(axis=0), half, 1.6 * lug_r, turn, 0.2 * lug_r),
            plate_c + random.uniform(-0.5, 1.0),
            0.95,
        )
        if "barriers" in box.clutter:
            for a, b in ((0, 1), (1, 2)):
                x, y = (centres[a] + centres[b]) / 2
                thing(
                    shapes.plate(x, y, 0.12 * lug_r, 1.9 * lug_r, turn),
                    plate_c + random.uniform(-0.5, 1.2),
                    0.95,
                    0.2,
                )
    if "rail" in box.clutter:
        y = my + random.choice([-0.72, 0.72]) * hy
        thing(shapes.plate(mx, y, hx * 0.9, 0.03), plate_c, 0.4)
        pitch = random.uniform(0.05, 0.08)
        count = int(random.integers(3, 9))
        start = mx + random.uniform(-0.8, 0.2) * hx
        for k in range(count):
            thing(
                shapes.plate(start + k * pitch, y, 0.42 * pitch, 0.055, 0, 0.005),
                plate_c + random.uniform(0, 0.8),
                0.94,
            )
    if "label" in box.clutter:
        x = mx + random.uniform(-0.75, 0.75) * hx
        y = my + random.choice([-0.75, 0.75]) * hy
        thing(
            shapes.plate(x, y, random.uniform(0.06, 0.15), random.uniform(0.03, 0.07)),
            plate_c,
            random.uniform(0.4, 0.85),
        )
    if "fuses" in box.clutter:
        count = int(random.integers(2, 5))
        x, y = mx + random.uniform(-0.6, 0.3) * hx, my + random.choice([-0.7, 0.7]) * hy
        for k in range(count):
            outline = shapes.capsule(x + 0.06 * k, y, 0.06, 0.02, np.pi / 2)
            thing(outline, plate_c + random.uniform(0, 4), random.choice([0.5, 0.9]))
    if "rivets" in box.clutter:
        x, y = mx + random.choice([-0.8, 0.8]) * hx, my
        for k in np.linspace(-0.8, 0.8, int(random.integers(4, 9))):
            thing(shapes.disc(x, y + k * hy, 0.014), plate_c + 0.3, 0.5)
    if "cans" in box.clutter:
        for k in range(int(random.integers(1, 3))):
            x, y = mx + random.choice([-0.78, 0.78]) * hx, my + (k - 0.5) * 0.5 * hy
            thing(
                shapes.capsule(x, y, 0.1, 0.06, np.pi / 2),
                plate_c + random.uniform(0, 3),
                random.choice([0.35, 0.9]),
            )
    if "hinge" in box.clutter:
        x = mx + random.choice([-1, 1]) * hx
        for v in (-0.6, 0.6):
            thing(shapes.plate(x, my + v * hy, 0.02, 0.07), plate_c - 0.5, 0.5)
    if "earth" in box.clutter:
        u, v = random.choice([-0.82, 0.82]), random.choice([-0.8, 0.8])
        x, y = mx + u * hx, my + v * hy
        r = random.uniform(0.35, 0.6) * min(lug_r, 0.08)
        path = shapes.bezier([[x, y], [x, y + 0.2], [x + 0.3 * u, y + 0.3], [x + 2 * u, y + 1]])
        bodies.append(
            Body(Cable(path, 0.6 * r), lambda s, t: plate_c - 0.2 + 0 * s, INSULATION, day.air_c)
        )
        thing(shapes.disc(x, y, r), plate_c, 0.4)
        thing(shapes.polygon(x, y, 6, 0.6 * r, 0.3), plate_c, 0.6)
    if "glands" in box.clutter or box.course == "converge":
        gx, gy = box.gland
        r = 1.35 * lug_r * box.cable_ratio
        thing(shapes.plate(gx, gy, 3.2 * r, 1.8 * r, turn, r), plate_c - 0.4, 0.9)
    return bodies


def over_lugs(box, day, random, plate_c):
    """Clutter before lugs and cables."""
    (mx, my), (hx, hy) = box.middle, box.half
    bodies = []
    if "wires" in box.clutter:
        count = int(random.integers(1, 4))
        radius = min(0.25 * box.lugs[0].radius, 0.012)
        side = random.choice([-0.86, 0.86])
        for k in range(count):
            a = np.array([mx + side * hx + 2.4 * k * radius, my - 1.3 * hy])
            b = np.array([mx + side * hx + random.normal(0, 0.03), my + 1.3 * hy])
            bend = random.normal(0, 0.05, 2)
            path = shapes.bezier([a, a + [bend[0], 0.5], b + [bend[1], -0.5], b])
            celsius = plate_c + random.uniform(-0.3, 1.0)
            bodies.append(
                Body(
                    Cable(path, radius),
                    lambda s, t, celsius=celsius: celsius + 0 * s,
                    INSULATION,
                    day.air_c,
                    0.1,
                )
            )
    if "duct" in box.clutter and box.course in ("straight", "curl", "wavy"):
        way = np.array([np.cos(box.lugs[1].turn), np.sin(box.lugs[1].turn)])
        begins = max(np.dot([lug.x, lug.y], way) for lug in box.lugs)
        begins += random.uniform(3.5, 7) * box.lugs[0].radius
        turn = float(np.arctan2(way[1], way[0]))
        outline = shapes.plate(*(way * (begins + 1.5)), 1.5, 3.0, turn)
        celsius = plate_c + random.uniform(-1, 1)
        bodies.append(Body(outline, celsius, 0.93, day.air_c, 0.2))
    if "ties" in box.clutter:
        for lug in box.lugs[:2]:
            out = np.array([np.cos(lug.turn), np.sin(lug.turn)])
            x, y = np.array([lug.x, lug.y]) + out * lug.radius * 3.4
            bodies.append(
                Body(
                    shapes.plate(x, y, 0.14 * lug.radius, 0.55 * lug.radius, lug.turn),
                    plate_c + 0.2 * day.cable_rise_k,
                    0.92,
                    day.air_c,
                    0.2,
                )
            )
    if box.hidden:
        lug = box.lugs[int(random.integers(3))]
        share = random.uniform(0.2, 0.42)
        angle = random.uniform(0, np.pi)
        across = np.array([-np.sin(angle), np.cos(angle)])
        along = np.array([np.cos(angle), np.sin(angle)])
        radius = lug.radius * random.uniform(0.3, 0.6)
        # A chord that cuts off `share` of the circle's width.
        off = lug.radius * (1 - 2 * share) + radius
        centre = np.array([lug.x, lug.y]) + random.choice([-1, 1]) * across * off
        celsius = plate_c + random.uniform(-0.5, 1.5)
        path = shapes.bezier(
            [centre - along * 1.6, centre - along * 0.5, centre + along * 0.5, centre + along * 1.6]
        )
        bodies.append(
            Body(
                Cable(path, radius),
                lambda s, t: celsius + 0 * s,
                INSULATION,
                day.air_c,
                lug.height,
            )
        )
    return bodies


def glows(box, day, random):
    """Warm bodies mirrored by the plate, and a patch in the sun, as additions to the ground."""
    blobs = []
    if "reflection" in box.clutter:
        for _ in range(int(random.integers(1, 3))):
            blobs.append(
                (
                    np.array(box.middle) + random.uniform(-1, 1, 2) * box.half,
                    random.uniform(0.08, 0.3, 2),
                    random.uniform(0, np.pi),
                    random.uniform(0.3, 2.0),
                )
            )
    sun = None
    if "sun" in box.clutter:
        way = random.uniform(0, 2 * np.pi)
        sun = (np.cos(way), np.sin(way), random.uniform(0.1, 0.5), random.uniform(1.5, 6))

    def at(x, y):
        extra = np.zeros_like(x)
        for (cx, cy), (a, b), turn, size in blobs:
            u = (x - cx) * np.cos(turn) + (y - cy) * np.sin(turn)
            v = (y - cy) * np.cos(turn) - (x - cx) * np.sin(turn)
            extra = extra + size * np.exp(-((u / a) ** 2) - (v / b) ** 2)
        if sun:
            u, v, off, size = sun
            extra = extra + size / (1 + np.exp(np.clip(-(u * x + v * y - off) / 0.008, -50, 50)))
        return extra

    return at


def bodies(box, day):
    """The ground, and everything before it from below."""
    random = np.random.default_rng([2, box.seed])
    plate_c = day.air_c + day.plate_rise_k
    base = ground(box, day)
    extra = glows(box, day, np.random.default_rng([3, box.seed]))
    items = beyond(box, day, np.random.default_rng([4, box.seed])) if "edges" in box.clutter else []
    items += under_lugs(box, day, random, plate_c)
    numbered = list(zip(range(1, 4), box.lugs, day.lug_rise_k))
    cables = [cable_body(box, lug, k, rise, plate_c, day, random) for k, lug, rise in numbered]
    parts = [
        part
        for k, lug, rise in numbered
        for part in lug_parts(box.shape, lug, k, rise, plate_c, day, box.seed)
    ]
    items += cables + parts + day.hot
    items += over_lugs(box, day, np.random.default_rng([5, box.seed]), plate_c)
    return (lambda x, y: base(x, y) + extra(x, y)), items


@dataclass
class Shot:
    celsius: np.ndarray
    lugs: list  # of the truth file


def photograph(box, day, view, camera, random):
    surface, items = bodies(box, day)
    painted = canvas.paint(view, surface, items)
    focused = optics.focused(camera, painted.radiance)
    picture = optics.recorded(camera, focused, random)
    contrast = np.abs(focused - optics.focused(camera, painted.bare))
    lugs = [lug_truth(box, k, view, camera, painted, focused, contrast) for k in (1, 2, 3)]
    return Shot(picture, lugs)


# A person sees a lug that is larger than its blur, at most half hidden, and stands out of the noise
# and out of the range of greys that the picture is shown in.
LEAST_RADIUS_PX, LEAST_SHARPNESS, MOST_HIDDEN = 1.8, 1.3, 0.5
LEAST_OVER_NOISE, LEAST_OF_RANGE = 3.0, 0.07
LEAST_OUTLINE = 0.5  # share of its outline that shows a step


def outline_share(focused, centre, radius, least_k):
    """Of 32 ways out of the seat, those on which the picture changes by `least_k`."""
    ways = np.arange(32) * np.pi / 16
    steps = np.column_stack([np.sin(ways), np.cos(ways)])[:, :, None]
    at = np.array([centre[1], centre[0]])[None, :, None]
    inner = at + steps * radius * np.linspace(0.45, 0.85, 5)
    outer = at + steps * radius * np.linspace(1.2, 1.6, 5)

    def mean(places):
        rows_columns = np.moveaxis(places, 1, 0).reshape(2, -1)
        return (
            map_coordinates(focused, rows_columns, order=1, mode="nearest").reshape(32, -1).mean(1)
        )

    return float(np.mean(np.abs(mean(inner) - mean(outer)) >= least_k))


def lug_truth(box, number, view, camera, painted, focused, contrast):
    lug = box.lugs[number - 1]
    point = [[lug.x, lug.y]]
    centre = view.to_pixels(point, lug.height)[0]
    radius = view.radius_px((lug.x, lug.y), lug.radius, lug.height)
    in_frame = bool(
        np.all(centre - 0.7 * radius >= -0.5)
        and centre[0] + 0.7 * radius <= view.width - 0.5
        and centre[1] + 0.7 * radius <= view.height - 0.5
    )
    seat = painted.seats.get(number)
    seen = seat is not None and seat.any()
    hidden = float(np.mean(painted.owner[seat] != number)) if seen else 1.0
    stands_out = float(np.sqrt(np.mean(contrast[seat] ** 2))) if seen else 0.0
    low, high = np.percentile(focused, [1, 99.5])
    noise = np.hypot(camera.noise_k, camera.stripes_k)
    least_k = max(2 * noise, 0.04 * (high - low))
    outline = outline_share(focused, centre, radius, least_k) if in_frame else 0.0
    visible = (
        in_frame
        and outline >= LEAST_OUTLINE
        and radius >= LEAST_RADIUS_PX
        and radius >= LEAST_SHARPNESS * camera.blur_px
        and hidden <= MOST_HIDDEN
        and stands_out >= LEAST_OVER_NOISE * noise
        and stands_out >= LEAST_OF_RANGE * (high - low)
    )
    return {
        "order": number,
        "center": [round(float(v), 3) for v in centre],
        "radius": round(radius, 3),
        "in_frame": in_frame,
        "hidden_share": round(hidden, 3),
        "contrast_k": round(stands_out, 3),
        "outline_share": round(outline, 3),
        "visible": bool(visible),
    }
