"""Painted scenes to train the lug network on: every part of them is drawn at random.

A lug is put together of bodies that few lugs are made of, so that what it learns is not a list of kinds.
The kinds of the sets `judge` and `unseen` are not in it; those of `tune` are mixed in by the trainer.
"""
import numpy as np

import box as boxes
import camera as optics
import canvas
import further_negatives
import shapes
from canvas import Body, Cable
from negatives import rough, steady


def log_uniform(random, low, high):
    return float(np.exp(random.uniform(np.log(low), np.log(high))))


def chance(random, share):
    return random.random() < share


def outline_maker(random, stretch=0.55):
    """A form of area pi, as a function of place, size and turn."""
    if chance(random, 0.12):
        return cut_maker(random, outline_maker(random, stretch))
    kind = random.choice(
        ["disc", "plate", "polygon", "capsule", "lobed"], p=[0.26, 0.31, 0.16, 0.12, 0.15]
    )
    aspect = random.uniform(stretch, 1 / stretch)
    corner = random.uniform(0, 0.9)
    own_turn = random.choice([0, np.pi / 4, random.uniform(0, np.pi)], p=[0.7, 0.15, 0.15])
    sides = int(random.integers(3, 9))
    if kind == "disc":
        return lambda x, y, r, t: shapes.disc(x, y, r)
    if kind == "lobed":
        waves = [(k, random.uniform(0, 0.8) / k**1.5, random.uniform(0, 6.3)) for k in (2, 3, 4)]
        return lambda x, y, r, t: shapes.lobed(x, y, 0.94 * r, t, waves)
    if kind == "polygon":
        grown = np.sqrt(2 * np.pi / (sides * np.sin(2 * np.pi / sides)))
        return lambda x, y, r, t: shapes.polygon(x, y, sides, grown * r, t + own_turn)
    a, b = np.sqrt(np.pi * aspect) / 2, np.sqrt(np.pi / aspect) / 2
    if kind == "capsule":
        corner = 1.0
        a, b = 1.06 * a, 1.06 * b
    return lambda x, y, r, t: shapes.plate(
        x, y, a * r, b * r, t + own_turn, corner * min(a, b) * r
    )


def cut_maker(random, whole):
    """With a notch, a slot or a hole."""
    along = random.choice([0, random.uniform(0.3, 1.1)])
    half = random.uniform(0.15, 0.5), random.uniform(0.15, 0.4)
    turn, corner = random.choice([0, np.pi / 2]), random.uniform(0, 1)
    way = random.choice([0, np.pi / 2, random.uniform(0, 6.3)])
    u, v = along * np.cos(way), along * np.sin(way)

    def made(x, y, r, t):
        outline = whole(x, y, r, t)
        cut = shapes.plate(u * r, v * r, half[0] * r, half[1] * r, turn, corner * min(half) * r)
        return shapes.without(outline, cut)

    return made


def fastener_maker(random):
    kind = random.integers(6)
    inner, size = random.uniform(0.3, 0.7), random.uniform(0.9, 1.1)
    e, e_inner = random.uniform(0.15, 0.95), random.uniform(0.15, 0.97)

    def made(x, y, r, t):
        r = r * size
        if kind == 0:
            return [(shapes.disc(x, y, r), e)]
        if kind == 1:
            return [(shapes.polygon(x, y, 6, 1.1 * r, t), e)]
        if kind == 2:
            return [(shapes.polygon(x, y, 6, 1.1 * r, t), e), (shapes.disc(x, y, inner * r), e_inner)]
        if kind == 3:
            return [(shapes.disc(x, y, r), e), (shapes.plate(x, y, 0.8 * r, 0.18 * r, t), e_inner)]
        if kind == 4:
            return [(shapes.disc(x, y, r), e), (shapes.disc(x, y, inner * r), e_inner)]
        return [(shapes.plate(x, y, 0.85 * r, 0.85 * r, t, 0.1 * r), e)]

    return made


