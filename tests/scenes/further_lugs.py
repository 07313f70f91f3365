"""Further lugs of the sets `tune` and `unseen`: each kind is many, drawn from the box's seed.

The three lugs of a box are of one build. The seat is what a person would circle.
"""
import numpy as np

import shapes
from canvas import Body


class Builder:
    """Bodies of one lug, placed in its radii along its cable's way and across it."""

    def __init__(self, lug, number, rise_k, plate_c, day, seed):
        self.lug, self.number, self.rise_k = lug, number, rise_k
        self.plate_c, self.day = plate_c, day
        self.random = np.random.default_rng([6, seed])
        self.out = np.array([np.cos(lug.turn), np.sin(lug.turn)])
        self.side = np.array([-self.out[1], self.out[0]])
        self.bodies = []

    def at(self, along, across=0.0):
        middle = np.array([self.lug.x, self.lug.y])
        return middle + self.lug.radius * (along * self.out + across * self.side)

    def add(self, outline, emissivity, share=1.0, seat=False, temperature=None):
        """`share` of the lug's rise."""
        celsius = temperature or self.plate_c + share * self.rise_k
        day, lug = self.day, self.lug
        self.bodies.append(
            Body(outline, celsius, emissivity, day.reflected_c, lug.height, self.number, seat)
        )

    def disc(self, along, across, radius, emissivity, **more):
        outline = shapes.disc(*self.at(along, across), radius * self.lug.radius)
        self.add(outline, emissivity, **more)

    def plate(self, along, across, length, width, emissivity, corner=0.1, turn=0.0, **more):
        r = self.lug.radius
        place, turn = self.at(along, across), self.lug.turn + turn
        outline = shapes.plate(*place, length * r, width * r, turn, corner * r)
        self.add(outline, emissivity, **more)

    def sided(self, along, across, sides, radius, emissivity, turn=0.0, **more):
        place, turn = self.at(along, across), self.lug.hex_turn + turn
        outline = shapes.polygon(*place, sides, radius * self.lug.radius, turn)
        self.add(outline, emissivity, **more)

    def fading(self, per_radius):
        """Cooler with the distance from the middle."""
        x0, y0, r = self.lug.x, self.lug.y, self.lug.radius

        def at(x, y):
            away = np.hypot(x - x0, y - y0) / r
            return self.plate_c + self.rise_k * np.maximum(1 - per_radius * away**2, 0.3)

        return at

    def fastener(self, along, across, size):
        e = self.lug.nut_emissivity
        kind = self.random.integers(4)
        if kind == 0:
            self.sided(along, across, 6, size, e)
        elif kind == 1:
            self.sided(along, across, 4, size, e)
        else:
            self.disc(along, across, 0.9 * size, e)
        if kind == 2:
            self.plate(along, across, 0.75 * size, 0.2 * size, 0.95, 0, self.lug.hex_turn)
        if kind == 3:
            self.disc(along, across, 0.4 * size, 0.95)


def assembled(b):
    """Base, bar, barrel, seat and fasteners, each of many kinds or missing."""
    random, e = b.random, b.lug.emissivity
    base = random.integers(5)
    if base == 1:
        b.disc(0, 0, random.uniform(1.25, 1.6), random.uniform(0.5, 0.95), share=0.5)
    elif base == 2:
        half = random.uniform(1.2, 1.6, 2)
        b.plate(0, 0, *half, random.uniform(0.5, 0.95), share=random.uniform(0.2, 0.8))
    if random.random() < 0.25:
        back = random.uniform(1.2, 2.4)
        b.plate(-back, 0, back, random.uniform(0.35, 0.8), e, share=0.9)
    if random.random() < 0.75:
        length, width = random.uniform(0.4, 1.0), random.uniform(0.32, 0.62)
        off = random.uniform(-0.3, 0.3) if random.random() < 0.4 else 0
        b.plate(0.8 + length, off, length, width, e, share=random.uniform(0.8, 1.0))
    form = random.integers(4)
    if form == 0:
        b.disc(0, 0, 1, e, seat=True)
    elif form == 1:
        across = random.uniform(0.75, 1.2)
        b.plate(0, 0, 1, across, e, random.uniform(0.05, 0.5), seat=True)
    elif form == 2:
        b.sided(0, 0, int(random.choice([4, 5, 6])), 1.1, e, seat=True)
    else:
        b.plate(0, 0, 0.95, 0.95, e, 0.3, np.pi / 4, seat=True)
    bolts = random.integers(5)
    if bolts == 1:
        b.fastener(0, 0, random.uniform(0.35, 0.75))
    elif bolts == 2:
        size = random.uniform(0.2, 0.34)
        b.fastener(0, -0.48, size)
        b.fastener(0, 0.48, size)
    elif bolts == 3:
        for k in range(3):
            b.disc(0.5 * np.cos(2.1 * k), 0.5 * np.sin(2.1 * k), 0.24, b.lug.nut_emissivity)
    elif bolts == 4:
        b.disc(0, 0, random.uniform(0.55, 0.8), 0.5 * e + 0.3)
        b.fastener(0, 0, random.uniform(0.3, 0.5))


