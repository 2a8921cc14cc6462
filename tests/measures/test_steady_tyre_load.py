"""Tyre load variation of a steady ride over a sine road against the linear transfer function."""

import math

import numpy as np
import pytest
from two_masses import linear_station

import suspension_lab as lab


@pytest.mark.parametrize("frequency", [1.0, 4.0, 11.0])
def test_tyre_load_variation_on_a_sine_road(frequency):
    """Analytic: |tyre force over road height| x height / (static load x root 2)."""
    ms, mu, k, c, kt, ct = 90.0, 20.0, 18_000.0, 900.0, 140_000.0, 100.0
    station = linear_station(sprung=ms, unsprung=mu, spring=k, damping=c, tyre=kt, tyre_damping=ct)
    per_cycle, cycles, height = 400, 60, 0.002
    time = np.arange(per_cycle * cycles + 1) / (per_cycle * frequency)
    road = lab.Road(time, height * np.sin(2.0 * np.pi * frequency * time))
    whole = lab.simulate(station, lab.Ride(road, 1.0), cycles / frequency, step=1.0 / (per_cycle * frequency))
    load = whole.tyre_load[-20 * per_cycle :]

    s = 2j * np.pi * frequency
    suspension, tyre = k + c * s, kt + ct * s
    body_over_wheel = suspension / (ms * s**2 + suspension)
    wheel = tyre / (mu * s**2 + suspension * (1.0 - body_over_wheel) + tyre)
    expected = abs(tyre * (1.0 - wheel)) * height / math.sqrt(2.0) / station.static_tyre_load
    assert np.std(load) / station.static_tyre_load == pytest.approx(expected, rel=1e-3)
    # The whole trace has the settling in it, which at 11 Hz is a small part.
    if frequency == 11.0:
        assert lab.tyre_load_variation(whole) == pytest.approx(expected, rel=0.05)
