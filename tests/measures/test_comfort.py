"""The weighting Wk against the standard's table, the filter against the weighting, and the measures made with it."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from made_traces import made_trace
from reference_values import reference

import suspension_lab as lab
from suspension_lab.measures.comfort import comfort_words, weighted_signal, wk

TABLE = {name: row for name, row in reference("weighting_wk").items() if name.endswith(" Hz")}


def shaken(acceleration, step=1e-3):
    """A trace whose body has the given acceleration."""
    acceleration = np.asarray(acceleration, dtype=np.float64)
    return made_trace(step * np.arange(acceleration.size), body_acceleration=acceleration)


def sine(frequency, size=1.0, seconds=30.0, step=1e-3):
    return size * np.sin(2.0 * np.pi * frequency * step * np.arange(round(seconds / step)))


def test_there_is_the_whole_table_of_the_standard():
    assert len(TABLE) == 34
    nominal = [float(name.split()[2]) for name in TABLE]
    assert {0.1, 1.0, 6.3, 80.0, 400.0} <= set(nominal)


@pytest.mark.parametrize("name", TABLE)
def test_weighting_is_the_standards(name):
    assert 1e3 * abs(wk(float(name.split()[2]))) == TABLE[name].near


def test_weighting_at_100_radians_and_its_shape():
    assert 1e3 * abs(wk(50.0 / math.pi)) == reference("weighting_wk")["Wk at 100 rad/s"].near
    assert wk(np.ones((2, 3))).shape == (2, 3)


@pytest.mark.parametrize("frequency", [0.5, 1.0, 2.0, 3.15, 5.0, 8.0, 12.5, 20.0, 31.5, 40.0, 50.0, 63.0, 80.0])
@pytest.mark.parametrize(("step", "within"), [(1e-3, 0.01), (5e-4, 0.005)])
def test_the_filter_has_the_weightings_size_by_sines(frequency, step, within):
    """The last whole cycles of a sine that has lasted long enough for the 0.4 Hz factor to settle."""
    cycles = max(20, round(4.0 * frequency))
    weighted = weighted_signal(shaken(sine(frequency, seconds=8.0 + cycles / frequency, step=step), step))
    kept = weighted[-round(cycles / frequency / step) :]
    assert math.sqrt(2.0 * np.mean(kept**2)) == pytest.approx(abs(wk(frequency)), rel=within)


@pytest.mark.parametrize("step", [2e-4, 5e-4, 1e-3, 2e-3])
def test_the_filter_between_those_sines(step):
    """By its answer to a single sample, up to 80 Hz; a coarse step may be farther off near the end."""
    blow = np.zeros(round(40.0 / step))
    blow[0] = 1.0 / step
    response = step * np.abs(np.fft.rfft(weighted_signal(shaken(blow, step))))
    frequency = np.fft.rfftfreq(blow.size, step)
    part = (frequency > 0.1) & (frequency <= 80.0)
    error = np.abs(response[part] / np.abs(wk(frequency[part])) - 1.0).max()
    assert error < (0.02 if step > 1e-3 else 0.005)


def test_weighting_answers_nothing_before_it_is_shaken_and_lags_like_the_analogue():
    """Phase at 5 Hz within what two samples are."""
    weighted = weighted_signal(shaken(sine(5.0)))[20_000:]
    time = 20.0 + 1e-3 * np.arange(weighted.size)
    phase = np.angle(np.mean(weighted * np.exp(-2j * np.pi * 5.0 * time)) * 2j / wk(5.0))
    assert abs(phase) < 2.0 * np.pi * 5.0 * 2e-3
    late = np.zeros(2000)
    late[1000:] = 1.0
    assert not weighted_signal(shaken(late))[:1000].any()


def test_weighted_acceleration_of_a_sine():
    trace = shaken(sine(5.0, size=2.0, seconds=200.0))
    assert lab.weighted_acceleration(trace) == pytest.approx(2.0 / math.sqrt(2.0) * abs(wk(5.0)), rel=0.003)


def test_vibration_dose_of_a_sine_and_of_noise():
    rows, seconds = reference("weighting_wk"), 400.0
    noise = np.random.default_rng(1).normal(size=round(1e3 * seconds))
    for signal, name, within in ((sine(5.0, seconds=seconds), "a sine", 0.001), (noise, "Gaussian noise", 0.01)):
        trace = shaken(signal)
        ratio = lab.vibration_dose(trace) / (lab.weighted_acceleration(trace) * seconds**0.25)
        assert ratio == pytest.approx(rows[f"vibration dose of {name}"].value, rel=within)


def test_worst_second_of_a_burst():
    """A quarter of a second of a 40 Hz sine in 20 s of rest, by hand through its spectrum.

    The whole burst and its ringing lie within a second, so that its mean square is the energy: by Parseval
    2 int |Wk|^2 |B|^2 df, with the ten whole cycles' B = size w0 (1 - exp(-i w T)) / (w0^2 - w^2).
    """
    size, at, lasts = 10.0, 2.0 * math.pi * 40.0, 0.25
    burst = np.zeros(20_000)
    burst[7000:7250] = sine(40.0, size=size, seconds=lasts)
    w = 2.0 * np.pi * (np.arange(100_000) + 0.5) * 0.005
    spectrum = size * at * np.abs(1.0 - np.exp(-1j * w * lasts)) / np.abs(at**2 - w**2)
    energy = 2.0 * 0.005 * float(np.sum((np.abs(wk(w / (2.0 * np.pi))) * spectrum) ** 2))
    assert lab.maximum_transient_vibration(shaken(burst)) == pytest.approx(math.sqrt(energy), rel=0.01)
    plain = size / math.sqrt(2.0) * math.sqrt(lasts) * abs(wk(40.0))
    assert math.sqrt(energy) == pytest.approx(plain, rel=0.1)


def test_worst_second_by_looking_at_every_second():
    signal = np.random.default_rng(2).normal(size=4000) * np.linspace(0.1, 3.0, 4000)
    trace = shaken(signal)
    weighted = weighted_signal(trace)
    every = max(math.sqrt(float(np.mean(weighted[i : i + 1000] ** 2))) for i in range(3001))
    assert lab.maximum_transient_vibration(trace) == pytest.approx(every, rel=1e-9)
    assert lab.maximum_transient_vibration(trace) > 1.4 * lab.weighted_acceleration(trace)


def test_steady_shaking_has_no_worst_second():
    trace = shaken(sine(5.0, seconds=100.0))
    assert lab.maximum_transient_vibration(trace) == pytest.approx(lab.weighted_acceleration(trace), rel=0.01)


@pytest.mark.parametrize("samples", [2, 300, 999, 1000, 1001])
def test_a_run_shorter_than_a_second_stood_still_before_it(samples):
    signal = sine(12.0, seconds=1.2)[:samples]
    longer = np.concatenate([np.zeros(3000), signal])
    short = lab.maximum_transient_vibration(shaken(signal))
    assert short == pytest.approx(lab.maximum_transient_vibration(shaken(longer)), rel=1e-9)
    assert lab.vibration_dose(shaken(signal)) == pytest.approx(lab.vibration_dose(shaken(longer)), rel=1e-9)


def test_from_many_threads_at_once_as_one_after_the_other():
    traces = [shaken(np.random.default_rng(seed).normal(size=3000), step=1e-3 / (1 + seed % 3)) for seed in range(40)]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lab.weighted_acceleration, traces))
    assert together == [lab.weighted_acceleration(trace) for trace in traces]


def test_the_standards_words_overlap():
    # ISO 2631-1, annex C.2.3, from memory
    assert comfort_words(0.0) == ("not uncomfortable",)
    assert comfort_words(0.4) == ("a little uncomfortable",)
    assert comfort_words(0.6) == ("a little uncomfortable", "fairly uncomfortable")
    assert comfort_words(0.7) == ("fairly uncomfortable",)
    assert comfort_words(0.9) == ("fairly uncomfortable", "uncomfortable")
    assert comfort_words(1.4) == ("uncomfortable", "very uncomfortable")
    assert comfort_words(2.2) == ("very uncomfortable", "extremely uncomfortable")
    assert comfort_words(40.0) == ("extremely uncomfortable",)
    assert all(1 <= len(comfort_words(value)) <= 2 for value in np.linspace(0.0, 5.0, 5001))


def test_a_closed_damper_hurts_comfort():
    """Practice: fully closed is worse than the middle of the clicks on a small washboard taken slowly."""
    rear, ride = lab.load_station("courier_scooter_rear"), lab.Ride(lab.roads.washboard(height=0.01), 4.0)
    closed = rear.with_clicks(rebound=0, low_speed=0, high_speed=0)
    assert lab.weighted_acceleration(lab.simulate(closed, ride)) > lab.weighted_acceleration(lab.simulate(rear, ride))