def cup(b):
    """A socket: a collar about a dark well, the cable's end in it."""
    e = b.lug.emissivity
    if b.random.random() < 0.5:
        b.plate(0.9, 0, 0.6, 0.5, e)
    b.disc(0, 0, 1, e, seat=True)
    b.disc(0, 0, b.random.uniform(0.5, 0.8), 0.95, share=b.random.uniform(0.6, 1.2))
    if b.random.random() < 0.5:
        b.disc(0, 0, b.random.uniform(0.2, 0.4), b.lug.nut_emissivity)


def post(b):
    """A porcelain post with collars, its lead held in the cap's clamp."""
    b.disc(0, 0, b.random.uniform(1.35, 1.7), 0.9, share=0.2)
    if b.random.random() < 0.6:
        b.disc(0, 0, 1.2, 0.9, share=0.45)
    if b.random.random() < 0.5:
        b.plate(1.1, 0, 0.9, b.random.uniform(0.3, 0.5), b.lug.emissivity)
    b.disc(0, 0, 1, b.lug.emissivity, seat=True, temperature=b.fading(0.1))
    b.fastener(0, 0, b.random.uniform(0.3, 0.5))


def sleeve(b):
    """An eye whose barrel is under a shrunk sleeve, wider than the cable."""
    b.plate(2.0, 0, b.random.uniform(0.7, 1.3), b.random.uniform(0.55, 0.72), 0.94, 0.3, share=0.8)
    b.disc(0, 0, 1, b.lug.emissivity, seat=True)
    b.fastener(0, 0, b.random.uniform(0.4, 0.7))


def fork(b):
    """Two prongs about a screw."""
    e = b.lug.emissivity
    b.plate(1.5, 0, 0.8, b.random.uniform(0.35, 0.5), e, share=0.95)
    b.plate(0, 0, 1, 0.9, e, 0.3, seat=True)
    b.plate(-0.6, 0, 0.5, 0.3, 0.93, 0.1, share=0.1)
    b.fastener(0, 0, b.random.uniform(0.45, 0.6))


def saddle(b):
    """A strap across the lead, with a screw on either side of it."""
    e = b.lug.emissivity
    b.plate(0.2, 0, 1.0, 0.45, 0.94, 0.2)
    b.plate(0, 0, b.random.uniform(0.6, 0.75), 1.3, e, 0.2, seat=True)
    size = b.random.uniform(0.25, 0.38)
    b.fastener(0, -0.85, size)
    b.fastener(0, 0.85, size)


def boot(b):
    """A rubber boot over everything: no edge inside it."""
    wide = b.random.uniform(0.85, 1.15)
    b.plate(1.2, 0, 0.5, 0.6, 0.95, 0.2, temperature=b.fading(0.2))
    b.plate(0, 0, 1.0, wide, 0.95, 0.6, seat=True, temperature=b.fading(0.15))
    if b.random.random() < 0.5:
        b.plate(-0.3, 0, 0.2, 0.7 * wide, 0.95, 0.1, share=0.8)


KINDS = {
    made.__name__: made for made in (assembled, cup, post, sleeve, fork, saddle, boot)
}


def parts(shape, *given):
    builder = Builder(*given)
    KINDS[shape](builder)
    return builder.bodies
