"""Decays that are not exponential: dry friction and a damper whose force goes with the square of the speed."""

import math

import numpy as np
import pytest
from made_dampers import QuadraticDamper
from reference_values import reference
from two_masses import From, one_mass

import suspension_lab as lab
from suspension_lab.excitation.excitation import Path

EXAMPLES = reference("textbook_examples")


def extremes(trace):
    """Farthest points of all half cycles, the start's first, in size."""
    x = trace.body
    turn = np.flatnonzero((x[1:-1] - x[:-2]) * (x[2:] - x[1:-1]) < 0.0) + 1
    return np.abs(np.concatenate([x[:1], x[turn]]))


@pytest.mark.parametrize("friction", [10.0, 25.0, 50.0])
def test_dry_friction_takes_four_times_force_over_rate_each_cycle(friction):
    """Analytic (Rao, Inman): the envelope is a straight line. The friction turns around over 0.5 mm/s here."""
    mass, spring, depth = 100.0, 10_000.0, 0.08
    station = one_mass(mass=mass, spring=spring, friction=friction, friction_speed=5e-4)
    found = extremes(lab.simulate(station, lab.Release(depth=depth), 4.0))
    per_half_cycle = 2.0 * friction / spring
    moving = found[found > 2.0 * per_half_cycle]
    assert moving.size >= 5
    assert -np.diff(moving) == pytest.approx(per_half_cycle, rel=0.01)


def test_dry_friction_leaves_the_frequency_as_it_is():
    station = one_mass(mass=100.0, spring=10_000.0, friction=15.0, friction_speed=5e-4)
    trace = lab.simulate(station, lab.Release(depth=0.06), 3.0)
    turns = np.flatnonzero(np.diff(np.sign(trace.body_velocity[5:])) != 0) + 5
    assert np.diff(trace.time[turns])[:5] == pytest.approx(math.pi / 10.0, rel=5e-3)


def test_dry_friction_holds_the_body_off_ride_height():
    """Analytic: it stops where the spring can no longer beat the friction, within force over rate."""
    friction, spring = 40.0, 10_000.0
    trace = lab.simulate(
        one_mass(mass=100.0, spring=spring, friction=friction, friction_speed=1e-4), lab.Release(depth=0.05), 3.0
    )
    assert 0.0 < abs(trace.body[-1]) < friction / spring


def test_textbook_block_with_dry_friction():
    """Published (Rao): from 10 cm to 1 cm in 5 cycles of 2 s altogether takes this coefficient of friction."""
    mass = 10.0
    spring = (
        mass
        * (2.0 * math.pi * EXAMPLES["dry friction cycles"].value / EXAMPLES["dry friction time of these cycles"].value)
        ** 2
    )
    friction = EXAMPLES["dry friction coefficient"].value * mass * 9.81
    station = one_mass(mass=mass, spring=spring, friction=friction, friction_speed=1e-3)
    trace = lab.simulate(station, lab.Release(depth=EXAMPLES["dry friction start"].value), 2.2)
    found = extremes(trace)
    assert found[10] == EXAMPLES["dry friction end"].near


@pytest.mark.parametrize("constant", [5.0, 20.0])
def test_quadratic_damping_makes_one_over_the_size_grow_evenly(constant):
    """Analytic (Rao, Inman): by 8 a / (3 m) a cycle, which is the equivalent damping 8/(3 pi) a w X."""
    mass = 100.0
    station = one_mass(mass=mass, spring=10_000.0, damper=QuadraticDamper(constant=constant))
    found = extremes(lab.simulate(station, lab.Release(depth=0.06), 8.0))
    growth = np.diff(1.0 / found[1:11:2])
    assert growth == pytest.approx(8.0 * constant / (3.0 * mass), rel=2e-3)


def test_quadratic_damping_in_a_steady_swing_takes_what_its_equivalent_does():
    """Analytic (Rao, Inman): at resonance, force x pi X = pi c w X^2 with c = 8/(3 pi) a w X."""
    mass, spring, constant, force = 100.0, 10_000.0, 400.0, 60.0
    rate = math.sqrt(spring / mass)
    time = np.linspace(0.0, 30.0, 30_001)
    shake = From(force=Path(time=time, value=force * np.sin(rate * time)))
    station = one_mass(mass=mass, spring=spring, damper=QuadraticDamper(constant=constant))
    trace = lab.simulate(station, shake, 30.0)
    swing = np.ptp(trace.body[-2000:]) / 2.0
    assert swing == pytest.approx(math.sqrt(force / (8.0 / (3.0 * math.pi) * constant * rate**2)), rel=0.01)
