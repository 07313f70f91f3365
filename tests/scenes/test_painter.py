"""Holds the painter and the truth of the scenes against what is measured in the pictures.

python3 test_painter.py
"""
import numpy as np
from scipy.ndimage import center_of_mass, label

import box as boxes
import camera as optics
import canvas
import hot
import make
import real
import settings
import shapes
import visits
from canvas import Body, Cable

QUIET = optics.Camera(0.6, 1e-6, 1e-6, 0, 0, 1)


def plain_box(lugs, shape="dome"):
    """Lugs alone, before an even plate."""
    return boxes.Box(
        shape,
        "row",
        "warm",
        "straight",
        False,
        "plain",
        4 / 3,
        lugs,
        set(),
        1,
        (0, 1),
        (0.6, 0.5),
        (0, 0),
        0.5,
    )


def plain_lugs(height=0.0):
    places = [(-0.3, 0.02), (0.01, -0.1), (0.33, 0.05)]
    return [boxes.Lug(x, y, 0.07, np.pi / 2, 0.9, 0.9, 0, height) for x, y in places]


def even_day(rises):
    return boxes.Day(20.0, 0.0, 20.0, np.array(rises), 0.0, (0, 0))


def test_areas_and_distances():
    """Areas by counting covered pixels against the closed forms."""
    view = canvas.straight_on(400, 400)
    cases = [
        (shapes.disc(0.01, -0.02, 0.2), np.pi * 0.2**2),
        (shapes.plate(0, 0, 0.3, 0.1, 0.7), 4 * 0.3 * 0.1),
        (shapes.polygon(0, 0, 6, 0.2, 0.3), 1.5 * np.sqrt(3) * 0.2**2),
        (shapes.capsule(0, 0, 0.2, 0.05, 1.1), 4 * 0.2 * 0.05 + np.pi * 0.05**2),
        (shapes.ring(0, 0, 0.2, 0.03), np.pi * (0.23**2 - 0.17**2)),
    ]
    for outline, area in cases:
        painted = canvas.paint(view, lambda x, y: 0 * x, [Body(outline, 10.0, 1.0)])
        low, high = canvas.radiance(0.0), canvas.radiance(10.0)
        share = (painted.radiance - low) / (high - low)
        assert abs(share.sum() * view.pixel**2 / area - 1) < 0.01, (outline, area)


def test_apparent_temperature_of_a_grey_body():
    """A body at 60 °C of emissivity 0.5 before 20 °C, by hand with the fourth powers."""
    seen = 0.5 * canvas.radiance(60.0) + 0.5 * canvas.radiance(20.0)
    by_hand = (0.5 * 333.15**4 + 0.5 * 293.15**4) ** 0.25 - 273.15
    assert abs(canvas.apparent_c(seen) - by_hand) < 1e-6


def test_truth_lies_where_the_picture_shows_the_lugs():
    """Centres of mass of what stands out, and the radius from its area, against the truth."""
    for height in (0.0, 0.2):
        box = plain_box(plain_lugs(height))
        for lug in box.lugs:
            lug.emissivity = 0.95
        view = canvas.straight_on(320, 240)
        if height:
            view.lean = (0.1, -0.2)
        bodies = []
        for number, lug in enumerate(box.lugs, 1):
            disc = shapes.disc(lug.x, lug.y, lug.radius)
            bodies.append(Body(disc, 40.0, 0.95, 20, height, number, True))
        painted = canvas.paint(view, lambda x, y: 20 + 0 * x, bodies)
        focused = optics.focused(QUIET, painted.radiance)
        contrast = np.abs(focused - 20)
        blobs, count = label(focused > 29.5)
        assert count == 3
        middles = center_of_mass(focused - 20, blobs, range(1, 4))
        for number, lug in enumerate(box.lugs, 1):
            truth = boxes.lug_truth(box, number, view, QUIET, painted, focused, contrast)
            off = [np.hypot(x - truth["center"][0], y - truth["center"][1]) for y, x in middles]
            nearest = int(np.argmin(off))
            assert off[nearest] < 0.1, (height, number, off)
            area = np.sum(blobs == nearest + 1)
            assert abs(np.sqrt(area / np.pi) / truth["radius"] - 1) < 0.04
            assert truth["visible"] and truth["in_frame"] and truth["hidden_share"] == 0


