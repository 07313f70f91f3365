"""Motors with known truth: kinds of fault and of trouble, and what people write down about them.

Every kind starts from a sound circuit (circuits.py), changes what its name says, and is then imaged
(scene.py) and measured with meters that err. Shares and parameters of the two sets: settings.py.

Kinds
  sound             nothing; 6 % have an older reading from before a repair
  equal_lugs        three lugs of one temperature, entered emissivity 0.3 to 0.95; the true one of
                    each lug is off by the standard uncertainty that an empty cell stands for (0.02
                    from 0.8, 0.05 from 0.5, 0.15 below)
  equal_warm_lugs   the same, 20 to 45 K above the air
  bad_joint         excess at an imaged lug; its drop at rated current is lognormal, median 45 to
                    50 mV, sd 1.1: from barely visible to urgent
  burnt_joint       the same, median 170 mV, sd 0.6, and always with a reading upstream of it
  upstream_joint, downstream_joint   a bad joint at a place that is not imaged
  double_conductor  two conductors under one lug, one of them loose: an excess at that lug
  parallel_lugs     two lugs a phase; one carries 0 to 12 % of the current, its sister the rest
  switch_contact    a worn contact of a disconnect or starter, 120 mV at rated current, sd 0.8: heat
                    through the device to its lug
  winding_turns     wye, 1.5 to 10 % of one phase's ohms gone; negative sequence 2 to 10 % of the
                    current
  winding_delta     delta, one side 3 to 25 % off, negative sequence 1 to 6 %
  open_delta        one side open
  meter_lead        one clip lifts: 0.3 to 6 % on one pair, or on both pairs of a phase
  unequal_load      negative sequence 4 to 14 % of the current from the motor's side
  unequal_supply    negative sequence 1 to 4 % of the voltage
  sun               6 to 30 mW/cm2 on the outer lug, 0.4 and 0.05 of it on the others
  reflection        a body of 35 to 75 C mirrored in a part of one lug of emissivity 0.3 to 0.8
  unlike_emissivity one tarnished lug among bright ones or one bright among taped ones
  swapped_marking   a burnt joint, and the meter's phases named otherwise than the image's
  drive_sound, drive_bad_joint   input currents 8 to 40 % negative sequence, output ones alike
  low_load_sound, low_load_bad   5 to 35 % of rated current
  no_load           0 A, half of them with a bad joint
  short_run_bad     bad joint, 1.5 to 6 minutes under load
  open_phase        one line 0 A, the others sqrt(3) times what they would carry

What people write down
  - 12 % of the resistance readings are 400 to 900 days old, from before the joint was as bad as
    now; 8 % of the others have no date. A bad joint's ohms differ between cold and hot by 12 to
    16 % (sd).
  - Readings are made at the starter's load side or below; 12 to 15 % of them clip on below the
    joint of their own place. 30 to 35 % are by two wires, half of which have their leads
    declared. 8 to 10 % of the meters declare 1 %.
  - air_c is the room's for 40 to 50 % and the enclosure's for the others.
  - Beside a drive's image a third of the currents were clamped at its input, 5 to 25 % low.

Truth `camera_sees`: at the imaged load the bad lug stands above the coolest by more than 1 K and by
more than the mean and two standard deviations of what the hottest of three sound lugs shows over
the coolest in that scene, as the camera would measure it. Truth `ohms_see`: a reading of the last
year that takes in the bad place has a pair unbalance above 1 % and above three standard deviations
of its meter.
"""
from dataclasses import dataclass, field

import numpy as np

import circuits
import planck
import warmth
import wires
from circuits import lognormal

DRIVES = {"drive_sound", "drive_bad_joint"}
NO_LOAD_KINDS = {"no_load"}
LOW_LOAD_KINDS = {"low_load_sound", "low_load_bad"}
MEASURED_AT_THE_TOP = {"burnt_joint", "meter_lead", "swapped_marking"}
HOTTEST_LUG_K = 140.0  # above that it would have failed before anyone came
SCENE_DRAWS = 96


@dataclass
class Shot:
    """One image of one component, ready to be painted; one entry a lug."""

    component: str
    phases: np.ndarray
    lug_c: np.ndarray
    emissivity: np.ndarray
    reflected_c: float
    mirrored_c: np.ndarray
    far_c: np.ndarray
    fin_per_m: np.ndarray
    air_c: float
    cells: dict = field(default_factory=dict)


