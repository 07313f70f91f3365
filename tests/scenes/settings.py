"""How the sets differ. Rules are tuned on `tune`, compared on `unseen` and judged on `judge`.

`unseen` has kinds of lugs, courses, grounds and negatives that `tune` lacks.

Other lugs, other courses of cables, other clutter, other sizes of pictures, other things that are no
lugs; and distributions that reach further: closer lugs, more of them turned, cold or half hidden.
"""
from dataclasses import dataclass, replace

import numpy as np


@dataclass
class Setting:
    sizes: dict  # (width, height): weight
    endings: dict
    lugs: dict
    layouts: dict
    tempers: dict
    courses: dict
    clutter: dict
    grounds: dict
    negatives: dict
    negative_share: float
    hidden_share: float
    lug_share: tuple  # diameter over the short side, drawn on a logarithmic scale
    unequal: float  # greatest difference of the two spacings over their mean
    rise_k: tuple
    blur_px: tuple
    defocused: tuple  # share of pictures; blur over the lug's radius
    noise_k: tuple
    stripes_k: tuple
    vignette_k: tuple
    drift_k: tuple
    air_c: tuple


TUNE = Setting(
    sizes={(160, 120): 2, (320, 240): 4, (384, 288): 2, (640, 480): 3},
    endings={".npy": 4, ".tif": 5, ".csv": 1},
    lugs={
        "ring": 2,
        "bolt": 2,
        "pad": 2,
        "clamp": 2,
        "assembled": 7,
        "cup": 2,
        "post": 2,
        "sleeve": 2,
    },
    layouts={
        "row": 3,
        "column": 2,
        "slanted": 3,
        "arc": 2,
        "triangle": 3,
        "bent": 2,
        "two_in_frame": 1.5,
    },
    tempers={"warm": 3, "one_hot": 4, "cold": 3},
    courses={"straight": 3, "converge": 3, "loop": 1, "curl": 2},
    clutter={
        "corner_screws": 0.5,
        "earth": 0.5,
        "barriers": 0.3,
        "block": 0.4,
        "rail": 0.25,
        "label": 0.5,
        "wires": 0.5,
        "glands": 0.5,
        "reflection": 0.5,
        "edges": 0.6,
        "duct": 0.15,
        "fuses": 0.2,
        "rivets": 0.2,
    },
    grounds={"plain": 3, "mottled": 2, "sloped": 2, "ribbed": 1},
    negatives={
        "wall": 1,
        "lamps": 1,
        "field": 1,
        "sky": 1,
        "pipes": 1,
        "tray": 1,
        "empty_box": 1,
        "window": 1,
        "fins": 1,
        "sundry": 3,
        "threes": 3,
        "medley": 2,
        "cattle": 1,
        "flange": 1,
        "masts": 1,
    },
    negative_share=0.35,
    hidden_share=0.12,
    lug_share=(0.035, 0.30),
    unequal=0.24,
    rise_k=(1.5, 50),
    blur_px=(0.5, 1.1),
    defocused=(0.12, 0.12, 0.3),
    noise_k=(0.03, 0.12),
    stripes_k=(0.01, 0.08),
    vignette_k=(-0.3, 1.0),
    drift_k=(0, 0.08),
    air_c=(5, 38),
)

JUDGE = Setting(
    sizes={(160, 120): 3, (256, 192): 2, (320, 256): 3, (640, 512): 2, (1024, 768): 1.2},
    endings={".npy": 3, ".tif": 4, ".csv": 1},
    lugs={"ring": 2, "flag": 3, "blade": 3, "dome": 3, "splice": 2, "twin": 2},
    layouts={
        "row": 3,
        "column": 2,
        "slanted": 3,
        "arc": 2,
        "triangle": 3,
        "stagger": 2,
        "two_in_frame": 1.5,
    },
    tempers={"warm": 3, "one_hot": 4, "cold": 3},
    courses={"straight": 2, "converge": 2, "sweep": 3, "back": 2},
    clutter={
        "corner_screws": 0.6,
        "earth": 0.5,
        "barriers": 0.2,
        "block": 0.3,
        "label": 0.3,
        "wires": 0.6,
        "glands": 0.4,
        "reflection": 0.6,
        "edges": 0.6,
        "hinge": 0.4,
        "cans": 0.25,
        "sun": 0.15,
        "ties": 0.4,
    },
    grounds={"plain": 2, "mottled": 2, "sloped": 2, "perforated": 2},
    negatives={
        "blocks": 1,
        "lamps": 1,
        "field": 1,
        "sky": 1,
        "pipes": 1,
        "tray": 1,
        "empty_box": 1,
        "window": 1,
        "fins": 1,
        "pilots": 1,
        "people": 1,
        "rollers": 1,
        "roof": 1,
    },
    negative_share=0.35,
    hidden_share=0.15,
    lug_share=(0.035, 0.30),
    unequal=0.25,
    rise_k=(1.5, 60),
    blur_px=(0.6, 1.3),
    defocused=(0.15, 0.12, 0.35),
    noise_k=(0.03, 0.16),
    stripes_k=(0.01, 0.12),
    vignette_k=(-0.4, 1.5),
    drift_k=(0, 0.12),
    air_c=(-5, 42),
)

UNSEEN = replace(
    TUNE,
    lugs={"fork": 1, "saddle": 1, "boot": 1},
    courses={"straight": 2, "converge": 2, "wavy": 2},
    grounds={"plain": 2, "mottled": 2, "studded": 1},
    negatives={"pots": 1, "bearings": 1, "birds": 1, "pipes": 1, "empty_box": 1},
)

# Scenes are drawn by a set's place among the sorted names: new ones stand last.
SETS = {"tune": TUNE, "judge": JUDGE, "unseen": UNSEEN}


def choose(random, weights):
    names = list(weights)
    shares = np.array([weights[name] for name in names], float)
    return names[random.choice(len(names), p=shares / shares.sum())]
