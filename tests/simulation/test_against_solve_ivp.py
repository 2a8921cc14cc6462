"""A nonlinear station against scipy's solve_ivp, with its forces written down a second time and no lookup tables."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import suspension_lab as lab

G = 9.80665
RATIO_AT, RATIO = np.array([0.0, 0.05, 0.10]), np.array([0.80, 0.90, 1.10])
SPRUNG, UNSPRUNG, TYRE, TYRE_DAMPING = 90.0, 14.0, 140_000.0, 120.0
RATE, PROGRESSION, PRELOAD = 24_000.0, 60_000.0, 0.012
REBOUND, COMPRESSION = (1800.0, 0.15, 700.0), (900.0, 0.10, 300.0)
TRAVEL, BUMP, TOP_OUT, FRICTION, TURN = 0.10, (0.02, 40_000.0), (0.005, 150_000.0), 20.0, 0.005

STATION = lab.Station(
    name="everything",
    sprung_mass=SPRUNG,
    unsprung_mass=UNSPRUNG,
    spring=lab.Spring(rate=RATE, progression=PROGRESSION, preload=PRELOAD),
    damper=lab.TwoSlopeDamper(
        rebound=lab.DamperSide(low_speed_slope=REBOUND[0], knee_speed=REBOUND[1], high_speed_slope=REBOUND[2]),
        compression=lab.DamperSide(
            low_speed_slope=COMPRESSION[0], knee_speed=COMPRESSION[1], high_speed_slope=COMPRESSION[2]
        ),
    ),
    tyre=lab.Tyre(stiffness=TYRE, damping=TYRE_DAMPING),
    motion_ratio=lab.MotionRatio(wheel_travel=RATIO_AT, ratio=RATIO),
    travel=TRAVEL,
    bump_stop=lab.Stop(length=BUMP[0], rate=BUMP[1]),
    top_out_stop=lab.Stop(length=TOP_OUT[0], rate=TOP_OUT[1]),
    friction=FRICTION,
    friction_speed=TURN,
)


def ratio_and_shaft(travel):
    """Ratio at a wheel travel and its integral from full extension, by the trapezia of the table."""
    if travel <= RATIO_AT[0]:
        return RATIO[0], RATIO[0] * travel
    shaft = 0.0
    for a, b, ra, rb in zip(RATIO_AT, RATIO_AT[1:], RATIO, RATIO[1:], strict=False):
        end = min(travel, b)
        r = ra + (rb - ra) * (end - a) / (b - a)
        shaft += 0.5 * (ra + r) * (end - a)
        if travel <= b:
            return r, shaft
    return RATIO[-1], shaft + RATIO[-1] * (travel - RATIO_AT[-1])


def stop(squash, length, rate):
    if squash <= 0.0:
        return 0.0
    rubber = min(squash, length)
    return rate * rubber * (1.0 + (rubber / length) ** 2) + 1.0e6 * (squash - rubber)


def two_slopes(speed, low, knee, high):
    return low * speed if speed < knee else low * knee + high * (speed - knee)


def spring_and_stops(travel):
    ratio, shaft = ratio_and_shaft(travel)
    x = shaft + PRELOAD
    spring = RATE * x + 0.5 * PROGRESSION * max(x, 0.0) ** 2
    return ratio * spring + stop(travel - TRAVEL + BUMP[0], *BUMP) - stop(-travel, *TOP_OUT)


def rest():
    low, high = -0.1, 0.2
    for _ in range(100):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if spring_and_stops(middle) < SPRUNG * G else (low, middle)
    return low


REST = rest()
SQUASH = (SPRUNG + UNSPRUNG) * G / TYRE


def motion(height, slope, hand):
    def derivative(t, state):
        body, wheel, body_v, wheel_v = state
        travel = REST + wheel - body
        ratio, _ = ratio_and_shaft(travel)
        v = ratio * (wheel_v - body_v)
        damper = two_slopes(v, *COMPRESSION) if v > 0.0 else -two_slopes(-v, *REBOUND)
        force = spring_and_stops(travel) + ratio * (damper + FRICTION * np.tanh(v / TURN))
        load = max(TYRE * (SQUASH + height(t) - wheel) + TYRE_DAMPING * (slope - wheel_v), 0.0)
        return [body_v, wheel_v, (force + hand(t)) / SPRUNG - G, (load - force) / UNSPRUNG - G]

    return derivative


def solved(start, times, road_time, road, hand_time=(0.0, 9.0), hand=(0.0, 0.0)):
    """From corner to corner of road and hand force, so that the solver sees smooth pieces."""
    corners = sorted({0.0, times[-1], *(t for t in (*road_time, *hand_time) if 0.0 < t < times[-1])})
    states = np.empty((times.size, 4))
    state = np.array(start, dtype=float)
    for a, b in pairwise(corners):
        slope = (np.interp(b, road_time, road) - np.interp(a, road_time, road)) / (b - a)
        inside = (times >= a) & (times <= b)
        run = solve_ivp(
            motion(lambda t: np.interp(t, road_time, road), slope, lambda t: np.interp(t, hand_time, hand)),
            (a, b), state, method="DOP853", rtol=1e-8, atol=1e-10, dense_output=True,
        )  # fmt: skip
        assert run.success
        if inside.any():
            states[inside] = run.sol(times[inside]).T
        state = run.y[:, -1]
    return states


def assert_same(trace, states, tolerance):
    assert np.abs(trace.body - states[:, 0]).max() < tolerance
    assert np.abs(trace.wheel - states[:, 1]).max() < tolerance


def test_rest_and_tyre_squash():
    assert pytest.approx(REST, abs=1e-10) == STATION.static_travel
    assert pytest.approx(SQUASH, rel=1e-12) == STATION.static_tyre_deflection


@pytest.mark.parametrize(("step", "tolerance"), [(1e-3, 2e-5), (1e-4, 2e-6)])
def test_kerb_and_hole_with_lost_contact_and_stops(step, tolerance):
    """Within 0.02 mm at the usual step and 0.002 mm at a tenth of it, of motions of more than 100 mm."""
    speed = 6.0
    road = lab.Road([0.0, 0.6, 0.65, 1.8, 1.9, 2.4, 2.5, 9.0], [0.0, 0.0, 0.07, 0.07, -0.03, -0.03, 0.0, 0.0])
    trace = lab.simulate(STATION, lab.Ride(road, speed), 0.8, step=step)
    assert lab.contact_loss(trace).longest > 0.02
    assert lab.topping_out(trace) > 0
    assert lab.bump_stop_hits(trace) > 0
    states = solved(np.zeros(4), trace.time, np.asarray(road.distance) / speed, road.height)
    assert np.ptp(states[:, 0]) > 0.1
    assert_same(trace, states, tolerance)


SHORT = {"run_in": 0.2, "run_out": 5.0}
ROADS = [
    lab.roads.iso8608("D", length=20.0, seed=3, ease=0.5),
    lab.roads.cobbles(length=2.0, seed=1, **SHORT),
    lab.roads.patched_asphalt(length=3.0, patches=3, patch=0.8, height=0.02, seed=2, **SHORT),
    lab.roads.expansion_joints(spacing=1.0, gap=0.03, step=0.015, joints=2, **SHORT),
    lab.roads.in_a_row(lab.roads.round_top_hump(height=0.03, length=0.9, **SHORT), 2, every=1.5),
]


@pytest.mark.parametrize("road", ROADS, ids=lambda road: road.name)
def test_each_kind_of_road(road):
    """Within 0.002 mm at a tenth of the usual step."""
    speed, duration = 5.0, 0.45
    trace = lab.simulate(STATION, lab.Ride(road, speed), duration, step=1e-4)
    states = solved(np.zeros(4), trace.time, np.asarray(road.distance) / speed, road.height)
    assert np.ptp(states[:, 1]) > 2e-3
    assert_same(trace, states, 2e-6)


def test_plate():
    plate = lab.ShakerPlate(start_frequency=30.0, end_frequency=12.0, duration=0.7)
    path = plate.road_path(STATION)
    trace = lab.simulate(STATION, plate, 0.7, step=1e-4)
    states = solved(np.zeros(4), trace.time, path.time, path.value)
    assert np.ptp(states[:, 1]) > 2e-3
    assert_same(trace, states, 2e-6)


def test_push():
    trace = lab.simulate(STATION, lab.Push(peak_force=500.0, rise_time=0.1, hold_time=0.1, fall_time=0.03), 0.8)
    states = solved(np.zeros(4), trace.time, (0.0, 9.0), (0.0, 0.0), (0.0, 0.1, 0.2, 0.23), (0.0, -500.0, -500.0, 0.0))
    assert_same(trace, states, 2e-7)


def test_release():
    trace = lab.simulate(STATION, lab.Release(depth=0.04), 0.8)
    start = [trace.body[0], trace.wheel[0], 0.0, 0.0]
    assert TYRE * (SQUASH - start[1]) == pytest.approx(
        spring_and_stops(REST + start[1] - start[0]) + UNSPRUNG * G, abs=1e-6
    )
    assert_same(trace, solved(start, trace.time, (0.0, 9.0), (0.0, 0.0)), 2e-7)