def lug_maker(random, cold):
    """Bodies of one build of lug, from below: function of place, radius, turn, rise and so on."""
    plan = []  # outline(x, y, r, t) at (along, across), emissivity, share of the rise, seat
    metal = random.uniform(0.15, 0.5) if cold or chance(random, 0.5) else random.uniform(0.5, 0.95)
    if chance(random, 0.12):
        metal = random.uniform(0.9, 0.96)  # taped or in rubber

    def put(maker, along, across, size, emissivity, share=1.0, seat=False, turn=0.0):
        plan.append((maker, along, across, size, emissivity, share, seat, turn))

    for _ in range(random.choice([0, 1, 2], p=[0.6, 0.3, 0.1])):
        share = random.uniform(0, 0.8)
        put(outline_maker(random), random.uniform(-0.3, 0.3), 0, random.uniform(1.2, 1.8),
            random.choice([metal, random.uniform(0.4, 0.96)]), share)

    def strip(begin, end, width, off, turn, emissivity, share):
        middle, half = (begin + end) / 2, (end - begin) / 2
        corner = random.uniform(0, 0.9) * min(width, half)
        put(lambda x, y, r, t: shapes.plate(x, y, half * r, width * r, t, corner * r),
            middle, off, 1, emissivity, share, turn=turn)

    for _ in range(random.choice([0, 1, 2], p=[0.25, 0.55, 0.2])):
        emissivity = metal if chance(random, 0.75) else random.uniform(0.2, 0.96)
        turn = 0 if chance(random, 0.8) else random.choice([np.pi, np.pi / 2, random.uniform(0, 6.3)])
        begin = random.uniform(-0.5, 0.7)
        off = random.uniform(-0.6, 0.6) if chance(random, 0.25) else 0
        strip(begin, begin + random.uniform(0.8, 3.0), random.uniform(0.25, 0.85), off, turn,
              emissivity, random.uniform(0.6, 1))
    put(outline_maker(random), 0, 0, 1, metal, 1, True)
    if chance(random, 0.2):
        put(outline_maker(random), random.uniform(-0.25, 0.25), random.uniform(-0.25, 0.25),
            random.uniform(0.7, 1.0), metal, 1, True)
    if chance(random, 0.2):  # a hole or an inlay
        put(outline_maker(random), random.uniform(-0.3, 0.3), 0, random.uniform(0.3, 0.8),
            random.uniform(0.2, 0.97), random.uniform(0, 1.1))
    fastener = fastener_maker(random)
    count = random.choice([0, 1, 2, 3, 4], p=[0.25, 0.45, 0.15, 0.1, 0.05])
    size = random.uniform(0.3, 0.8) if count == 1 else random.uniform(0.2, 0.4)
    ring = random.uniform(0.45, 0.75)
    start = random.choice([0, np.pi / 2, random.uniform(0, 6.3)])
    places = [(0, 0)] if count == 1 else [
        (ring * np.cos(start + 2 * np.pi * k / count), ring * np.sin(start + 2 * np.pi * k / count))
        for k in range(count)
    ]
    if chance(random, 0.12):
        strip(-1.2, 1.2, random.uniform(0.15, 0.4), random.uniform(-0.3, 0.3),
              random.choice([0, np.pi / 2, random.uniform(0, 3.2)]), random.uniform(0.2, 0.96),
              random.uniform(0.2, 1))
    fade = random.uniform(0, 0.2) if chance(random, 0.35) else 0
    shift = random.uniform(-0.4, 0.4, 2)

    def bodies(x, y, r, t, hex_turn, emissivity_times, rise, plate_c, mirrored_c, number):
        out, side = np.array([np.cos(t), np.sin(t)]), np.array([-np.sin(t), np.cos(t)])
        items = []

        def celsius(share):
            if not fade:
                return plate_c + share * rise
            return lambda u, v: plate_c + share * rise * np.maximum(
                1 - fade * (((u - x) / r + shift[0]) ** 2 + ((v - y) / r + shift[1]) ** 2), 0.3)

        for maker, along, across, grown, e, share, seat, turn in plan:
            c, s = np.cos(turn), np.sin(turn)
            px, py = np.array([x, y]) + r * ((along * c - across * s) * out + (along * s + across * c) * side)
            e = float(np.clip(e * emissivity_times, 0.08, 0.97))
            items.append(Body(maker(px, py, grown * r, t + turn), celsius(share), e, mirrored_c, 0,
                              number, seat))
        for along, across in places:
            px, py = np.array([x, y]) + r * (along * out + across * side)
            for outline, e in fastener(px, py, size * r, hex_turn):
                items.append(Body(outline, celsius(1), e, mirrored_c, 0, number))
        return items

    return bodies