@dataclass
class Motor:
    name: str
    kind: str
    circuit: circuits.Circuit
    wind_m_s: np.ndarray
    imaged: list  # component indices
    load_share: float  # of rated current, mean of the lines
    current_a: np.ndarray  # (component, phase)
    voltages_v: np.ndarray  # of the supply, pairs
    bad_component: int = None
    bad_phase: int = None  # 0, 1, 2
    emissivity: np.ndarray = None  # (3,) true
    emissivity_entered: float = 0.95
    emissivity_u: float = None
    mirrored_c: np.ndarray = None  # of a warm body mirrored in a lug; NaN: none
    sun_w: np.ndarray = None
    running_min: float = None
    time_constant_min: float = 15.0
    one_rise_k: float = None  # all lugs stand this far above the air; 0: as far as the first
    parallel_share: np.ndarray = None  # (phase, 2) shares of the line current
    meter_phases: tuple = (0, 1, 2)
    lifted_clip: np.ndarray = None  # factors on the three pairs
    notes: str = ""
    readings: list = field(default_factory=list)
    shots: list = field(default_factory=list)
    truth: dict = field(default_factory=dict)


# ---- the sound motor ---------------------------------------------------------------------------


def _load_share(random, setting, kind):
    if kind in NO_LOAD_KINDS:
        return 0.0
    if kind in LOW_LOAD_KINDS:
        return random.uniform(0.05, 0.35)
    if kind == "open_phase":
        return random.uniform(0.3, 0.6)
    mean, sd, low, high = setting.load
    if kind in ("unequal_load", "unequal_supply"):
        low = 0.52
    return float(np.clip(random.normal(mean, sd), low, high))


def _fed_by(random, kind):
    if kind in DRIVES:
        return "drive"
    return "soft_starter" if random.random() < 0.06 else "line"


def _connection(kind):
    return {"winding_turns": "wye", "winding_delta": "delta", "open_delta": "delta"}.get(kind)


def _line_currents(random, motor, negative_load, negative_supply):
    """Currents and voltages of a motor on a supply that is never quite even."""
    circuit = motor.circuit
    share, angle = negative_supply, random.uniform(0, 2 * np.pi)
    mean_a = motor.load_share * circuit.rated_a
    motor.voltages_v = wires.sequence_pair_voltages_v(
        circuit.rated_v * random.uniform(0.97, 1.04), share, angle
    )
    if mean_a == 0:
        return np.zeros(3)
    own = negative_load * np.exp(1j * random.uniform(0, 2 * np.pi))
    from_supply = share * circuit.locked_rotor_ratio * circuit.rated_a / mean_a
    together = own + from_supply * np.exp(1j * random.uniform(0, 2 * np.pi))
    return wires.sequence_currents_a(mean_a, abs(together), np.angle(together))


def _surface(random, setting, motor):
    """Taped or painted lugs, or bare ones, and what was entered for them."""
    if random.random() < setting.bare:
        true = random.uniform(0.25, 0.75)
        motor.emissivity = np.clip(true + random.normal(0, setting.bare_each, 3), 0.05, 0.97)
        motor.emissivity_entered = float(np.clip(true + random.normal(0, 0.07), 0.1, 0.9))
        motor.emissivity_u = 0.08 if random.random() < 0.5 else None
    else:
        motor.emissivity = np.clip(0.95 + random.normal(0, setting.emissivity_each, 3), 0.8, 0.99)
        motor.emissivity_entered = float(
            np.clip(0.95 + random.normal(0, setting.emissivity_entered), 0.88, 0.98)
        )


def _images(random, count):
    """One, two or three components are imaged."""
    wanted = min(count, int(random.choice([1, 2, 3], p=[0.5, 0.37, 0.13])))
    return sorted(random.choice(count, wanted, replace=False).tolist())


def _base(random, setting, name, kind):
    fed_by = _fed_by(random, kind)
    circuit, wind = circuits.draw(random, setting, fed_by, _connection(kind))
    motor = Motor(
        name,
        kind,
        circuit,
        wind,
        _images(random, len(circuit.components)),
        _load_share(random, setting, kind),
        None,
        None,
    )
    motor.time_constant_min = random.uniform(*setting.time_constant_min)
    motor.sun_w = np.zeros(3)
    motor.mirrored_c = np.full(3, np.nan)
    _surface(random, setting, motor)
    lines = _line_currents(
        random, motor, abs(random.normal(0, 0.006)), abs(random.normal(0, 0.0015))
    )
    motor.current_a = np.tile(lines, (len(circuit.components), 1))
    return motor


# ---- what is wrong with it ---------------------------------------------------------------------


def _hottest(motor, index):
    lugs = circuits.lugs_of(motor.circuit, index, motor.emissivity, motor.load_share, motor.sun_w)
    return float(warmth.lug_rises_k(lugs, motor.current_a[index]).max())


def _put_bad_joint(random, setting, motor, index, drop_law=None):
    median, sd = drop_law or setting.bad_drop_mv
    circuit = motor.circuit
    phase = int(random.integers(3))
    circuit.joint_excess_ohm[index, phase] = lognormal(random, median * 1e-3, sd) / circuit.rated_a
    while _hottest(motor, index) > HOTTEST_LUG_K:
        circuit.joint_excess_ohm[index, phase] *= 0.75
    motor.bad_component, motor.bad_phase = index, phase


