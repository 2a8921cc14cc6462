"""Shapes of roads, run-ins, and the ride over them."""

import math
from dataclasses import replace

import numpy as np
import pytest

import suspension_lab as lab

STATION = replace(lab.load_station("courier_scooter_rear"), wheel_radius=None)


def at(road, x):
    return np.interp(x, road.distance, road.height)


def test_pothole():
    road = lab.roads.pothole(length=0.5, depth=0.06, run_in=1.5, run_out=4.0)
    assert road.length == pytest.approx(1.5 + 0.5 + 4.0)
    assert road.height.min() == -0.06
    assert road.height.max() == 0.0
    below = road.distance[np.asarray(road.height) < 0.0]
    assert (below[0] - 1.5, 2.0 - below[-1]) == (pytest.approx(0.005), pytest.approx(0.005))
    assert at(road, 1.75) == -0.06


@pytest.mark.parametrize("length", [None, 0.8])
def test_kerb(length):
    road = lab.roads.kerb(height=0.07, length=length, run_in=2.0, run_out=3.0)
    assert at(road, 1.99) == 0.0
    assert at(road, 2.4) == 0.07
    assert road.height[-1] == (0.07 if length is None else 0.0)


def test_long_hump():
    """(1 - cos) / 2: level at both feet, half its height at the quarters, and no edge."""
    road = lab.roads.long_hump(length=6.0, height=0.1, run_in=2.0)
    assert [at(road, 2.0 + x) for x in (0.0, 1.5, 3.0, 4.5, 6.0)] == pytest.approx(
        [0.0, 0.05, 0.1, 0.05, 0.0], abs=1e-9
    )
    slope = np.diff(road.height) / np.diff(road.distance)
    assert np.abs(slope).max() == pytest.approx(0.1 * math.pi / 6.0, rel=1e-3)
    # 200 pieces: from one to the next the slope turns by at most 2 pi / 200 of its largest.
    assert np.abs(np.diff(slope)).max() < 0.032 * np.abs(slope).max()


def test_washboard():
    road = lab.roads.washboard(wavelength=0.5, height=0.03, bumps=7, run_in=2.0, run_out=5.0)
    assert road.length == pytest.approx(2.0 + 3.5 + 5.0)
    heights = np.asarray(road.height)
    crests = np.flatnonzero((heights[1:-1] > heights[:-2]) & (heights[1:-1] > heights[2:])) + 1
    assert road.distance[crests] == pytest.approx(2.25 + 0.5 * np.arange(7))
    assert heights[crests] == pytest.approx(0.03)
    assert heights.min() == 0.0


def test_shortest_feature():
    assert lab.roads.pothole().shortest_feature == pytest.approx(0.005)


@pytest.mark.parametrize("slope", [-0.06, 0.02])
def test_run_in_eases_into_the_first_slope(slope):
    x = np.linspace(3.0, 40.0, 371)
    road = lab.Road(x, 0.4 + slope * (x - 3.0) + 0.001 * np.sin(x))
    longer = road.with_run_in(8.0)
    new = np.asarray(longer.distance) < 3.0
    assert longer.length == pytest.approx(road.length + 8.0)
    assert np.array_equal(np.asarray(longer.height)[~new], road.height)
    rises = np.diff(longer.height) / np.diff(longer.distance)
    assert abs(rises[0]) < 0.02 * abs(slope)
    at_the_joint = np.count_nonzero(new)
    assert rises[at_the_joint - 1] == pytest.approx(slope, abs=0.05 * abs(slope) + 0.001)
    assert np.abs(np.diff(rises[: at_the_joint + 1])).max() < 0.05 * abs(slope) + 0.001


def test_ride_turns_distance_into_time():
    road = lab.roads.kerb(height=0.05)
    ride = lab.Ride(road, 5.0)
    assert ride.usual_duration(STATION) == pytest.approx(road.length / 5.0)
    trace = lab.simulate(STATION, ride, 1.0)
    assert trace.road[trace.time < 0.399].max() == 0.0
    assert trace.road[-1] == pytest.approx(0.05)
    assert np.interp(0.4005, trace.time, trace.road) == pytest.approx(0.025, abs=1e-9)


def test_a_road_may_begin_at_any_distance_and_height():
    near = lab.roads.pothole()
    far = lab.Road(np.asarray(near.distance) + 480.0, np.asarray(near.height) + 12.5)
    one, other = (lab.simulate(STATION, lab.Ride(road, 6.0), 1.0) for road in (near, far))
    assert np.abs(one.body - other.body).max() < 1e-9


def test_beyond_its_end_a_road_is_level():
    trace = lab.simulate(STATION, lab.Ride(lab.Road([0.0, 1.0, 2.0], [0.0, 0.0, 0.04]), 4.0), 4.0)
    assert trace.road[-1] == pytest.approx(0.04)
    # All that keeps the body off the road's new height is friction.
    assert trace.body[-1] == pytest.approx(0.04, abs=STATION.friction * 0.9 / STATION.wheel_rate)