def layout(random):
    """Three centres about (0, 0) for a mean spacing of 1, the ways their cables leave, a name."""
    part = random.uniform(-0.27, 0.27) / 2
    near, far = 1 - part, 1 + part
    straight = chance(random, 0.5)
    bend = random.normal(0, 0.06) if straight else random.uniform(-2.15, 2.15)
    turn = random.choice([0, np.pi / 2]) + random.normal(0, 0.15)
    if chance(random, 0.5):
        turn = random.uniform(0, 2 * np.pi)
    ends = turn - bend / 2, turn + bend / 2
    points = np.array([
        [-near * np.cos(ends[0]), -near * np.sin(ends[0])],
        [0, 0],
        [far * np.cos(ends[1]), far * np.sin(ends[1])],
    ])
    points -= points.mean(axis=0)
    way = random.integers(5)
    across = turn + random.choice([-1, 1]) * np.pi / 2
    if way == 0 and not straight:
        leave = np.arctan2(points[:, 1], points[:, 0]) + random.normal(0, 0.12, 3)
    elif way == 1:
        leave = np.full(3, random.uniform(0, 6.3)) + random.normal(0, 0.1, 3)
    elif way == 2:  # each square to the curve
        leave = across + np.array([-bend, 0, bend]) / 2 + random.normal(0, 0.07, 3)
    else:
        leave = np.full(3, across) + random.normal(0, 0.08, 3)
    return points, leave, "row" if straight else "bent"


def fitted(random, aspect, two):
    half = np.array([aspect / 2, 0.5])
    for attempt in range(3000):
        if attempt % 40 == 0:
            radius = log_uniform(random, 0.034, 0.31) / 2
            if chance(random, 0.2):
                radius = random.uniform(0.08, 0.155)
        points, leave, name = layout(random)
        gaps = [np.hypot(*(points[a] - points[b])) for a, b in ((0, 1), (1, 2), (0, 2))]
        points = points * radius * log_uniform(random, 2.3, 9) / min(gaps)
        reach = np.abs(points).max(axis=0) + 1.15 * radius
        if two:
            end = random.choice([0, 2])
            away = points[end] - points[1]
            axis = int(np.argmax(np.abs(away)))
            moved = points - points[end]
            moved[:, axis] += np.sign(away[axis]) * (half[axis] + radius * random.uniform(0.5, 2.0))
            moved[:, 1 - axis] += random.uniform(-0.3, 0.3) * half[1 - axis] - moved[1, 1 - axis]
            others = [k for k in range(3) if k != end]
            if np.all(np.abs(moved[others]) + 1.15 * radius < half):
                return moved, leave, radius, "two_in_frame"
        elif np.all(reach < half):
            room = half - reach
            return points + random.uniform(-1, 1, 2) * room, leave, radius, name
    raise RuntimeError("no room")


