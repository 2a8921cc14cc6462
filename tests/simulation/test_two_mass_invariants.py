"""What holds for any two masses between a hand and a road, whatever spring, damper, friction and stops do.

Analytic: the suspension's force acts on both masses in opposite directions, so it cancels from the sum of the inertia
forces (textbook two-mass model; Hedrick and Butsuen 1990 build on it).
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import cumulative_trapezoid
from two_masses import From

import suspension_lab as lab
from suspension_lab.common.checks import GRAVITY
from suspension_lab.excitation.excitation import State

STEP = 2e-5


def hard_pothole():
    return lab.load_station("courier_scooter_rear"), lab.Ride(lab.roads.pothole(length=0.6, depth=0.08), 6.0), 1.5


def kerb_at_speed():
    return (
        lab.load_station("trail_bike_rear").with_clicks(high_speed=16),
        lab.Ride(lab.roads.kerb(height=0.1), 9.0),
        1.5,
    )


def washboard():
    station = lab.load_station("courier_scooter_front").with_clicks(rebound=1, low_speed=18)
    return station, lab.Ride(lab.roads.washboard(), 8.0), 2.0


def push():
    return lab.load_station("classroom_rig"), lab.Push(peak_force=700.0, rise_time=0.1, hold_time=0.2), 1.5


def release():
    return lab.load_station("delivery_van_corner").with_clicks(rebound=0), lab.Release(depth=0.06), 2.0


RUNS = {run.__name__: run for run in (hard_pothole, kerb_at_speed, washboard, push, release)}


@pytest.fixture(scope="module", params=RUNS)
def trace(request):
    station, excitation, duration = RUNS[request.param]()
    return lab.simulate(station, excitation, duration, step=STEP)


@pytest.fixture(scope="module")
def hardest():
    station, excitation, duration = hard_pothole()
    return lab.simulate(station, excitation, duration, step=STEP)


def net_force(trace):
    """On both masses together [N]."""
    return trace.tyre_load - trace.static_tyre_load + trace.hand_force


def test_the_runs_are_not_tame(hardest):
    """Contact is lost, a stop is hit and the knee passed: else the tests here would hold nothing nonlinear."""
    assert lab.contact_loss(hardest).longest > 0.02
    assert lab.bump_stop_hits(hardest) > 0
    assert lab.topping_out(hardest) > 0
    assert hardest.shaft_speed.max() > 2.0 * hardest.station.damper.knees[1]


def test_inertia_forces_add_up_to_the_change_of_the_tyre_load(trace):
    station = trace.station
    inertia = station.sprung_mass * trace.body_acceleration + station.unsprung_mass * trace.wheel_acceleration
    assert np.abs(inertia - net_force(trace)).max() < 1e-9 * trace.static_tyre_load


def test_no_tyre_pulls(trace):
    assert trace.tyre_load.min() >= 0.0


def test_momentum_changes_by_the_impulse_of_tyre_and_hand(trace):
    """From the velocities alone, at every sample; the impulse by the trapezoidal rule."""
    station = trace.station
    momentum = station.sprung_mass * trace.body_velocity + station.unsprung_mass * trace.wheel_velocity
    impulse = cumulative_trapezoid(net_force(trace), trace.time, initial=0.0)
    assert np.abs(momentum - momentum[0] - impulse).max() < 2e-4 * np.abs(momentum).max()


@pytest.mark.parametrize("mass", ["body", "wheel"])
def test_positions_and_velocities_are_integrals(trace, mass):
    position, velocity = getattr(trace, mass), getattr(trace, f"{mass}_velocity")
    acceleration = getattr(trace, f"{mass}_acceleration")
    by_acceleration = velocity[0] + cumulative_trapezoid(acceleration, trace.time, initial=0.0)
    by_velocity = position[0] + cumulative_trapezoid(velocity, trace.time, initial=0.0)
    assert np.abs(by_acceleration - velocity).max() < 2e-4 * np.abs(velocity).max()
    assert np.abs(by_velocity - position).max() < 1e-6 * np.abs(position).max()


def test_accelerations_are_the_slope_of_the_velocities(hardest):
    """Central differences; where a force jumps (an edge under a damped tyre) no slope exists, so 1 sample in 200."""
    for mass in ("body", "wheel"):
        velocity, acceleration = getattr(hardest, f"{mass}_velocity"), getattr(hardest, f"{mass}_acceleration")
        off = np.abs((velocity[2:] - velocity[:-2]) / (2.0 * STEP) - acceleration[1:-1])
        assert np.quantile(off, 0.995) < 1e-5 * np.abs(acceleration).max()


def test_in_the_air_the_common_centre_falls_freely(hardest):
    """Analytic: without contact the centre of both masses follows a parabola of standard gravity."""
    station = hardest.station
    mass = station.sprung_mass + station.unsprung_mass
    centre = (station.sprung_mass * hardest.body + station.unsprung_mass * hardest.wheel) / mass
    speed = (station.sprung_mass * hardest.body_velocity + station.unsprung_mass * hardest.wheel_velocity) / mass
    airborne = np.flatnonzero(hardest.tyre_load == 0.0)
    flights = [part for part in np.split(airborne, np.flatnonzero(np.diff(airborne) > 1) + 1) if part.size > 100]
    assert flights
    for flight in flights:
        t = hardest.time[flight] - hardest.time[flight[0]]
        parabola = centre[flight[0]] + speed[flight[0]] * t - 0.5 * GRAVITY * t**2
        assert np.abs(centre[flight] - parabola).max() < 1e-10


def test_at_rest_nothing_moves():
    """Analytic; between two nodes of the lookup table a rising-rate linkage is off by nanometres."""
    for name in lab.demo_vehicles():
        trace = lab.simulate(lab.load_station(name), From(), 5.0)
        assert np.abs(trace.body).max() < 1e-7
        assert np.abs(trace.tyre_load / trace.static_tyre_load - 1.0).max() < 1e-7


def test_a_tyre_pushes_but_never_pulls():
    """Thrown up from rest it leaves the road; the same with a tyre that holds on does not."""
    station = lab.load_station("classroom_rig")
    thrown = From(State(body_velocity=3.0, wheel_velocity=3.0))
    free = lab.simulate(station, thrown, 0.5)
    held = lab.simulate(replace(station, tyre=replace(station.tyre, can_leave_road=False)), thrown, 0.5)
    assert free.tyre_load.min() == 0.0
    assert held.tyre_load.min() < 0.0