def bad_joint(random, setting, motor):
    _put_bad_joint(random, setting, motor, int(random.choice(motor.imaged)))


def burnt_joint(random, setting, motor):
    first = _first_measurable(motor.circuit)
    motor.imaged = sorted(
        set(motor.imaged) | {int(random.integers(first, len(motor.circuit.components)))}
    )
    below = [k for k in motor.imaged if k >= first]
    _put_bad_joint(random, setting, motor, int(random.choice(below)), (170.0, 0.6))


def upstream_joint(random, setting, motor):
    last = len(motor.circuit.components) - 1
    index = int(random.integers(0, last))
    motor.imaged = [int(random.integers(index + 1, last + 1))]
    _put_bad_joint(random, setting, motor, index)


def downstream_joint(random, setting, motor):
    last = len(motor.circuit.components) - 1
    index = int(random.integers(1, last + 1))
    motor.imaged = [int(random.integers(0, index))]
    _put_bad_joint(random, setting, motor, index)


def double_conductor(random, setting, motor):
    bad_joint(random, setting, motor)
    motor.notes = "two conductors in one lug" if random.random() < 0.5 else ""


def parallel_lugs(random, setting, motor):
    motor.imaged = motor.imaged[:1]
    motor.bad_component, motor.bad_phase = motor.imaged[0], int(random.integers(3))
    share = 0.5 + random.normal(0, 0.01, (3, 1)) * np.array([[1, -1]])
    weak = random.uniform(0.0, 0.12)
    share[motor.bad_phase] = [weak, 1 - weak]
    motor.parallel_share = share


def switch_contact(random, setting, motor):
    switching = [k for k in range(len(motor.circuit.components)) if motor.circuit.switching(k)]
    index = int(random.choice(switching))
    motor.imaged = sorted(set(motor.imaged) | {index})
    circuit, phase = motor.circuit, int(random.integers(3))
    circuit.contact_excess_ohm[index, phase] = lognormal(random, 0.12, 0.8) / circuit.rated_a
    while _hottest(motor, index) > HOTTEST_LUG_K:
        circuit.contact_excess_ohm[index, phase] *= 0.75
    motor.bad_component, motor.bad_phase = index, phase


def _unequal(random, motor, negative_load=0.0, negative_supply=0.0):
    lines = _line_currents(random, motor, negative_load, negative_supply)
    motor.current_a = np.tile(lines, (len(motor.circuit.components), 1))


def winding_turns(random, setting, motor):
    motor.circuit.winding_ohm[random.integers(3)] *= 1 - random.uniform(0.015, 0.10)
    _unequal(random, motor, random.uniform(0.02, 0.10), abs(random.normal(0, 0.0015)))


def winding_delta(random, setting, motor):
    off = np.exp(random.uniform(np.log(0.03), np.log(0.25)))
    motor.circuit.winding_ohm[random.integers(3)] *= 1 + off * random.choice([1, 1, -1])
    _unequal(random, motor, random.uniform(0.01, 0.06), abs(random.normal(0, 0.0015)))


def open_delta(random, setting, motor):
    side = int(random.integers(3))
    motor.circuit.winding_ohm[side] = np.inf
    lines = np.ones(3)
    lines[(side + 2) % 3] = np.sqrt(3)  # side 1-2 open: line 3 carries both windings
    lines *= motor.load_share * motor.circuit.rated_a / lines.mean()
    motor.current_a = np.tile(lines, (len(motor.circuit.components), 1))


def meter_lead(random, setting, motor):
    motor.lifted_clip = np.ones(3)
    extra = np.exp(random.uniform(np.log(0.003), np.log(0.06)))
    line = int(random.integers(3))
    pairs = (
        [line] if random.random() < 0.5 else [line, (line + 2) % 3]
    )  # pairs 1-2 and 3-1 share line 1
    motor.lifted_clip[pairs] += extra * random.uniform(0.85, 1.15, len(pairs))


def unequal_load(random, setting, motor):
    _unequal(random, motor, random.uniform(0.04, 0.14), abs(random.normal(0, 0.001)))


def unequal_supply(random, setting, motor):
    _unequal(random, motor, abs(random.normal(0, 0.004)), random.uniform(0.01, 0.04))


def sun(random, setting, motor):
    outdoors = [len(motor.circuit.components) - 1]
    motor.imaged = outdoors
    area_cm2 = motor.circuit.area_m2[outdoors[0]] * 1e4
    pattern = np.array([1, 0.4, 0.05])
    motor.sun_w = (
        random.uniform(0.02, 0.10)
        * 0.3
        * area_cm2
        * (pattern if random.random() < 0.5 else pattern[::-1])
    )
    motor.notes = "sun from the side" if random.random() < 0.3 else ""