def heading_path(random_way, start, turn, length, jitter):
    """`random_way`: how the heading changes, common to the three."""
    bend, wave, pitch, phase = random_way
    s = np.linspace(0, length, 26)
    heading = turn + (bend + jitter[0]) * s + wave * np.sin(s * pitch + phase + jitter[1])
    steps = np.column_stack([np.cos(heading), np.sin(heading)]) * (s[1] - s[0])
    return np.vstack([start, start + np.cumsum(steps, axis=0)])


def cables(random, lugs, aspect, plate_c, rise, mirrored_c, over):
    """Of all lugs: one each, at times none, or a second one to the other side."""
    if chance(random, 0.05):
        return []
    ratio, begin = random.uniform(0.3, 1.0), random.uniform(-0.2, 2.1)
    if over:
        begin = random.uniform(0.3, 1.2)
    course = random.integers(4)
    way = (
        random.normal(0, 0.5) if course == 0 else random.normal(0, 4) if course == 1 else 0,
        random.uniform(0, 0.9) if course == 2 else 0,
        random.uniform(4, 25),
        random.uniform(0, 6.3),
    )
    goal = random.uniform(-0.6, 0.6, 2) * [aspect, 1] if course == 3 else None
    e = 0.94 if chance(random, 0.75) else random.uniform(0.3, 0.95)
    far = random.uniform(0.1, 0.8) * float(np.min(rise))
    start_share = random.uniform(0.5, 1.0)
    sides = (0.0, np.pi) if chance(random, 0.12) else (0.0,)
    length = 2.2
    if chance(random, 0.08):
        length = random.uniform(3, 9) * lugs[0][2]
    striped = random.uniform(0, 0.12) if chance(random, 0.2) else 0  # round: cooler to its sides
    items = []
    for number, (x, y, r, t) in enumerate(lugs, 1):
        for side in sides:
            out = np.array([np.cos(t + side), np.sin(t + side)])
            start = np.array([x, y]) + out * begin * r
            if goal is not None and not side:
                end = goal + random.normal(0, 0.6 * r, 2)
                reach = max(np.hypot(*(end - start)), 0.05)
                path = shapes.bezier([start, start + 0.45 * reach * out, end, end + 0.3 * (end - start)])
            else:
                path = heading_path(way, start, t + side, length, random.normal(0, [0.15, 0.2]))
            decay = random.uniform(2, 7) * r

            def at(along, across, k=number - 1, decay=decay):
                own = far + (start_share * rise[k] - far) * np.exp(-along / decay)
                return plate_c + own * (1 - striped * np.minimum(across, 1) ** 2)

            items.append(Body(Cable(path, ratio * r), at, e, mirrored_c, 0, number, stays=True))
    return items


def lattice(random, aspect, plate_c, air):
    """Holes, studs, ribs or tiles over all of the ground."""
    pitch = random.uniform(0.05, 0.25)
    maker = outline_maker(random, 0.3)
    size = pitch * random.uniform(0.1, 0.42)
    turn = random.choice([0, random.uniform(0, 1.6)])
    e, k = random.uniform(0.3, 0.97), random.normal(0, 1.2)
    skew, c, s = random.uniform(0, 1), np.cos(turn), np.sin(turn)
    items = []
    for row, v in enumerate(np.arange(-0.9, 0.9, pitch * random.uniform(0.7, 1.5))):
        for u in np.arange(-0.9, 0.9, pitch):
            u = u + (row % 2) * skew * pitch
            x, y = c * u - s * v, s * u + c * v
            if abs(x) < aspect / 2 + size and abs(y) < 0.5 + size:
                items.append(Body(maker(x, y, size, turn), plate_c + k, e, air))
    return items[:180]


