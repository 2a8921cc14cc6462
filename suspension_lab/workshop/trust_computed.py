"""What the lab computes to be held against the reference files: each topic yields words, reference and our number.

The reference values are read, never written down here. What stands here are the vehicles, roads and oils that the
quantities are about.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from suspension_lab.common.reference import Reference, reference
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.common.text_files import Column, read_number_table
from suspension_lab.excitation.hand import Release
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.excitation.road import Road
from suspension_lab.excitation.roads.surfaces import ROAD_CLASSES, iso8608
from suspension_lab.measures.comfort import wk
from suspension_lab.measures.free_motion import overshoot, settling_time
from suspension_lab.measures.plate import minimum_contact_force
from suspension_lab.measures.roughness import golden_car, international_roughness_index
from suspension_lab.simulation.equivalent import equivalent_damping
from suspension_lab.simulation.frequency import frequency_response
from suspension_lab.simulation.linear import modes, system_matrix
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.white_road import gaussian_damping, random_response, road_speed_intensity
from suspension_lab.vehicle.damper import LinearDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS, Oil
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.tyre import Tyre
from suspension_lab.vehicle.valves import SHARP_EDGE, gap_resistance
from suspension_lab.workshop.fit_release import fit_release

Computed = Iterator[tuple[str, Reference, float]]
CAR = {"sprung": 240.0, "unsprung": 36.0, "spring": 16_000.0, "tyre": 160_000.0}
LIGHT = {"sprung": 60.0, "unsprung": 12.0, "spring": 9_000.0, "tyre": 110_000.0}
LIGHT_DAMPING = 450.0
"""The two vehicles of the textbook rows, in kg, N/m and N s/m: a car's corner and a light vehicle's."""
RIGID = 1e9
"""A tyre so stiff that body and spring are a single mass on a spring [N/m]."""


def two_masses(*, sprung: float, unsprung: float, spring: float, tyre: float, damping: float = 0.0) -> Station:
    """The linear model of the textbooks: no stops, no friction, a tyre that holds on to the road."""
    return Station(
        name="linear", sprung_mass=sprung, unsprung_mass=unsprung, spring=Spring(rate=spring),
        damper=LinearDamper(rebound=damping, compression=damping), tyre=Tyre(stiffness=tyre, can_leave_road=False),
    )  # fmt: skip


def one_mass(*, mass: float, spring: float, damping: float = 0.0) -> Station:
    """A single mass on spring and damper."""
    return two_masses(sprung=mass, unsprung=100.0, spring=spring, tyre=RIGID, damping=damping)


def _half_critical(name: str, vehicle: Mapping[str, float], ratio: float) -> Station:
    damping = 2.0 * ratio * math.sqrt(vehicle["spring"] * vehicle["sprung"])
    return replace(two_masses(**vehicle, damping=damping), name=name)


def _roads(folder: Path | None) -> Computed:
    classes, index = reference("road_classes", folder), reference("roughness_index", folder)
    golden = reference("golden_car", folder)
    for name in "AC":
        words = f"How rough a road of class {name} is, on average"
        yield words, classes[f"mean of class {name}"], 1e6 * ROAD_CLASSES[name]
    transition, response = golden_car(golden["distance step"].value)
    yield (
        "The roughness index's car: its wheel's speed after a step, by its own height",
        golden["ST row 4 column 3"],
        transition[3, 2],
    )
    yield (
        "The roughness index's car: its wheel's speed after a step, by the road's slope",
        golden["PR row 4"],
        response[3],
    )
    x = np.arange(0.0, 30.01, 0.25)
    triangle = Road(x, 1e-3 * np.interp(x, [1.0, 3.0, 5.0], [0.0, 2.0, 0.0]))
    yield (
        "Roughness index of a road with one triangle of 2 mm", index["triangle: index from 0 to 30 m"],
        float(international_roughness_index(triangle, 30.0)[0]),
    )  # fmt: skip
    x = np.arange(0.0, 300.01, 0.05)
    wave = Road(x, 1e-3 * np.sin(2.0 * np.pi * x / 2.4))
    yield (
        "Roughness index of waves of 2.4 m", index["index of a wave of 1 mm amplitude and 2.4 m"],
        float(international_roughness_index(wave, 150.0)[-1]),
    )  # fmt: skip
    made = [international_roughness_index(iso8608("A", length=1000.0, seed=seed)).mean() for seed in range(8)]
    yield (
        "Roughness index of eight random roads of class A",
        index["index of the mean of class A"],
        float(np.mean(made)),
    )


def _comfort(folder: Path | None) -> Computed:
    table = reference("weighting_wk", folder)
    for hertz in ("1", "5", "16", "80"):
        words = f"How much shaking at {hertz} Hz counts for comfort"
        yield words, table[f"Wk at {hertz} Hz"], 1e3 * abs(complex(wk(float(hertz))))


def _oil(folder: Path | None) -> Computed:
    table = reference("oil", folder)
    for at_40, at_100 in (("73.30", "8.86"), ("22.83", "5.05")):
        quantity = f"viscosity index of {at_40} and {at_100}"
        yield f"V{quantity[1:]} mm²/s at 40 and 100 °C", table[quantity], _an_oil(at_40, at_100).viscosity_index
    vg = Oil.of_grade(32).kinematic_viscosity(ZERO_CELSIUS + 40.0)
    yield "Viscosity of a VG 32 oil at 40 °C", table["ISO VG 32 midpoint"], 1e6 * vg
    for celsius in ("0", "20", "80"):
        found = _an_oil("32", "5.4").kinematic_viscosity(ZERO_CELSIUS + float(celsius))
        yield f"Viscosity of a VG 32 oil at {celsius} °C", table[f"32 and 5.4 at {celsius} C"], 1e6 * found


def _an_oil(at_40: str, at_100: str) -> Oil:
    return Oil(viscosity_40=1e-6 * float(at_40), viscosity_100=1e-6 * float(at_100))


def _flow(folder: Path | None) -> Computed:
    table = reference("flow", folder)
    yield "How much of a sharp hole the oil's jet fills", table["discharge coefficient of a sharp edge"], SHARP_EDGE
    ring = {"diameter": 30e-3, "clearance": 50e-6, "length": 0.01, "viscosity": 0.03}
    for e in ("0.5", "1"):
        ratio = gap_resistance(**ring) / gap_resistance(**ring, eccentricity=float(e))
        where = "half off centre" if e == "0.5" else "touching one side"
        yield f"Flow past a piston {where}, over that of a centred one", table[f"eccentric gap flow at {e}"], ratio


def _let_go(folder: Path | None) -> Computed:
    decay, deflection = reference("one_mass_decay", folder), reference("static_deflection", folder)
    mass, spring = 100.0, 10_000.0
    rate = math.sqrt(spring / mass)
    for ratio in ("0.20", "0.40", "0.70"):
        station = one_mass(mass=mass, spring=spring, damping=2.0 * float(ratio) * mass * rate)
        trace = simulate(station, Release(depth=0.05), 3.0)
        said = f"damping ratio {ratio}"
        yield f"Overshoot, {said}", decay[f"overshoot at {said}"], 100.0 * overshoot(trace)
        settled = settling_time(trace) * rate
        yield f"Time to settle, {said}", decay[f"settling time into 5 % at {said}"], settled
    for hertz in ("1", "2"):
        station = one_mass(mass=mass, spring=mass * (2.0 * math.pi * float(hertz)) ** 2)
        words = f"How far the weight squashes a spring on which it swings {hertz} times a second"
        yield words, deflection[f"static deflection at {hertz} Hz"], 1e3 * station.static_travel


def _textbook(folder: Path | None) -> Computed:
    book = reference("textbook_examples", folder)
    station = one_mass(
        mass=book["motorcycle mass"].value, spring=book["motorcycle spring rate"].value,
        damping=book["motorcycle damping constant"].value,
    )  # fmt: skip
    yield (
        "Damping ratio of a textbook's motorcycle",
        book["motorcycle damping ratio"],
        modes(station).body.damping_ratio,
    )
    swung = overshoot(simulate(station, Release(depth=0.25), 5.0))
    yield "How much of a swing is left half a swing later", book["motorcycle amplitude x1.5 over x1"], swung
    lasts, mass = book["dry friction time of these cycles"].value, 10.0
    spring = mass * (2.0 * math.pi * book["dry friction cycles"].value / lasts) ** 2
    block = replace(
        one_mass(mass=mass, spring=spring), friction=book["dry friction coefficient"].value * mass * 9.81,
        friction_speed=1e-3,
    )  # fmt: skip
    left = abs(float(simulate(block, Release(depth=book["dry friction start"].value), lasts).body[-1]))
    yield "What dry friction has left of a swing after some cycles", book["dry friction end"], left


def _masses(folder: Path | None) -> Computed:
    golden, points = reference("golden_car", folder), reference("invariant_points", folder)
    sprung = 250.0
    station = two_masses(
        sprung=sprung, unsprung=sprung * golden["unsprung over sprung mass"].value,
        spring=sprung * golden["spring rate over sprung mass"].value,
        tyre=sprung * golden["tyre stiffness over sprung mass"].value,
    )  # fmt: skip
    roots = np.linalg.eigvals(system_matrix(station, sprung * golden["damping over sprung mass"].value))
    body, wheel = sorted(roots[roots.imag > 0.0], key=lambda root: root.imag)
    for name, root in (("body", body), ("wheel", wheel)):
        yield (
            f"The roughness index's car: how quickly its {name} swings",
            golden[f"{name} mode, imaginary part"],
            root.imag,
        )
        yield (
            f"The roughness index's car: how quickly that swing of its {name} dies away",
            golden[f"{name} mode, real part"],
            root.real,
        )
    # What no damper changes: at the wheel's own rate on the tyre, and at the rate of both masses on it.
    weight = LIGHT["sprung"] + LIGHT["unsprung"]
    rates = np.sqrt(LIGHT["tyre"] / np.array([LIGHT["unsprung"], weight]))
    answer = frequency_response(two_masses(**LIGHT, damping=LIGHT_DAMPING), rates / (2.0 * np.pi))
    named = "60 kg over 12 kg on 110 kN/m"
    shaken, moved = abs(answer.body_acceleration[0]) / rates[0], abs(answer.travel[1]) / rates[1]
    yield (
        "Shaking of a light vehicle where no damper changes it", points[f"body acceleration over road speed, {named}"],
        float(shaken),
    )  # fmt: skip
    yield "Its travel where no damper changes it", points[f"rattle space over road speed, {named}"], float(moved)


def _random(folder: Path | None) -> Computed:
    table, factors = reference("white_noise", folder), reference("equivalent_damping", folder)
    roughness, speed, station = ROAD_CLASSES["B"], 20.0, two_masses(**LIGHT, damping=LIGHT_DAMPING)
    intensity = table["road speed intensity at 20 m/s and 64e-6 m^3"]
    yield "How strongly a class B road shakes at 20 m/s", intensity, road_speed_intensity(roughness, speed)
    answer, named = random_response(station, roughness, speed), "60 kg over 12 kg"
    yield "Shaking of a light vehicle on it, r.m.s.", table[f"body acceleration, {named}"], answer.body_acceleration
    yield "Its travel, r.m.s.", table[f"travel, {named}"], 1e3 * answer.travel
    yield "Squash of its tyre, r.m.s.", table[f"tyre, {named}"], 1e3 * answer.tyre_load / station.tyre.stiffness
    yield "Speed of its damper, r.m.s.", table[f"damper speed, {named}"], answer.shaft_speed
    force, moving = 40.0, 0.3
    rubbing = replace(two_masses(**LIGHT), friction=force, friction_speed=1e-9)
    yield (
        "Damping that equals dry friction, in an even swing", factors["sine, dry friction, over F / V"],
        equivalent_damping(rubbing, moving) * moving / force,
    )  # fmt: skip
    yield (
        "Damping that equals dry friction, on a random road", factors["Gaussian, dry friction, over F / sigma"],
        gaussian_damping(rubbing, moving) * moving / force,
    )  # fmt: skip


def _plate(folder: Path | None) -> Computed:
    table, frequency = reference("plate", folder), np.linspace(5.0, 25.0, 4001)
    for ratio in ("0.3", "0.5"):
        station = _half_critical("car", CAR, float(ratio))
        worst = float(frequency[np.abs(frequency_response(station, frequency).tyre_load).argmax()])
        plate = ShakerPlate(start_frequency=worst, end_frequency=worst, duration=4.0)
        found = minimum_contact_force(simulate(station, plate, step=2.5e-4)).share
        yield (
            f"Smallest tyre load of a car, damping ratio {ratio}",
            table[f"passenger car at damping ratio {ratio}"],
            (100.0 * found),
        )
    station, plate = _half_critical("light vehicle", LIGHT, 0.7), ShakerPlate()
    change = np.abs(frequency_response(station, frequency).tyre_load).max() * 0.5 * plate.stroke
    yield (
        "The same of a light vehicle, damping ratio 0.7, by formula", table["light vehicle at damping ratio 0.7"],
        100.0 * float(1.0 - change / station.static_tyre_load),
    )  # fmt: skip


def _measured(folder: Path | None) -> Computed:
    known = reference("pendulum_decay", folder)
    columns = [Column(name="time", unit="s"), Column(name="rate", unit="V")]
    path = shipped_folder("data") / "measured" / "pendulum_decay.csv"
    rows = read_number_table(path, columns, "the measured decay")
    time, swing = rows["time"], rows["rate"] - known["offset of the gyro"].value
    # From a turn on, where the swing is at rest at its end: then the record is a release.
    first = int(np.flatnonzero((swing[:-1] <= 0.0) & (swing[1:] > 0.0))[0])
    rate = known["angular frequency"].value ** 2
    damping = 2.0 * known["decay in proportion to the swing"].value
    station = Station(
        name="pendulum", sprung_mass=1.0, unsprung_mass=0.05, spring=Spring(rate=rate),
        damper=LinearDamper(rebound=damping, compression=damping), tyre=Tyre(stiffness=200.0 * rate), friction=0.01,
    )  # fmt: skip
    fit = fit_release(time[first:] - time[first], station=station, free=["friction"], velocity=swing[first:])
    words = (
        "What dry friction takes each second of the swing of a bicycle part hung up as a pendulum, by a fit to its "
        "record; three of the fit's four numbers are given"
    )
    yield words, known["decay by dry friction"], 2.0 / math.pi * float(fit["friction"].value)


COMPUTED: Mapping[str, Callable[[Path | None], Computed]] = {
    "Roads": _roads,
    "Comfort": _comfort,
    "Oil": _oil,
    "Valves": _flow,
    "One mass, let go": _let_go,
    "Textbook examples": _textbook,
    "Two masses": _masses,
    "Random roads and dry friction": _random,
    "On a shaker plate": _plate,
    "Measured": _measured,
}
"""Topic -> its rows."""
