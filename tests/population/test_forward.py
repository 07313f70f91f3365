"""Holds the forward model against closed forms and published numbers: python3 test_forward.py"""
import numpy as np

import planck
import warmth
import wires


def near(got, wanted, within):
    assert abs(got - wanted) <= within, f"got {got}, wanted {wanted} within {within}"


def band_radiance_is_plancks():
    # series sum of the band integral, computed apart (CODATA 2018)
    for celsius, wanted in (
        (-20, 23.824685),
        (25, 53.3965389),
        (60, 86.9320366),
        (200, 311.429399),
    ):
        near(float(planck.radiance(celsius)), wanted, 1e-5 * wanted)
    # x^3/(e^x - 1) summed as a series for 8 to 14 um at 100 C
    near(float(planck.radiance(100)), _series(373.15), 1e-4)


def _series(kelvin):
    def below(x):
        n = np.arange(1, 60)
        return np.sum(
            np.exp(-n * x) * (x**3 / n + 3 * x**2 / n**2 + 6 * x / n**3 + 6 / n**4)
        )

    short, long = (planck.C2_M_K / (um * 1e-6 * kelvin) for um in (8, 14))
    scale = planck.C1L_W_M2_SR * (kelvin / planck.C2_M_K) ** 4
    return scale * (below(long) - below(short))


def radiation_balance_goes_round():
    seen = planck.apparent_c(planck.seen_radiance(62.249, 0.5, 25.0))
    near(float(seen), 45.0, 2e-3)  # published case: 45 C apparent, e 0.5, reflected 25 C
    near(float(planck.surface_c(seen, 0.5, 25.0)), 62.249, 1e-3)


def _conductor(length_m=np.inf):
    return warmth.Conductor(np.array(25.0), np.array(10.0), length_m)


def conductor_far_away_keeps_its_own_balance():
    cable = _conductor()
    far = float(cable.far_rise_k(80.0))
    made = float(cable.ohm_m()) * 80.0**2 * (1 + warmth.COPPER_PER_K * far)
    lost = 10.0 * (far / 20) ** 0.2 * float(cable.perimeter_m()) * far
    near(lost, made, 1e-6 * made)


def fin_loses_what_finite_differences_lose():
    cable = _conductor(length_m=0.12)
    conductance, inflow = warmth.fin_inflow(cable, 90.0, 0.7)
    far = float(cable.far_rise_k(90.0))
    whole, m = (float(v) for v in cable.fin(far))
    lug, nodes = 31.0, 4001
    step = 0.12 / (nodes - 1)
    section = whole / m
    # k A theta'' = h p (theta - far), theta(0) = lug, k A theta'(L) = 0.7 W; a tridiagonal system
    from scipy.linalg import solve_banded

    bands = np.zeros((3, nodes))
    bands[0, 1:], bands[2, :-1] = 1, 1
    bands[1, :] = -2 - (m * step) ** 2
    right = np.full(nodes, -((m * step) ** 2) * far)
    bands[1, 0], bands[0, 1], right[0] = 1, 0, lug
    bands[2, -2], right[-1] = 2, right[-1] - 2 * step * 0.7 / section
    theta = solve_banded((1, 1), bands, right)
    out = -section * (-3 * theta[0] + 4 * theta[1] - theta[2]) / (2 * step)
    near(float(conductance) * lug - float(inflow), out, 1e-4 * abs(out))


def _lugs(joint_ohm, emissivity=0.9):
    one = np.ones(3)
    return warmth.Lugs(
        18e-4 * one,
        emissivity * one,
        1.7 * one,
        joint_ohm * one,
        warmth.Conductor(25 * one, 10 * one),
        warmth.Conductor(25 * one, 10 * one, 0.1),
        0 * one,
        25 * one,
        0 * one,
    )


def lug_keeps_its_heat_balance():
    lugs = _lugs(300e-6)
    theta = float(warmth.lug_rises_k(lugs, 80.0)[0])
    cable_w_k, cable_w = (float(v[0]) for v in warmth.fin_inflow(lugs.cable, 80.0, 0.0))
    device_w_k, device_w = (float(v[0]) for v in warmth.fin_inflow(lugs.device, 80.0, 0.0))
    made = 80.0**2 * 300e-6 * (1 + warmth.CONTACT_PER_K * theta) + cable_w + device_w
    lost = (
        1.7 * 18e-4 * theta**1.25
        + (cable_w_k + device_w_k) * theta
        + 0.9 * warmth.SIGMA * 18e-4 * ((298.15 + theta) ** 4 - 298.15**4)
    )
    near(lost, made, 1e-9 * made)


def exponent_of_the_load_is_that_of_still_air():
    for emissivity in (0.1, 0.95):
        half, full = (
            float(
                (
                    warmth.lug_rises_k(_lugs(9e-4, emissivity), load)
                    - warmth.lug_rises_k(_lugs(1e-5, emissivity), load)
                )[0]
            )
            for load in (40.0, 80.0)
        )
        exponent = np.log2(full / half)
        assert 1.6 < exponent < 2.2, exponent


def pairs_and_legs_agree():
    near(
        wires.unbalance_pct(wires.with_legs(wires.wye_pairs([0.5] * 3), np.array([0.005, 0, 0]))),
        0.33223,
        1e-5,
    )  # published: 5 milliohm in one leg of 0.5 ohm a phase
    near(wires.delta_pairs([1.5, 1.5, 1.5])[0], 1.0, 1e-12)
    pairs = wires.delta_pairs([1.48538835, 1.54540404, 1.51480198])
    for got, wanted in zip(pairs, (1.00, 1.02, 1.01)):
        near(got, wanted, 1e-7)
    opened = wires.delta_pairs([np.inf, 1.0, 1.0])
    near(opened[0], 2.0, 1e-12)
    near(opened[1], 1.0, 1e-12)


def negative_sequence_makes_unequal_currents():
    lines = wires.supply_currents_a(100.0, 100.0, 6.0, 0.02, 0.0)  # 12 % against the positive one
    # 1 + 0.12, and |a^2 + 0.12 a|, |a + 0.12 a^2|: sqrt(1 + 0.12^2 - 0.12)
    small = np.sqrt(1 + 0.12**2 - 0.12)
    mean = (1.12 + 2 * small) / 3
    near(lines[0], 100 * 1.12 / mean, 1e-9)
    near(lines[1], 100 * small / mean, 1e-9)
    near(wires.unbalance_pct(wires.sequence_pair_voltages_v(480, 0.0, 1.0)), 0.0, 1e-9)


CHECKS = (
    band_radiance_is_plancks,
    radiation_balance_goes_round,
    conductor_far_away_keeps_its_own_balance,
    fin_loses_what_finite_differences_lose,
    lug_keeps_its_heat_balance,
    exponent_of_the_load_is_that_of_still_air,
    pairs_and_legs_agree,
    negative_sequence_makes_unequal_currents,
)

if __name__ == "__main__":
    for check in CHECKS:
        check()
        print("ok", check.__name__.replace("_", " "))