def figure(random, aspect, air):
    """A warm body of limbs: tapering branches of branches."""
    warm, e = air + log_uniform(random, 2, 25), random.uniform(0.85, 0.98)
    items = []
    for _ in range(int(random.integers(1, 4))):
        x, y = random.uniform(-0.5, 0.5, 2) * [aspect, 0.8]
        size = log_uniform(random, 0.05, 0.35)
        branches = [(np.array([x, y]), random.normal(-np.pi / 2, 0.4), size, 0.35 * size, 0)]
        while branches:
            start, turn, length, wide, depth = branches.pop()
            end = start + length * np.array([np.cos(turn), np.sin(turn)])
            own = steady(warm + random.normal(0, 1.0))
            items.append(Body(Cable(np.array([start, end]), wide), own, e, air))
            if depth < 2:
                for _ in range(int(random.integers(1, 4))):
                    at = start + (end - start) * random.choice([0, 1, random.random()])
                    branches.append((at, random.uniform(0, 6.3), 0.7 * length, 0.55 * wide, depth + 1))
        if chance(random, 0.6):
            items.append(Body(shapes.disc(x, y - 1.3 * size, 0.35 * size), warm + 1.5, e, air))
    return items


def clutter(random, aspect, plate_c, air, scale):
    """Things behind the lugs."""
    items = []
    if chance(random, 0.25):
        items += lattice(random, aspect, plate_c, air)
    for _ in range(int(random.integers(0, 6))):  # covers, labels, rails, barriers
        x, y = random.uniform(-0.5, 0.5, 2) * [aspect, 1]
        turn = random.choice([0, random.uniform(0, 3.2)], p=[0.7, 0.3])
        half = np.exp(random.uniform(np.log(0.01), np.log(0.3), 2))
        celsius = plate_c + random.normal(0, 1)
        items.append(Body(shapes.plate(x, y, *half, turn, random.uniform(0, 0.02)), celsius,
                          random.uniform(0.3, 0.97), air))
    if chance(random, 0.6):
        for _ in range(int(random.integers(1, 3))):
            things = further_negatives.things(random, aspect, air, int(random.integers(1, 8)))
            for body in things:
                if not callable(body.temperature_c):
                    body.temperature_c = (body.temperature_c + plate_c) / 2
            items += things
    if chance(random, 0.3):  # screws in the corners
        u, v = random.uniform(0.3, 0.48, 2)
        maker, size = outline_maker(random), random.uniform(0.008, 0.03)
        e = random.uniform(0.2, 0.7)
        items += [Body(maker(a * u * aspect, b * v, size, 0.3), plate_c, e, air)
                  for a in (-1, 1) for b in (-1, 1)]
    return items


def wires(random, aspect, plate_c, air, most=4):
    items = []
    radius = log_uniform(random, 0.003, 0.035)
    shared = random.normal(0, 0.3, (4, 2)) + [[-0.8, 0], [-0.3, 0], [0.3, 0], [0.8, 0]]
    turn, off = random.uniform(0, 6.3), random.uniform(-0.45, 0.45, 2)
    c, s = np.cos(turn), np.sin(turn)
    for k in range(int(random.integers(0, most + 1))):
        points = shared + random.normal(0, 0.03, (4, 2)) + [0, 2.6 * k * radius]
        points = points @ np.array([[c, s], [-s, c]]) + off
        warm = plate_c + random.normal(0, 1.5)
        items.append(Body(Cable(shapes.bezier(points), radius), steady(warm), 0.94, air))
    return items


def rim(random, aspect, air, plate_c):
    """The walls of the box and what is past them."""
    mx, my = random.normal(0, 0.05, 2)
    hx, hy = aspect * random.uniform(0.38, 0.6), random.uniform(0.38, 0.6)
    wall = air + random.uniform(-5, 5)
    items = [
        Body(shapes.plate(x, y, a, b), wall, 0.93, air)
        for x, y, a, b in [(mx - hx - 3, my, 3, 6), (mx + hx + 3, my, 3, 6),
                           (mx, my - hy - 3, 6, 3), (mx, my + hy + 3, 6, 3)]
    ]
    items.append(Body(shapes.frame(mx, my, hx, hy, random.uniform(0.006, 0.03)),
                      plate_c + random.normal(0, 0.7), random.uniform(0.3, 0.95), air))
    return items


