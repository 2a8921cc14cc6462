"""Halving the kernel's steps changes nothing that matters, on hard runs of the demo vehicles."""

import numpy as np
import pytest

import suspension_lab as lab
import suspension_lab.simulation.simulate as simulation

ROADS = {
    "pothole": lab.Ride(lab.roads.pothole(length=0.5, depth=0.06), 6.0),
    "kerb": lab.Ride(lab.roads.kerb(height=0.06), 5.0),
    "washboard": lab.Ride(lab.roads.washboard(), 8.0),
    "long hump": lab.Ride(lab.roads.long_hump(), 7.0),
}
HANDS = {"release": lab.Release(depth=0.03), "push": lab.Push(peak_force=500.0, rise_time=0.08)}


SMALL = 7e-5
"""[m]"""
BEHIND_METAL = 4e-4
"""[m]: metal behind a bump stop, 1 N per micrometre, throws a wheel back at some 2 m/s within 10 steps. Where in a step
it is met changes that speed by up to 1 in 1000, which 0.2 s of flight make 0.4 mm of."""


def halved(monkeypatch, station, excitation):
    """How much body and wheel change at each sample [m], the usual run, and how far the body moves at all [m]."""
    usual = lab.simulate(station, excitation, 2.5)
    monkeypatch.setattr(simulation, "STEP_TIMES_RATE", 0.5 * simulation.STEP_TIMES_RATE)
    half = lab.simulate(station, excitation, 2.5, step=0.5 * simulation.USUAL_STEP)
    changes = [np.abs(getattr(usual, mass) - getattr(half, mass)[::2]) for mass in ("body", "wheel")]
    return np.maximum(*changes), usual, np.ptp(half.body)


@pytest.mark.parametrize("name", [name for name in lab.demo_vehicles() if name != "classroom_rig"])
@pytest.mark.parametrize("road", ROADS)
def test_on_the_road(monkeypatch, name, road):
    """Within 0.07 mm and 1 in 200, through lost contact, stops, knees and friction that turns around."""
    station = lab.load_station(name)
    change, usual, moved = halved(monkeypatch, station, ROADS[road])
    on_metal = np.maximum.accumulate(usual.wheel_travel) >= station.travel
    assert change[~on_metal].max() < SMALL
    assert change.max() < (BEHIND_METAL if on_metal.any() else SMALL)
    assert change.max() < 5e-3 * moved


@pytest.mark.parametrize("name", lab.demo_vehicles())
@pytest.mark.parametrize("hand", HANDS)
def test_by_hand(monkeypatch, name, hand):
    """Within 0.001 mm: here nothing is sharper than the knee and the friction."""
    change, _, moved = halved(monkeypatch, lab.load_station(name), HANDS[hand])
    assert change.max() < 1e-6
    assert moved > 0.005
