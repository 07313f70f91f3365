"""Further pictures without a lug, of the sets `tune` and `unseen`: like things side by side above all."""
import numpy as np

import shapes
from canvas import Body, Cable
from negatives import rough, steady


def places_of(random, aspect, count):
    """A row, an arc, a row into the distance or a scatter: places and sizes."""
    way = random.integers(4)
    turn = random.normal(0, 0.2) if random.random() < 0.6 else random.uniform(0, np.pi)
    k = np.arange(count) - (count - 1) / 2
    pitch = random.uniform(0.5, 0.95) * min(0.42, 0.95 * aspect / max(count, 2))
    size = np.full(count, pitch * random.uniform(0.1, 0.36))
    points = np.column_stack([k * pitch, random.normal(0, 0.06 * pitch, count)])
    if way == 1:
        points[:, 1] += random.choice([-1, 1]) * random.uniform(0.1, 0.4) * pitch * k**2
    elif way == 2:
        shrink = random.uniform(0.6, 0.9) ** np.arange(count)
        points[:, 0] = np.cumsum(shrink) * pitch - 0.35
        size = size[0] * shrink
    elif way == 3:
        points = random.uniform(-0.4, 0.4, (count, 2)) * [aspect, 1]
    c, s = np.cos(turn), np.sin(turn)
    points = points @ np.array([[c, s], [-s, c]]) + random.uniform(-0.12, 0.12, 2)
    return points, size


def part(random):
    """A body of a thing: its outline for a place and a size, and what it is made of."""
    kind = random.integers(5)
    length, width, corner = random.uniform(0.6, 1.6), random.uniform(0.5, 1.3), random.random()
    sides, turn = int(random.integers(3, 9)), random.uniform(0, np.pi)

    def outline(x, y, size, lean):
        if kind == 0:
            return shapes.disc(x, y, width * size)
        if kind == 1:
            return shapes.capsule(x, y, 0.7 * length * size, 0.6 * width * size, lean)
        if kind == 2:
            return shapes.polygon(x, y, sides, size, turn + lean)
        if kind == 3:
            return shapes.ring(x, y, width * size, 0.2 * size)
        rounded = corner * min(length, width) * size
        return shapes.plate(x, y, length * size, width * size, lean, 0.8 * rounded)

    return outline, random.uniform(0.3, 0.97)


def things(random, aspect, air, count, most_parts=4):
    """Like things of one to four bodies above or inside each other, as figures, pots and lamps are."""
    points, sizes = places_of(random, aspect, count)
    warm = random.choice([-1, 1, 1]) * np.exp(random.uniform(np.log(1), np.log(35)))
    up = random.normal(-np.pi / 2, 0.15) if random.random() < 0.7 else random.uniform(0, 6.3)
    stack, off = [], 0.0
    for k in range(int(random.integers(1, most_parts + 1))):
        outline, emissivity = part(random)
        if k and random.random() < 0.7:
            off += random.uniform(0.6, 2.2)
        grown = random.uniform(0.4, 1.9) if k else 1.0
        stack.append((outline, emissivity, off, grown, random.uniform(0.2, 1.1)))
    stack = stack[:: int(random.choice([-1, 1]))]
    items = []
    for (x, y), size in zip(points, sizes):
        own = random.uniform(0.7, 1.3)
        lean = up + random.normal(0, 0.08)
        for outline, emissivity, off, grown, share in stack:
            px, py = x + off * size * np.cos(lean), y + off * size * np.sin(lean)
            celsius = air + warm * share * own
            items.append(Body(outline(px, py, grown * size, lean), celsius, emissivity, air))
    return items


def sundry(random, aspect, air):
    """Two to six like things before a wall."""
    field = rough(random, random.uniform(0.1, 0.5))
    items = things(random, aspect, air, int(random.integers(2, 7)))
    slope = random.uniform(-2, 2, 2)
    return lambda x, y: air + field(x, y) + slope[0] * x + slope[1] * y, items


def threes(random, aspect, air):
    """The same with three: no lead runs to them."""
    field = rough(random, random.uniform(0.1, 0.5))
    return lambda x, y: air + field(x, y), things(random, aspect, air, 3)


def medley(random, aspect, air):
    """Unlike things, and cables that end at none of them."""
    field = rough(random, 0.3)
    items = [body for _ in range(5) for body in things(random, aspect, air, 1)]
    for _ in range(int(random.integers(0, 4))):
        a, b, c, d = random.uniform(-1, 1, (4, 2)) * [aspect, 1]
        path = shapes.bezier([a, b, c, d])
        cable = Cable(path, random.uniform(0.01, 0.04))
        items.append(Body(cable, steady(air + random.uniform(-1, 6)), 0.94, air))
    return lambda x, y: air + field(x, y), items


