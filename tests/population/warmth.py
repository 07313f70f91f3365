"""How warm a lug gets: one node with its own heat and four ways to lose it.

    I^2 R of the joint + heat the conductors bring = convection + radiation + conduction

- Convection from the lug: q = c A theta |theta|^0.25, the laminar still-air form; c about 1.4 to
  2.2 W/(m2 K^1.25) for bodies of centimetres (Churchill and Chu, worked out for 10 to 50 mm).
- Radiation with the lug's own emissivity to surroundings at the enclosure's air temperature.
- A conductor is a fin that makes heat itself (I^2 r a metre). Far from the lug it settles at
  theta_inf, where r I^2 = h p theta_inf; into a long one flows sqrt(h p k A) (theta - theta_inf).
  A short one inside a device ends at the switch contact, whose heat enters at that end:
  sqrt(h p k A) (theta - theta_inf) tanh(m L) - q_end / cosh(m L)      (textbook fin equations)
- h of a conductor grows with theta_inf^0.2, convection and radiation together (common practice, no
  source).
- Copper gains 0.39 % a kelvin. A metallic contact gains about two thirds of that (Holm).
- A lug that has run for t minutes shows 1 - exp(-t / tau) of its steady rise.

All arrays have the phases on their last axis; anything before it is broadcast.
"""
from dataclasses import dataclass, replace

import numpy as np

SIGMA = 5.670374419184e-8
COPPER_W_MK = 390.0
COPPER_OHM_M = 1.724e-8
COPPER_PER_K = 0.0039
CONTACT_PER_K = 0.0026


@dataclass
class Conductor:
    size_mm2: np.ndarray
    h_at_20k: np.ndarray  # W/(m2 K) at theta_inf = 20 K
    length_m: float = np.inf  # to the end inside a device

    def ohm_m(self):
        return COPPER_OHM_M / (self.size_mm2 * 1e-6)

    def perimeter_m(self):
        """Bare diameter of a stranded conductor, and the insulation on it."""
        bare_mm = np.sqrt(4 * self.size_mm2 * 1.25 / np.pi)
        return np.pi * (bare_mm + 2 * (0.8 + 0.05 * bare_mm)) * 1e-3

    def far_rise_k(self, current_a):
        """theta_inf; fixed point of r(T) I^2 = h(theta) p theta."""
        heat = self.ohm_m() * np.asarray(current_a) ** 2
        theta = heat / (self.h_at_20k * self.perimeter_m())
        for _ in range(12):
            h = self.h_at_20k * np.maximum(theta / 20, 0.02) ** 0.2
            theta = heat * (1 + COPPER_PER_K * theta) / (h * self.perimeter_m())
        return theta

    def fin(self, far_rise_k):
        """Conductance sqrt(h p k A) in W/K and m in 1/m."""
        h = self.h_at_20k * np.maximum(far_rise_k / 20, 0.02) ** 0.2
        per_m = h * self.perimeter_m()
        section = COPPER_W_MK * self.size_mm2 * 1e-6
        return np.sqrt(per_m * section), np.sqrt(per_m / section)


@dataclass
class Lugs:
    area_m2: np.ndarray
    emissivity: np.ndarray
    convection: np.ndarray  # c of q = c A theta^1.25
    joint_ohm: np.ndarray
    cable: Conductor
    device: Conductor
    device_end_ohm: np.ndarray  # half of a switch contact, at the far end of the device's conductor
    air_c: np.ndarray  # at the lug
    sun_w: np.ndarray
    cable_current_share: np.ndarray = (
        1.0  # of the lug's current (parallel lugs share their phase's)
    )

    def with_joint(self, joint_ohm):
        return replace(self, joint_ohm=joint_ohm)


def fin_inflow(conductor, current_a, end_heat_w):
    """Conductance to the lug in W/K, and the heat it would bring to a lug at air temperature, W."""
    far = conductor.far_rise_k(current_a)
    conductance, m = conductor.fin(far)
    if np.isinf(conductor.length_m):
        return conductance, conductance * far
    closed = np.tanh(m * conductor.length_m)
    return conductance * closed, conductance * closed * far + end_heat_w / np.cosh(
        m * conductor.length_m
    )


def lug_rises_k(lugs, current_a):
    """Steady rise of every lug over the air at it, K, by Newton's method."""
    squared = np.asarray(current_a, float) ** 2
    cable_w_k, cable_w = fin_inflow(lugs.cable, current_a, 0.0)
    device_w_k, device_w = fin_inflow(lugs.device, current_a, squared * lugs.device_end_ohm)
    joint_w = squared * lugs.joint_ohm
    heat = joint_w + cable_w + device_w + lugs.sun_w
    linear = cable_w_k + device_w_k - joint_w * CONTACT_PER_K
    air_k = lugs.air_c + 273.15
    radiating = lugs.emissivity * SIGMA * lugs.area_m2
    convecting = lugs.convection * lugs.area_m2
    theta = heat / np.maximum(linear + convecting + 6 * lugs.area_m2, 1e-6)
    theta = np.clip(theta, -20, 400)
    for _ in range(25):
        size = np.maximum(np.abs(theta), 1e-9)
        residual = (
            convecting * theta * size**0.25
            + radiating * ((air_k + theta) ** 4 - air_k**4)
            + linear * theta
            - heat
        )
        slope = 1.25 * convecting * size**0.25 + 4 * radiating * (air_k + theta) ** 3 + linear
        theta = np.clip(theta - residual / np.maximum(slope, 1e-6), -20, 1500)
    return theta


def after(rise_k, minutes, time_constant_min):
    return rise_k * (1 - np.exp(-minutes / time_constant_min))
