"""Holds exponent.py against a closed form and the program's exponents: python3 test_exponent.py"""
import re
from dataclasses import replace
from pathlib import Path

import numpy as np

import exponent
import warmth

SEVERITY = Path(__file__).parents[2] / "include/ohmglow/severity.h"


def programs(name):
    return float(re.search(rf"double {name} = ([\d.]+);", SEVERITY.read_text()).group(1))


def convection_alone_gives_two_over_one_and_a_quarter():
    """I^2 R = c A theta^1.25, with nothing but the joint's heat."""
    lugs = exponent.grid().lugs
    one = np.ones_like(lugs.area_m2)
    bare = replace(
        lugs,
        emissivity=0 * one,
        cable=warmth.Conductor(1e-9 * one, 1e-9 * one),
        device=warmth.Conductor(1e-9 * one, 1e-9 * one, length_m=1e-9),
        device_end_ohm=0 * one,
    )
    rises = lambda joint_w: warmth.lug_rises_k(
        replace(bare, joint_ohm=0 * one, sun_w=joint_w * one), 0.0 * one
    )
    current = 10 * one
    got = exponent.slope(lambda a: rises(0.02 * a**2), current)
    assert np.allclose(got, 1.6, atol=1e-3), (got.min(), got.max())


def the_wanted_rises_are_reached():
    point = exponent.grid()
    hot = point.lugs.with_joint(exponent.joint_for(point))
    wanted = np.maximum(point.rise_k, warmth.lug_rises_k(point.lugs, point.current_a))
    assert np.allclose(warmth.lug_rises_k(hot, point.current_a), wanted, rtol=1e-6)
    assert (wanted == point.rise_k).mean() > 0.7


def nine_in_ten_lie_between_the_programs_ends():
    _, by_like = exponent.exponents(exponent.grid())
    known = by_like[np.isfinite(by_like)]
    low, high = programs("kLoadExponentLow"), programs("kLoadExponentHigh")
    assert ((known > low) & (known < high)).mean() > 0.9
    assert abs(np.median(known) - programs("kLoadExponent")) < 0.05


if __name__ == "__main__":
    for check in (
        convection_alone_gives_two_over_one_and_a_quarter,
        the_wanted_rises_are_reached,
        nine_in_ten_lie_between_the_programs_ends,
    ):
        check()
        print("ok", check.__name__.replace("_", " "))