def reflection(random, setting, motor):
    true = random.uniform(0.3, 0.8)
    motor.emissivity = true + random.normal(0, 0.01, 3)
    motor.emissivity_entered = float(np.clip(true + random.normal(0, 0.03), 0.2, 0.9))
    motor.mirrored_c[random.integers(3)] = random.uniform(35, 75)


def unlike_emissivity(random, setting, motor):
    tarnished = random.random() < 0.6
    common, other = (
        (random.uniform(0.2, 0.45), random.uniform(0.55, 0.85))
        if tarnished
        else (0.95, random.uniform(0.3, 0.6))
    )
    motor.emissivity = common + random.normal(0, 0.01, 3)
    motor.emissivity[random.integers(3)] = other
    motor.emissivity_entered = float(np.clip(common + random.normal(0, 0.03), 0.1, 0.97))


def swapped_marking(random, setting, motor):
    burnt_joint(random, setting, motor)
    other = (motor.bad_phase + int(random.integers(1, 3))) % 3
    phases = [0, 1, 2]
    phases[motor.bad_phase], phases[other] = other, motor.bad_phase
    motor.meter_phases = tuple(phases)


def drive_sound(random, setting, motor):
    """Upstream of the drive flow a rectifier's currents."""
    drive = motor.circuit.drive_index()
    even = np.full(3, motor.load_share * motor.circuit.rated_a) * (1 + random.normal(0, 0.006, 3))
    motor.current_a[drive:] = even
    motor.current_a[:drive] = wires.sequence_currents_a(
        even.mean() * random.uniform(0.85, 1.05),
        random.uniform(0.08, 0.40),
        random.uniform(0, 2 * np.pi),
    )


def drive_bad_joint(random, setting, motor):
    drive_sound(random, setting, motor)
    last = len(motor.circuit.components) - 1
    motor.imaged = sorted(set(motor.imaged) | {last})
    _put_bad_joint(random, setting, motor, last)


def no_load(random, setting, motor):
    if random.random() < 0.5:
        bad_joint(random, setting, motor)


def short_run_bad(random, setting, motor):
    bad_joint(random, setting, motor)
    motor.running_min = random.uniform(1.5, 6.0)


def open_phase(random, setting, motor):
    dead = int(random.integers(3))
    lines = np.full(3, np.sqrt(3) * motor.load_share * motor.circuit.rated_a) * (
        1 + random.normal(0, 0.006, 3)
    )
    lines[dead] = 0.0
    motor.current_a = np.tile(lines, (len(motor.circuit.components), 1))
    motor.truth["open_phase"] = dead + 1


def equal_lugs(random, setting, motor):
    circuit = motor.circuit
    for array in (
        circuit.joint_ohm,
        circuit.contact_ohm,
        circuit.convection,
        circuit.conductor_h,
        circuit.air_offset_k,
        motor.current_a,
    ):
        array[:] = array[:, :1]
    entered = float(random.choice([0.95, 0.8, 0.6, 0.45, 0.3]))
    scatter = 0.02 if entered >= 0.8 else 0.05 if entered >= 0.5 else 0.15
    motor.emissivity = np.clip(entered + random.normal(0, scatter, 3), 0.08, 0.99)
    motor.emissivity_entered, motor.emissivity_u = entered, None
    motor.one_rise_k = 0.0  # that of the first lug, for all


def equal_warm_lugs(random, setting, motor):
    equal_lugs(random, setting, motor)
    motor.one_rise_k = random.uniform(20, 45)


def nothing(random, setting, motor):
    pass


CHANGES = {
    "sound": nothing,
    "equal_lugs": equal_lugs,
    "equal_warm_lugs": equal_warm_lugs,
    "bad_joint": bad_joint,
    "burnt_joint": burnt_joint,
    "upstream_joint": upstream_joint,
    "downstream_joint": downstream_joint,
    "double_conductor": double_conductor,
    "parallel_lugs": parallel_lugs,
    "switch_contact": switch_contact,
    "winding_turns": winding_turns,
    "winding_delta": winding_delta,
    "open_delta": open_delta,
    "meter_lead": meter_lead,
    "unequal_load": unequal_load,
    "unequal_supply": unequal_supply,
    "sun": sun,
    "reflection": reflection,
    "unlike_emissivity": unlike_emissivity,
    "swapped_marking": swapped_marking,
    "drive_sound": drive_sound,
    "drive_bad_joint": drive_bad_joint,
    "low_load_sound": nothing,
    "low_load_bad": bad_joint,
    "no_load": no_load,
    "short_run_bad": short_run_bad,
    "open_phase": open_phase,
}


# ---- what the camera meets ---------------------------------------------------------------------


