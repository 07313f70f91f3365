"""The lug network: what it is shown, what it is made of, and how its weights are stored.

src/sight/lug_net.cpp does the same in C++; tests/sight/lug_net_test.cpp holds the two together.
"""
import numpy as np
import torch
from scipy.ndimage import uniform_filter
from torch import nn
from torch.nn import functional as F

SHORT_SIDE = 256  # of the finest level; two more, each half as large
LEVELS = 3
STRIDE = 4  # pixels of a level from one place of the output to the next
NEAR, WIDE = 25, 81  # sides of the squares that a pixel is held against
CLIP = 4.0


def noise_k(image):
    """As marking::pixel_noise_k."""
    a = image[: image.shape[0] // 2 * 2, : image.shape[1] // 2 * 2]
    d = np.abs(a[::2, ::2] - a[::2, 1::2] - a[1::2, ::2] + a[1::2, 1::2])
    return 1.4826 * float(np.median(d)) / 2


def resizer(old, new):
    """Rows of weights: areas where it shrinks, between middles where it grows."""
    scale = old / new
    m = np.zeros((new, old), np.float32)
    for k in range(new):
        if scale > 1:
            a, b = k * scale, min((k + 1) * scale, old)
            for i in range(int(a), int(np.ceil(b - 1e-9))):
                m[k, i] = (min(b, i + 1) - max(a, i)) / scale
        else:
            x = min(max((k + 0.5) * scale - 0.5, 0), old - 1)
            i = min(int(x), old - 2)
            m[k, i], m[k, i + 1] = 1 - (x - i), x - i
    return m


_RESIZERS = {}


def resized(image, rows, columns):
    for old, new in ((image.shape[0], rows), (image.shape[1], columns)):
        if (old, new) not in _RESIZERS:
            _RESIZERS[old, new] = resizer(old, new)
    a, b = _RESIZERS[image.shape[0], rows], _RESIZERS[image.shape[1], columns]
    return a @ image @ b.T


def contrast(image, side, noise):
    above = image - uniform_filter(image, side, mode="mirror")
    square = above * above
    spread = np.sqrt(np.maximum(uniform_filter(square, side, mode="mirror"), 0))
    floor = 0.25 * np.sqrt(square.mean()) + 2 * noise + 1e-6
    return np.clip(above / (spread + floor), -CLIP, CLIP)


def levels(celsius, pixel_noise_k=None):
    """Of each level two channels, and pixels of the original for one of the level."""
    image = celsius.astype(np.float32)
    times = min(image.shape) / SHORT_SIDE
    rows, columns = (int(np.floor(n / times + 0.5)) for n in image.shape)
    noise = (noise_k(image) if pixel_noise_k is None else pixel_noise_k) / max(1.0, times)
    image = resized(image - np.float32(image.mean()), rows, columns)
    image = np.pad(image, ((0, -rows % 32), (0, -columns % 32)), mode="edge")
    made = []
    for _ in range(LEVELS):
        made.append((np.stack([contrast(image, NEAR, noise), contrast(image, WIDE, noise)]), times))
        image = (image[::2, ::2] + image[1::2, ::2] + image[::2, 1::2] + image[1::2, 1::2]) / 4
        noise, times = noise / 2, times * 2
    return made


class Convolved(nn.Sequential):
    def __init__(self, given, made, side=3, stride=1, dilation=1):
        super().__init__(
            nn.Conv2d(given, made, side, stride, dilation * (side // 2), dilation, bias=False),
            nn.BatchNorm2d(made),
        )


WIDTH, DEEP = 48, 64
DILATIONS, DEEP_DILATIONS = (1, 2, 1, 1), (1, 2, 4, 8, 1)
BEFORE = 2  # of the layers of DILATIONS


class LugNet(nn.Module):
    """Out of two channels: features, and of each place the logit that a lug's middle is there, the
    middle's offset in places, and log2 of its radius over 6.4 pixels. Half of the way each place also
    hears of what lies around it, at half the size."""

    def __init__(self, width=WIDTH, deep=DEEP):
        super().__init__()
        self.stem = nn.ModuleList(
            [Convolved(2, 16, 5, 2), Convolved(16, 24), Convolved(24, width, 3, 2)]
        )
        self.body = nn.ModuleList([Convolved(width, width, 3, 1, d) for d in DILATIONS])
        self.down = Convolved(width, deep, 3, 2)
        self.around = nn.ModuleList([Convolved(deep, deep, 3, 1, d) for d in DEEP_DILATIONS])
        self.up = nn.Conv2d(deep, width, 1)
        self.head = nn.Conv2d(width, 4, 1)
        nn.init.zeros_(self.head.weight)
        self.head.bias.data = torch.tensor([-4.0, 0, 0, 0])

    def forward(self, x):
        for layer in self.stem:
            x = F.relu(layer(x))
        for layer in self.body[:BEFORE]:
            x = x + F.relu(layer(x))
        around = F.relu(self.down(x))
        for layer in self.around:
            around = around + F.relu(layer(around))
        x = x + F.interpolate(self.up(around), scale_factor=2.0, mode="nearest")
        for layer in self.body[BEFORE:]:
            x = x + F.relu(layer(x))
        return x, self.head(x)
