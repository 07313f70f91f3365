"""What a camera sees on a route that is no connection: often three or more like things in a row."""
import numpy as np

import shapes
from canvas import Body, Cable


def rough(random, size, slowest=2.0, fastest=20.0, count=16):
    """A smooth field over the world with a deviation of about `size`."""
    waves = [
        (
            *(random.normal(0, 1, 2) * np.exp(random.uniform(np.log(slowest), np.log(fastest)))),
            random.uniform(0, 2 * np.pi),
            random.normal(),
        )
        for _ in range(count)
    ]
    scale = size * np.sqrt(2 / count)

    def at(x, y):
        value = np.zeros_like(x)
        for u, v, phase, weight in waves:
            value = value + weight * np.sin(u * x + v * y + phase)
        return scale * value

    return at


def steady(celsius):
    return lambda along, across: celsius + 0 * along


def wall(random, aspect, air):
    """Bricks of uneven warmth between colder or warmer joints."""
    brick, tall = random.uniform(0.14, 0.35), random.uniform(0.05, 0.12)
    joint = random.uniform(-1.5, 1.0)
    items = []
    for row, y in enumerate(np.arange(-0.6, 0.6, tall)):
        for x in np.arange(-aspect / 2 - brick, aspect / 2 + brick, brick):
            items.append(
                Body(
                    shapes.plate(x + (row % 2) * brick / 2, y, brick * 0.47, tall * 0.44, 0, 0.004),
                    air + random.normal(0, 0.25),
                    0.93,
                    air,
                )
            )
    slope = random.uniform(-2, 2)
    field = rough(random, 0.3)
    return lambda x, y: air + joint + slope * y + field(x, y), items


def blocks(random, aspect, air):
    """A plastered wall whose anchors show through as a grid of dots, and a pillar."""
    field = rough(random, 0.3)
    pitch = random.uniform(0.18, 0.3)
    size = random.uniform(0.015, 0.03)
    colder = random.uniform(-1.5, -0.4) * random.choice([1, -1])
    items = [
        Body(shapes.disc(x + random.normal(0, 0.01), y, size), air + colder, 0.93, air)
        for x in np.arange(-aspect / 2, aspect / 2, pitch)
        for y in np.arange(-0.45, 0.5, pitch)
    ]
    items.append(Body(shapes.plate(random.uniform(-0.5, 0.5), 0, 0.08, 1), air - 1, 0.93, air))
    return lambda x, y: air + field(x, y) + y, items


def lamps(random, aspect, air):
    """Two to seven lamps along a ceiling, smaller with the distance; beams above them."""
    field = rough(random, 0.2, 1, 5)
    vanish = random.uniform(-0.3, 0.3, 2)
    count = int(random.integers(2, 8))
    way = np.array([random.choice([-1, 1]) * aspect * 0.45, -0.42]) - vanish
    hot = random.uniform(8, 50)
    tube = random.random() < 0.5
    items = []
    for k in range(5):
        near = 1 / (1 + k)
        items.append(
            Body(
                shapes.plate(*(vanish + [0, -0.8 * near]), aspect, 0.05 * near), air + 0.8, 0.9, air
            )
        )
    for k in range(count):
        near = 1 / (1 + random.uniform(0.45, 0.55) * k)
        x, y = vanish + way * near
        size = 0.07 * near
        if tube:
            items.append(Body(shapes.plate(x, y, 2.4 * size, 0.8 * size, 0.1), air + 2, 0.9, air))
            items.append(Body(shapes.capsule(x, y, 2 * size, 0.3 * size, 0.1), air + hot, 0.9, air))
        else:
            items.append(Body(shapes.disc(x, y, 1.6 * size), air + 0.15 * hot, 0.9, air))
            items.append(Body(shapes.disc(x, y, size), air + hot, 0.9, air))
            items.append(Body(shapes.plate(x, y - 3 * size, 0.1 * size, 2 * size), air, 0.5, air))
    return lambda x, y: air + field(x, y) - 2 * y, items