def cattle(random, aspect, air):
    """Animals from the side: barrel, neck, head, legs."""
    count = int(random.integers(2, 5))
    field = rough(random, 0.6)
    items = []
    points, sizes = places_of(random, aspect, count)
    for (x, y), size in zip(points, sizes):
        s, way = 1.3 * size, random.choice([-1, 1])
        warm = air + (33 - air) * random.uniform(0.4, 0.8)
        for leg in (-0.8, -0.6, 0.6, 0.8):
            items.append(
                Body(shapes.plate(x + leg * s, y + 1.2 * s, 0.12 * s, 0.8 * s), warm - 1, 0.95, air)
            )
        items.append(Body(shapes.capsule(x, y, 0.7 * s, 0.55 * s), warm, 0.95, air))
        hx, hy = x + way * 1.5 * s, y - 0.6 * s
        items.append(Body(Cable(np.array([[x, y], [hx, hy]]), 0.25 * s), steady(warm), 0.95, air))
        items.append(Body(shapes.capsule(hx, hy, 0.25 * s, 0.28 * s, 0.6), warm + 2, 0.95, air))
    return lambda x, y: air + field(x, y) + y, items


def flange(random, aspect, air):
    """Bolts around a cover."""
    count, radius = int(random.integers(4, 11)), random.uniform(0.18, 0.4)
    warm = random.uniform(-5, 30)
    field = rough(random, 0.3)
    items = [
        Body(shapes.disc(0, 0, 1.2 * radius), air + warm, 0.85, air),
        Body(shapes.disc(0, 0, 0.7 * radius), air + 1.1 * warm, 0.7, air),
    ]
    for k in range(count):
        angle = 2 * np.pi * k / count + 0.2
        x, y = radius * np.cos(angle), radius * np.sin(angle)
        items.append(
            Body(shapes.polygon(x, y, 6, 0.12 * radius, angle), air + 0.9 * warm, 0.4, air)
        )
    return lambda x, y: air + field(x, y), items


def masts(random, aspect, air):
    """Lights on poles along a road, some warm, each with an arm."""
    count = int(random.integers(2, 6))
    points, sizes = places_of(random, aspect, count)
    field = rough(random, 0.4)
    hot = random.uniform(4, 40)
    items = []
    for (x, y), size in zip(points, sizes):
        pole = shapes.plate(x, y + 6 * size, 0.18 * size, 6 * size)
        items.append(Body(pole, air - 1, 0.8, air))
        items.append(Body(shapes.plate(x, y, 1.1 * size, 0.5 * size, 0.1, 0.2 * size), air + 0.3 * hot, 0.8, air))
        if random.random() < 0.7:
            items.append(Body(shapes.disc(x, y, 0.4 * size), air + hot, 0.9, air))
    return lambda x, y: air - 12 * (y < 0.1) + field(x, y), items


def pots(random, aspect, air):
    """Pots or cans on a shelf, with lids."""
    count = int(random.integers(3, 6))
    pitch = random.uniform(0.2, 0.32)
    warm = random.uniform(-6, 30)
    field = rough(random, 0.2)
    items = [Body(shapes.plate(0, 0.22, 2, 0.02), air, 0.9, air)]
    for k in range(count):
        x = (k - (count - 1) / 2) * pitch
        own = air + warm * random.uniform(0.6, 1.2)
        items.append(Body(shapes.plate(x, 0.05, 0.32 * pitch, 0.15, 0, 0.03), own, 0.9, air))
        items.append(Body(shapes.plate(x, -0.1, 0.36 * pitch, 0.02), own - 0.2 * warm, 0.5, air))
        items.append(Body(shapes.disc(x, -0.14, 0.08 * pitch), own - 0.3 * warm, 0.9, air))
    return lambda x, y: air + field(x, y), items


def bearings(random, aspect, air):
    """Pillow blocks along a shaft."""
    count = int(random.integers(2, 5))
    pitch = random.uniform(0.28, 0.45)
    turn = random.normal(0, 0.1)
    c, s = np.cos(turn), np.sin(turn)
    field = rough(random, 0.3)
    items = [
        Body(Cable(np.array([[-c, -s], [c, s]]), 0.03), steady(air + 4), 0.5, air)
    ]
    for k in range(count):
        x, y = (k - (count - 1) / 2) * pitch * np.array([c, s])
        warm = air + random.uniform(2, 20)
        items.append(Body(shapes.plate(x, y + 0.08, 0.13, 0.03, turn), warm - 1, 0.8, air))
        items.append(Body(shapes.disc(x, y, 0.08), warm, 0.85, air))
        for u in (-0.1, 0.1):
            items.append(Body(shapes.disc(x + u, y + 0.08, 0.012), air, 0.4, air))
    return lambda x, y: air + field(x, y), items


def birds(random, aspect, air):
    """Birds on a wire."""
    count = int(random.integers(2, 6))
    field = rough(random, 1.0, 1, 6)
    items = [Body(Cable(np.array([[-1, 0.05], [1, 0.0]]), 0.006), steady(air - 4), 0.9, air)]
    for k in range(count):
        x = (k - (count - 1) / 2) * random.uniform(0.16, 0.25)
        warm = air + random.uniform(4, 12)
        items.append(Body(shapes.capsule(x, -0.02, 0.04, 0.035, 1.2), warm, 0.95, air))
        items.append(Body(shapes.disc(x + 0.02, -0.09, 0.025), warm + 3, 0.95, air))
    return lambda x, y: air - 15 + field(x, y), items


KINDS = {
    made.__name__: made
    for made in (sundry, threes, medley, cattle, flange, masts, pots, bearings, birds)
}