def _lug_temperatures(motor, index):
    """Lug temperatures and their conductors far away: entries in the order of the phases."""
    circuit = motor.circuit
    current = motor.current_a[index]
    lugs = circuits.lugs_of(circuit, index, motor.emissivity, motor.load_share, motor.sun_w)
    rise = warmth.lug_rises_k(lugs, current)
    far = lugs.cable.far_rise_k(current)
    if motor.one_rise_k is not None:
        rise = np.full(3, motor.one_rise_k or rise[0])
        far = np.full(3, min(far[0], rise[0]))
    minutes = motor.running_min
    if minutes is not None and minutes < 60:
        rise, far = (warmth.after(k, minutes, motor.time_constant_min) for k in (rise, far))
    return lugs.air_c + rise, lugs.air_c + far, lugs.cable.fin(far)[1]


def _parallel_temperatures(motor, index):
    """Two lugs a phase: the currents shared, each with a conductor of half the section."""
    columns = [[], [], []]
    whole = motor.current_a.copy()
    size = motor.circuit.size_mm2
    motor.circuit.size_mm2 = size / 2
    for k in range(2):
        motor.current_a[index] = whole[index] * motor.parallel_share[:, k]
        for column, values in zip(columns, _lug_temperatures(motor, index)):
            column.append(values)
    motor.current_a, motor.circuit.size_mm2 = whole, size
    return tuple(np.stack(column, axis=1).ravel() for column in columns)


def _shot(random, setting, motor, index):
    lugs_a_phase = 2 if motor.parallel_share is not None else 1
    temperatures = _parallel_temperatures if lugs_a_phase == 2 else _lug_temperatures
    lug_c, far_c, fin = temperatures(motor, index)
    enclosure = circuits.enclosure_c(motor.circuit, index, motor.load_share)
    around = enclosure + random.normal(0, 1.0)
    repeat = lambda per_phase: np.repeat(per_phase, lugs_a_phase)
    shot = Shot(
        motor.circuit.components[index],
        repeat(np.arange(1, 4)),
        lug_c,
        repeat(motor.emissivity),
        around,
        repeat(motor.mirrored_c),
        far_c,
        fin,
        enclosure,
    )
    shot.cells = _image_cells(random, setting, motor, index, around, enclosure)
    return shot


def _image_cells(random, setting, motor, index, around, enclosure):
    air = motor.circuit.room_c if random.random() < setting.room_air_entered else enclosure
    cells = {
        "emissivity": f"{motor.emissivity_entered:.2f}",
        "reflected_c": f"{around + random.normal(0, setting.reflected_entered_k):.1f}",
        "air_c": f"{air + random.normal(0, setting.air_entered_k):.1f}",
        "note": motor.notes,
    }
    if motor.emissivity_u is not None:
        cells["emissivity_u"] = f"{motor.emissivity_u:g}"
    if not np.isnan(motor.wind_m_s[index]) and random.random() < 0.7:
        cells["wind_m_s"] = f"{motor.wind_m_s[index]:.1f}"
    if motor.running_min is not None:
        cells["running_min"] = f"{motor.running_min:.0f}"
    elif random.random() < setting.running_given and motor.load_share > 0:
        cells["running_min"] = f"{random.uniform(60, 400):.0f}"
    for k, value in enumerate(_loads_by_clamp(random, setting, motor, index)):
        cells[f"load_{k + 1}_a"] = value
    return cells


def _clamp(random, setting, lines, rated_a):
    read = (
        lines
        * (1 + random.normal(0, setting.clamp_gain))
        * (1 + random.normal(0, setting.clamp_each, 3))
    )
    return [f"{max(v, 0):.{1 if rated_a < 300 else 0}f}" for v in read]


def _loads_by_clamp(random, setting, motor, index):
    """Currents beside the image: left empty by some, clamped at a drive's input by others."""
    always = motor.kind in NO_LOAD_KINDS | LOW_LOAD_KINDS
    if not always and random.random() > (
        0.7 if motor.kind == "open_phase" else setting.loads_given
    ):
        return ["", "", ""]
    lines = motor.current_a[index]
    if motor.circuit.fed_by == "drive":
        drive = motor.circuit.drive_index()
        if index < drive or random.random() < 0.35:
            lines = motor.current_a[0] * random.uniform(
                0.75, 0.95
            )  # an averaging clamp on peaky current
    return _clamp(random, setting, lines, motor.circuit.rated_a)


# ---- what the meters say -----------------------------------------------------------------------


def _day(random, days_before):
    return str(np.datetime64("2026-11-10") - int(days_before))