def field(random, aspect, air):
    """Vegetation, furrows, and stones or tufts."""
    coarse, fine = rough(random, 1.2, 2, 12, 12), rough(random, 0.9, 12, 90, 60)
    turn, pitch = random.uniform(0, np.pi), random.uniform(20, 70)
    furrows = random.uniform(0, 1.0)
    items = [
        Body(
            shapes.plate(
                *random.uniform(-0.6, 0.6, 2),
                *random.uniform(0.01, 0.03, 2),
                random.uniform(0, 3),
                0.01
            ),
            air + random.normal(1, 1.5),
            0.95,
            air,
        )
        for _ in range(int(random.integers(0, 14)))
    ]
    return (
        lambda x, y: air
        + coarse(x, y)
        + fine(x, y)
        + furrows * np.sin(pitch * (np.cos(turn) * x + np.sin(turn) * y)),
        items,
    )


def sky(random, aspect, air):
    """Clouds over a cold gradient; roofs, poles and a line with three insulators."""
    clouds = rough(random, 4, 1.5, 9, 14)
    cold = air - random.uniform(20, 45)
    items = []
    for _ in range(int(random.integers(1, 4))):
        x = random.uniform(-aspect / 2, aspect / 2)
        items.append(
            Body(
                shapes.plate(x, 0.55, random.uniform(0.1, 0.3), random.uniform(0.1, 0.4)),
                air + random.uniform(-3, 3),
                0.93,
                air,
            )
        )
    if random.random() < 0.5:
        x = random.uniform(-0.3, 0.3)
        items.append(Body(shapes.plate(x, 0.3, 0.012, 0.6), air - 2, 0.9, air))
        items.append(Body(shapes.plate(x, -0.2, 0.25, 0.01), air - 2, 0.9, air))
    return lambda x, y: cold + 18 * (y + 0.5) + clouds(x, y), items


def pipes(random, aspect, air):
    """Three to six pipes side by side, with flanges and clamps."""
    count = int(random.integers(3, 7))
    turn = random.choice([0, np.pi / 2]) + random.normal(0, 0.1)
    along = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-np.sin(turn), np.cos(turn)])
    pitch = random.uniform(0.13, 0.24)
    radius = pitch * random.uniform(0.22, 0.4)
    at_flange = random.uniform(-0.25, 0.25)
    items = []
    warm = random.uniform(-8, 35)
    for k in range(count):
        middle = across * (k - (count - 1) / 2) * pitch
        celsius = air + warm * random.uniform(0.7, 1.1)

        def shaded(s, t, celsius=celsius):
            return celsius - 0.12 * (celsius - air) * np.clip(1 + t, 0, 1) ** 2

        items.append(
            Body(
                Cable(np.array([middle - along * 2, middle + along * 2]), radius), shaded, 0.9, air
            )
        )
        x, y = middle + along * (at_flange + random.normal(0, 0.01))
        items.append(
            Body(
                shapes.plate(x, y, 0.35 * radius, 1.35 * radius, turn),
                air + 0.7 * (celsius - air),
                0.6,
                air,
            )
        )
    wall_field = rough(random, 0.3)
    return lambda x, y: air + wall_field(x, y), items


def tray(random, aspect, air):
    """A perforated cable tray: a lattice of slots or holes, perhaps some cables along it."""
    pitch = random.uniform(0.1, 0.24)
    long_slot = random.uniform(0.15, 0.42) * pitch
    narrow = long_slot if random.random() < 0.5 else 0.35 * long_slot
    behind = random.uniform(-4, 4)
    turn = random.normal(0, 0.15)
    c, s = np.cos(turn), np.sin(turn)
    items = []
    for u in np.arange(-1, 1, pitch):
        for v in np.arange(-0.8, 0.8, pitch):
            items.append(
                Body(
                    shapes.plate(c * u - s * v, s * u + c * v, long_slot, narrow, turn, narrow),
                    air + behind,
                    0.95,
                    air,
                )
            )
    for _ in range(int(random.integers(0, 4))):
        off = random.uniform(-0.5, 0.5)
        path = np.array([[-1, off], [0, off + random.normal(0, 0.03)], [1, off]])
        items.append(Body(Cable(path, 0.03), steady(air + random.uniform(0, 8)), 0.94, air))
    field_ = rough(random, 0.15)
    return lambda x, y: air + field_(x, y), items


