"""What a hand does: the start of a release, and the force of a push."""

from dataclasses import replace

import by_hand
import numpy as np
import pytest
from two_masses import linear_station
from vehicle_texts import TWO_SLOPE_FILE

import suspension_lab as lab
from suspension_lab.common.checks import GRAVITY


@pytest.mark.parametrize("name", lab.demo_vehicles())
@pytest.mark.parametrize("depth", [0.005, 0.03])
def test_a_held_wheel_is_in_balance(name, depth):
    """Spring and stops push it down as much as tyre less weight push it up, so it does not stir when let go."""
    station = lab.load_station(name)
    start = lab.Release(depth=depth).start(station)
    travel = station.static_travel + start.wheel - start.body
    tyre = station.tyre.stiffness * (station.static_tyre_deflection - start.wheel)
    assert start.body == -depth
    assert (start.body_velocity, start.wheel_velocity) == (0.0, 0.0)
    assert tyre == pytest.approx(float(station.suspension_force(travel)) + station.unsprung_mass * GRAVITY, abs=1e-6)
    trace = lab.simulate(station, lab.Release(depth=depth), 0.1)
    assert abs(trace.wheel_acceleration[0]) < 1e-3 * abs(trace.body_acceleration[0])


def test_spring_and_tyre_share_the_depth():
    """Analytic: two springs in series; the body starts with the force of both over its mass."""
    station = linear_station(sprung=80.0, unsprung=15.0, spring=20_000.0, damping=700.0, tyre=120_000.0)
    trace = lab.simulate(station, lab.Release(depth=0.04), 0.1)
    assert trace.wheel[0] == pytest.approx(-0.04 * 20.0 / 140.0, rel=1e-9)
    series = 20_000.0 * 120_000.0 / 140_000.0
    assert trace.body_acceleration[0] == pytest.approx(series * 0.04 / 80.0, rel=1e-9)
    assert trace.tyre_load[0] == pytest.approx(95.0 * GRAVITY + series * 0.04, rel=1e-9)


def test_a_depth_beyond_the_travel_is_told():
    with pytest.raises(lab.LabError, match=r"depth of 150 mm .* has 80 mm"):
        lab.simulate(lab.load_station("courier_scooter_rear"), lab.Release(depth=0.15))


def test_force_of_a_push_over_time():
    push = lab.Push(peak_force=320.0, rise_time=0.4, hold_time=0.2, fall_time=0.1)
    trace = lab.simulate(lab.load_station("classroom_rig"), push, 1.0, step=0.5e-3)
    expected = -320.0 * np.interp(trace.time, [0.0, 0.4, 0.6, 0.7], [0.0, 1.0, 1.0, 0.0])
    assert np.abs(trace.hand_force - expected).max() < 1e-9
    assert push.free_from() == pytest.approx(0.7)


def test_a_push_without_holding():
    push = lab.Push(peak_force=100.0, rise_time=0.2, fall_time=0.05)
    path = push.force_path(lab.load_station("classroom_rig"))
    assert path.time == pytest.approx([0.0, 0.2, 0.25])
    assert path.value == pytest.approx([0.0, -100.0, 0.0])


def test_a_long_push_sinks_as_deep_as_force_over_rate():
    """Analytic: held long enough, spring and tyre in series; without friction."""
    damper = lab.load_station(TWO_SLOPE_FILE).damper
    station = replace(lab.load_station("classroom_rig"), friction=0.0, damper=damper)
    trace = lab.simulate(station, lab.Push(peak_force=200.0, rise_time=1.5, hold_time=2.0, fall_time=0.1), 3.4)
    series = 1.0 / (1.0 / station.wheel_rate + 1.0 / station.tyre.stiffness)
    assert -trace.body[-1] == pytest.approx(200.0 / series, rel=1e-4)


@pytest.mark.parametrize("name", ["classroom_rig", "courier_scooter_front", "courier_scooter_rear"])
def test_a_long_push_sinks_into_spring_gas_and_tyre(name):
    """Analytic: from the travel that carries the body to the one that carries the push too; without friction."""
    file = by_hand.numbers(name)
    station = replace(lab.load_station(name), friction=0.0)
    # Through a needle slow oil meets little: without friction the last swings go on for seconds.
    push = lab.Push(peak_force=200.0, rise_time=1.5, hold_time=12.0, fall_time=0.1)
    trace = lab.simulate(station, push, 13.4)
    weight = station.sprung_mass * GRAVITY
    sunk = by_hand.travel_under(file, weight + 200.0) - by_hand.travel_under(file, weight)
    tyre = 200.0 / (1e3 * file["tyre"]["stiffness_N_per_mm"])
    assert -trace.body[-1] == pytest.approx(sunk + tyre, rel=1e-5)


def test_the_hand_puts_in_impulse():
    """Analytic: before anything has moved, body speed is the push's impulse over the sprung mass."""
    station = lab.load_station("classroom_rig")
    trace = lab.simulate(station, lab.Push(peak_force=400.0, rise_time=1e-4, fall_time=1e-4), 0.1, step=1e-5)
    assert -trace.body_velocity[20] == pytest.approx(0.04 / station.sprung_mass, rel=0.01)