def test_every_lug_is_where_its_seat_is_painted():
    """For each kind of lug of both sets: the seat's middle of mass against the truth's centre."""
    for setting in settings.SETS.values():
        for shape in setting.lugs:
            box = plain_box(plain_lugs(), shape)
            view = canvas.straight_on(640, 480)
            _, bodies = boxes.bodies(box, even_day([20, 20, 20]))
            painted = canvas.paint(view, lambda x, y: 20 + 0 * x, bodies)
            for number, lug in enumerate(box.lugs, 1):
                row, column = center_of_mass(painted.seats[number])
                centre = view.to_pixels([[lug.x, lug.y]])[0]
                assert np.hypot(column - centre[0], row - centre[1]) < 0.05 * 0.07 * 480, shape
                reach = np.sqrt(painted.seats[number].sum() / np.pi) / (0.07 * 480)
                assert 0.8 < reach < 1.5, (shape, reach)


def test_hidden_share_is_that_of_the_covered_area():
    """A straight cable over half of a disc."""
    box = plain_box(plain_lugs())
    lug = box.lugs[0]
    view = canvas.straight_on(640, 480)
    cover = Cable(np.array([[lug.x + 1.0, lug.y - 1], [lug.x + 1.0, lug.y + 1]]), 1.0)
    bodies = [
        Body(shapes.disc(lug.x, lug.y, lug.radius), 40.0, 0.9, 20, 0, 1, True),
        Body(cover, lambda s, t: 20 + 0 * s, 0.94, 20),
    ]
    painted = canvas.paint(view, lambda x, y: 20 + 0 * x, bodies)
    focused = optics.focused(QUIET, painted.radiance)
    truth = boxes.lug_truth(box, 1, view, QUIET, painted, focused, np.abs(focused - 20))
    assert abs(truth["hidden_share"] - 0.5) < 0.02, truth


def test_what_cannot_be_seen_does_not_count():
    box = plain_box(plain_lugs())
    view = canvas.straight_on(320, 240)

    def photographed(rise, noise, blur=0.6):
        seen = optics.Camera(blur, noise, 0.001, 0, 0, 1)
        random = np.random.default_rng(1)
        return boxes.photograph(box, even_day([rise] * 3), view, seen, random).lugs

    assert all(lug["visible"] for lug in photographed(10, 0.05))
    assert not any(lug["visible"] for lug in photographed(0.05, 0.5))
    assert not any(lug["visible"] for lug in photographed(10, 0.05, blur=20))


def test_moves_invert_and_carry_marks():
    """The matrix of a pair against the views it was made from, and against the lugs' own truth."""
    random = np.random.default_rng(4)
    for kind in visits.KINDS:
        for _ in range(2):
            pair = visits.pair(random, settings.TUNE, kind)
            inverse = np.linalg.inv(pair.matrix)
            corners = np.array(
                [[0, 0], [pair.older_size[0] - 1, 0], [10, pair.older_size[1] - 1.0]]
            )
            back = canvas.divided(canvas.divided(corners, pair.matrix), inverse)
            assert np.abs(back - corners).max() < 1e-6
            if pair.refuse:
                continue
            lean = visits.KINDS[kind].lean
            for mark in pair.marks:
                landing = canvas.divided(np.array([mark["older_center"]]), pair.matrix)[0]
                # A lug stands at most 0.25 over the ground, seen at most `lean` √2 aside.
                most = 0.25 * lean * np.sqrt(2) * 1.5 * min(pair.newer_size) + 0.01
                assert np.hypot(*(landing - mark["center"])) <= most, (kind, landing, mark)


def test_another_box_has_its_lugs_elsewhere():
    """At least two radii from the first box's, so that carried marks would lie beside them."""
    random = np.random.default_rng(10)
    made = 0
    for _ in range(20):
        box = boxes.draw(random, settings.JUDGE, 4 / 3)
        other = visits.like_box(random, settings.JUDGE, box)
        if other is None:
            continue
        made += 1
        for first, second in zip(box.lugs, other.lugs):
            assert np.hypot(first.x - second.x, first.y - second.y) > 2 * second.radius
        assert other.shape == box.shape and other.layout == box.layout
    assert made > 5


def test_moves_are_as_large_as_they_are_called():
    random = np.random.default_rng(5)
    for kind, move in visits.KINDS.items():
        pair = visits.pair(random, settings.TUNE, kind)
        middle = np.array([[pair.older_size[0] / 2, pair.older_size[1] / 2]])
        points = canvas.divided(np.vstack([middle, middle + [1, 0], middle + [0, 1]]), pair.matrix)
        a, b = points[1] - points[0], points[2] - points[0]
        scale = np.sqrt(abs(a[0] * b[1] - a[1] * b[0]))
        scale *= min(pair.older_size) / min(pair.newer_size)
        assert 0.9 * move.scale[0] <= scale <= 1.1 * move.scale[1], (kind, scale)
        turn = abs(np.degrees(np.arctan2(a[1], a[0])))
        turn = 180 - turn if move.half_turn else turn
        assert turn <= move.turn_deg[1] + 5, (kind, turn)


