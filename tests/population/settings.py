"""The two sets' distributions: rules are tuned on `tune` and judged on `judge`.

They differ in heat transfer, scatter, meters, mixture and geometry, not in the seed alone. Where no
source stands beside a number it is common practice, no source.
"""
from dataclasses import dataclass

#: Kinds of truth and their shares of the motors. Sound motors are the largest kind.
TUNE_SHARES = {
    "sound": 0.220,
    "equal_lugs": 0.050,
    "equal_warm_lugs": 0.035,
    "bad_joint": 0.130,
    "burnt_joint": 0.045,
    "upstream_joint": 0.040,
    "downstream_joint": 0.040,
    "double_conductor": 0.025,
    "parallel_lugs": 0.015,
    "switch_contact": 0.040,
    "winding_turns": 0.025,
    "winding_delta": 0.025,
    "open_delta": 0.012,
    "meter_lead": 0.050,
    "unequal_load": 0.055,
    "unequal_supply": 0.055,
    "sun": 0.022,
    "reflection": 0.022,
    "unlike_emissivity": 0.035,
    "swapped_marking": 0.025,
    "drive_sound": 0.027,
    "drive_bad_joint": 0.013,
    "low_load_sound": 0.020,
    "low_load_bad": 0.040,
    "no_load": 0.018,
    "short_run_bad": 0.018,
    "open_phase": 0.020,
}
JUDGE_SHARES = {
    **TUNE_SHARES,
    "sound": 0.240,
    "equal_lugs": 0.045,
    "bad_joint": 0.140,
    "burnt_joint": 0.055,
    "upstream_joint": 0.035,
    "downstream_joint": 0.035,
    "meter_lead": 0.055,
    "switch_contact": 0.030,
    "unlike_emissivity": 0.030,
    "low_load_bad": 0.045,
    "winding_turns": 0.030,
    "open_phase": 0.022,
}


@dataclass(frozen=True)
class Setting:
    name: str
    shares: dict
    convection: tuple = (1.8, 0.12)  # c of q = c A theta^1.25: median, lognormal sd (Churchill-Chu)
    conductor_h: tuple = (8.8, 0.10)  # W/(m2 K) of an insulated conductor at 20 K
    enclosure_warmer_k: tuple = (3.0, 0.5)  # air inside over the room at rated load: median, sd
    lug_scatter: float = 0.05  # lognormal sd of one lug's losses (air flow, dressing)
    middle_lug_loses: float = 0.96  # of what an outer one loses: its neighbours warm its air
    air_at_lugs_k: float = 0.15  # sd of the air from lug to lug
    sound_drop_mv: tuple = (2.2, 0.22)  # of one joint at rated current: median, lognormal sd
    contact_drop_mv: tuple = (6.0, 0.15)  # of one closed contact at rated current
    bad_drop_mv: tuple = (45.0, 1.10)  # excess of a bad joint at rated current
    cold_ohm: float = 0.12  # lognormal sd of a bad joint's ohms, cold against hot
    cable_margin: tuple = (1.08, 0.12)  # over 1.25 times the rated current: median, lognormal sd
    winding_scatter: float = 0.0006  # of one phase's ohms, new winding
    load: tuple = (0.72, 0.16, 0.42, 1.02)  # of rated: mean, sd, ends
    clamp_gain: float = 0.012  # common to the three lines
    clamp_each: float = 0.006
    meter_gain: float = 0.0015
    meter_each: float = 0.0005  # of one pair against another, 4-wire
    coarse_meters: float = 0.08  # share with 1 % declared and 0.5 % true
    two_wire: float = 0.30
    two_wire_lead_mohm: tuple = (40.0, 0.6)
    two_wire_clip: float = 0.02  # of the leads, from clip to clip
    leads_declared: float = 0.5
    readings_at: tuple = (0.22, 0.60, 0.18)  # shares with readings at none, one, two places
    joint_below_clip: float = 0.88  # share of readings that take in the joint they are made at
    third_witness: float = 0.10  # share with joint_resistance or joint_drop
    loads_given: float = 0.93
    fed_by_given: float = 0.45
    running_given: float = 0.40
    bare: float = 0.15  # share of motors with bare lugs among the ordinary ones
    emissivity_each: float = 0.006  # sd of one lug against another, taped or painted
    bare_each: float = 0.025  # the same, bare metal
    emissivity_entered: float = 0.015  # sd of the entered value, taped or painted
    reflected_entered_k: float = 1.2
    air_entered_k: float = 0.7
    room_air_entered: float = 0.4  # share where air_c is the room's, not the enclosure's
    camera_k: float = 0.8  # common to one image
    noise_k: float = 0.05
    nonuniformity_k: float = 0.08
    blur_px: tuple = (0.5, 0.9)
    width_px: int = 80
    height_px: int = 60
    disc_px: tuple = (4.6, 5.6)  # radius of a lug in the image
    time_constant_min: tuple = (9.0, 26.0)
    fan: float = 0.10  # share with an enclosure fan: convection times 1.5 to 2.5
    wind: float = 0.05  # outdoors: convection times 1 + wind^0.6
    locked_rotor: tuple = (5.2, 7.2)


TUNE = Setting("tune", TUNE_SHARES)
JUDGE = Setting(
    "judge",
    JUDGE_SHARES,
    convection=(1.65, 0.18),
    conductor_h=(8.2, 0.14),
    enclosure_warmer_k=(3.6, 0.6),
    lug_scatter=0.06,
    middle_lug_loses=0.95,
    air_at_lugs_k=0.2,
    sound_drop_mv=(2.6, 0.26),
    contact_drop_mv=(7.0, 0.18),
    bad_drop_mv=(50.0, 1.15),
    cold_ohm=0.16,
    cable_margin=(1.12, 0.13),
    winding_scatter=0.0008,
    load=(0.70, 0.15, 0.42, 1.0),
    clamp_gain=0.016,
    clamp_each=0.008,
    meter_gain=0.0022,
    meter_each=0.0007,
    coarse_meters=0.10,
    two_wire=0.35,
    two_wire_lead_mohm=(55.0, 0.7),
    two_wire_clip=0.025,
    leads_declared=0.45,
    readings_at=(0.20, 0.62, 0.18),
    joint_below_clip=0.85,
    third_witness=0.12,
    bare=0.18,
    emissivity_each=0.007,
    bare_each=0.03,
    emissivity_entered=0.018,
    reflected_entered_k=1.5,
    air_entered_k=0.9,
    room_air_entered=0.5,
    camera_k=1.0,
    noise_k=0.06,
    nonuniformity_k=0.10,
    blur_px=(0.6, 1.1),
    width_px=88,
    height_px=64,
    disc_px=(4.8, 6.2),
    time_constant_min=(8.0, 30.0),
    fan=0.08,
    wind=0.07,
    locked_rotor=(5.0, 7.8),
)

SETS = {setting.name: setting for setting in (TUNE, JUDGE)}
