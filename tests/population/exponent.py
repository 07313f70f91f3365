"""Where the load exponent comes from: python3 exponent.py

Rises of a hot lug are worked out with the heat balance of warmth.py in still air: convection and
radiation of the lug, its conductors as fins that make heat themselves, a metallic contact whose
resistance grows with temperature. At each point of the grid the joint is made so bad that the lug
stands that far above the air at that current; the exponent there is d ln(rise) / d ln(current), by
central difference over 2 % of the current.

The like lug beside it has the same surface and conductors and a sound joint; the rise over like is
the difference of both. Points where the wanted rise is no more than a sound joint's are left out,
and, of the rise over like, those under 1 K, which no limit reaches. A motor's rated current is what
circuits.py lets its conductor carry (NEC table 310.16 over 1.25); its load is a share of that. Like
lugs stand in one air: what their enclosure's air adds to the rises goes with all of them.
"""
from dataclasses import dataclass, replace

import numpy as np

import warmth

AIR_C = 25.0
RISES_K = (5, 10, 20, 40, 80)
AREAS_CM2 = (6, 12, 25, 60, 120)
SECTIONS_MM2 = (4, 16, 50, 150, 400)
EMISSIVITIES = (0.1, 0.3, 0.6, 0.95)
CONVECTIONS = (1.4, 1.8, 2.2)  # of warmth.py: bodies of 50 to 10 mm
LOADS = (0.4, 0.7, 1.0)  # of rated
CONTACT_MV = (0.0, 6.0)  # a terminal; a closed contact at the end of the device's conductor
SOUND_JOINT_MV = 2.4  # at rated current, as circuits.py has it
CONDUCTOR_H = 8.5  # W/(m2 K) at 20 K
DEVICE_M = 0.12
LEAST_OVER_LIKE_K = 1.0
STEP = 0.01  # of the current, to either side
HALVINGS = 60


@dataclass
class Point:
    """One lug of the grid; the axes are broadcast."""

    lugs: warmth.Lugs  # with the sound joint
    current_a: np.ndarray
    rise_k: np.ndarray  # wanted
    emissivity: np.ndarray


def rated_a(section_mm2):
    return 20 * (section_mm2 / 2.08) ** 0.62 / 1.25


def sized(area_cm2, section_mm2):
    """Lugs fit their conductors: within a factor of 2.5 of circuits.py's surface."""
    usual_cm2 = 6 + 0.35 * section_mm2**0.9
    return (area_cm2 < 2.5 * usual_cm2) & (area_cm2 > usual_cm2 / 2.5)


def grid():
    axes = (AREAS_CM2, SECTIONS_MM2, EMISSIVITIES, CONVECTIONS, LOADS, CONTACT_MV, RISES_K)
    flat = [axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")]
    area, section, emissivity, convection, load, contact_mv, rise = (
        axis[sized(flat[0], flat[1])].astype(float) for axis in flat
    )
    rated = rated_a(section)
    one = np.ones_like(area)
    conductor = warmth.Conductor(section, CONDUCTOR_H * one)
    lugs = warmth.Lugs(
        area * 1e-4,
        emissivity,
        convection,
        SOUND_JOINT_MV * 1e-3 / rated,
        conductor,
        replace(conductor, length_m=DEVICE_M),
        contact_mv * 1e-3 / rated / 2,
        AIR_C * one,
        0 * one,
    )
    return Point(lugs, load * rated, rise, emissivity)


def joint_for(point):
    """Ohms with which the lug stands at the wanted rise, by halving."""
    low = point.lugs.joint_ohm
    high = low + 1e3 / point.current_a**2  # a kilowatt
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        rise = warmth.lug_rises_k(point.lugs.with_joint(middle), point.current_a)
        too_hot = rise > point.rise_k
        low, high = np.where(too_hot, low, middle), np.where(too_hot, middle, high)
    return (low + high) / 2


def slope(rises_at, current_a):
    """d ln rise / d ln current."""
    above, below = (rises_at(current_a * (1 + step)) for step in (STEP, -STEP))
    return np.log(above / below) / np.log((1 + STEP) / (1 - STEP))


def exponents(point):
    """Of the rise over air and over like, and the rises themselves; NaN: left out."""
    bad = point.lugs.with_joint(joint_for(point))
    over_air = lambda current: warmth.lug_rises_k(bad, current)
    over_like = lambda current: over_air(current) - warmth.lug_rises_k(point.lugs, current)
    reached = warmth.lug_rises_k(point.lugs, point.current_a) < point.rise_k
    with np.errstate(invalid="ignore", divide="ignore"):
        by_air = np.where(reached, slope(over_air, point.current_a), np.nan)
        counts = reached & (over_like(point.current_a) >= LEAST_OVER_LIKE_K)
        by_like = np.where(counts, slope(over_like, point.current_a), np.nan)
    return by_air, by_like


def row(name, values):
    known = values[np.isfinite(values)]
    ends = np.percentile(known, [0, 5, 50, 95, 100])
    return f"{name:<28}{len(known):>7}" + "".join(f"{end:>8.2f}" for end in ends)


def of_contacts(ohm_per_k):
    """Exponents of the rise over like where a contact's ohms grow by that share a kelvin."""
    kept, warmth.CONTACT_PER_K = warmth.CONTACT_PER_K, ohm_per_k
    try:
        return exponents(grid())[1]
    finally:
        warmth.CONTACT_PER_K = kept


def main():
    point = grid()
    by_air, by_like = exponents(point)
    print(
        f"{'exponent of the current in':<28}{'points':>7}{'least':>8}{'5 %':>8}{'median':>8}"
        f"{'95 %':>8}{'most':>8}"
    )
    print(row("the rise over air", by_air))
    print(row("the rise over like", by_like))
    for rise in RISES_K:
        print(row(f"  over like, {rise} K over air", by_like[point.rise_k == rise]))
    for emissivity in EMISSIVITIES:
        print(
            row(f"  over like, emissivity {emissivity:g}", by_like[point.emissivity == emissivity])
        )
    print(row("  over like, ohms constant", of_contacts(0.0)))
    print(row("  over like, as copper's", of_contacts(warmth.COPPER_PER_K)))


if __name__ == "__main__":
    main()