def _meter(random, setting, four_wire):
    """A meter: errors, what its user declares, and its leads."""
    meter = {
        "four_wire": four_wire,
        "gain": random.normal(0, setting.meter_gain),
        "each": setting.meter_each,
        "declared_pct": None,
        "lead_ohm": 0.0,
        "clip": 0.0,
        "lead_declared": None,
        "lead_u": None,
    }
    if random.random() < setting.coarse_meters:
        meter.update(each=0.005, declared_pct=1.0)
    elif random.random() < 0.4:
        meter["declared_pct"] = 0.2
    if not four_wire:
        lead = lognormal(
            random, setting.two_wire_lead_mohm[0] * 1e-3, setting.two_wire_lead_mohm[1]
        )
        meter.update(lead_ohm=lead, clip=setting.two_wire_clip * lead)
        if random.random() < setting.leads_declared:
            meter["lead_declared"] = lead * (1 + random.normal(0, 0.02))
            meter["lead_u"] = round(1.3 * setting.two_wire_clip * lead, 5)
    return meter


def _least_count(ohm):
    return 10.0 ** (np.floor(np.log10(ohm)) - 4)


def _read(random, meter, ohm):
    least = _least_count(ohm.mean())
    read = ohm * (1 + meter["gain"]) * (1 + random.normal(0, meter["each"], 3))
    read = read + meter["lead_ohm"] + random.normal(0, meter["clip"] + 1e-12, 3)
    return np.round(read / least) * least, least


def _resistance_row(random, setting, motor, index, days, meter, excess_factor):
    """One winding_resistance row; `excess_factor` turns hot excess ohms into those of that day."""
    circuit = motor.circuit
    winding_c = random.uniform(12, 35)
    takes_in_joint = random.random() < setting.joint_below_clip
    ohm = circuits.pairs_ohm(
        circuit,
        index,
        circuit.joint_excess_ohm * excess_factor,
        circuit.contact_excess_ohm * excess_factor,
        takes_in_joint,
        1 + warmth.COPPER_PER_K * (winding_c - 25),
    )
    if motor.lifted_clip is not None:
        ohm = ohm * motor.lifted_clip
    lines = motor.meter_phases
    ohm = np.array([ohm[_pair(lines[a], lines[b])] for a, b in wires.PAIRS])
    expected = wires.unbalance_pct(ohm)
    read, least = _read(random, meter, ohm)
    in_mohm = read.mean() < 1
    scale, decimals = (1e3, 3) if in_mohm else (1, 0)
    digits = int(max(0, -np.floor(np.log10(least)) - decimals))
    row = {
        "motor": motor.name,
        "test": "winding_resistance",
        "taken_at": _day(random, days),
        "place": circuit.components[index],
        "unit": "mohm" if in_mohm else "ohm",
        "temperature_c": f"{winding_c:.0f}" if random.random() < 0.8 else "",
    }
    for k in range(3):
        row[f"value_{k + 1}"] = f"{read[k] * scale:.{digits}f}"
    if meter["declared_pct"] is not None:
        row["meter_u_pct"] = f"{meter['declared_pct']:g}"
    if meter["lead_declared"] is not None:  # like `resolution`, in the unit their names carry: ohm
        row["lead_ohm"], row["lead_u_ohm"] = (
            f"{meter['lead_declared']:.5f}",
            f"{meter['lead_u']:.5f}",
        )
    sd_pct = 100 * np.hypot(meter["each"], meter["clip"] / ohm.mean()) * 0.8
    takes_in = motor.bad_component is not None and (
        motor.bad_component > index
        or (
            motor.bad_component == index
            and takes_in_joint
            and circuit.joint_excess_ohm[index].any()
        )
    )
    motor.truth["ohms_see"] = bool(
        motor.truth.get("ohms_see")
        or (takes_in and days <= 365 and expected > 1 and expected > 3 * sd_pct)
    )
    return row


def _pair(a, b):
    return wires.PAIRS.index((a, b)) if (a, b) in wires.PAIRS else wires.PAIRS.index((b, a))


def _first_measurable(circuit):
    return circuit.index("drive output" if circuit.fed_by == "drive" else "starter load side")


def _places_to_measure(random, setting, motor):
    """Readings cannot pass an open contactor or a drive: they are made below it."""
    circuit = motor.circuit
    first = _first_measurable(circuit)
    places = list(range(first, len(circuit.components)))
    count = int(random.choice([0, 1, 2], p=setting.readings_at))
    if motor.kind in MEASURED_AT_THE_TOP:
        return [places[0]]
    if motor.kind.startswith(("winding", "open_delta")):
        count = max(count, 1)
    if count == 1:
        return [places[0] if random.random() < 0.65 else int(random.choice(places))]
    return (
        places
        if count > 1 and len(places) == 2
        else sorted(random.choice(places, min(count, len(places)), replace=False).tolist())
    )