def test_the_second_picture_shows_the_lugs_where_the_truth_says():
    """Measured by correlation: the first picture, drawn anew by the matrix, against the second."""
    random = np.random.default_rng(6)
    for kind in ("small", "medium", "half_turn", "resolution"):
        pair = visits.pair(random, settings.TUNE, kind)
        rows, columns = np.mgrid[0 : pair.newer_size[1], 0 : pair.newer_size[0]].astype(float)
        at = canvas.divided(
            np.column_stack([columns.ravel(), rows.ravel()]), np.linalg.inv(pair.matrix)
        )
        older = real.map_coordinates(pair.older, [at[:, 1], at[:, 0]], order=1, mode="nearest")
        inside = np.all((at >= 0) & (at <= np.array(pair.older_size) - 1), axis=1)
        alike = np.corrcoef(older[inside], pair.newer.ravel()[inside])[0, 1]
        wrong = np.corrcoef(older[inside], pair.newer[::-1, ::-1].ravel()[inside])[0, 1]
        assert alike > 0.8 and alike > wrong, (kind, alike, wrong)


def test_real_frames_are_warped_by_their_matrix():
    """A frame of one bright place: it lands where the matrix says."""
    random = np.random.default_rng(7)
    rows, columns = np.mgrid[0:300, 0:400].astype(float)
    frame = 20 + 30 * np.exp(-((columns - 190) ** 2 + (rows - 140) ** 2) / 50)
    matrix = visits.similarity(1.05, 0.05, (3, -4))
    newer = real.warped(random, frame, (40, 30), (320, 240), matrix)
    due = canvas.divided(np.array([[150.0, 110.0]]), matrix)[0]
    row, column = center_of_mass(np.where(newer > 30, newer - 20, 0))
    assert np.hypot(column - due[0], row - due[1]) < 0.2


def test_hot_places_are_the_hottest_outside_the_marks():
    """The hottest pixel away from marks, and from the cable of a warm lug, against the truth."""
    random = np.random.default_rng(8)
    for kind in ("between", "cable", "forgotten"):
        for _ in range(3):
            scene = hot.scene(random, settings.TUNE, (320, 240), kind)
            rows, columns = np.mgrid[0:240, 0:320]
            outside = np.ones((240, 320), bool)
            for _, (x, y), radius in scene.circles:
                outside &= np.hypot(columns - x, rows - y) > 1.3 * radius
            masked = np.where(outside, scene.celsius, -99)
            row, column = np.unravel_index(np.argmax(masked), masked.shape)
            x, y = scene.truth["hot"]
            reach = 1.3 * scene.truth["hot_radius"] + 1.5
            ends = scene.truth["hot_path"] or [(x, y)]
            off = min(np.hypot(column - a, row - b) for a, b in ends)
            assert off <= reach, (kind, off, reach)


def test_files_hold_what_was_recorded(tmp):
    random = np.random.default_rng(9)
    celsius = random.normal(20, 5, (12, 16))
    for ending, tolerance in ((".npy", 1e-5), (".tif", 1e-5), (".csv", 0.0051)):
        optics.write(tmp / f"a{ending}", celsius)
        assert np.abs(optics.read(tmp / f"a{ending}") - celsius).max() < tolerance


def test_a_scene_is_the_same_in_any_company(tmp):
    for folder, scenes in (("a", 4), ("b", 4)):
        make.make_propose(tmp / folder, "tune", 3, scenes)
    first, second = ((tmp / f / "truth.json").read_bytes() for f in ("a", "b"))
    assert first == second
    for path in sorted((tmp / "a/survey/images").iterdir()):
        assert path.read_bytes() == (tmp / "b/survey/images" / path.name).read_bytes()


def test_sets_differ_and_negatives_are_known():
    tune, judge = settings.TUNE, settings.JUDGE
    assert not set(tune.sizes) & set(judge.sizes) - {(160, 120)}
    assert set(tune.lugs) & set(judge.lugs) == {"ring"}
    for setting in (tune, judge):
        assert set(setting.negatives) <= set(make.NEGATIVES)
        assert len(setting.negatives) >= 9


def test_unseen_has_lugs_that_are_in_no_other_set():
    unseen = settings.UNSEEN
    assert not set(unseen.lugs) & (set(settings.TUNE.lugs) | set(settings.JUDGE.lugs))
    assert set(unseen.negatives) <= set(make.NEGATIVES)
    assert not {"pots", "bearings", "birds"} & set(settings.TUNE.negatives)


def main():
    import inspect
    import tempfile
    from pathlib import Path

    for name, test in sorted(globals().items()):
        if name.startswith("test_"):
            if inspect.signature(test).parameters:
                with tempfile.TemporaryDirectory() as folder:
                    test(Path(folder))
            else:
                test()
            print(f"{name[5:].replace('_', ' ')}: held")


if __name__ == "__main__":
    main()
