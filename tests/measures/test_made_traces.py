"""Measures on traces made by hand: what comes out can be counted or integrated beforehand."""

import math

import numpy as np
import pytest
from made_traces import made_trace, with_travel

import suspension_lab as lab

STATION = lab.load_station("courier_scooter_rear")
TIME = 1e-3 * np.arange(2001)


def pulses(*stretches, low=1.0, high=0.0):
    """1 over the whole time, 0 in stretches of [first, last] milliseconds."""
    values = np.full(TIME.size, low)
    for first, last in stretches:
        values[first : last + 1] = high
    return values


def test_tyre_load_variation_of_a_sine_is_its_size_over_root_two():
    load = STATION.static_tyre_load * (1.0 + 0.3 * np.sin(2.0 * np.pi * 5.0 * TIME[:-1]))
    trace = made_trace(TIME[:-1], tyre_load=load)
    assert lab.tyre_load_variation(trace) == pytest.approx(0.3 / math.sqrt(2.0), rel=1e-9)
    assert lab.smallest_tyre_load(trace) == pytest.approx(0.7, rel=1e-9)


def test_an_even_load_has_no_variation():
    assert lab.tyre_load_variation(made_trace(TIME)) < 1e-12


def test_contact_loss_counts_share_and_longest_stretch():
    load = STATION.static_tyre_load * pulses((100, 149), (500, 699), (1990, 2000))
    found = lab.contact_loss(made_trace(TIME, tyre_load=load))
    assert found.share == pytest.approx(261 / 2001, rel=1e-12)
    assert found.longest == pytest.approx(0.200, abs=1e-9)


def test_no_contact_lost():
    found = lab.contact_loss(made_trace(TIME))
    assert (found.share, found.longest) == (0.0, 0.0)


def test_travel_used():
    travel = STATION.static_travel + 0.03 * np.sin(2.0 * np.pi * TIME) - 0.005
    used = lab.travel_used(with_travel(travel))
    assert used.compression == pytest.approx(0.025, abs=1e-12)
    assert used.extension == pytest.approx(0.035, abs=1e-12)
    assert used.deepest == pytest.approx(STATION.static_travel + 0.025, abs=1e-12)


def test_ends_of_the_travel_are_counted_once_each_time():
    travel = np.full(TIME.size, STATION.static_travel)
    travel[200:230] = STATION.travel + 0.001
    travel[400:401] = STATION.travel
    travel[600:700] = STATION.travel - 0.5 * STATION.bump_stop.length
    travel[900:950] = travel[1000:1050] = travel[1900:] = -0.002
    trace = with_travel(travel)
    assert lab.bottoming(trace) == 2
    assert lab.bump_stop_hits(trace) == 3
    assert lab.topping_out(trace) == 3


def test_a_station_without_stops_never_reaches_them():
    station = lab.Station(
        name="free",
        sprung_mass=50.0,
        unsprung_mass=10.0,
        spring=lab.Spring(rate=10_000.0),
        damper=lab.LinearDamper(rebound=500.0, compression=500.0),
        tyre=lab.Tyre(stiffness=100_000.0),
    )
    trace = with_travel(np.linspace(-1.0, 1.0, 1001), station)
    assert (lab.bottoming(trace), lab.bump_stop_hits(trace), lab.topping_out(trace)) == (0, 0, 0)


def test_packing_down_is_the_mean_of_the_later_half_of_the_bumps():
    """The road has bumps from 0.4 to 1.2 s; the later half of them is 0.8 to 1.2 s."""
    road = np.where((TIME >= 0.4) & (TIME <= 1.2), 0.01 * np.sin(2.0 * np.pi * (TIME - 0.4) / 0.1) ** 2, 0.0)
    travel = STATION.static_travel + np.where((TIME >= 0.8) & (TIME <= 1.2), 0.012, -0.5)
    trace = made_trace(TIME, road=road, wheel=travel - STATION.static_travel)
    assert lab.packing_down(trace) == pytest.approx(0.012, rel=0.02)
    assert lab.packing_down(trace, start=0.9, end=1.1) == pytest.approx(0.012, abs=1e-12)
    assert lab.packing_down(trace, start=0.0, end=0.7) == pytest.approx(-0.5, abs=1e-12)


def test_packing_down_of_an_even_ride_is_nothing():
    assert lab.packing_down(made_trace(TIME)) == pytest.approx(0.0, abs=1e-15)


def decaying_swing(time):
    """The way left after a release at ratio 0.2, natural frequency 10 rad/s."""
    ratio, rate = 0.2, 10.0
    damped = rate * math.sqrt(1.0 - ratio**2)
    return (
        -0.03 * np.exp(-ratio * rate * time) * (np.cos(damped * time) + ratio * rate / damped * np.sin(damped * time))
    )


def test_free_motion_measures_of_a_known_decay():
    trace = made_trace(TIME, body=decaying_swing(TIME))
    damped = 10.0 * math.sqrt(0.96)
    each = math.exp(-math.pi * 0.2 / math.sqrt(0.96))
    assert lab.overshoot(trace) == pytest.approx(each, rel=1e-4)
    assert lab.first_return_time(trace) == pytest.approx((math.pi - math.acos(0.2)) / damped, rel=1e-5)
    assert lab.swings(trace) == 4
    assert lab.settling_time(trace) == pytest.approx(1.3744, rel=1e-3)


def test_a_sample_that_lies_exactly_at_ride_height_is_a_crossing_too():
    """A cosine of 80 samples a cycle is exactly zero at its quarter; set so here, as rounding would hide it."""
    body = -0.03 * 0.7 ** (TIME / 0.04) * np.cos(2.0 * np.pi * TIME / 0.08)
    body[20::40] = 0.0
    trace = made_trace(TIME, body=body)
    exact = 0.7 ** (np.arange(1, 9) + 0.0)
    assert lab.overshoot(trace) == pytest.approx(exact[0], rel=0.05)
    assert lab.swings(trace, visible=0.05) == int((exact > 0.05).sum())


@pytest.mark.parametrize("band", [0.1, 0.3])
def test_first_return_into_a_band_comes_before_ride_height_itself(band):
    trace = made_trace(TIME, body=decaying_swing(TIME))
    time = lab.first_return_time(trace, band=band)
    assert time < lab.first_return_time(trace)
    assert np.interp(time, TIME, trace.body / trace.body[0]) == pytest.approx(band, abs=1e-9)
