"""How long a fit, a next click and a what-if take; run on request with -m benchmark."""

from __future__ import annotations

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.workshop import click_belief
from suspension_lab.workshop.next_click import next_click

pytestmark = pytest.mark.benchmark
STATIONS = ["courier_scooter_rear", "trail_bike_rear"]


@pytest.mark.parametrize("name", STATIONS)
@pytest.mark.parametrize("free", [("rebound_damping", "friction"), ("rebound_damping", "friction", "spring_rate")])
def test_a_fit_of_one_trace(benchmark, name, free):
    station = lab.load_station(name)
    trace = lab.simulate(station, lab.Release(depth=0.03), 2.0)
    time = np.arange(0.0, 2.0, 1.0 / 60.0)
    noise = np.random.default_rng(1).normal(0.0, 3e-4, time.size)
    position = np.interp(time - 0.4, trace.time, trace.body, left=trace.body[0]) + noise
    fit = benchmark(lab.fit_release, time, position, station, free)
    assert abs(fit["rebound_damping"].value - 1.0) < 5.0 * fit["rebound_damping"].uncertainty


@pytest.mark.parametrize("name", STATIONS)
def test_the_first_answer_on_a_vehicle(benchmark, name):
    station = lab.load_station(name)

    def ask():
        click_belief._KNOWN.clear()
        return next_click([(12, 0.5, 2)], None, station=station)

    assert benchmark(ask).click is not None


@pytest.mark.parametrize("name", STATIONS)
def test_further_answers(benchmark, name):
    station = lab.load_station(name)
    assert benchmark(next_click, [(12, 0.5, 2), (6, 0.3, 0)], None, station=station).click is not None


@pytest.mark.parametrize("name", STATIONS)
def test_a_what_if_of_500_variations_over_three_tests(benchmark, name):
    station = lab.load_station(name)
    tests = [lab.Release(depth=0.025), lab.Push(peak_force=300.0, rise_time=0.1), lab.Ride(lab.roads.pothole(), 8.3)]
    answer = benchmark.pedantic(
        lab.what_if, (station, station.with_clicks(rebound=6), tests), {"samples": 500}, rounds=5, warmup_rounds=1
    )
    assert answer.samples == 500
