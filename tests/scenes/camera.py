"""What a camera makes of a scene, and the files it is stored in.

Blur (focus, motion and optics as one Gaussian), a darker or brighter rim, stripes that stay with the
sensor, a smooth drift between shutter corrections, noise, dead pixels.
"""
from dataclasses import dataclass

import numpy as np
import tifffile
from scipy.ndimage import gaussian_filter, zoom

import canvas
from settings import choose


@dataclass
class Camera:
    blur_px: float
    noise_k: float
    stripes_k: float
    vignette_k: float
    drift_k: float
    sensor: int  # seed of what stays with the sensor


def draw(random, setting, height, sensor):
    """Blur in pixels grows with the picture: the same lens before more pixels."""
    blur = random.uniform(*setting.blur_px) * max(1, height / 300) ** 0.5
    return Camera(
        blur,
        float(np.exp(random.uniform(*np.log(setting.noise_k)))),
        float(np.exp(random.uniform(*np.log(setting.stripes_k)))),
        random.uniform(*setting.vignette_k),
        random.uniform(*setting.drift_k),
        sensor,
    )


def draw_size(random, setting):
    """Columns and rows."""
    sizes = {f"{w}x{h}": share for (w, h), share in setting.sizes.items()}
    return tuple(int(n) for n in choose(random, sizes).split("x"))


def draw_ending(random, setting, size):
    """Text is for small pictures."""
    ending = choose(random, setting.endings)
    return ".npy" if ending == ".csv" and size[0] > 400 else ending


def draw_camera(random, setting, size, radius_px):
    """Some are out of focus, by a share of the lug's radius."""
    camera = draw(random, setting, min(size), int(random.integers(1 << 30)))
    share, least, most = setting.defocused
    if random.random() < share:
        camera.blur_px = max(camera.blur_px, radius_px * random.uniform(least, most))
    return camera


def sensor_pattern(camera, shape):
    random = np.random.default_rng([7, camera.sensor])
    rows, columns = shape
    stripes = camera.stripes_k * (
        random.normal(0, 1, (1, columns)) + 0.5 * random.normal(0, 1, (rows, 1))
    )
    pixels = 0.3 * camera.stripes_k * random.normal(0, 1, shape)
    v, u = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    return stripes + pixels - camera.vignette_k * (u**2 + v**2) / 2


def focused(camera, radiances):
    """Without noise and sensor."""
    return canvas.apparent_c(gaussian_filter(radiances, camera.blur_px, mode="nearest"))


def recorded(camera, focused_c, random):
    rows, columns = focused_c.shape
    drift = zoom(random.normal(0, camera.drift_k, (3, 4)), (rows / 3, columns / 4), order=1)
    noise = random.normal(0, camera.noise_k, focused_c.shape)
    return focused_c + sensor_pattern(camera, focused_c.shape) + drift + noise


def write(path, celsius):
    """In degrees Celsius: floats in .npy and .tif, hundredths in .csv."""
    if path.suffix == ".npy":
        np.save(path, celsius.astype(np.float32))
    elif path.suffix == ".csv":
        np.savetxt(path, celsius, fmt="%.2f", delimiter=",")
    else:
        tifffile.imwrite(path, celsius.astype(np.float32), metadata=None)


def read(path):
    if path.suffix == ".npy":
        return np.load(path)
    if path.suffix == ".csv":
        return np.loadtxt(path, delimiter=",")
    return tifffile.imread(path)
