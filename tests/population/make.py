"""Writes a survey of motors with known truth: make.py OUT --motors N --seed S --set tune|judge

OUT/survey is a survey folder as docs/survey-folder.md has it, OUT/truth.json what is true of each
motor. `--assumptions` prints what the population assumes, for a reader.
"""
import argparse
import csv
import json
from dataclasses import asdict
from pathlib import Path

import numpy as np

import circuits
import planck
import population
import scene
import settings
import warmth
import wires

AREAS = [
    "work house",
    "annex",
    "dryer",
    "shipping gallery",
    "truck dump",
    "rail loadout",
    "fan house",
]
DUTIES = [
    "Bucket elevator",
    "Belt conveyor",
    "Aeration fan",
    "Dust fan",
    "Screw conveyor",
    "Dryer blower",
    "Scalper",
    "Car puller",
]
IMAGE_COLUMNS = [
    "file",
    "motor",
    "component",
    "taken_at",
    "emissivity",
    "emissivity_u",
    "reflected_c",
    "air_c",
    "distance_m",
    "ifov_mrad",
    "wind_m_s",
    "load_1_a",
    "load_2_a",
    "load_3_a",
    "running_min",
    "scale",
    "offset",
    "unit",
    "note",
]
MOTOR_COLUMNS = [
    "motor",
    "description",
    "area",
    "rated_kw",
    "rated_v",
    "rated_a",
    "locked_rotor_a",
    "connection",
    "poles",
    "lug_area_cm2",
    "criticality",
    "downtime_cost_per_h",
    "repair_h",
    "replacement_cost",
    "currency",
    "fed_by",
]
READING_COLUMNS = [
    "motor",
    "test",
    "taken_at",
    "place",
    "value_1",
    "value_2",
    "value_3",
    "unit",
    "temperature_c",
    "meter_u_pct",
    "lead_ohm",
    "lead_u_ohm",
    "note",
]
CIRCUIT_COLUMNS = ["motor", "place", "order", "size", "length_m", "material"]


def motor_row(random, setting, motor):
    circuit = motor.circuit
    given = lambda share, value: value if random.random() < share else ""
    number = int(motor.name[1:])
    fed_by_share = 0.8 if circuit.fed_by == "drive" else setting.fed_by_given
    with_costs = random.random() < 0.3
    return {
        "motor": motor.name,
        "description": f"{DUTIES[number % len(DUTIES)]} {number // len(DUTIES) + 1}",
        "area": AREAS[number % len(AREAS)],
        "rated_kw": f"{circuit.rated_kw:g}",
        "rated_v": f"{circuit.rated_v:.0f}",
        "rated_a": f"{circuit.rated_a:g}",
        "locked_rotor_a": given(0.4, f"{circuit.locked_rotor_ratio * circuit.rated_a:.0f}"),
        "connection": circuit.connection,
        "poles": circuit.poles,
        "lug_area_cm2": given(0.4, f"{circuit.area_m2.mean() * 1e4:.1f}"),
        "criticality": given(0.7, int(random.integers(1, 6))),
        "downtime_cost_per_h": f"{random.uniform(200, 6000):.0f}" if with_costs else "",
        "repair_h": "3" if with_costs else "",
        "replacement_cost": f"{900 + 110 * circuit.rated_kw:.0f}" if with_costs else "",
        "currency": "USD" if with_costs else "",
        "fed_by": given(fed_by_share, circuit.fed_by),
    }


def circuit_rows(random, motor):
    circuit = motor.circuit
    sized = random.random() < 0.7
    rows = []
    for k, place in enumerate(circuit.components):
        last = k == len(circuit.components) - 1
        rows.append(
            {
                "motor": motor.name,
                "place": place,
                "order": k + 1,
                "size": f"{circuit.size_mm2:g} mm2" if sized and not last else "",
                "length_m": f"{circuit.length_m[k]:.0f}" if sized and not last else "",
                "material": "copper" if sized and not last else "",
            }
        )
    return rows


def camera_for(random, setting, columns):
    disc_px = random.uniform(*setting.disc_px) * (0.62 if columns > 3 else 1)
    return scene.Camera(
        setting.width_px + (40 if columns > 3 else 0),
        setting.height_px,
        max(disc_px, 3.4),
        0.0022,
        random.uniform(*setting.blur_px),
        random.normal(0, setting.camera_k),
        setting.nonuniformity_k,
        setting.noise_k,
    )


