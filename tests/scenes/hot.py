"""Marked images with something hot outside every mark, or with nothing of the kind.

- none: loaded lugs, all marked. Nothing outside is warmer than they are.
- warm_cable: one marked lug is hot, and so is its own cable beside it: the finding is the lug's.
- background: a wall in the sun past the rim of the box, or a warm body that the plate mirrors.
- between, cable, forgotten: a strap between two lugs, a place on a cable, a lug without a mark; 10 to
  80 K over the warmest marked lug.

The cell `emissivity` holds for the lugs. Cables and tape are near 0.95, so that a shiny lug looks
colder than its cooler cable.
"""
from dataclasses import dataclass

import numpy as np

import box as boxes
import camera as optics
import canvas
import shapes
from canvas import Body, Cable

KINDS = ["between", "none", "cable", "warm_cable", "forgotten", "none", "background"]
RISE_K = (10, 80)
MARK = 0.85  # radius of a mark over the lug's


@dataclass
class Scene:
    celsius: np.ndarray
    circles: list
    air_c: float
    reflected_c: float
    emissivity: float
    truth: dict


def scene(random, setting, size, kind):
    """Drawn anew until every lug can be seen and the hot body is in the picture."""
    for _ in range(80):
        made = attempt(random, setting, size, kind)
        if made is not None:
            return made
    raise RuntimeError(f"no scene of the kind {kind}")


def attempt(random, setting, size, kind):
    temper = "one_hot" if kind == "warm_cable" else "warm"
    box = boxes.draw(random, setting, max(size) / min(size), temper, hidden=False)
    if box.layout == "two_in_frame":
        return None
    box.clutter -= {"sun", "cans"}
    day = boxes.draw_day(random, setting, box)
    view = canvas.straight_on(*size)
    rise = float(np.exp(random.uniform(*np.log(RISE_K))))
    warmest = day.air_c + day.plate_rise_k + day.lug_rise_k.max()
    spot, forgotten = None, None
    if kind == "between":
        spot = between(random, box, day, warmest + rise)
    elif kind == "cable":
        spot = on_cable(random, box, day, warmest + rise)
    elif kind == "forgotten":
        forgotten = int(random.integers(3))
        day.lug_rise_k = day.lug_rise_k.copy()
        day.lug_rise_k[forgotten] = day.lug_rise_k.max() + rise
        lug = box.lugs[forgotten]
        lug.emissivity = max(lug.emissivity, 0.7)
        spot = (
            (lug.x, lug.y),
            lug.radius,
            lug.height,
            [(lug.x, lug.y), *own_cable(box, day, forgotten)],
        )
    elif kind == "background":
        background(random, box, day)
    camera = optics.draw_camera(random, setting, size, box.lugs[0].radius * min(size))
    shot = boxes.photograph(box, day, view, camera, random)
    marked = [lug for k, lug in enumerate(shot.lugs) if k != forgotten]
    if not all(lug["visible"] for lug in marked):
        return None
    truth = {"hot": None, "hot_radius": None, "rise_k": None, "lugs": shot.lugs}
    if spot is not None:
        point, radius, height, path = spot
        place = view.to_pixels([point], height)[0]
        radius_px = view.radius_px(point, radius, height)
        inside = np.all(place > radius_px) and np.all(place < np.array(size) - 1 - radius_px)
        if not inside or radius_px < 1.5:
            return None
        truth.update(
            hot=[round(float(v), 2) for v in place],
            hot_radius=round(radius_px, 2),
            hot_path=[[round(float(v), 2) for v in p] for p in view.to_pixels(path, height)]
            if len(path)
            else [],
            rise_k=round(rise, 2),
        )
    circles = [(lug["order"], lug["center"], round(MARK * lug["radius"], 2)) for lug in marked]
    metal = float(np.mean([lug.emissivity for k, lug in enumerate(box.lugs) if k != forgotten]))
    return Scene(shot.celsius, circles, day.air_c, day.reflected_c, metal, truth)


