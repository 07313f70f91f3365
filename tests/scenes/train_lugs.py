"""Trains the two networks of `ohmglow propose` and writes their weights into src/sight/, and what
PyTorch makes of a picture with them into tests/sight/torch.csv.

    OMP_NUM_THREADS=1 /usr/bin/python3 tests/scenes/train_lugs.py --work FOLDER [--out src/sight]
        [--seed 1] [--pictures 42000] [--ranked 8000] [--steps 40000] [--real FOLDER]

No part of the build. Needs Debian's python3-torch (1.13.1) and 16 GB. Painting takes 0.03 s a picture of
one core, a step of 8 pictures 0.12 s: two hours in all. The stored weights come of the defaults with
frames of open data sets (--real) among the pictures without lugs, painted with the seeds 101, 102 and 201
(in place of 1 and 2); steps were taken while the later pictures were still being painted, and wild.py
then had no lobed and no cut outlines and fewer cold lugs, so that a run gives other weights.

Pictures: lugs put together at random (wild.py), the set `tune`, and things that are no lugs. Those of
`judge` and `unseen` are never trained on.
"""
import argparse
import copy
import multiprocessing
import pickle
import time
from pathlib import Path

import numpy as np
import torch
from torch.nn import functional as F

import lug_groups
import lug_net
import make
import real
import settings
import wild

SIZES = [(160, 120), (160, 120), (213, 160), (240, 192), (256, 192), (256, 192), (320, 240),
         (320, 256), (341, 256)]
WINDOWS = ((160, 160), (128, 176), (64, 88))  # of each level, rows and columns
KEPT = 31  # contrasts are kept as whole 31ths
ROUNDS = 18  # of the second network
BATCH, RATE = 8, 4e-3


def painted(seed, number, frames):
    """Celsius, lugs as of a truth file, and lugs, lone, many (lugs that make no component) or none."""
    random = np.random.default_rng([77, seed, number])
    size = SIZES[random.integers(len(SIZES))]
    which = random.random()
    if random.random() < 0.1:
        (celsius, lugs), name = wild.plain_scene(random, size)
        return celsius, lugs, name if name in ("lone", "many") else "lugs"
    if which < 0.43:
        for _ in range(5):
            (celsius, lugs), name = wild.lug_scene(random, size)
            if all(lug["visible"] for lug in lugs if lug["in_frame"]) or random.random() < 0.1:
                break
        return celsius, lugs, name if name in ("lone", "many") else "lugs"
    if which < 0.66:
        _, shot = make.lug_scene(random, settings.TUNE, size)
        return shot.celsius, shot.lugs, "lugs"
    if which < 0.80:
        kind = settings.choose(random, settings.TUNE.negatives)
        return make.negative_scene(random, settings.TUNE, size, str(kind)), [], "none"
    if which < 0.985 or not frames:
        return wild.bare_scene(random, size), [], "none"
    frame = frames[random.integers(len(frames))].celsius
    side = int(random.uniform(0.6, 1) * min(frame.shape))
    y, x = (random.integers(0, n - side + 1) for n in frame.shape)
    return frame[y : y + side, x : x + side] + random.normal(0, 0.05, (side, side)), [], "none"


def prepared(seed, number, frames):
    celsius, lugs, kind = painted(seed, number, frames)
    levels = [
        (np.round(KEPT * contrast).astype(np.int8), times)
        for contrast, times in lug_net.levels(celsius)
    ]
    lugs = [(*lug["center"], lug["radius"], lug["in_frame"], lug["visible"]) for lug in lugs]
    return {"levels": levels, "lugs": lugs, "kind": kind, "shape": celsius.shape}


PIECE = 1000  # pictures a file


def pieces(given, name, seed, count):
    """Pictures painted before, else painted now by all cores."""
    frames = [f for f in real.frames(given.real) if min(f.celsius.shape) >= 100] if given.real else []
    paths = {k: given.work / f"{name}_{k:06}.pickle" for k in range(0, count, PIECE)}
    wanted = [
        (path, seed, range(k, min(k + PIECE, count)), frames)
        for k, path in paths.items()
        if not path.exists()
    ]
    with multiprocessing.Pool() as pool:
        pool.starmap(paint_piece, wanted)
    return [scene for path in paths.values() for scene in pickle.loads(path.read_bytes())]