def empty_box(random, aspect, air):
    """A box without lugs: back plate, corner screws, knock-outs, an earth stud, a label."""
    hx, hy = aspect * random.uniform(0.36, 0.48), random.uniform(0.38, 0.47)
    plate_c = air + random.uniform(0, 3)
    field_ = rough(random, 0.15)
    items = [
        Body(shapes.frame(0, 0, hx, hy, 0.02), plate_c + random.uniform(-1, 1), 0.4, air),
        Body(
            shapes.plate(random.uniform(-0.2, 0.2), random.uniform(-0.2, 0.2), 0.1, 0.05),
            plate_c,
            0.7,
            air,
        ),
    ]
    size = random.uniform(0.01, 0.022)
    items += [
        Body(shapes.disc(u * hx * 0.88, v * hy * 0.86, size), plate_c, 0.4, air)
        for u in (-1, 1)
        for v in (-1, 1)
    ]
    holes = int(random.integers(0, 5))
    for k in range(holes):
        items.append(
            Body(
                shapes.ring((k - (holes - 1) / 2) * 0.2, 0.75 * hy, 0.06, 0.006),
                plate_c - 0.7,
                0.9,
                air,
            )
        )
    slope = random.uniform(-1.5, 1.5, 2)
    return lambda x, y: plate_c + field_(x, y) + slope[0] * x + slope[1] * y, items


def window(random, aspect, air):
    """Panes that mirror the sky, in frames; the wall around."""
    columns, rows = int(random.integers(2, 5)), int(random.integers(1, 4))
    w, h = random.uniform(0.1, 0.2), random.uniform(0.12, 0.2)
    field_ = rough(random, 0.4)
    sky_c = air - random.uniform(5, 20)
    items = []
    for a in range(columns):
        for b in range(rows):
            x, y = (a - (columns - 1) / 2) * 2.6 * w, (b - (rows - 1) / 2) * 2.5 * h
            items.append(Body(shapes.plate(x, y, w * 1.1, h * 1.1), air + 1.0, 0.9, air))
            items.append(Body(shapes.plate(x, y, w, h), air + random.uniform(0, 2), 0.85, sky_c))
            items.append(Body(shapes.plate(x, y, 0.008, h), air + 0.5, 0.9, air))
    return lambda x, y: air + field_(x, y), items


def fins(random, aspect, air):
    """A motor's frame: fins along a warm body, an eye bolt, a name plate."""
    warm = random.uniform(8, 45)
    pitch = random.uniform(0.05, 0.12)
    hx, hy = aspect * random.uniform(0.25, 0.45), random.uniform(0.28, 0.42)

    def shaded(x, y):
        return air + warm * (1 - 0.3 * (x / hx) ** 2 - 0.25 * (y / hy) ** 2)

    items = [Body(shapes.plate(0, 0, hx, hy, 0, 0.1), shaded, 0.9, air)]
    for y in np.arange(-hy + pitch, hy - pitch / 2, pitch):
        items.append(
            Body(
                shapes.plate(0, y, hx * 0.94, 0.22 * pitch),
                lambda x, y: shaded(x, y) - 0.14 * warm,
                0.9,
                air,
            )
        )
    items.append(Body(shapes.plate(random.uniform(-0.2, 0.2), 0, 0.1, 0.06), air + warm, 0.4, air))
    items.append(Body(shapes.ring(0, -hy, 0.05, 0.015), air + 0.7 * warm, 0.8, air))
    for u in (-0.8, 0.8):
        items.append(Body(shapes.plate(u * hx, hy + 0.04, 0.07, 0.05), air + 0.5 * warm, 0.9, air))
    field_ = rough(random, 0.3)
    return lambda x, y: air + field_(x, y), items


