"""Random roads of ISO 8608: their spectra by another estimate than the lab's, their height, their ends, their seeds."""

import time

import numpy as np
import pytest
from reference_values import reference
from scipy.signal import periodogram

import suspension_lab as lab

CLASSES = reference("road_classes")
OCTAVES = [(0.022 * 2.0**k, 0.044 * 2.0**k) for k in range(7)]
"""From 0.022 to 2.8 cycle/m."""


def densities(road):
    """Wave number and density by scipy, one-sided."""
    step = np.diff(road.distance)
    assert np.abs(step / step.mean() - 1.0).max() < 1e-6
    return periodogram(road.height, fs=1.0 / step.mean(), window="hann", detrend="linear", scaling="density")


def levels(road):
    """Density brought to 0.1 cycle/m with waviness 2, the mean over each octave [1e-6 m^3]."""
    wave_number, density = densities(road)
    at_reference = 1e6 * density * (wave_number / 0.1) ** 2
    return np.array([at_reference[(wave_number >= low) & (wave_number < high)].mean() for low, high in OCTAVES])


def is_of_class(road, name):
    """Every octave within the class's limits, and all of them together at its mean."""
    found = levels(road)
    low = CLASSES[f"lower limit of class {name}"].value
    high = np.inf if name == "H" else CLASSES[f"upper limit of class {name}"].value
    inside = bool(np.all((found > low) & (found < high)))
    return inside and abs(float(np.mean(found)) / CLASSES[f"mean of class {name}"].value - 1.0) < 0.15


@pytest.mark.parametrize("name", "ABCDEFGH")
def test_every_octave_lies_within_the_class(name):
    for seed in range(4):
        assert is_of_class(lab.roads.iso8608(name, length=1000.0, seed=seed), name), seed


@pytest.mark.parametrize(
    ("trap", "factor"),
    [("values at 1 rad/m", 1 / 16), ("upper limits for means", 2.0), ("two-sided for one-sided", 0.5)],
)
def test_the_usual_mistakes_would_be_seen(trap, factor):
    right = lab.roads.iso8608("C", length=1000.0, seed=1)
    wrong = lab.Road(right.distance, np.sqrt(factor) * np.asarray(right.height))
    assert is_of_class(right, "C")
    assert not is_of_class(wrong, "C"), trap


def test_means_of_the_classes():
    for name, mean in lab.roads.ROAD_CLASSES.items():
        assert 1e6 * mean == pytest.approx(CLASSES[f"mean of class {name}"].value, rel=1e-12)


def test_elevation_has_the_r_m_s_of_the_formula():
    squares = []
    for seed in range(10):
        wave_number, density = densities(lab.roads.iso8608("C", length=2000.0, seed=seed))
        band = (wave_number >= 0.011) & (wave_number <= 2.83)
        squares.append(density[band].sum() * wave_number[1])
    rms = 1e3 * np.sqrt(np.mean(squares))
    assert rms == CLASSES["r.m.s. elevation of class C between 0.011 and 2.83 cycle/m"].near


def test_waves_from_a_hundred_metres_to_ten_centimetres():
    """Beyond its longest and its shortest wave there is next to nothing on the road."""
    wave_number, density = densities(lab.roads.iso8608("D", length=1000.0, seed=2, ease=2.0))
    at_reference = density * (wave_number / 0.1) ** 2 / lab.roads.ROAD_CLASSES["D"]
    inside = at_reference[(wave_number > 5.0) & (wave_number < 9.9)].mean()
    assert inside == pytest.approx(1.0, abs=0.1)
    assert at_reference[wave_number > 10.5].mean() < 0.01 * inside
    short = lab.roads.iso8608("D", length=30.0, seed=2)
    assert np.ptp(short.height) > 0.01  # one wave per length


def test_begins_and_ends_level():
    road = lab.roads.iso8608("E", length=120.0, seed=5, ease=6.0)
    distance, height = np.asarray(road.distance), np.asarray(road.height)
    slope = np.abs(np.diff(height) / np.diff(distance))
    assert (distance[0], distance[-1], height[0], height[-1]) == (0.0, pytest.approx(120.0), 0.0, 0.0)
    assert slope[:4].max() < 1e-3 * slope.max()
    assert slope[-4:].max() < 1e-3 * slope.max()
    trace = lab.simulate(lab.load_station("trail_bike_rear"), lab.Ride(road, 10.0), 3.0)
    acceleration = np.abs(trace.wheel_acceleration)
    assert acceleration[trace.time < 0.01].max() < 0.01 * acceleration.max()


def test_the_same_seed_is_the_same_road():
    one, same, other = (lab.roads.iso8608("B", seed=seed) for seed in (7, 7, 8))
    assert np.array_equal(one.height, same.height)
    assert abs(np.corrcoef(one.height, other.height)[0, 1]) < 0.9
    rough = lab.roads.iso8608("C", seed=7)
    assert np.asarray(rough.height) == pytest.approx(2.0 * np.asarray(one.height), rel=1e-9)


def test_fine_enough_and_quickly_made():
    best = np.inf
    for _ in range(3):
        begun = time.perf_counter()
        road = lab.roads.iso8608("C", length=1000.0)
        best = min(best, time.perf_counter() - begun)
    assert np.diff(road.distance).max() <= 0.05
    assert best < 0.2


@pytest.mark.parametrize("name", ["I", "c", "AB", "", 3, None])
def test_a_class_that_is_none_is_told(name):
    with pytest.raises(lab.LabError, match=r"one of the letters A to H"):
        lab.roads.iso8608(name)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"seed": 1.5}, "seed .* is 1.5, where a whole number"),
        ({"seed": -1}, "seed .* is -1"),
        ({"seed": True}, "seed .* is True"),
        ({"seed": float("nan")}, "seed .* is nan"),
        ({"length": 10.0}, "road length is 10 m, where 20 to"),
        ({"length": float("inf")}, "road length is inf"),
        ({"ease": 0.0}, "easing stretch is 0 m"),
        ({"ease": 60.0}, "where 240 to"),
    ],
)
def test_settings_that_cannot_be_are_told(settings, said):
    with pytest.raises(lab.LabError, match=said):
        lab.roads.iso8608("A", **settings)