def ground(random, plate_c, aspect):
    size = random.choice([0.02, 0.1, log_uniform(random, 0.05, 0.8)])
    field = rough(random, size, 2, random.uniform(8, 30))
    slope = random.uniform(-1, 1, 2) * random.uniform(0, 4)
    blobs = [(random.uniform(-0.5, 0.5, 2), random.uniform(0.05, 0.35, 2), random.uniform(0, 3.2),
              random.normal(0, 1.5)) for _ in range(int(random.integers(0, 4)))]
    cut = (random.uniform(0, 6.3), random.uniform(-0.4, 0.4), random.normal(0, 3)) if chance(random, 0.15) else None

    def at(x, y):
        celsius = plate_c + field(x, y) + slope[0] * x + slope[1] * y
        for (cx, cy), (a, b), t, height in blobs:
            u = (x - cx) * np.cos(t) + (y - cy) * np.sin(t)
            v = (y - cy) * np.cos(t) - (x - cx) * np.sin(t)
            celsius = celsius + height * np.exp(-((u / a) ** 2) - (v / b) ** 2)
        if cut:
            celsius = celsius + cut[2] * (np.cos(cut[0]) * x + np.sin(cut[0]) * y > cut[1])
        return celsius

    return at


def camera(random, size, radius_px):
    height = min(size)
    shot = optics.Camera(
        random.uniform(0.35, 1.3) * max(1, height / 300) ** 0.5,
        log_uniform(random, 0.01, 0.2), log_uniform(random, 0.005, 0.15),
        random.uniform(-0.5, 1.6), random.uniform(0, 0.15), int(random.integers(1 << 30)))
    if chance(random, 0.14):
        shot.blur_px = max(shot.blur_px, radius_px * random.uniform(0.12, 0.36))
    return shot


def day(random):
    """Air, plate, what is mirrored, three rises, whether cold."""
    air = random.uniform(-6, 42)
    kind = random.choice(["warm", "one_hot", "cold"], p=[0.3, 0.3, 0.4])
    plate = air + random.uniform(0, 5)
    mirrored = air + random.uniform(-3, 3)
    if kind == "cold":
        plate, mirrored = air + random.uniform(2, 10), air - random.uniform(0, 8)
        rise = random.uniform(-0.4, 0.7, 3)
    else:
        rise = log_uniform(random, 0.7, 40) * random.uniform(0.8, 1.2, 3)
        if kind == "one_hot":
            rise[random.integers(3)] += log_uniform(random, 3, 50)
    return air, plate, mirrored, rise, kind