def pilots(random, aspect, air):
    """A panel door: rows of pilot lamps and push buttons, a meter and a handle."""
    field_ = rough(random, 0.12)
    plate_c = air + random.uniform(0, 2)
    columns = int(random.integers(3, 6))
    pitch = random.uniform(0.16, 0.24)
    items = []
    for row in range(int(random.integers(2, 4))):
        for k in range(columns):
            x, y = (k - (columns - 1) / 2) * pitch, -0.3 + row * pitch * 1.15
            lit = random.random() < 0.4
            items.append(Body(shapes.disc(x, y, 0.24 * pitch), plate_c, 0.4, air))
            items.append(
                Body(
                    shapes.disc(x, y, 0.17 * pitch),
                    plate_c + (random.uniform(4, 14) if lit else 0.3),
                    0.93,
                    air,
                )
            )
            items.append(
                Body(
                    shapes.plate(x, y + 0.4 * pitch, 0.22 * pitch, 0.06 * pitch), plate_c, 0.7, air
                )
            )
    items.append(Body(shapes.plate(0.35 * aspect, 0.3, 0.02, 0.12), plate_c, 0.3, air))
    return lambda x, y: plate_c + field_(x, y), items


def people(random, aspect, air):
    """Three or four people before a wall."""
    count = int(random.integers(3, 5))
    field_ = rough(random, 0.4)
    items = []
    for k in range(count):
        tall = random.uniform(0.09, 0.13)
        x = (k - (count - 1) / 2) * 0.34 * aspect + random.normal(0, 0.03)
        y = random.uniform(-0.25, -0.1)
        skin = air + (34 - air) * random.uniform(0.8, 0.95)
        cloth = air + (34 - air) * random.uniform(0.3, 0.6)
        items += [
            Body(
                shapes.capsule(x, y + 5.2 * tall, 2.6 * tall, 0.75 * tall, np.pi / 2),
                cloth,
                0.95,
                air,
            ),
            Body(
                shapes.plate(x, y + 2.6 * tall, 1.4 * tall, 1.4 * tall, 0, 0.5 * tall),
                cloth,
                0.95,
                air,
            ),
            Body(shapes.plate(x, y + 0.9 * tall, 0.3 * tall, 0.5 * tall), skin, 0.97, air),
            Body(shapes.capsule(x, y, 0.3 * tall, 0.6 * tall, np.pi / 2), skin, 0.97, air),
            Body(
                shapes.plate(x, y - 0.6 * tall, 0.6 * tall, 0.3 * tall, 0, 0.2 * tall),
                air + 2,
                0.93,
                air,
            ),
        ]
    return lambda x, y: air + field_(x, y) + y, items


def rollers(random, aspect, air):
    """A belt conveyor's idlers from the side, some with warm bearings, under the belt."""
    field_ = rough(random, 0.5)
    pitch = random.uniform(0.18, 0.3)
    tilt = random.normal(0, 0.12)
    items = [Body(shapes.plate(0, -0.12, 2, 0.025, tilt), air + 2, 0.95, air)]
    for k in range(-5, 6):
        x, y = k * pitch, k * pitch * np.tan(tilt)
        items.append(Body(shapes.plate(x, y + 0.22, 0.02, 0.22, 0.1), air - 0.5, 0.85, air))
        items.append(Body(shapes.disc(x, y, 0.3 * pitch), air + random.uniform(0.5, 3), 0.7, air))
        items.append(Body(shapes.disc(x, y, 0.09 * pitch), air + random.uniform(2, 12), 0.8, air))
    items.append(Body(shapes.plate(0, 0.42, 2, 0.03, tilt), air + 0.5, 0.9, air))
    return lambda x, y: air + field_(x, y), items


def roof(random, aspect, air):
    """Panels of a roof in a lattice, one of them warmer in a part."""
    w, h = random.uniform(0.1, 0.16), random.uniform(0.14, 0.2)
    turn = random.uniform(-0.5, 0.5)
    c, s = np.cos(turn), np.sin(turn)
    items = []
    warm = air + random.uniform(8, 25)
    for u in np.arange(-1, 1, 2.1 * w):
        for v in np.arange(-0.9, 0.9, 2.08 * h):
            items.append(
                Body(
                    shapes.plate(c * u - s * v, s * u + c * v, w, h, turn),
                    warm + random.normal(0, 0.6),
                    0.88,
                    air - 20,
                )
            )
    field_ = rough(random, 0.5)
    return lambda x, y: air + 4 + field_(x, y), items


KINDS = {
    made.__name__: made
    for made in (
        wall,
        blocks,
        lamps,
        field,
        sky,
        pipes,
        tray,
        empty_box,
        window,
        fins,
        pilots,
        people,
        rollers,
        roof,
    )
}