def paint_piece(path, seed, numbers, frames):
    scenes = [prepared(seed, number, frames) for number in numbers]
    put(path, scenes)


def put(path, thing):
    begun = path.with_suffix(".begun")
    begun.write_bytes(pickle.dumps(thing, protocol=4))
    begun.replace(path)


def turned(random, picture, lugs):
    """The window in one of its eight positions, or in four where it is no square."""
    high, wide = picture.shape[1:]
    if random.random() < 0.5:
        picture, lugs[:, 0] = picture[:, :, ::-1], wide - 1 - lugs[:, 0]
    if random.random() < 0.5:
        picture, lugs[:, 1] = picture[:, ::-1], high - 1 - lugs[:, 1]
    if high == wide and random.random() < 0.5:
        picture, lugs[:, [0, 1]] = picture.transpose(0, 2, 1), lugs[:, [1, 0]]
    picture = picture.astype(np.float32)
    picture *= random.uniform(0.8, 1.2) / KEPT * (-1 if random.random() < 0.25 else 1)
    return picture, lugs


def window(random, scene, level):
    """A window of a level, and where lugs are in it. The two smaller levels fit whole as a rule: what
    is cut off by a window is not told from what the frame cuts off."""
    contrast, times = scene["levels"][level]
    size = WINDOWS[level]
    if contrast.shape[1] > contrast.shape[2]:
        size = size[::-1]
    lugs = np.array(scene["lugs"], float).reshape(-1, 5)
    lugs[:, :2] = (lugs[:, :2] + 0.5) / times - 0.5
    lugs[:, 2] /= times
    far = [max(0, n - m) for n, m in zip(contrast.shape[1:], size)]
    y, x = (int(np.clip(random.integers(-n // 4, n + n // 4 + 1), 0, n)) for n in far)
    fitting = lugs[(lugs[:, 2] > 3.2) & (lugs[:, 2] < 12.5)]
    if level == 0 and len(fitting) and random.random() < 0.7:
        lug = fitting[random.integers(len(fitting))]
        x = int(np.clip(lug[0] - random.uniform(0.2, 0.8) * size[1], 0, far[1]))
        y = int(np.clip(lug[1] - random.uniform(0.2, 0.8) * size[0], 0, far[0]))
    shown = np.zeros((2, *size), np.int8)
    part = contrast[:, y : y + size[0], x : x + size[1]]
    shown[:, : part.shape[1], : part.shape[2]] = part
    lugs = lugs - [x, y, 0, 0, 0]
    if size[0] > size[1]:
        shown, lugs[:, [0, 1]] = shown.transpose(0, 2, 1), lugs[:, [1, 0]]
    picture, lugs = turned(random, shown, lugs)
    places = [n // lug_net.STRIDE for n in picture.shape[1:]]
    return picture, *wanted(lugs, places, scene["kind"] == "lugs")


def wanted(lugs, places, is_component):
    """Of each place: how much a lug's middle it is, whether that counts; offset and size, whether
    they count. Lugs of another size than the level's, half out of the frame or that nobody sees are
    neither right nor wrong."""
    heat, counts = np.zeros(places, np.float32), np.ones(places, np.float32)
    fit, fit_counts = np.zeros((3, *places), np.float32), np.zeros_like(heat)
    y, x = np.mgrid[: places[0], : places[1]] * float(lug_net.STRIDE)
    for u, v, radius, in_frame, visible in lugs:
        away = np.hypot(x - u, y - v)
        if 4.1 <= radius <= 9.9 and in_frame and visible:
            if is_component:
                near = np.exp(-(away**2) / (2 * (0.33 * radius) ** 2))
                best = np.unravel_index(away.argmin(), away.shape)
                if away[best] < lug_net.STRIDE:
                    near[best] = 1
                heat = np.maximum(heat, near)
            else:
                counts[away < 1.2 * radius] = 0
            inside = away < max(0.55 * radius, 3)
            fit_counts[inside] = 1
            fit[0][inside] = ((u - x) / lug_net.STRIDE)[inside]
            fit[1][inside] = ((v - y) / lug_net.STRIDE)[inside]
            fit[2][inside] = np.log2(radius / 6.4)
        elif 3.2 < radius < 12.5:
            counts[away < radius] = 0
    return heat, counts, fit, fit_counts


def losses(net, batch):
    """Focal loss of the middles (Law and Deng 2018), smooth L1 of offset and size; their numbers."""
    picture, heat, counts, fit, fit_counts = (torch.from_numpy(np.stack(b)) for b in zip(*batch))
    with torch.autocast("cpu", dtype=torch.bfloat16):  # a third of the time where the CPU has it
        _, said = net(picture.contiguous(memory_format=torch.channels_last))
    said = said.float()
    logit = said[:, 0]
    share, middle = torch.sigmoid(logit), (heat > 0.999).float()
    found = -F.logsigmoid(logit) * (1 - share) ** 2 * middle
    none = -F.logsigmoid(-logit) * share**2 * (1 - heat) ** 4 * (1 - middle)
    off = F.smooth_l1_loss(said[:, 1:], fit, reduction="none", beta=0.1).sum(1) * fit_counts
    return ((found + none) * counts).sum(), off.sum(), float(middle.sum()), float(fit_counts.sum())


def train_net(net, scenes, random, steps, work):
    """Leaves the net the mean of its weights, the last thousand steps counting most; kept in `work`."""
    net.to(memory_format=torch.channels_last).train()
    optimizer = torch.optim.AdamW(net.parameters(), lr=RATE, weight_decay=0.01)
    mean = copy.deepcopy(net.state_dict())
    begun, sums = time.time(), []
    for step in range(steps):
        for group in optimizer.param_groups:
            rise, fall = min(1, step / 300 + 0.02), 0.5 + 0.5 * np.cos(np.pi * step / steps)
            group["lr"] = RATE * rise * fall + 1e-5
        chosen = [scenes[i] for i in random.integers(len(scenes), size=BATCH)]
        parts = [losses(net, [window(random, s, k) for s in chosen]) for k in range(lug_net.LEVELS)]
        heat, off, middles, inside = (sum(part[k] for part in parts) for k in range(4))
        loss = heat / max(middles, 4) + off / max(inside, 8)
        optimizer.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimizer.step()
        new_share = max(0.001, 1 / (1 + step))
        for name, value in net.state_dict().items():
            if value.is_floating_point():
                mean[name].lerp_(value, new_share)
        sums.append(float(loss))
        if (step + 1) % 500 == 0:
            spent = time.time() - begun
            print(f"step {step + 1}: {np.mean(sums[-500:]):.4f}, {spent:.0f} s", flush=True)
            put(work / "lug_net.pickle", mean)
    net.load_state_dict(mean)


def described(net, scenes, most=120):
    """Rows of groups, whether each is right, and of which picture it is."""
    rows, right, picture = [], [], []
    for number, scene in enumerate(scenes):
        levels = [(contrast.astype(np.float32) / KEPT, times) for contrast, times in scene["levels"]]
        lugs, features = lug_groups.lugs_seen(net, levels)
        found = lug_groups.Picture(lugs, features, scene["shape"]).groups()
        good = [lug_groups.is_right(ids, lugs, scene["lugs"], scene["kind"]) for ids, _ in found]
        likely = np.array([s[0] + 0.5 * s[1] - 0.3 * s[15] - s[4] for _, s in found])
        for k in np.union1d(np.argsort(-likely)[:most], np.nonzero(good)[0]).astype(int):
            rows.append(found[k][1])
            right.append(float(good[k]))
            picture.append(number)
    return np.array(rows), np.array(right, np.float32), np.array(picture)


def train_groups(rows, right, picture, count, random):
    """The network after the round that a sixth of the pictures, kept apart, likes best."""
    net = lug_groups.GroupNet()
    middle, spread = rows.mean(0), rows.std(0) + 0.05
    rows = (rows - middle) / spread
    optimizer = torch.optim.AdamW(net.parameters(), lr=3e-3, weight_decay=0.05)
    starts, known = np.searchsorted(picture, np.arange(count + 1)), count * 5 // 6

    def surprise(ids):
        chosen = np.concatenate([np.arange(starts[i], starts[i + 1]) for i in ids])
        of = np.repeat(np.arange(len(ids)), [starts[i + 1] - starts[i] for i in ids])
        given = (torch.from_numpy(a) for a in (rows[chosen], right[chosen], of))
        return lug_groups.surprise(net, *given, len(ids)).mean()

    best = (np.inf, None)
    for round_ in range(ROUNDS):
        net.train()
        order = random.permutation(known)
        for group in optimizer.param_groups:
            group["lr"] = 3e-3 * (0.5 + 0.5 * np.cos(np.pi * round_ / ROUNDS))
        for k in range(0, known, 32):
            loss = surprise(order[k : k + 32])
            optimizer.zero_grad()
            loss.backward()
            optimizer.step()
        net.eval()
        with torch.no_grad():
            apart = float(surprise(range(known, count)))
        if apart < best[0]:
            best = apart, {name: value.clone() for name, value in net.state_dict().items()}
    print(f"groups kept apart: {best[0]:.3f}")
    net.load_state_dict(best[1])
    with torch.no_grad():  # for rows as they are
        net[1].weight /= torch.from_numpy(spread)
        net[1].bias -= net[1].weight @ torch.from_numpy(middle)
    return net


def write(net, groups, out):
    common = {"opset_version": 11}
    torch.onnx.export(
        net.eval(), torch.zeros(1, 2, 64, 64), str(out / "lug_net.onnx"), input_names=["contrast"],
        output_names=["features", "lugs"], dynamic_axes={"contrast": {2: "h", 3: "w"}}, **common,
    )
    torch.onnx.export(
        groups.eval(), torch.zeros(2, groups[1].in_features), str(out / "lug_groups.onnx"),
        input_names=["groups"], output_names=["merits"], dynamic_axes={"groups": {0: "n"}}, **common,
    )


def torch_picture():
    """As picture() of tests/sight/lug_net_test.cpp."""
    v, u = np.mgrid[:120, :160].astype(float)
    celsius = 20 + 0.2 * np.sin(0.7 * u) * np.cos(0.9 * v) + 0.01 * v
    for middle in (40, 80, 120):
        right, down = u - middle, v - 50
        celsius += 10 / (1 + np.exp(2 * (np.hypot(right, down) - 9)))
        celsius += (down > 0) * 4 / (1 + np.exp(2 * (np.abs(right) - 6)))
    return celsius


def write_said(net, groups, path):
    """Of torch_picture(): the surest lugs, and merits and descriptions of some groups."""
    celsius = torch_picture()
    lugs, features = lug_groups.lugs_seen(net, lug_net.levels(celsius, 0.05))
    rows = np.array([row for _, row in lug_groups.Picture(lugs, features, celsius.shape).groups()][:4])
    rows = np.concatenate([rows, rows / 2, 2 * rows]).astype(np.float32)  # the picture has few groups
    with torch.no_grad():
        merits = groups(torch.from_numpy(rows)).numpy()
    written = [("lug", np.concatenate([lugs[:3], features[:3]], axis=1)),
               ("group", np.concatenate([merits, rows], axis=1))]
    path.write_text("".join(
        ",".join([word, *(f"{value:.6g}" for value in row)]) + "\n" for word, table in written for row in table
    ))


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--work", type=Path, required=True, help="keeps pictures and weights there")
    parser.add_argument("--out", type=Path, default=Path("src/sight"))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--pictures", type=int, default=42000)
    parser.add_argument("--ranked", type=int, default=8000, help="pictures for the second network")
    parser.add_argument("--steps", type=int, default=40000)
    parser.add_argument("--real", type=Path, help="folder of real frames without lugs")
    given = parser.parse_args()
    torch.set_num_threads(1)
    torch.manual_seed(given.seed)
    random = np.random.default_rng(given.seed)
    given.work.mkdir(parents=True, exist_ok=True)
    seen = pieces(given, "seen", given.seed, given.pictures)
    ranked = pieces(given, "ranked", given.seed + 1, given.ranked)
    net = lug_net.LugNet()
    train_net(net, seen, random, given.steps, given.work)
    net.eval()
    rows, right, picture = described(net, ranked)
    groups = train_groups(rows, right, picture, given.ranked, random)
    write(net, groups, given.out)
    write_said(net, groups, Path("tests/sight/torch.csv"))


if __name__ == "__main__":
    main()
