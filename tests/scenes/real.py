"""Real frames of open data sets, read from a folder that the project does not hold.

The older picture of a pair is the middle of a frame. The newer one is the same frame drawn anew by
cubic interpolation as it would be seen from elsewhere, with noise of its own. Marks lie on places
that have structure. The sensor's pattern moves with the scene here, which a true second visit would
not show: these pairs are for what real surfaces look like.
"""
from dataclasses import dataclass

import numpy as np
import tifffile
from scipy.ndimage import gaussian_filter, map_coordinates

import visits

NOISE_K = 0.08
MARK_SHARE = 0.035  # radius over the short side


@dataclass
class Frame:
    kind: str
    celsius: np.ndarray


def counts_to_celsius(counts):
    """The data set states no scale; 40 counts a kelvin gives walls of about 15 °C."""
    return counts / 40.0 - 100


def frames(folder):
    """Walls with and without lamps, an aerial frame, surfaces, a sensor of few pixels."""
    found = []
    for path in sorted((folder / "heritage_walls_tiff16").glob("*.tiff")):
        kind = "real_uniform" if path.name.startswith("uniform") else "real_wall"
        found.append(Frame(kind, counts_to_celsius(tifffile.imread(path).astype(float))))
    for path in sorted((folder / "aerial_csv").glob("*.csv")):
        lines = path.read_text(encoding="utf-8").splitlines()[1:]  # the first one is the size
        rows = [[float(cell) for cell in line.split(",") if cell.strip()] for line in lines if line]
        found.append(Frame("real_aerial", np.array(rows)))
    for path in sorted((folder / "surface_temp_float32").glob("*.tif")):
        found.append(Frame("real_surface", tifffile.imread(path).astype(float)))
    for path in sorted((folder / "thermopile_32x32").glob("*.npy")):
        found += [Frame("real_thermopile", frame) for frame in np.load(path).astype(float)]
    if not found:
        raise FileNotFoundError(f"no frames in {folder}")
    return found


def structured_places(random, celsius, radius):
    """Three places apart, where the picture changes more than at five sixths of all places."""
    edges = np.hypot(*np.gradient(gaussian_filter(celsius, 2.5)))
    strength = gaussian_filter(edges, radius)
    rows, columns = celsius.shape
    margin = 2 * radius
    rough = np.quantile(strength, 5 / 6)
    chosen = []
    for _ in range(4000):
        x, y = random.uniform(margin, columns - margin), random.uniform(margin, rows - margin)
        apart = all(np.hypot(x - u, y - v) > 4 * radius for u, v in chosen)
        if apart and strength[int(y), int(x)] > rough:
            chosen.append((x, y))
            if len(chosen) == 3:
                return sorted(chosen)
    return None


def warped(random, frame, corner, size, matrix):
    """`matrix` takes older pixels to newer ones; the older picture lies at `corner` of the frame."""
    rows, columns = np.mgrid[0 : size[1], 0 : size[0]].astype(float)
    newer = np.column_stack([columns.ravel(), rows.ravel(), np.ones(columns.size)])
    older = newer @ np.linalg.inv(matrix).T
    x, y = older[:, 0] / older[:, 2] + corner[0], older[:, 1] / older[:, 2] + corner[1]
    inside = (x >= 0) & (y >= 0) & (x <= frame.shape[1] - 1) & (y <= frame.shape[0] - 1)
    if inside.mean() < 0.98:
        return None
    picture = map_coordinates(frame, [y, x], order=3, mode="nearest").reshape(rows.shape)
    return picture + random.normal(0, NOISE_K, picture.shape)


def pairs(random, given_frames, count):
    """Small, medium and large moves of frames that are wide enough, and other frames."""
    wide = [
        frame
        for frame in given_frames
        if min(frame.celsius.shape) >= 250 and frame.kind != "real_uniform"
    ]
    for kind in ("small", "medium", "large", "other_box"):
        made, tries = 0, 0
        while made < count and tries < 40 * count:
            tries += 1
            frame = wide[(made + tries) % len(wide)]
            pair = one_pair(random, frame, wide, kind)
            if pair:
                made += 1
                yield made, pair


def one_pair(random, frame, wide, kind):
    move = visits.KINDS[kind]
    height, width = frame.celsius.shape
    size = (int(width * 0.7) // 2 * 2, int(height * 0.7) // 2 * 2)
    corner = ((width - size[0]) // 2, (height - size[1]) // 2)
    older = frame.celsius[corner[1] : corner[1] + size[1], corner[0] : corner[0] + size[0]]
    radius = MARK_SHARE * min(size)
    places = structured_places(random, older, radius)
    source = frame.celsius
    if move.other:
        others = [f.celsius for f in wide if f is not frame and f.celsius.shape == source.shape]
        if not others:
            return None
        source = others[int(random.integers(len(others)))]
    view = visits.moved_view(random, move, None, size)
    matrix = view.matrix @ np.linalg.inv(visits.canvas.straight_on(*size).matrix)
    newer = warped(random, source, corner, size, matrix)
    if newer is None or places is None:
        return None
    marks = []
    for order, place in enumerate(places, 1):
        landing = visits.canvas.divided(np.array([place]), matrix)[0]
        in_frame = bool(np.all(landing > radius) and np.all(landing < np.array(size) - 1 - radius))
        marks.append(
            {
                "name": f"T{order}",
                "order": order,
                "older_center": [round(float(v), 2) for v in place],
                "older_radius": round(radius, 2),
                "center": [round(float(v), 2) for v in landing],
                "radius": round(radius, 2),
                "in_frame": in_frame,
            }
        )
    if not all(mark["in_frame"] for mark in marks):
        return None
    mean = newer.mean()
    return visits.Pair(
        f"real_{kind}",
        older + random.normal(0, NOISE_K, older.shape),
        mean + move.contrast * (newer - mean),
        size,
        size,
        matrix / matrix[2, 2],
        marks,
        move.other,
        False,
        "row",
        frame.kind,
        "none",
    )
