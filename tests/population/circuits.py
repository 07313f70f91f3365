"""One motor and its circuit, all sound: what stands where, and the heat and ohms of every part.

Common practice, no source, unless a source stands beside it.
- Ratings log-uniform from 2 to 300 kW at 400, 440, 460 or 480 V; efficiency 0.86 to 0.96, rising
  with size; power factor 0.84 to 0.90; 60 % wye. Stator copper loss 6 % x kW^-0.28 of the output
  (small motors lose 5 %, large ones 1.2 %), lognormal sd 0.15.
- From the supply: disconnect (60 %), starter load side or drive output, local disconnect (45 %),
  terminal box; cables of 3 to 80 m. Sizes by 20 A x (mm2 / 2.08)^0.62, fitted to the 75 C column of
  NEC table 310.16 (from memory), at 1.25 times the rated current and a margin (settings.py).
- A sound joint drops 2.2 to 2.6 mV at rated current, a closed contact 6 to 7 mV, lognormal.
- Lug surface 6 cm2 + 0.35 cm2 x mm2^0.9. Losses scatter lognormally from lug to lug (sd 5 to 6 %),
  the middle lug loses 4 to 5 % less, the air differs by 0.15 to 0.2 K (sd) from lug to lug.
- An enclosure's air is 3 to 3.6 K (median) warmer than the room at rated load, and that goes with
  the load squared. 8 to 10 % of the enclosures have a fan (convection times 1.5 to 2.5), 5 to 7 %
  stand in wind of 0.5 to 4 m/s (times 1 + wind^0.6).
"""
from dataclasses import dataclass, field

import numpy as np

import warmth
import wires

METRIC_MM2 = np.array(
    [2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300, 400, 500, 630]
)
SWITCHING = {"disconnect", "starter load side", "local disconnect"}


@dataclass
class Circuit:
    """Arrays are (component, phase) unless they say otherwise."""

    rated_kw: float
    rated_v: float
    rated_a: float
    connection: str
    poles: int
    locked_rotor_ratio: float
    fed_by: str
    components: list
    size_mm2: float
    length_m: np.ndarray  # to the next component
    winding_ohm: np.ndarray  # wye phases, or delta sides 1-2, 2-3, 3-1; at 25 C
    joint_ohm: np.ndarray
    contact_ohm: np.ndarray
    area_m2: np.ndarray  # (component,)
    convection: np.ndarray
    conductor_h: np.ndarray
    device_length_m: np.ndarray  # (component,)
    air_offset_k: np.ndarray
    room_c: float
    enclosure_warmer_k: np.ndarray  # (component,) at rated load
    joint_excess_ohm: np.ndarray = field(default=None)
    contact_excess_ohm: np.ndarray = field(default=None)

    def index(self, component):
        return self.components.index(component)

    def drive_index(self):
        return self.components.index("drive output") if self.fed_by == "drive" else 0

    def switching(self, index):
        return self.components[index] in SWITCHING


def lognormal(random, median, sd, size=None):
    return median * np.exp(random.normal(0, sd, size))


def _size_mm2(random, setting, rated_a):
    needed = 2.08 * (1.25 * rated_a * lognormal(random, *setting.cable_margin) / 20) ** (1 / 0.62)
    return float(METRIC_MM2[min(np.searchsorted(METRIC_MM2, needed), len(METRIC_MM2) - 1)])


def _components(random, fed_by):
    places = ["disconnect"] if fed_by == "drive" or random.random() < 0.6 else []
    places.append("drive output" if fed_by == "drive" else "starter load side")
    if random.random() < 0.45:
        places.append("local disconnect")
    return places + ["terminal box"]


def _surroundings(random, setting, count):
    """Factor on a component's convection: still air, an enclosure fan, or wind outdoors."""
    factor, wind = np.ones(count), np.full(count, np.nan)
    for k in range(count):
        if random.random() < setting.fan:
            factor[k] = random.uniform(1.5, 2.5)
        elif random.random() < setting.wind:
            wind[k] = random.uniform(0.5, 4.0)
            factor[k] = 1 + wind[k] ** 0.6
    return factor, wind


def lug_losses(random, setting, shape):
    """Factors of the lugs' losses: their natural scatter. The last axis is left, middle, right."""
    factor = lognormal(random, 1.0, setting.lug_scatter, shape)
    factor[..., 1] *= setting.middle_lug_loses
    return factor


