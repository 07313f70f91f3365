"""Lugs that the network sees, groups of them, and the second network, which ranks those.

As src/sight/lug_net.cpp and src/marking/groups.cpp: what one changes, the other must.
"""
import itertools

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

import lug_net

MOST_LUGS, LEAST_LOGIT, NOBODY = 20, -3.5, -5.0
MIRRORS = [(False, False), (True, False), (False, True), (True, True)]


def are_one(a, b):
    smaller, larger = min(a[2], b[2]), max(a[2], b[2])
    return np.hypot(a[0] - b[0], a[1] - b[1]) <= 0.9 * min(1.6 * smaller, larger)


def mirrored(planes, across, down):
    """Moved on by a pixel, so that places of the answer lie on the same pixels again."""
    if across:
        planes = np.concatenate([planes[:, :, -1:], planes[:, :, :0:-1]], axis=2)
    if down:
        planes = np.concatenate([planes[:, -1:], planes[:, :0:-1]], axis=1)
    return np.ascontiguousarray(planes, np.float32)


def mirrored_back(said, own, across, down):
    """The first row or column has no place in the mirror: it stays the own."""
    if across:
        said = np.roll(said[:, :, ::-1], 1, axis=2)
    if down:
        said = np.roll(said[:, ::-1], 1, axis=1)
    if across:
        said[:, :, 0] = own[:, :, 0]
    if down:
        said[:, 0] = own[:, 0]
    return said


def seen(net, contrast):
    """Features, and merit, offset and size, of each place: the mean over the picture and its mirror
    images, so that a picture and its mirror image say the same."""
    views = np.stack([mirrored(contrast, *way) for way in MIRRORS])
    with torch.no_grad():
        features, places = (
            list(said.numpy())
            for said in net(torch.from_numpy(views).contiguous(memory_format=torch.channels_last))
        )
    for k, (across, down) in enumerate(MIRRORS):
        places[k][1] *= -1 if across else 1
        places[k][2] *= -1 if down else 1
        features[k] = mirrored_back(features[k], features[0], across, down)
        places[k] = mirrored_back(places[k], places[0], across, down)
    return np.mean(features, axis=0), np.mean(places, axis=0)


def lugs_seen(net, levels):
    """Rows of x, y, radius in pixels of the picture, and logit; and rows of features."""
    rows, features = [], []
    for contrast, times in levels:
        made, said = seen(net, contrast)
        high = F.max_pool2d(torch.from_numpy(said[None, :1]), 3, 1, 1)[0, 0].numpy()
        logit, right, down, size = said
        for i, j in zip(*np.nonzero((logit >= high) & (logit > LEAST_LOGIT))):
            u = lug_net.STRIDE * (j + np.clip(right[i, j], -1.5, 1.5))
            v = lug_net.STRIDE * (i + np.clip(down[i, j], -1.5, 1.5))
            radius = 6.4 * 2 ** np.clip(size[i, j], -1, 1) * times
            place = (u + 0.5) * times - 0.5, (v + 0.5) * times - 0.5
            rows.append((*place, radius, logit[i, j]))
            features.append(made[:, i, j])
    kept = []
    for k in np.argsort([-row[3] for row in rows], kind="stable"):
        if not any(are_one(rows[k], rows[j]) for j in kept):
            kept.append(k)
        if len(kept) == MOST_LUGS:
            break
    return (
        np.array([rows[k] for k in kept]).reshape(-1, 4),
        np.array([features[k] for k in kept]).reshape(len(kept), lug_net.WIDTH),
    )