def lug_scene(random, size):
    """Celsius, lugs as of a truth file, and whether they are a component's (else one, or four and
    more, which nothing may be proposed on)."""
    aspect = max(size) / min(size)
    air, plate_c, mirrored, rise, kind = day(random)
    two = chance(random, 0.13)
    points, leave, radius, name = fitted(random, aspect, two)
    if chance(random, 0.05):
        name, points, leave, rise = lone_or_row(random, aspect, radius, points, leave, rise)
    grown = random.normal(1, 0.04, len(points)) if chance(random, 0.5) else np.ones(len(points))
    lugs = [(x, y, radius * g, t) for (x, y), g, t in zip(points, grown, leave)]
    make = lug_maker(random, kind == "cold")
    surface = ground(random, plate_c, aspect)
    glow, wide = random.uniform(0, 0.15), random.uniform(1.5, 4)

    def warmed(x, y):
        celsius = surface(x, y)
        for (u, v, r, _), k in zip(lugs, rise):
            celsius = celsius + glow * k * np.exp(-((x - u) ** 2 + (y - v) ** 2) / (2 * (wide * r) ** 2))
        return celsius

    items = clutter(random, aspect, plate_c, air, radius) if chance(random, 0.85) else []
    items += wires(random, aspect, plate_c, air) if chance(random, 0.5) else []
    items = rim(random, aspect, air, plate_c) + items if chance(random, 0.5) else items
    axis = points[-1] - points[0]
    turn = float(np.arctan2(axis[1], axis[0]))
    if chance(random, 0.25):
        half = np.hypot(*axis) / 2 + random.uniform(1.2, 3) * radius
        x, y = (points[0] + points[-1]) / 2
        items.append(Body(shapes.plate(x, y, half, random.uniform(1.1, 2.5) * radius, turn, 0.2 * radius),
                          plate_c + random.normal(0, 0.8), random.uniform(0.7, 0.96), air))
    over = chance(random, 0.12)
    leads = cables(random, lugs, aspect, plate_c, rise, mirrored, over)
    metal = []
    spread = random.uniform(0, 0.1)
    for number, ((x, y, r, t), k) in enumerate(zip(lugs, rise), 1):
        metal += make(x, y, r, t, random.uniform(0, 3.2), 1 + spread * random.normal(), k, plate_c,
                      mirrored, number)
    items += metal + leads if over else leads + metal
    if chance(random, 0.12):
        width, reach = random.uniform(0.08, 0.3) * radius, random.uniform(1.3, 2.4) * radius
        celsius = plate_c + random.normal(0, 0.8)
        for a, b in zip(points, points[1:]):
            items.append(Body(shapes.plate(*(a + b) / 2, width, reach, turn), celsius, 0.95, air))
    if chance(random, 0.25):
        items += wires(random, aspect, plate_c, air, 2)
    if chance(random, 0.2):
        items += across(random, lugs, plate_c)
    shot = camera(random, size, radius * min(size))
    return photograph(random, size, warmed, items, lugs, shot), name


def lone_or_row(random, aspect, radius, points, leave, rise):
    """One lug, or four to six in a row."""
    if chance(random, 0.5):
        return "lone", points[1:2], leave[1:2], rise[1:2]
    count = int(random.integers(4, 7))
    turn = random.normal(0, 0.2) + random.choice([0, np.pi / 2])
    step = random.uniform(2.4, 4) * radius
    k = np.arange(count) - (count - 1) / 2
    points = np.column_stack([k * step * np.cos(turn), k * step * np.sin(turn)])
    rise = rise[0] * random.uniform(0.8, 1.2, count)
    return "many", points, np.full(count, turn + np.pi / 2) + random.normal(0, 0.06, count), rise


def across(random, lugs, plate_c):
    """A cable over a lug, or a corner of a cover."""
    x, y, r, _ = lugs[int(random.integers(len(lugs)))]
    angle = random.uniform(0, 6.3)
    wide = random.uniform(0.2, 0.7) * r
    off = r * (1 - 2 * random.uniform(0.1, 0.42)) + wide
    normal = np.array([-np.sin(angle), np.cos(angle)])
    way = np.array([np.cos(angle), np.sin(angle)])
    middle = np.array([x, y]) + off * normal
    path = shapes.bezier([middle - 1.6 * way, middle - 0.5 * way, middle + 0.5 * way, middle + 1.6 * way])
    return [Body(Cable(path, wide), steady(plate_c + random.uniform(-1, 2)), 0.94, plate_c)]


def photograph(random, size, surface, items, lugs, shot):
    view = canvas.straight_on(*size)
    painted = canvas.paint(view, surface, items)
    focused = optics.focused(shot, painted.radiance)
    picture = optics.recorded(shot, focused, random)
    contrast = np.abs(focused - optics.focused(shot, painted.bare))
    held = boxes.Box("wild", "", "", "", False, "", 1.0,
                     [boxes.Lug(x, y, r, t, 0, 0, 0, 0) for x, y, r, t in lugs], set(), 0, (), (), (), 0)
    return picture, [boxes.lug_truth(held, k, view, shot, painted, focused, contrast)
                     for k in range(1, len(lugs) + 1)]


