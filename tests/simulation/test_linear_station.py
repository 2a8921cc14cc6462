"""A linear station against two independent solvers of linear systems, to 1e-6 of the peak."""

import control
import numpy as np
import pytest
from scipy.signal import lsim
from two_masses import From, linear_station, matrices

import suspension_lab as lab
from suspension_lab.excitation.excitation import State

DAMPING = 1400.0
STEP = 2.5e-4
SPEED = 10.0
# All points lie on whole steps: 10 m/s times 0.25 ms is 2.5 mm.
ROAD = lab.Road([0.0, 0.5, 0.51, 0.9, 0.915, 2.0, 2.4, 2.5, 9.0], [0.0, 0.0, 0.03, 0.03, -0.02, -0.02, 0.05, 0.0, 0.0])


@pytest.fixture(params=[0.0, 200.0], ids=["undamped tyre", "damped tyre"])
def station(request):
    return linear_station(
        sprung=106.0, unsprung=24.0, spring=24_300.0, damping=DAMPING, tyre=150_000.0, tyre_damping=request.param
    )


def by_lsim(system, road, time, start):
    return lsim(system, road, time, X0=start)[1]


def by_python_control(system, road, time, start):
    return control.forced_response(control.ss(*system), time, road, start, return_x=False).outputs.T


SOLVERS = pytest.mark.parametrize("solve", [by_lsim, by_python_control])


def compare(trace, solution):
    ours = np.column_stack([trace.body, trace.wheel, trace.body_velocity, trace.wheel_velocity])
    peak = np.abs(solution).max(axis=0)
    assert (np.abs(ours - solution).max(axis=0) < 1e-6 * peak).all()


@SOLVERS
def test_ride_over_edges(station, solve):
    trace = lab.simulate(station, lab.Ride(ROAD, SPEED), 0.9, step=STEP)
    road = np.interp(trace.time, np.asarray(ROAD.distance) / SPEED, ROAD.height)
    assert np.abs(trace.road - road).max() < 1e-12
    compare(trace, solve(matrices(station, DAMPING), road, trace.time, np.zeros(4)))


@SOLVERS
def test_release(station, solve):
    trace = lab.simulate(station, lab.Release(depth=0.05), 1.5, step=STEP)
    # Spring and tyre in series share the depth.
    wheel = -0.05 * station.spring.rate / (station.spring.rate + station.tyre.stiffness)
    start = np.array([-0.05, wheel, 0.0, 0.0])
    compare(trace, solve(matrices(station, DAMPING), np.zeros_like(trace.time), trace.time, start))


@SOLVERS
def test_push(station, solve):
    trace = lab.simulate(
        station, lab.Push(peak_force=300.0, rise_time=0.2, hold_time=0.1, fall_time=0.05), 1.5, step=STEP
    )
    a, *_ = matrices(station, DAMPING)
    hand = np.interp(trace.time, [0.0, 0.2, 0.3, 0.35], [0.0, -300.0, -300.0, 0.0])
    system = a, np.array([[0.0], [0.0], [1.0 / station.sprung_mass], [0.0]]), np.eye(4), np.zeros((4, 1))
    compare(trace, solve(system, hand, trace.time, np.zeros(4)))


@SOLVERS
def test_kicked_wheel(station, solve):
    trace = lab.simulate(station, From(State(wheel_velocity=1.0, body_velocity=-0.2)), 1.0, step=STEP)
    start = np.array([0.0, 0.0, -0.2, 1.0])
    compare(trace, solve(matrices(station, DAMPING), np.zeros_like(trace.time), trace.time, start))


def test_motion_ratio_acts_twice_on_spring_and_damper(station):
    """Analytic: force and travel both pass the linkage, so rates at the wheel are ratio^2 times those at the shaft."""
    ratio = 0.6
    linked = linear_station(
        sprung=106.0,
        unsprung=24.0,
        spring=station.spring.rate / ratio**2,
        damping=DAMPING / ratio**2,
        tyre=150_000.0,
        tyre_damping=station.tyre.damping,
        motion_ratio=ratio,
    )
    plain, geared = (lab.simulate(s, lab.Ride(ROAD, SPEED), 0.9, step=STEP) for s in (station, linked))
    assert np.abs(plain.body - geared.body).max() < 1e-9 * np.abs(plain.body).max()
    assert np.abs(geared.shaft_speed - ratio * plain.shaft_speed).max() < 1e-9 * np.abs(plain.shaft_speed).max()


def test_accelerations_and_tyre_load_follow_from_the_state(station):
    trace = lab.simulate(station, lab.Ride(ROAD, SPEED), 0.9, step=STEP)
    k, kt = station.spring.rate, station.tyre.stiffness
    suspension = k * (trace.wheel - trace.body) + DAMPING * (trace.wheel_velocity - trace.body_velocity)
    assert np.abs(trace.body_acceleration - suspension / station.sprung_mass).max() < 1e-9 * 1e3
    if station.tyre.damping == 0.0:
        load = trace.static_tyre_load + kt * (trace.road - trace.wheel)
        assert np.abs(trace.tyre_load - load).max() < 1e-6