class Picture:
    """The lugs seen in a picture, and what is asked of groups of them."""

    def __init__(self, lugs, features, shape):
        self.at, self.radius, self.logit = lugs[:, :2], lugs[:, 2], lugs[:, 3]
        self.features, self.shape = features, shape
        self.apart = np.hypot(*(self.at[:, None] - self.at[None]).transpose(2, 0, 1))

    def best_others(self, ids):
        found = [
            self.logit[k]
            for k in range(len(self.at))
            if k not in ids
            and all(self.apart[k, i] > 1.2 * max(self.radius[i], self.radius[k]) for i in ids)
        ]
        return (sorted(found, reverse=True) + [NOBODY, NOBODY])[:2]

    def logit_at(self, place, ids, reach):
        found = [
            self.logit[k]
            for k in range(len(self.at))
            if k not in ids and np.hypot(*(self.at[k] - place)) < reach
        ]
        return max(found + [NOBODY])

    def described(self, ids, evenness, bend, step, goes_on):
        radius, features = self.radius[list(ids)], self.features[list(ids)]
        logit = np.sort(self.logit[list(ids)])
        others, mean = self.best_others(ids), features.mean(0)
        unlike = [
            np.linalg.norm(features[i] - features[j]) for i in range(len(ids)) for j in range(i)
        ]
        two = len(ids) == 2
        said = [
            logit[0] / 3,
            logit[0 if two else 1] / 3,
            logit[-1] / 3,
            np.log2(radius.mean() / min(self.shape)) + 4,
            np.log2(radius.max() / radius.min()),
            (1 - evenness) * 4,
            bend,
            float(bend > 1.75),
            np.exp(-(((bend - np.pi / 2) / 0.15) ** 2)),
            np.log2(step / radius.mean()) - 2,
            others[0] / 3,
            others[1] / 3,
            goes_on[0] / 3,
            goes_on[1] / 3,
            float(two),
            max(unlike) / 5,
            np.mean(unlike) / 5,
            min(np.exp(logit[0]), 1e3) ** 0.25 / 3,
        ]
        return np.concatenate([said, mean, np.abs(features - mean).mean(0)]).astype(np.float32)

    def is_out(self, place, out):
        rows, columns = self.shape
        x, y = place
        return x < -out or y < -out or x > columns - 1 + out or y > rows - 1 + out

    def two_of(self, i, j):
        radius, step = (self.radius[i] + self.radius[j]) / 2, self.apart[i, j]
        smaller, larger = sorted((self.radius[i], self.radius[j]))
        nexts = [2 * self.at[i] - self.at[j], 2 * self.at[j] - self.at[i]]
        if smaller < 0.6 * larger or not 1.9 * radius <= step <= 12 * radius:
            return None
        if not any(self.is_out(place, 0.5 * radius) for place in nexts):
            return None
        ids = (i, j)
        on = max(self.logit_at(place, ids, 0.3 * step) for place in nexts)
        between = self.logit_at((self.at[i] + self.at[j]) / 2, ids, 0.25 * step)
        return ids, self.described(ids, 1, 0, step, (on, between))

    def three_of(self, given):
        sides = {(a, b): self.apart[a, b] for a, b in itertools.combinations(given, 2)}
        a, c = max(sides, key=sides.get)
        (b,) = set(given) - {a, c}
        radius, one, other = self.radius[list(given)], self.apart[a, b], self.apart[b, c]
        evenness, mean = min(one, other) / max(one, other), radius.mean()
        if radius.min() < 0.55 * radius.max() or evenness < 0.65:
            return None
        if min(one, other) < 1.9 * mean or max(one, other) > 12 * mean:
            return None
        first, then = self.at[b] - self.at[a], self.at[c] - self.at[b]
        bend = np.arccos(np.clip(first @ then / (one * other), -1, 1))
        if bend > 2.3:
            return None
        ids, step = (a, b, c), (one + other) / 2
        ends = [
            self.logit_at(place, ids, 0.3 * step) for place in (self.at[a] - first, self.at[c] + then)
        ]
        return ids, self.described(ids, evenness, bend, step, (max(ends), min(ends)))

    def groups(self):
        """Of each its lugs and its description."""
        all_of_them = range(len(self.at))
        twos = [self.two_of(*ids) for ids in itertools.combinations(all_of_them, 2)]
        threes = [self.three_of(ids) for ids in itertools.combinations(all_of_them, 3)]
        return [group for group in twos + threes if group]


def is_right(ids, lugs_found, lugs, kind):
    """`lugs`: x, y, radius, in frame, visible. Whether each lug in the frame has one of the group."""
    if kind != "lugs":
        return False
    taken = set()
    for x, y, radius, _ in lugs_found[list(ids)]:
        near = [
            (np.hypot(x - u, y - v) / r, k) for k, (u, v, r, *_) in enumerate(lugs) if k not in taken
        ]
        away, k = min(near) if near else (np.inf, 0)
        if away > 0.45 or not 0.5 < radius / lugs[k][2] < 1.9:
            return False
        taken.add(k)
    return len(ids) == 3 or len(ids) == sum(bool(lug[3]) for lug in lugs)


class GroupNet(nn.Sequential):
    """The logarithm of a group's odds, against there being no lugs."""

    def __init__(self, width=lug_net.WIDTH, hidden=48):
        super().__init__(
            nn.Dropout(0.1), nn.Linear(18 + 2 * width, hidden), nn.ReLU(),
            nn.Linear(hidden, hidden), nn.ReLU(), nn.Linear(hidden, 1),
        )


def surprise(net, rows, right, picture, count):
    """Of each picture: -log of the share of its right groups, or of there being none, in all."""
    merit = net(rows)[:, 0]
    top = torch.zeros(count)
    top = top.scatter_reduce(0, picture, merit.detach(), "amax", include_self=True)
    share, none = torch.exp(merit - top[picture]), torch.exp(-top)
    whole = none.clone().index_add(0, picture, share)
    good = torch.zeros(count).index_add(0, picture, share * right)
    has = torch.zeros(count).index_add(0, picture, right) > 0
    return torch.log(whole) - torch.log(torch.where(has, good, none) + 1e-12)
