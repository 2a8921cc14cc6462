"""RK4 is of order 4: halving the step divides the error by sixteen, within 0.15 of the order."""

import numpy as np
import pytest
from scipy.linalg import expm
from two_masses import linear_station, matrices

import suspension_lab as lab
from suspension_lab.simulation.simulate import STEP_TIMES_RATE
from suspension_lab.simulation.tables import tables

DAMPING = 900.0
STATION = linear_station(
    sprung=100.0, unsprung=20.0, spring=12_000.0, damping=DAMPING, tyre=120_000.0, tyre_damping=50.0
)
COARSEST = 4e-3
HALVINGS = 4


def errors(excitation, exact, duration=0.8):
    found = []
    for i in range(HALVINGS):
        trace = lab.simulate(STATION, excitation, duration, step=COARSEST / 2**i)
        every = 2**i
        found.append(np.abs(trace.body[::every] - exact).max())
    return np.array(found)


def orders(found):
    return np.log2(found[:-1] / found[1:])


def test_the_steps_are_not_divided():
    assert COARSEST * tables(STATION).fastest_rate < STEP_TIMES_RATE


def test_free_motion():
    time = COARSEST * np.arange(201)
    a, *_ = matrices(STATION, DAMPING)
    wheel = -0.05 * 12_000.0 / 132_000.0
    start = np.array([-0.05, wheel, 0.0, 0.0])
    exact = np.array([(expm(a * t) @ start)[0] for t in time])
    found = errors(lab.Release(depth=0.05), exact)
    assert found[-1] > 1e-12, "rounding must not hide the order"
    assert orders(found) == pytest.approx(4.0, abs=0.15)


def test_edges_between_the_samples_do_not_lower_the_order():
    """Steps end on the road's edges, wherever they fall; the exact answer adds up the matrix exponential's ramps."""
    speed = 7.0
    road = lab.Road([0.0, 0.4013, 0.4527, 1.1111, 1.2017, 9.0], [0.0, 0.0, 0.031, 0.031, -0.013, -0.013])
    time = COARSEST * np.arange(201)
    found = errors(lab.Ride(road, speed), ramp_response(road, speed, time))
    assert orders(found) == pytest.approx(4.0, abs=0.15)


def ramp_response(road, speed, time):
    """Body's answer to a road of straight pieces, by the exponential of the system with a ramp appended."""
    a, b, *_ = matrices(STATION, DAMPING)
    bigger = np.zeros((6, 6))
    bigger[:4, :4], bigger[:4, 4:5], bigger[4, 5] = a, b, 1.0
    slopes = np.diff(road.height) / np.diff(road.distance) * speed
    body = np.zeros_like(time)
    bends = np.asarray(road.distance) / speed
    for at, change in zip(bends, np.diff(np.concatenate([[0.0], slopes, [0.0]])), strict=True):
        for i in np.flatnonzero(time > at):
            body[i] += change * expm(bigger * (time[i] - at))[0, 5]
    return body
