"""Measures of a free decay against the formulas of one mass, spring and linear damper."""

import math

import numpy as np
import pytest
from reference_values import reference
from scipy.optimize import brentq
from two_masses import From, one_mass

import suspension_lab as lab
from suspension_lab.excitation.excitation import State

TABLE = reference("one_mass_decay")
EXAMPLES = reference("textbook_examples")
MASS, SPRING = 100.0, 10_000.0
RATE = math.sqrt(SPRING / MASS)
DEPTH = 0.05
RATIOS = sorted({float(quantity.rsplit(" ", 1)[1]) for quantity in TABLE})
UNDER = [ratio for ratio in RATIOS if ratio < 1.0]


def released(ratio, duration=None):
    station = one_mass(mass=MASS, spring=SPRING, damping=2.0 * ratio * MASS * RATE)
    return lab.simulate(station, lab.Release(depth=DEPTH), duration or max(2.0, 7.0 / (ratio * RATE)))


def way_left(ratio, angle):
    """Analytic: share of the depth left after `angle` = natural frequency x time, let go from rest, ratio below 1."""
    damped = math.sqrt(1.0 - ratio**2)
    return math.exp(-ratio * angle) * (math.cos(damped * angle) + ratio / damped * math.sin(damped * angle))


def exact_settling(ratio, band=0.05):
    """Analytic: the last time at which the decay is at the band, by root search in its last swing outside."""
    damped = math.sqrt(1.0 - ratio**2)
    angles = np.linspace(1e-6, 8.0 / ratio, 200_001)
    outside = np.array([abs(way_left(ratio, a)) > band for a in angles])
    last = np.flatnonzero(outside)[-1]
    assert damped > 0.0
    return brentq(lambda a: abs(way_left(ratio, a)) - band, angles[last], angles[last + 1])


def peaks(trace):
    """Farthest points of the swings in order, by a parabola through the three samples at each."""
    x = trace.body
    turn = np.flatnonzero((x[1:-1] - x[:-2]) * (x[2:] - x[1:-1]) < 0.0) + 1
    bend = x[turn - 1] - 2.0 * x[turn] + x[turn + 1]
    lean = 0.5 * (x[turn + 1] - x[turn - 1])
    return x[turn] - 0.5 * lean**2 / bend


@pytest.mark.parametrize("ratio", [0.05, 0.1, 0.2, 0.3, 0.4])
def test_log_decrement(ratio):
    found = peaks(released(ratio))
    decrement = math.log(found[1] / found[3])
    assert decrement == pytest.approx(2.0 * math.pi * ratio / math.sqrt(1.0 - ratio**2), rel=1e-4)
    assert decrement == pytest.approx(TABLE[f"log decrement at damping ratio {ratio:.2f}"].value, rel=5e-4)


@pytest.mark.parametrize("ratio", UNDER)
def test_overshoot(ratio):
    """Published table, and exp(-pi ratio / sqrt(1 - ratio^2))."""
    found = lab.overshoot(released(ratio))
    assert 100.0 * found == TABLE[f"overshoot at damping ratio {ratio:.2f}"].near
    assert found == pytest.approx(math.exp(-math.pi * ratio / math.sqrt(1.0 - ratio**2)), rel=2e-3)


@pytest.mark.parametrize("ratio", RATIOS)
def test_settling_time(ratio):
    found = lab.settling_time(released(ratio)) * RATE
    assert found == pytest.approx(TABLE[f"settling time into 5 % at damping ratio {ratio:.2f}"].value, rel=1e-3)
    if ratio < 1.0:
        assert found == pytest.approx(exact_settling(ratio), rel=2e-4)


@pytest.mark.parametrize(("ratio", "band"), [(0.2, 0.02), (0.5, 0.10), (0.3, 0.2)])
def test_settling_time_into_another_band(ratio, band):
    assert lab.settling_time(released(ratio), band=band) * RATE == pytest.approx(exact_settling(ratio, band), rel=2e-4)


@pytest.mark.parametrize("ratio", UNDER)
def test_first_return_time(ratio):
    """Analytic: (pi - arccos ratio) / damped frequency."""
    exact = (math.pi - math.acos(ratio)) / (RATE * math.sqrt(1.0 - ratio**2))
    assert lab.first_return_time(released(ratio)) == pytest.approx(exact, rel=1e-4)


def test_a_creeping_body_never_returns_and_settles_late():
    """Analytic: at twice critical damping the slow root is (2 - sqrt 3) of the natural frequency."""
    trace = released(2.0, duration=4.0)
    slow, fast = RATE * (2.0 - math.sqrt(3.0)), RATE * (2.0 + math.sqrt(3.0))
    exact = brentq(lambda t: (fast * math.exp(-slow * t) - slow * math.exp(-fast * t)) / (fast - slow) - 0.05, 0.1, 9.0)
    assert lab.settling_time(trace) == pytest.approx(exact, rel=1e-4)
    assert lab.first_return_time(trace) == math.inf
    assert lab.overshoot(trace) == 0.0
    assert lab.swings(trace) == 0


