"""Many settings side by side give what `simulate` gives for each."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_dampers import hydraulic_dampers

import suspension_lab as lab
from suspension_lab.simulation.kernel import LANES, SPEED_AT, SPEED_BENDS, SPEED_CHANGE, SPEED_SLOPE, SPEED_START
from suspension_lab.simulation.pieces import Laws, few_points
from suspension_lab.simulation.settings import simulate_settings, simulate_stations
from suspension_lab.vehicle.clicks import Clicks

STEP_ROAD = lab.roads.iso8608("C", length=60.0, seed=5)
RIDE = lab.Ride(STEP_ROAD, 40.0 / 3.6)


def some_settings(station, each=3):
    """Closed, open and between, of every adjuster."""
    adjusters = station.damper.adjusters
    tried = [np.unique(np.linspace(0, most, each).astype(int)).tolist() for most in adjusters.values()]
    return [Clicks(**dict(zip(adjusters, values, strict=True))) for values in product(*tried)]


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_as_simulate_within_a_hundredth(name):
    station = lab.load_station(name)
    clicks = some_settings(station)
    for setting, trace in zip(clicks, simulate_settings(station, clicks, RIDE), strict=True):
        alone = lab.simulate(station.with_clicks(**setting), RIDE)
        assert trace.station.clicks == setting
        assert trace.time.size == alone.time.size
        assert np.array_equal(trace.road, alone.road) or np.abs(trace.road - alone.road).max() < 1e-12
        for measure in (lab.tyre_load_variation, lab.weighted_acceleration):
            assert measure(trace) == pytest.approx(measure(alone), rel=0.01)


def linear():
    return lab.Station(
        name="linear",
        sprung_mass=80.0,
        unsprung_mass=12.0,
        spring=lab.Spring(rate=9000.0),
        damper=lab.LinearDamper(rebound=700.0, compression=400.0),
        tyre=lab.Tyre(stiffness=110e3, damping=60.0),
    )


def test_a_station_of_straight_lines_is_the_same_to_the_last_digits():
    """Analytic: straight laws are their own pieces, so only the order of the sums differs."""
    (trace,) = simulate_settings(linear(), [Clicks()], RIDE)
    alone = lab.simulate(linear(), RIDE)
    for signal in ("body", "wheel", "body_velocity", "wheel_velocity", "body_acceleration", "tyre_load"):
        one, other = getattr(trace, signal), getattr(alone, signal)
        assert np.abs(one - other).max() < 1e-8 * np.abs(other).max()


def test_more_settings_than_lanes_and_their_order():
    station = lab.load_station("courier_scooter_rear")
    clicks = [Clicks(rebound=r, low_speed=c, high_speed=8) for r in range(25) for c in (3, 15)]
    assert len(clicks) > LANES
    traces = list(simulate_settings(station, clicks, RIDE, 1.0))
    assert [trace.station.clicks for trace in traces] == clicks
    by_rebound = [lab.weighted_acceleration(trace) for trace in traces[::2]]
    assert by_rebound[0] > by_rebound[-1]


@pytest.mark.parametrize("excitation", [lab.Release(depth=0.03), lab.Push(peak_force=300.0, rise_time=0.08)])
def test_hands_too(excitation):
    station = lab.load_station("courier_scooter_front")
    clicks = [Clicks(rebound=r, low_speed=9) for r in (2, 9, 18)]
    for trace in simulate_settings(station, clicks, excitation, 2.0):
        alone = lab.simulate(trace.station, excitation, 2.0)
        assert np.abs(trace.body - alone.body).max() < 0.02 * np.abs(alone.body).max()


@pytest.mark.parametrize("fault", ["low_oil", "bent_shaft"])
def test_faults_that_no_sum_of_bends_can_hold(fault):
    station = lab.with_fault(lab.load_station("courier_scooter_rear"), fault)
    (trace,) = simulate_settings(station, [station.clicks], RIDE, 1.0)
    assert np.array_equal(trace.body, lab.simulate(station, RIDE, 1.0).body)


def test_clicks_that_cannot_be():
    with pytest.raises(lab.LabError, match="rebound clicks are 99"):
        list(simulate_settings(lab.load_station("courier_scooter_rear"), [Clicks(rebound=99)], RIDE, 1.0))


def line(column, x):
    at, change = column[SPEED_AT : SPEED_AT + SPEED_BENDS], column[SPEED_CHANGE : SPEED_CHANGE + SPEED_BENDS]
    return column[SPEED_START] + column[SPEED_SLOPE] * x + np.maximum(x[:, None] - at, 0.0) @ change


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(hydraulic_dampers(), st.integers(0, 10**6))
def test_no_click_of_one_side_changes_the_other(damper, seed):
    """What lets each side be worked out once."""
    rng = np.random.default_rng(seed)
    other = {name: int(rng.integers(0, most + 1)) for name, most in damper.adjusters.items()}
    rebound = {name: clicks for name, clicks in other.items() if name == "rebound"}
    compression = {name: clicks for name, clicks in other.items() if name != "rebound"}
    speed = np.geomspace(1e-3, 3.0, 30)
    assert np.array_equal(damper.with_clicks(**rebound).force(speed), damper.force(speed))
    assert np.array_equal(damper.with_clicks(**compression).force(-speed), damper.force(-speed))


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_pieces_stay_near_the_dampers_law(name):
    """Within 5 N and 5 % up to 1 m/s and 15 % up to 3 m/s, at the worst of any click."""
    station = lab.load_station(name)
    laws = Laws(station)
    speed = np.concatenate([-np.geomspace(3.0, 1e-4, 300), np.geomspace(1e-4, 3.0, 300)])
    for clicks in some_settings(station, each=5):
        at = station.with_clicks(**clicks)
        law = at.damper.force(speed) + at.friction * np.tanh(speed / at.friction_speed)
        off = np.abs(line(laws.at(at)[0], speed) - law)
        assert (off < 5.0 + 0.05 * np.maximum(1.0, np.abs(speed)) * np.abs(law)).all(), clicks


def test_few_points_find_a_kink_and_keep_the_first_value():
    x = np.linspace(0.0, 2.0, 201)
    points = few_points(x, np.where(x < 0.7, 3.0 * x, 2.1 + 0.5 * (x - 0.7)), np.ones(201), 5)
    assert points.x.tolist() == [0.0, pytest.approx(0.7), 2.0]
    assert points.y == pytest.approx([0.0, 2.1, 2.75])
    assert few_points(x, x**2 + 1.0, np.full(201, 0.01), 5).y[0] == 1.0


@pytest.mark.parametrize("excitation", [RIDE, lab.Release(depth=0.02), lab.Push(peak_force=300.0, rise_time=0.1)])
@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_different_stations_side_by_side_are_what_simulate_gives_for_each(name, excitation):
    station = lab.load_station(name)
    stations = [
        replace(varied, tyre=replace(station.tyre, stiffness=share * station.tyre.stiffness),
                friction=station.friction * share)
        for varied, share in (
            (station, 1.0), (station.with_rider(0.7 * station.rider_mass), 0.9),
            (station.with_oil_temperature(320.0).with_clicks(rebound=4), 1.1), (station.with_clicks(rebound=15), 1.0),
        )
    ]  # fmt: skip
    for one, trace in zip(stations, simulate_stations(stations, excitation, 2.0), strict=True):
        alone = lab.simulate(one, excitation, 2.0)
        assert trace.station is one
        reach = np.abs(alone.body).max()
        # Where friction holds it at the end, the pieces may leave it a fraction of a millimetre off.
        assert np.abs(trace.body - alone.body).max() < 0.03 * reach
        assert trace.tyre_load.std() == pytest.approx(alone.tyre_load.std(), rel=0.02)


def test_stations_on_different_wheels_are_refused():
    station = linear()
    with pytest.raises(lab.LabError, match="different wheel radii"):
        list(simulate_stations([station, replace(station, wheel_radius=0.3)], lab.Release(depth=0.01)))
    assert list(simulate_stations([], lab.Release(depth=0.01))) == []