def bare_scene(random, size):
    """No lugs: clutter, wires, figures, rows of like things."""
    aspect = max(size) / min(size)
    air, plate_c, *_ = day(random)
    items = []
    way = random.integers(5)
    if way == 0:
        items = figure(random, aspect, air)
    elif way == 1:
        items = further_negatives.things(random, aspect, air, int(random.integers(1, 8)))
    elif way == 2:
        items = lattice(random, aspect, plate_c, air)
    if way != 0 and chance(random, 0.6):
        items += clutter(random, aspect, plate_c, air, 0.1)
    if chance(random, 0.5):
        items += wires(random, aspect, plate_c, air, 6)
    if chance(random, 0.3):
        items = rim(random, aspect, air, plate_c) + items
    shot = camera(random, size, 0.08 * min(size))
    painted = canvas.paint(canvas.straight_on(*size), ground(random, plate_c, aspect), items)
    return optics.recorded(shot, optics.focused(shot, painted.radiance), random)


def plain_scene(random, size):
    """Like spots of one simple form before a plain ground, as a diagram shows lugs. Celsius, lugs as
    of a truth file, and whether they are a component's: lugs, else lone or many."""
    wide, high = size
    short, aspect = min(size), wide / high
    points, leave, radius, _ = fitted(random, aspect, False)
    name = "plain"
    if chance(random, 0.2):
        name, points, leave, _ = lone_or_row(random, aspect, radius, points, leave, np.ones(3))
    v, u = np.mgrid[:high, :wide]
    x, y = (u - (wide - 1) / 2) / short, (v - (high - 1) / 2) / short
    soft = random.uniform(0.7, 2.5) / short
    picture = np.zeros((high, wide))

    def lay(outline_distance, rise, share=1.0):
        cover = 1 / (1 + np.exp(np.clip(outline_distance / soft * 2.5, -30, 30)))
        picture[...] += share * cover * (rise - picture * (share == 1.0))

    for _ in range(int(random.integers(0, 4))):  # bands, edges, further spots
        rise = random.normal(0, 2)
        if chance(random, 0.5):
            along = x if chance(random, 0.5) else y
            lay(np.abs(along - random.uniform(-0.7, 0.7)) - random.uniform(0.01, 0.15), rise)
        else:
            spot = random.uniform(-0.5, 0.5, 2) * [aspect, 1]
            lay(np.hypot(x - spot[0], y - spot[1]) - radius * random.uniform(0.3, 0.7), rise)
    rises = log_uniform(random, 1, 30) * random.uniform(0.75, 1.25, len(points))
    if chance(random, 0.15):
        rises = -rises
    ratio = random.uniform(0.3, 0.9)
    cable = random.uniform(0.1, 0.6) if chance(random, 0.75) else 0
    nut = random.uniform(-0.4, 0.4) if chance(random, 0.4) else 0
    square = chance(random, 0.25)
    for (px, py), t, rise in zip(points, leave, rises):
        along = (x - px) * np.cos(t) + (y - py) * np.sin(t)
        across = (y - py) * np.cos(t) - (x - px) * np.sin(t)
        if cable:
            lay(np.maximum(np.abs(across) - ratio * radius, -along), cable * rise)
        far = np.maximum(np.abs(along), np.abs(across)) / 0.886 if square else np.hypot(along, across)
        lay(far - radius, rise)
        lay(far - 0.5 * radius, nut * rise, share=0.999)
    noise = log_uniform(random, 0.01, 0.2)
    picture += 15 + 20 * random.random() + random.normal(0, noise, picture.shape)
    lugs = [
        {"center": [px * short + (wide - 1) / 2, py * short + (high - 1) / 2],
         "radius": radius * short, "in_frame": True, "visible": True}
        for px, py in points
    ]
    return (picture, lugs), name