def test_a_trace_that_ends_too_soon_has_no_settling_time():
    assert lab.settling_time(released(0.05, duration=1.0)) == math.inf


@pytest.mark.parametrize("ratio", UNDER)
@pytest.mark.parametrize("visible", [0.05, 0.02, 0.2])
def test_swings(ratio, visible):
    """Analytic: the n-th swing past ride height goes exp(-n pi ratio / sqrt(1 - ratio^2)) of the depth far."""
    each = math.exp(-math.pi * ratio / math.sqrt(1.0 - ratio**2))
    visible_ones = sum(each**n > visible for n in range(1, 200))
    assert lab.swings(released(ratio), visible=visible) == visible_ones


def test_measures_do_not_depend_on_the_depth_of_a_linear_station():
    station = one_mass(mass=MASS, spring=SPRING, damping=400.0)
    small, large = (lab.simulate(station, lab.Release(depth=depth), 3.0) for depth in (0.005, 0.08))
    for measure in (lab.settling_time, lab.first_return_time, lab.overshoot, lab.swings):
        assert measure(small) == pytest.approx(measure(large), rel=1e-6)


def test_motorcycle_of_the_textbook():
    """Published (Rao): mass, period and half-cycle decay ask for this damper and this spring."""
    mass, spring = EXAMPLES["motorcycle mass"].value, EXAMPLES["motorcycle spring rate"].value
    damping = EXAMPLES["motorcycle damping constant"].value
    station = one_mass(mass=mass, spring=spring, damping=damping)
    kicked = lab.simulate(station, From(State(body_velocity=EXAMPLES["motorcycle initial speed"].value)), 5.0)
    found = peaks(kicked)
    assert found[0] == EXAMPLES["motorcycle first peak"].near
    assert -found[1] / found[0] == EXAMPLES["motorcycle amplitude x1.5 over x1"].near
    assert kicked.time[np.argmax(kicked.body)] == pytest.approx(
        EXAMPLES["motorcycle time of the first peak"].value, abs=1e-3
    )
    crossings = np.flatnonzero(np.diff(np.sign(kicked.body[1:])) != 0)
    assert 2.0 * np.mean(np.diff(kicked.time[crossings])) == EXAMPLES["motorcycle damped period"].near
    assert lab.modes(station).body.damping_ratio == EXAMPLES["motorcycle damping ratio"].near
    # Rao's half-cycle ratio is the overshoot of a release.
    assert (
        lab.overshoot(lab.simulate(station, lab.Release(depth=0.25), 5.0))
        == EXAMPLES["motorcycle amplitude x1.5 over x1"].near
    )


def test_free_decay_of_thomsons_example():
    """Published (Thomson), in pounds and inches; the book takes 386 in/s^2."""
    inch, pound = 0.0254, 0.45359237 * 9.80665
    mass = EXAMPLES["Thomson weight"].value / 386.0 * pound / inch
    per_inch = pound / inch
    station = one_mass(
        mass=mass,
        spring=EXAMPLES["Thomson spring rate"].value * per_inch,
        damping=EXAMPLES["Thomson damping constant"].value * per_inch,
    )
    body = lab.modes(station).body
    assert 2.0 * math.pi * body.frequency == EXAMPLES["Thomson natural frequency"].near
    assert body.damping_ratio == EXAMPLES["Thomson damping ratio"].near
    found = peaks(lab.simulate(station, lab.Release(depth=0.01), 2.0, step=2e-4))
    assert math.log(found[1] / found[3]) == EXAMPLES["Thomson log decrement"].near
    assert found[1] / found[3] == EXAMPLES["Thomson ratio of successive amplitudes"].near


def test_measures_of_a_push_count_from_letting_go():
    """Pushed slowly and held, then let go within 1 ms: the motion of a release half a millisecond earlier."""
    station = one_mass(mass=MASS, spring=SPRING, damping=600.0)
    push = lab.Push(peak_force=SPRING * DEPTH, rise_time=2.0, hold_time=3.0, fall_time=1e-3)
    pushed, let_go = lab.simulate(station, push, 8.0), released(600.0 / (2.0 * MASS * RATE))
    for measure in (lab.settling_time, lab.first_return_time):
        assert measure(pushed) == pytest.approx(measure(let_go) - 0.5e-3, abs=2e-5)
    assert lab.overshoot(pushed) == pytest.approx(lab.overshoot(let_go), rel=2e-3)
    assert lab.swings(pushed) == lab.swings(let_go)