def draw(random, setting, fed_by, connection=None):
    """A sound circuit, and the wind at each component (NaN: none)."""
    rated_kw = float(np.round(np.exp(random.uniform(np.log(2), np.log(300))), 1))
    rated_v = float(random.choice([400, 440, 460, 480]))
    efficiency = min(0.96, 0.85 + 0.022 * np.log(rated_kw))
    rated_a = round(
        rated_kw * 1000 / (np.sqrt(3) * rated_v * efficiency * random.uniform(0.84, 0.90)), 1
    )
    connection = connection or ("wye" if random.random() < 0.6 else "delta")
    components = _components(random, fed_by)
    n = len(components)
    loss_w = lognormal(random, 0.06, 0.15) * rated_kw**-0.28 * rated_kw * 1000
    phase_ohm = loss_w / (3 * rated_a**2) * (3 if connection == "delta" else 1)
    size = _size_mm2(random, setting, rated_a)
    surroundings, wind = _surroundings(random, setting, n)
    drop = lambda law, scatter: lognormal(random, law[0] * 1e-3 / rated_a, scatter, (n, 3))
    circuit = Circuit(
        rated_kw,
        rated_v,
        rated_a,
        connection,
        int(random.choice([2, 4, 4, 4, 6])),
        random.uniform(*setting.locked_rotor),
        fed_by,
        components,
        size,
        np.exp(random.uniform(np.log(3), np.log(80), n)),
        phase_ohm * (1 + random.normal(0, setting.winding_scatter, 3)),
        drop(setting.sound_drop_mv, setting.sound_drop_mv[1]),
        drop(setting.contact_drop_mv, setting.contact_drop_mv[1])
        * np.array([[component in SWITCHING] for component in components]),
        (6 + 0.35 * size**0.9) * 1e-4 * lognormal(random, 1.0, 0.2, n),
        lognormal(random, *setting.convection, n)[:, None]
        * surroundings[:, None]
        * lug_losses(random, setting, (n, 3)),
        lognormal(random, *setting.conductor_h, n)[:, None]
        * (1 + 0.4 * (surroundings[:, None] - 1))
        * lug_losses(random, setting, (n, 3)),
        random.uniform(0.07, 0.20, n),
        random.normal(0, setting.air_at_lugs_k, (n, 3)),
        random.uniform(12, 34),
        lognormal(random, *setting.enclosure_warmer_k, n),
    )
    circuit.joint_excess_ohm = np.zeros((n, 3))
    circuit.contact_excess_ohm = np.zeros((n, 3))
    return circuit, wind


def enclosure_c(circuit, index, load_share):
    return circuit.room_c + circuit.enclosure_warmer_k[index] * load_share**2


def lugs_of(circuit, index, emissivity, load_share, sun_w=0.0):
    """The lugs of one component as thermal nodes."""
    one = np.ones(3)
    return warmth.Lugs(
        circuit.area_m2[index] * one,
        emissivity * one,
        circuit.convection[index],
        circuit.joint_ohm[index] + circuit.joint_excess_ohm[index],
        warmth.Conductor(circuit.size_mm2 * one, circuit.conductor_h[index]),
        warmth.Conductor(
            circuit.size_mm2 * one, circuit.conductor_h[index], circuit.device_length_m[index]
        ),
        (circuit.contact_ohm[index] + circuit.contact_excess_ohm[index]) / 2,
        enclosure_c(circuit, index, load_share) + circuit.air_offset_k[index],
        sun_w * one,
    )


def sound_lugs_like(random, setting, circuit, index, emissivity, load_share, draws):
    """The same component with sound joints, drawn anew: arrays (draw, phase)."""
    shape = (draws, 3)
    convection = circuit.convection[index].mean() * lug_losses(random, setting, shape)
    conductor_h = circuit.conductor_h[index].mean() * lug_losses(random, setting, shape)
    drop = lambda law: lognormal(random, law[0] * 1e-3 / circuit.rated_a, law[1], shape)
    contact = drop(setting.contact_drop_mv) * circuit.switching(index)
    one = np.ones(shape)
    air = enclosure_c(circuit, index, load_share) + random.normal(0, setting.air_at_lugs_k, shape)
    return warmth.Lugs(
        circuit.area_m2[index] * one,
        emissivity * one,
        convection,
        drop(setting.sound_drop_mv),
        warmth.Conductor(circuit.size_mm2 * one, conductor_h),
        warmth.Conductor(circuit.size_mm2 * one, conductor_h, circuit.device_length_m[index]),
        contact / 2,
        air,
        0 * one,
    )


def pairs_ohm(circuit, index, joint_excess_ohm, contact_excess_ohm, takes_in_joint, copper_factor):
    """Pair resistances from a component's lugs to the motor, the contacts there left out."""
    ohm_m = 1.724e-8 / (circuit.size_mm2 * 1e-6) * copper_factor
    legs = np.zeros(3)
    for k in range(index, len(circuit.components)):
        if k > index or takes_in_joint:
            legs += circuit.joint_ohm[k] + joint_excess_ohm[k]
        if k > index:
            legs += circuit.contact_ohm[k] + contact_excess_ohm[k]
        if k < len(circuit.components) - 1:
            legs += ohm_m * circuit.length_m[k]
    winding = circuit.winding_ohm * copper_factor
    pairs = wires.wye_pairs(winding) if circuit.connection == "wye" else wires.delta_pairs(winding)
    return wires.with_legs(pairs, legs)
