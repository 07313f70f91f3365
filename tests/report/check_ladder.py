"""Reads a phase ladder's drawing and checks positions against its own printed scales.

check_ladder.py FILE lug:PHASE:CELSIUS:REACH … limit::CELSIUS … full_load:PHASE:CELSIUS … excess:PHASE:OHM …
A line is fitted through the printed ticks of each scale; every point, whisker and bar must lie on it.
"""
import re
import sys
import xml.etree.ElementTree as ElementTree

import numpy

NS = "{http://www.w3.org/2000/svg}"
# Coordinates are printed with two decimals, and a tick's label may be rounded.
TOLERANCE = 0.05
PER_OHM = {"MΩ": 1e-6, "kΩ": 1e-3, "Ω": 1.0, "mΩ": 1e3, "µΩ": 1e6}
# How far the number's baseline lies below its tick's line.
BASELINE = 3.5

root = ElementTree.parse(sys.argv[1]).getroot()
texts = list(root.iter(NS + "text"))


def value(text):
    return float(text.replace("\u2212", "-"))


def scale(css_class):
    ticks = [(value(t.text), float(t.get("y")) - BASELINE) for t in texts if t.get("class") == css_class]
    assert len(ticks) >= 2, f"{css_class}: {ticks}"
    # Labels' y has one decimal; the drawing states the exact one beside it.
    exact = [float(t.get("data-y")) for t in texts if t.get("class") == css_class]
    assert numpy.allclose([y for _, y in ticks], exact, atol=0.051)
    return numpy.polyfit([v for v, _ in ticks], exact, 1)


def shape_centre(group):
    for element in group:
        kind = element.tag.removeprefix(NS)
        if kind == "circle":
            return float(element.get("cy"))
        if kind == "rect" and element.get("stroke"):
            return float(element.get("y")) + float(element.get("height")) / 2
        if kind == "path" and element.get("d").endswith("z"):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", element.get("d"))]
            return numbers[1] + numbers[3]
    raise AssertionError("a lug without a shape")


def whisker(group):
    path = next(e.get("d") for e in group if e.tag == NS + "path" and not e.get("d").endswith("z"))
    return [float(n) for n in re.match(r"M[\d.]+ ([\d.]+)V([\d.]+)", path).groups()]


wrong = []


def expect(what, got, wanted):
    if abs(got - wanted) > TOLERANCE:
        wrong.append(f"{what}: drawn at {got}, belongs at {wanted}")


found = {g.get("class"): [] for g in root.iter(NS + "g")}
for group in root.iter(NS + "g"):
    found[group.get("class")].append(group)
for argument in sys.argv[2:]:
    kind, phase, *numbers = argument.split(":")
    if kind == "lug":
        celsius, reach = map(float, numbers)
        line = scale("tick")
        group = next(g for g in found["lug"] if g.get("data-phase") == phase
                     and abs(float(g.get("data-celsius", "nan")) - celsius) < 1e-3)
        expect(argument, shape_centre(group), numpy.polyval(line, celsius))
        top, bottom = whisker(group)
        expect(argument + " top", top, numpy.polyval(line, celsius + reach))
        expect(argument + " bottom", bottom, numpy.polyval(line, celsius - reach))
    elif kind == "limit":
        line = scale("tick")
        drawn = [float(re.match(r"M[\d.]+ ([\d.]+)H", e.get("d")).group(1)) for g in found.get("limit", []) for e in g.iter(NS + "path")]
        wanted = numpy.polyval(line, float(numbers[0]))
        expect(argument, min(drawn, key=lambda y: abs(y - wanted), default=float("inf")), wanted)
    elif kind == "full_load":
        line = scale("tick")
        group = next(g for g in found["lug"] if g.get("data-phase") == phase)
        hollow = next(e for e in group if e.get("stroke-dasharray") and e.tag in (NS + "circle", NS + "rect"))
        middle = float(hollow.get("cy")) if hollow.tag == NS + "circle" else float(hollow.get("y")) + float(hollow.get("height")) / 2
        expect(argument, middle, numpy.polyval(line, float(numbers[0])))
    else:
        unit = next(t.text for t in texts if t.text in PER_OHM)
        line = scale("ohm-tick")
        group = next(g for g in found["excess"] if g.get("data-phase") == phase)
        bar = next(e for e in group if e.tag == NS + "rect")
        end = float(bar.get("y")) + float(bar.get("height"))
        expect(argument, end, numpy.polyval(line, float(numbers[0]) * PER_OHM[unit]))
print("\n".join(wrong), end="")