def write_shot(random, setting, motor, shot, survey, sequence):
    """The image and its marks; returns the row of images.csv."""
    columns = len(shot.phases)
    camera = camera_for(random, setting, columns)
    spots = scene.centres(camera, columns, random)
    view = scene.View(
        shot.lug_c,
        shot.emissivity,
        np.full(columns, shot.reflected_c),
        shot.mirrored_c,
        shot.far_c,
        shot.fin_per_m,
        shot.air_c,
    )
    ending = ".npy" if random.random() < 0.12 else ".tif"
    file = f"images/{motor.name}_{shot.component.replace(' ', '_')}{ending}"
    scene.write_picture(survey / file, scene.picture_c(view, camera, spots, random))
    names = [f"T{phase}" for phase in shot.phases]
    if columns > 3:
        names = [
            f"T{phase} {'left' if k % 2 == 0 else 'right'}" for k, phase in enumerate(shot.phases)
        ]
    ambient = random.random() < 0.2
    scene.write_marks(
        survey / "marks" / f"{file}.json", file, camera, spots, names, shot.phases, ambient
    )
    declared = {} if ending == ".npy" else {"scale": "0.01", "offset": "0", "unit": "k"}
    return {
        "file": file,
        "motor": motor.name,
        "component": shot.component,
        "taken_at": f"2026-11-10T{6 + sequence // 360 % 16:02d}:{sequence // 6 % 60:02d}",
        "distance_m": "1",
        "ifov_mrad": "2.2",
        **declared,
        **shot.cells,
    }


def write_table(path, columns, rows):
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)


def make(out, motors, seed, set_name):
    setting = settings.SETS[set_name]
    stream = sorted(settings.SETS).index(set_name)
    survey = out / "survey"
    for folder in ("images", "marks/images"):
        (survey / folder).mkdir(parents=True, exist_ok=True)
    rows = {"motors": [], "images": [], "readings": [], "circuit": []}
    truths = []
    kinds = population.draw_kinds(np.random.default_rng([seed, stream]), setting, motors)
    for number, kind in enumerate(kinds, 1):
        random = np.random.default_rng([seed, stream, number])  # a motor is the same in any company
        motor = population.draw_motor(random, setting, f"M{number:05d}", kind)
        rows["motors"].append(motor_row(random, setting, motor))
        rows["circuit"] += circuit_rows(random, motor) if random.random() < 0.85 else []
        rows["readings"] += motor.readings
        for shot in motor.shots:
            rows["images"].append(
                write_shot(random, setting, motor, shot, survey, len(rows["images"]))
            )
        truths.append(motor.truth)
    for name, columns in (
        ("motors", MOTOR_COLUMNS),
        ("images", IMAGE_COLUMNS),
        ("readings", READING_COLUMNS),
        ("circuit", CIRCUIT_COLUMNS),
    ):
        write_table(survey / f"{name}.csv", columns, rows[name])
    (survey / "survey.json").write_text(
        json.dumps({"site": "Bexley Creek grain terminal", "surveyed_on": "2026-11-10"})
    )
    (out / "truth.json").write_text(
        json.dumps({"version": 1, "set": set_name, "seed": seed, "motors": truths}, indent=0)
    )


def share_of(setting, kind):
    return setting.shares[kind] / sum(setting.shares.values())


def assumptions():
    """What the population assumes, as a page of text."""
    parts = ["# What the judging population assumes", ""]
    for module in (population, circuits, warmth, wires, planck, scene):
        title = {
            "population": "Kinds of truth",
            "circuits": "Motors and circuits",
            "warmth": "Heat of a lug",
            "wires": "Currents and ohms",
            "planck": "Radiance",
            "scene": "Images",
        }[module.__name__]
        parts += [f"## {title}", "", module.__doc__.strip(), ""]
    parts += [
        "## The two sets",
        "",
        settings.__doc__.strip(),
        "",
        "| parameter | tune | judge |",
        "|---|---|---|",
    ]
    tune, judge = asdict(settings.TUNE), asdict(settings.JUDGE)
    parts += [
        f"| {name} | {tune[name]} | {judge[name]} |"
        for name in tune
        if name not in ("name", "shares")
    ]
    parts += ["", "| kind | share in tune | share in judge |", "|---|---|---|"]
    parts += [
        f"| {kind} | {share_of(settings.TUNE, kind):.3f} | {share_of(settings.JUDGE, kind):.3f} |"
        for kind in settings.TUNE_SHARES
    ]
    return "\n".join(parts)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path, nargs="?")
    parser.add_argument("--motors", type=int, default=2400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--set", choices=sorted(settings.SETS), default="judge")
    parser.add_argument(
        "--assumptions", action="store_true", help="print what the population assumes"
    )
    given = parser.parse_args()
    if given.assumptions:
        print(assumptions())
    elif given.out is None:
        parser.error("OUT is missing")
    else:
        make(given.out, given.motors, given.seed, given.set)


if __name__ == "__main__":
    main()
