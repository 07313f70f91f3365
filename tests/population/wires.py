"""What meters meet: pair resistances, line currents on unequal voltages, and the meters themselves.

- A pair is two legs in series (cable, joints, closed contacts) and the winding between them: two
  phases of a wye, or one side of a delta in parallel with the two others.
- Unequal voltages are a positive and a negative sequence. The motor answers the negative one with
  its locked-rotor impedance (textbook: slip 2 - s, close to standstill), so I2/I1 is about V2/V1
  times the locked-rotor current in units of the running one.
- Open delta: two lines carry one winding each, the third carries both: 1 : 1 : sqrt(3).
- Open phase: the two lines left carry sqrt(3) times the current of the same load (textbook).
"""
import numpy as np

TURN = np.exp(2j * np.pi / 3)
PAIRS = ((0, 1), (1, 2), (2, 0))


def wye_pairs(phase_ohm):
    return np.array([phase_ohm[a] + phase_ohm[b] for a, b in PAIRS])


def delta_pairs(side_ohm):
    """Sides 1-2, 2-3, 3-1; an open side is infinite."""
    pairs = []
    for k in range(3):
        others = side_ohm[(k + 1) % 3] + side_ohm[(k + 2) % 3]
        pairs.append(1 / (1 / side_ohm[k] + 1 / others))
    return np.array(pairs)


def with_legs(winding_pairs_ohm, leg_ohm):
    return winding_pairs_ohm + wye_pairs(leg_ohm)


def sequence_currents_a(mean_a, negative_share, angle_rad):
    """Three line magnitudes of a positive sequence and a negative one of that share."""
    lines = np.arange(3)
    positive = TURN ** (-lines)
    negative = negative_share * np.exp(1j * angle_rad) * TURN**lines
    magnitudes = np.abs(positive + negative)
    return mean_a * magnitudes / magnitudes.mean()


def sequence_pair_voltages_v(mean_v, negative_share, angle_rad):
    """Pairs 1-2, 2-3, 3-1 of the same two sequences."""
    return sequence_currents_a(mean_v, negative_share, angle_rad)


def supply_currents_a(mean_a, rated_a, locked_rotor_ratio, voltage_share, angle_rad):
    """Line currents on a supply with negative-sequence share `voltage_share`."""
    negative_a = voltage_share * locked_rotor_ratio * rated_a
    return sequence_currents_a(mean_a, negative_a / max(mean_a, 1e-9), angle_rad)


def unbalance_pct(values):
    values = np.asarray(values, float)
    return float(100 * np.abs(values - values.mean()).max() / values.mean())