def between(random, box, day, hot_c):
    a, b = random.permutation(3)[:2]
    first, second = (np.array([box.lugs[k].x, box.lugs[k].y]) for k in (a, b))
    third = np.array([box.lugs[3 - a - b].x, box.lugs[3 - a - b].y])
    lug_r = box.lugs[0].radius
    radius = lug_r * random.uniform(0.3, 0.6)
    point = (first + second) / 2 + random.uniform(-0.4, 0.4, 2) * lug_r
    gap = min(np.hypot(*(point - lug)) for lug in (first, second, third))
    if gap < radius + 1.15 * lug_r:
        return (9.0, 9.0), radius, 0.0, []  # no room: out of the picture, drawn anew
    day.hot = [
        Body(
            shapes.plate(*point, radius, 0.8 * radius, random.uniform(0, 3), 0.3 * radius),
            hot_c,
            random.uniform(0.8, 0.95),
            day.reflected_c,
        )
    ]
    return tuple(point), 0.9 * radius, 0.0, []


def own_cable(box, day, number):
    """The first six radii of a lug's cable: as warm as the lug, and blacker."""
    parts = boxes.bodies(box, day)[1]
    path = [body.outline.path for body in parts if body.stays and body.lug == number + 1][0]
    lengths = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    at = np.linspace(0, 6 * box.lugs[number].radius, 8)
    return [(np.interp(s, lengths, path[:, 0]), np.interp(s, lengths, path[:, 1])) for s in at]


def on_cable(random, box, day, hot_c):
    """Warmest in the middle of a stretch, over a cable as it was drawn."""
    parts = boxes.bodies(box, day)[1]
    cables = [body for body in parts if isinstance(body.outline, Cable) and body.stays]
    cable = cables[int(random.integers(len(cables)))]
    path, radius = cable.outline.path, cable.outline.radius
    lengths = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    middle = random.uniform(3, 8) * box.lugs[0].radius
    half = random.uniform(1.5, 3) * radius
    at = np.linspace(max(middle - half, 0), middle + half, 15)
    stretch = np.column_stack([np.interp(at, lengths, path[:, k]) for k in (0, 1)])
    plate_c = day.air_c + day.plate_rise_k + day.cable_rise_k
    total = at[-1] - at[0]

    def celsius(along, across):
        return plate_c + (hot_c - plate_c) * np.exp(-(((along - total / 2) / (0.35 * total)) ** 2))

    day.hot = [Body(Cable(stretch, 1.02 * radius), celsius, 0.94, day.reflected_c, cable.height)]
    clear = min(np.hypot(stretch[:, 0] - l.x, stretch[:, 1] - l.y).min() for l in box.lugs)
    if clear < 1.3 * box.lugs[0].radius + radius:
        return (9.0, 9.0), radius, 0.0, []
    return tuple(stretch[7]), radius, cable.height, stretch[5:10]


def background(random, box, day):
    """A sunlit wall or a lamp past the rim, or a warm body in the plate's gloss."""
    (mx, my), (hx, hy) = box.middle, box.half
    warm = day.air_c + day.plate_rise_k + day.lug_rise_k.max() + random.uniform(8, 30)
    if random.random() < 0.5:
        side = random.choice([-1, 1])
        hx = min(hx, 0.4 * box.aspect)
        day.hot = [Body(shapes.plate(mx + side * (hx + 0.5), my, 0.5, 3), warm, 0.93, day.air_c)]
    else:
        x, y = mx + random.choice([-0.7, 0.7]) * hx, my + random.choice([-0.7, 0.7]) * hy

        def mirrored(u, v):
            away = ((u - x) / 0.12) ** 2 + ((v - y) / 0.18) ** 2
            return day.air_c + day.plate_rise_k + (warm - day.air_c) * np.exp(-away)

        day.hot = [Body(shapes.disc(x, y, 0.35), mirrored, 1.0, day.air_c)]