def _resistance_rows(random, setting, motor):
    four_wire = (
        motor.kind in ("meter_lead", "swapped_marking") or random.random() >= setting.two_wire
    )
    meter = _meter(random, setting, four_wire)
    motor.truth["four_wire"] = four_wire
    cold = lognormal(random, 1.0, setting.cold_ohm)
    old = motor.kind not in MEASURED_AT_THE_TOP and random.random() < 0.12
    days = random.uniform(400, 900) if old else random.uniform(3, 300)
    factor = cold * (random.uniform(0, 1) if old else 1.0)
    undated = not old and random.random() < 0.08
    for index in _places_to_measure(random, setting, motor):
        row = _resistance_row(random, setting, motor, index, days, meter, factor)
        if undated:
            row["taken_at"] = ""
        motor.readings.append(row)
    if motor.kind == "sound" and motor.readings and not old and random.random() < 0.06:
        _add_reading_before_a_repair(random, setting, motor, meter)
    motor.truth["readings_old"] = bool(old)
    motor.truth["resistance_places"] = [row["place"] for row in motor.readings]


def _add_reading_before_a_repair(random, setting, motor, meter):
    circuit = motor.circuit
    repaired = np.zeros_like(circuit.joint_excess_ohm)
    repaired[-1, random.integers(3)] = circuit.winding_ohm.mean() * random.uniform(0.05, 0.15)
    kept, circuit.joint_excess_ohm = circuit.joint_excess_ohm, repaired
    motor.readings.insert(
        0,
        _resistance_row(
            random,
            setting,
            motor,
            circuit.index(motor.readings[0]["place"]),
            random.uniform(310, 360),
            meter,
            1.0,
        ),
    )
    circuit.joint_excess_ohm = kept
    motor.truth["before_repair"] = True


def _joint_rows(random, setting, motor):
    """The third witness across one joint a phase: micro-ohms cold, or millivolts under load."""
    if random.random() > setting.third_witness:
        return
    circuit = motor.circuit
    index = (
        motor.bad_component if motor.bad_component is not None else int(random.choice(motor.imaged))
    )
    excess = circuit.joint_excess_ohm[index]
    row = {"motor": motor.name, "place": circuit.components[index], "meter_u_pct": "2"}
    error = 1 + random.normal(0, 0.02, 3)
    if random.random() < 0.6 or motor.load_share < 0.1:
        cold = lognormal(random, 1.0, setting.cold_ohm)
        values = (circuit.joint_ohm[index] + excess * cold) * 1e6 * error
        row.update(
            test="joint_resistance", unit="uohm", taken_at=_day(random, random.uniform(1, 60))
        )
    else:
        values = (circuit.joint_ohm[index] + excess) * motor.current_a[index] * 1e3 * error
        row.update(test="joint_drop", unit="mv", taken_at="2026-11-10")
    if values.min() <= 0:
        return
    row.update({f"value_{k + 1}": f"{value:.2f}" for k, value in enumerate(values)})
    motor.readings.append(row)
    motor.truth["third_witness"] = row["test"]


def _supply_rows(random, setting, motor):
    """Line currents and line voltages of the day of the images."""
    circuit = motor.circuit
    if random.random() < _share_with_line_currents(motor):
        _add_line_currents(random, setting, motor)
    voltages = {"unequal_supply": 0.92, "unequal_load": 0.6}.get(motor.kind, 0.3)
    motor.truth["voltages_read"] = bool(circuit.fed_by != "drive" and random.random() < voltages)
    if motor.truth["voltages_read"]:
        _add_voltages(random, motor, motor.voltages_v, circuit.components[0], 0.001)
    elif circuit.fed_by == "drive" and random.random() < 0.5:
        output = circuit.rated_v * random.uniform(0.8, 1.0) * np.ones(3)
        _add_voltages(random, motor, output, "drive output", 0.02)  # a meter on a switched voltage


def _share_with_line_currents(motor):
    """Who has written no loads beside the image has a table of currents more often."""
    loads_given = bool(motor.shots[0].cells.get("load_1_a"))
    if motor.kind == "open_phase":
        return 0.6 if loads_given else 1.0
    return 0.3 if loads_given else 0.5


def _add_line_currents(random, setting, motor):
    """Of a drive, its input's as often as its output's."""
    circuit = motor.circuit
    at_input = circuit.fed_by == "drive" and random.random() < 0.5
    index = 0 if at_input else motor.imaged[0]
    values = _clamp(random, setting, motor.current_a[index], circuit.rated_a)
    motor.readings.append(
        {
            "motor": motor.name,
            "test": "line_current",
            "taken_at": "2026-11-10",
            "unit": "a",
            "place": circuit.components[index],
            **{f"value_{k + 1}": v for k, v in enumerate(values)},
        }
    )


def _add_voltages(random, motor, pairs_v, place, each):
    read = pairs_v * (1 + random.normal(0, 0.003)) * (1 + random.normal(0, each, 3))
    motor.readings.append(
        {
            "motor": motor.name,
            "test": "line_voltage",
            "taken_at": "2026-11-10",
            "place": place,
            "unit": "v",
            **{f"value_{k + 1}": f"{v:.1f}" for k, v in enumerate(read)},
        }
    )


