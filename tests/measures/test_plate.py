"""Minimum contact force against the closed form of the linear quarter car."""

from dataclasses import replace

import numpy as np
import pytest
from reference_values import reference
from two_masses import linear_station

import suspension_lab as lab
from suspension_lab.measures.plate import car_band
from suspension_lab.measures.summary import summary

PLATE = reference("plate")
VEHICLES = {
    "passenger car": {"sprung": 240.0, "unsprung": 36.0, "spring": 16_000.0, "tyre": 160_000.0},
    "light vehicle": {"sprung": 60.0, "unsprung": 12.0, "spring": 9_000.0, "tyre": 110_000.0},
}


def station(name, zeta):
    numbers = VEHICLES[name]
    return linear_station(**numbers, damping=2.0 * zeta * np.sqrt(numbers["spring"] * numbers["sprung"]))


def load_change(name, zeta, frequency):
    """Tyre load over road height of the linear quarter car, per metre of plate, over the load at rest."""
    n, s = VEHICLES[name], 2j * np.pi * frequency
    link = 2.0 * zeta * np.sqrt(n["spring"] * n["sprung"]) * s + n["spring"]
    body, wheel = n["sprung"] * s**2 + link, n["unsprung"] * s**2 + link + n["tyre"]
    moved = n["tyre"] * body / (body * wheel - link**2)
    return n["tyre"] * np.abs(1.0 - moved) / (9.80665 * (n["sprung"] + n["unsprung"]))


@pytest.mark.parametrize("name", VEHICLES)
@pytest.mark.parametrize("zeta", [0.1, 0.2, 0.3, 0.4, 0.5, 0.7])
def test_steady_at_the_worst_frequency(name, zeta):
    """Settled on a steady plate: the closed form, and 0 where that would pull."""
    frequency = np.linspace(5.0, 25.0, 4001)
    change = load_change(name, zeta, frequency)
    expected = PLATE[f"{name} at damping ratio {zeta}"]
    assert 100.0 * (1.0 - 0.003 * change.max()) == expected.near
    worst = float(frequency[change.argmax()])
    plate = lab.ShakerPlate(start_frequency=worst, end_frequency=worst, duration=6.0)
    found = lab.minimum_contact_force(lab.simulate(station(name, zeta), plate, step=2.5e-4))
    assert 100.0 * found.share == pytest.approx(max(expected.value, 0.0), abs=0.3)
    assert found.frequency == pytest.approx(worst)


@pytest.mark.parametrize("zeta", [0.2, 0.3, 0.5, 0.7])
def test_the_usual_sweep_finds_it(zeta):
    """A sweep of a hertz a second lets the wheel settle nearly: within 1 % of the load at rest."""
    found = lab.minimum_contact_force(lab.simulate(station("passenger car", zeta), lab.ShakerPlate()))
    assert 100.0 * found.share == pytest.approx(PLATE[f"passenger car at damping ratio {zeta}"].value, abs=1.0)
    frequency = np.linspace(5.0, 25.0, 4001)
    worst = frequency[load_change("passenger car", zeta, frequency).argmax()]
    assert found.frequency == pytest.approx(worst, abs=0.6)


def test_a_tyre_that_can_leave_the_plate_does():
    light = station("light vehicle", 0.2)
    light = replace(light, tyre=replace(light.tyre, can_leave_road=True))
    trace = lab.simulate(light, lab.ShakerPlate())
    found = lab.minimum_contact_force(trace)
    assert found.share == 0.0
    assert lab.contact_loss(trace).longest > 0.0
    assert 12.0 < found.frequency < 20.0


def test_bands_of_the_inspection_lines():
    for word in ("good", "fair", "poor", "bad"):
        for end in ("from", "to"):
            assert car_band(PLATE[f"{word} {end}"].value / 100.0) == word


def test_measures_of_a_run_on_a_plate():
    trace = lab.simulate(lab.load_station("courier_scooter_front"), lab.ShakerPlate())
    found = lab.minimum_contact_force(trace)
    measures = {measure.key: measure for measure in summary(trace)}
    assert measures["minimum_contact_force"].value == pytest.approx(100.0 * found.share)
    assert measures["minimum_contact_frequency"].value == pytest.approx(found.frequency)
    assert {"compression_speed", "rebound_speed", "deepest_travel"} <= set(measures)


def test_runs_that_tell_nothing():
    vehicle = lab.load_station("courier_scooter_rear")
    with pytest.raises(lab.LabError, match="needs a run on a ShakerPlate, but this one is a Release"):
        lab.minimum_contact_force(lab.simulate(vehicle, lab.Release(depth=0.02)))
    with pytest.raises(lab.LabError, match=r"ends before the plate has its whole stroke at 0\.4 s"):
        lab.minimum_contact_force(lab.simulate(vehicle, lab.ShakerPlate(), 0.3))
