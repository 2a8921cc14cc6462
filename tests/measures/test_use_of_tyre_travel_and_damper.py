"""Load spectrum, travel histogram and the damper's shares on made traces whose answers are known in closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from made_traces import made_trace, with_travel

import suspension_lab as lab
from suspension_lab.measures.contact import off_road
from suspension_lab.measures.damper_use import shaft_speed_histogram

STATION = lab.load_station("courier_scooter_rear")
FASTEST, KNEE, REBOUND_KNEE = 0.5, 0.2, 0.3
TIME = np.linspace(0.0, 4.0, 40_001)


def side(knee, slope=800.0):
    return lab.DamperSide(low_speed_slope=slope, knee_speed=knee, high_speed_slope=slope)


STRAIGHT = lab.TwoSlopeDamper(rebound=side(REBOUND_KNEE), compression=side(KNEE))
"""Both slopes alike: its force is linear, and it still has knees."""


def stroked(damper, idle=False):
    """Shaft speed a sine of size FASTEST at 2.5 Hz; the shaft moves as the wheel does."""
    station = replace(STATION, damper=damper, motion_ratio=1.0)
    speed = FASTEST * np.sin(2.0 * np.pi * 2.5 * TIME)
    return replace(made_trace(TIME, station=station, wheel_velocity=speed), idle=idle)


@pytest.mark.parametrize("samples", [1000, 1001])
def test_the_load_spectrum_sums_to_the_variance(samples):
    load = 900.0 + np.random.default_rng(3).normal(size=samples) * 100.0
    frequency, density = lab.load_spectrum(made_trace(2e-3 * np.arange(samples), tyre_load=load))
    assert float(density.sum() * frequency[1]) == pytest.approx(float(np.var(load)), rel=1e-9)
    assert frequency[0] == 0.0
    assert frequency[-1] == pytest.approx(250.0, rel=2e-3)
    assert frequency.shape == density.shape == (samples // 2 + 1,)


def test_a_sine_of_load_stands_at_its_frequency():
    time = 1e-3 * np.arange(4000)
    load = 900.0 + 200.0 * np.sin(2.0 * np.pi * 7.5 * time)
    frequency, density = lab.load_spectrum(made_trace(time, tyre_load=load))
    line = int(density.argmax())
    assert frequency[line] == pytest.approx(7.5, rel=1e-9)
    assert density[line] * frequency[1] == pytest.approx(200.0**2 / 2.0, rel=1e-9)


def test_white_noise_of_load_is_level():
    """Analytic: one-sided, variance over half the sample rate."""
    load = 900.0 + np.random.default_rng(4).normal(size=200_000) * 50.0
    frequency, density = lab.load_spectrum(made_trace(1e-3 * np.arange(load.size), tyre_load=load))
    for low, high in ((5.0, 100.0), (400.0, 490.0)):
        part = (frequency > low) & (frequency < high)
        assert float(density[part].mean()) == pytest.approx(50.0**2 / 500.0, rel=0.03)


def test_stretches_off_the_road_at_both_ends():
    load = np.array([0.0, 0.0, 5.0, 0.0, 5.0, 5.0, 0.0, 0.0, 0.0])
    trace = made_trace(0.5 * np.arange(9), tyre_load=load)
    assert off_road(trace) == [(0.0, 0.5), (1.5, 1.5), (3.0, 4.0)]
    found = lab.contact_loss(trace)
    assert (found.share, found.longest) == (6 / 9, 1.5)
    whole = lab.contact_loss(made_trace(0.5 * np.arange(9), tyre_load=np.zeros(9)))
    assert (whole.share, whole.longest) == (1.0, 4.5)


def test_travel_histogram_counts_time():
    travel = np.repeat([0.25, 0.55, 0.75], [100, 300, 600]) * STATION.travel
    edges, share = lab.travel_histogram(with_travel(travel), bins=10)
    assert edges == pytest.approx(np.linspace(0.0, STATION.travel, 11), abs=1e-12)
    assert share == pytest.approx([0, 0, 0.1, 0, 0, 0.3, 0, 0.6, 0, 0], abs=1e-12)


def test_travel_histogram_of_a_swing_is_the_arcsine():
    phase = 2.0 * np.pi * (np.arange(100_000) + 0.3) / 100_000
    half = 0.5 * STATION.travel
    edges, share = lab.travel_histogram(with_travel(half * (1.0 + 0.8 * np.sin(phase))), bins=20)
    below = 0.5 + np.arcsin(np.clip((edges / half - 1.0) / 0.8, -1.0, 1.0)) / np.pi
    assert share == pytest.approx(np.diff(below), abs=1e-3)
    assert share.sum() == pytest.approx(1.0, abs=1e-12)


def test_travel_past_the_ends_and_without_ends_is_not_lost():
    travel = np.linspace(-0.004, STATION.travel + 0.002, 1000)
    edges, share = lab.travel_histogram(with_travel(travel))
    assert (edges[0], edges[-1]) == pytest.approx((-0.004, STATION.travel + 0.002), abs=1e-12)
    assert share.sum() == pytest.approx(1.0, abs=1e-12)
    free = replace(STATION, travel=None, bump_stop=None, top_out_stop=None)
    edges, share = lab.travel_histogram(with_travel(np.linspace(0.01, 0.05, 500), free), bins=4)
    assert edges == pytest.approx([0.01, 0.02, 0.03, 0.04, 0.05], abs=1e-12)
    assert share == pytest.approx([0.25] * 4, abs=1e-12)


@pytest.mark.parametrize("bins", [0, -3, 2.5, 10_000, "many"])
def test_bins_that_are_none(bins):
    with pytest.raises(lab.LabError, match="number of bins is"):
        lab.travel_histogram(made_trace(TIME), bins=bins)
    with pytest.raises(lab.LabError, match="number of bins is"):
        shaft_speed_histogram(made_trace(TIME), bins=bins)


def beyond(knee):
    """Share of the time, and of a linear damper's work, that a sine spends above a knee on one side.

    Above it from the phase a = asin(knee / size) to pi - a: (pi - 2 a) / (2 pi) of the time, and of the work, whose
    integral of the squared sine over all is pi, (pi - 2 a + sin 2 a) / (2 pi).
    """
    a = math.asin(knee / FASTEST)
    return (math.pi - 2.0 * a) / (2.0 * math.pi), (math.pi - 2.0 * a + math.sin(2.0 * a)) / (2.0 * math.pi)


def test_shares_of_a_sine_around_the_knees():
    time, work = lab.shaft_speed_shares(stroked(STRAIGHT))
    for found, part in ((time, 0), (work, 1)):
        assert found.compression_above == pytest.approx(beyond(KNEE)[part], abs=1e-3)
        assert found.rebound_above == pytest.approx(beyond(REBOUND_KNEE)[part], abs=1e-3)
        assert found.compression_below == pytest.approx(0.5 - beyond(KNEE)[part], abs=1e-3)
        assert found.rebound_below == pytest.approx(0.5 - beyond(REBOUND_KNEE)[part], abs=1e-3)


def test_without_a_knee_all_is_below_it():
    time, work = lab.shaft_speed_shares(stroked(lab.LinearDamper(rebound=600.0, compression=200.0)))
    assert time.compression_above == time.rebound_above == work.compression_above == work.rebound_above == 0.0
    assert (work.rebound_below, work.compression_below) == pytest.approx((0.75, 0.25), abs=1e-6)


def test_standing_still_is_neither():
    time, work = lab.shaft_speed_shares(made_trace(TIME))
    assert sum(time) == sum(work) == 0.0


def test_the_speed_histogram_ends_bins_at_the_knees():
    trace = stroked(STRAIGHT)
    edges, share = shaft_speed_histogram(trace, bins=25)
    assert share.sum() == pytest.approx(1.0, abs=1e-12)
    assert (edges[0], edges[-1]) == pytest.approx((-FASTEST, FASTEST), abs=1e-6)
    for mark in (-REBOUND_KNEE, 0.0, KNEE):
        assert np.abs(edges - mark).min() == 0.0
    below = 0.5 + np.arcsin(np.clip(edges / FASTEST, -1.0, 1.0)) / np.pi
    assert share == pytest.approx(np.diff(below), abs=1e-3)
    assert float(share[edges[:-1] >= KNEE].sum()) == pytest.approx(beyond(KNEE)[0], abs=1e-3)


def test_the_speed_histogram_of_standstill():
    edges, share = shaft_speed_histogram(made_trace(TIME))
    assert share.sum() == pytest.approx(1.0, abs=1e-12)
    assert (np.diff(edges) > 0.0).all()


def test_power_of_a_linear_damper_under_a_sine():
    """Textbook: c V^2 / 2; the seals' friction is no part of it."""
    trace = stroked(lab.LinearDamper(rebound=700.0, compression=700.0))
    assert lab.damper_power(trace) == pytest.approx(700.0 * FASTEST**2 / 2.0, rel=1e-6)
    rubbing = replace(trace, station=replace(trace.station, friction=50.0))
    assert lab.damper_power(rubbing) == lab.damper_power(trace)


def test_free_play_counts_nothing():
    """Idle in all of the rebound: half the power, and all of the work in compression."""
    damper = lab.LinearDamper(rebound=700.0, compression=700.0)
    idle = np.sin(2.0 * np.pi * 2.5 * TIME) < 0.0
    trace = stroked(damper, idle=idle)
    assert lab.damper_power(trace) == pytest.approx(700.0 * FASTEST**2 / 4.0, rel=1e-6)
    time, work = lab.shaft_speed_shares(trace)
    assert time.rebound_below == work.rebound_below == 0.0
    assert work.compression_below == pytest.approx(1.0, abs=1e-12)
    assert sum(time) == pytest.approx(0.5, abs=1e-3)