# ---- the truth ---------------------------------------------------------------------------------


def _sound_scatter_k(random, setting, motor, index):
    """Mean and sd of what the hottest of three sound lugs shows over the coolest there."""
    circuit = motor.circuit
    each = setting.bare_each if motor.emissivity_entered < 0.88 else setting.emissivity_each
    emissivity = np.clip(
        motor.emissivity.mean() + random.normal(0, each, (SCENE_DRAWS, 3)), 0.05, 0.99
    )
    lugs = circuits.sound_lugs_like(
        random, setting, circuit, index, motor.emissivity.mean(), motor.load_share, SCENE_DRAWS
    )
    rise = warmth.lug_rises_k(lugs, np.full(3, motor.current_a[index].mean()))
    if motor.running_min is not None and motor.running_min < 60:
        rise = warmth.after(rise, motor.running_min, motor.time_constant_min)
    around = circuits.enclosure_c(circuit, index, motor.load_share)
    seen = planck.apparent_c(planck.seen_radiance(lugs.air_c + rise, emissivity, around))
    seen = seen + random.normal(0, setting.nonuniformity_k, seen.shape)
    measured = planck.surface_c(seen, motor.emissivity.mean(), around)
    spread = measured.max(axis=1) - measured.min(axis=1)
    return float(spread.mean()), float(spread.std())


def _rise_at_rated_k(motor, index):
    lugs = circuits.lugs_of(motor.circuit, index, motor.emissivity, 1.0)
    rise = warmth.lug_rises_k(lugs, np.full(3, motor.circuit.rated_a))
    return float(rise[motor.bad_phase] - rise.min())


def _tell_truth(random, setting, motor):
    truth = motor.truth
    first = motor.imaged[0]
    lines = motor.current_a[first]
    truth.update(
        motor=motor.name,
        kind=motor.kind,
        components=motor.circuit.components,
        imaged=[motor.circuit.components[k] for k in motor.imaged],
        load_share=round(motor.load_share, 4),
        fed_by=motor.circuit.fed_by,
        emissivity=[round(float(e), 3) for e in motor.emissivity],
        emissivity_entered=round(motor.emissivity_entered, 2),
        current_unbalance_pct=round(wires.unbalance_pct(lines), 2) if lines.mean() > 0 else 0.0,
        voltage_unbalance_pct=round(wires.unbalance_pct(motor.voltages_v), 2),
        hottest_over_air_c=round(
            max(float((shot.lug_c - shot.air_c).max()) for shot in motor.shots), 2
        ),
        over_like_c=round(max(float(np.ptp(shot.lug_c)) for shot in motor.shots), 2),
        bad_component=None,
        bad_phase=None,
        excess_ohm=None,
        rise_at_rated_c=None,
        rise_seen_c=None,
        camera_sees=False,
    )
    truth.setdefault("ohms_see", False)
    if motor.bad_component is None:
        return
    index = motor.bad_component
    truth.update(
        bad_component=motor.circuit.components[index],
        bad_phase=motor.bad_phase + 1,
        excess_ohm=float(
            motor.circuit.joint_excess_ohm[index, motor.bad_phase]
            + motor.circuit.contact_excess_ohm[index, motor.bad_phase]
        ),
    )
    if motor.parallel_share is None:
        truth["rise_at_rated_c"] = round(_rise_at_rated_k(motor, index), 3)
    if index in motor.imaged:
        shot = motor.shots[motor.imaged.index(index)]
        mine = shot.lug_c[shot.phases == motor.bad_phase + 1].max() - shot.lug_c.min()
        mean, sd = _sound_scatter_k(random, setting, motor, index)
        truth.update(
            rise_seen_c=round(float(mine), 3),
            sound_scatter_c=[round(mean, 3), round(sd, 3)],
            camera_sees=bool(mine > 1.0 and mine > mean + 2 * sd),
        )


def draw_motor(random, setting, name, kind):
    motor = _base(random, setting, name, kind)
    CHANGES[kind](random, setting, motor)
    motor.shots = [_shot(random, setting, motor, index) for index in motor.imaged]
    _resistance_rows(random, setting, motor)
    _joint_rows(random, setting, motor)
    _supply_rows(random, setting, motor)
    _tell_truth(random, setting, motor)
    return motor


def draw_kinds(random, setting, count):
    """Kinds in a fixed proportion, shuffled: each set has its shares, not a draw of them."""
    names = list(setting.shares)
    shares = np.array([setting.shares[name] for name in names])
    places = np.floor(shares / shares.sum() * count).astype(int)
    places[0] += count - places.sum()
    kinds = np.repeat(names, places)
    random.shuffle(kinds)
    return [str(kind) for kind in kinds]
