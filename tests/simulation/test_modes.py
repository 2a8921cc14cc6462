"""Natural frequencies and damping ratios of the linear view."""

import control
import numpy as np
import pytest
from reference_values import reference
from two_masses import linear_station, matrices, one_mass

import suspension_lab as lab
from suspension_lab.common.checks import GRAVITY
from suspension_lab.simulation.linear import body_damping_ratio


@pytest.mark.parametrize(
    ("parts", "body", "wheel"),
    [
        ((240.0, 36.0, 16_000.0, 160_000.0), 1.238243, 11.135189),
        ((250.0, 37.5, 15_825.0, 163_250.0), 1.208297, 11.004728),
        ((60.0, 12.0, 9_000.0, 110_000.0), 1.872996, 15.858232),
    ],
)
def test_undamped_frequencies(parts, body, wheel):
    """Analytic: roots of the textbook quadratic in the square of the frequency, worked out beforehand [Hz]."""
    sprung, unsprung, spring, tyre = parts
    modes = lab.modes(
        linear_station(sprung=sprung, unsprung=unsprung, spring=spring, damping=500.0, tyre=tyre, tyre_damping=900.0)
    )
    assert modes.body.frequency == pytest.approx(body, abs=1e-6)
    assert modes.wheel.frequency == pytest.approx(wheel, abs=1e-6)


def test_damping_ratios_are_those_of_python_control():
    station = linear_station(
        sprung=100.0, unsprung=20.0, spring=20_000.0, damping=800.0, tyre=150_000.0, tyre_damping=100.0
    )
    a, b, c, d = matrices(station, 800.0)
    _, ratios, _ = control.damp(control.ss(a, b, c, d), doprint=False)
    modes = lab.modes(station)
    assert sorted({round(ratio, 9) for ratio in ratios}) == pytest.approx(
        sorted([modes.body.damping_ratio, modes.wheel.damping_ratio]), abs=2e-9
    )


@pytest.mark.parametrize("quantity", reference("static_deflection"))
def test_frequency_of_one_mass_follows_from_its_static_deflection(quantity):
    row = reference("static_deflection")[quantity]
    hertz = float(quantity.removeprefix("static deflection at ").removesuffix(" Hz"))
    mass = 80.0
    station = one_mass(mass=mass, spring=mass * GRAVITY / (row.value * 1e-3))
    assert station.static_travel * 1e3 == row.near
    assert lab.modes(station).body.frequency == pytest.approx(hertz, rel=1e-4)


@pytest.mark.parametrize("ratio", [0.3, 0.9, 1.1, 2.0, 3.0])
def test_on_a_hard_tyre_the_body_has_the_ratio_of_one_mass_also_when_it_creeps(ratio):
    """Analytic: c / (2 sqrt(k m)) of one mass, which a stiff tyre under a light wheel leaves."""
    mass, spring = 100.0, 20_000.0
    damping = 2.0 * ratio * np.sqrt(spring * mass)
    station = linear_station(sprung=mass, unsprung=0.5, spring=spring, damping=damping, tyre=1e9)
    assert lab.modes(station).body.damping_ratio == pytest.approx(ratio, rel=2e-3)
    assert body_damping_ratio(station) == pytest.approx(ratio, rel=1e-9)


def test_each_pair_keeps_its_name_when_a_hard_damper_locks_the_masses_together():
    """Analytic: locked masses swing on the tyre alone, at sqrt(kt / (ms + mu)) and ever less damped."""
    ratios = [
        lab.modes(linear_station(sprung=106.0, unsprung=24.0, spring=24_300.0, damping=c, tyre=150_000.0))
        for c in (2000.0, 8000.0, 32_000.0)
    ]
    swinging = [min(mode.damping_ratio for mode in modes) for modes in ratios]
    creeping = [max(mode.damping_ratio for mode in modes) for modes in ratios]
    assert swinging == sorted(swinging, reverse=True)
    assert swinging[-1] < 0.06
    assert creeping == sorted(creeping)
    assert creeping[-1] > 5.0
