"""Roughness index against published coefficients and closed forms, and the class of roads whose class is known."""

import math

import numpy as np
import pytest
from reference_values import reference

import suspension_lab as lab
from suspension_lab.measures.roughness import golden_car, road_fit, road_spectrum

INDEX = reference("roughness_index")
GOLDEN = reference("golden_car")
CLASSES = reference("road_classes")
TRIANGLE_X = np.arange(0.0, 30.01, 0.25)
TRIANGLE = lab.Road(TRIANGLE_X, 1e-3 * np.interp(TRIANGLE_X, [1.0, 3.0, 5.0], [0.0, 2.0, 0.0]))


def published(step):
    """Transition and response in print."""
    values, at = (GOLDEN, "") if step == 0.25 else (INDEX, f" at {step:.2f} m")
    transition = [[values[f"ST row {i} column {j}{at}"].value for j in range(1, 5)] for i in range(1, 5)]
    return np.array(transition), np.array([values[f"PR row {i}{at}"].value for i in range(1, 5)])


def index_by_the_book(road, step):
    """The recursion as it stands in print, with the printed coefficients; no moving average [m/km]."""
    transition, response = published(step)
    height = 1e3 * np.asarray(road.height)
    start = (np.interp(road.distance[0] + 11.0, road.distance, height) - height[0]) / 11.0
    state, total = np.array([start, 0.0, start, 0.0]), 0.0
    for slope in np.diff(height) / step:
        state = transition @ state + response * slope
        total += abs(state[0] - state[2])
    return total / (height.size - 1)


@pytest.mark.parametrize("step", [0.25, 0.20, 0.10, 0.05])
def test_coefficients_are_the_published_ones(step):
    transition, response = golden_car(step)
    values, at = (GOLDEN, "") if step == 0.25 else (INDEX, f" at {step:.2f} m")
    for i in range(4):
        for j in range(4):
            entry = values[f"ST row {i + 1} column {j + 1}{at}"]
            assert transition[i, j] == pytest.approx(entry.value, rel=1e-6), entry
        assert response[i] == pytest.approx(values[f"PR row {i + 1}{at}"].value, abs=5e-6)


def test_response_to_the_triangle():
    responses = lab.international_roughness_index(TRIANGLE, 0.25)
    for x in ("1.25", "1.5", "2", "3", "4", "5"):
        assert responses[round(float(x) / 0.25) - 1] == INDEX[f"triangle: response at {x} m"].near


def test_running_index_of_the_triangle():
    running = np.cumsum(lab.international_roughness_index(TRIANGLE, 1.0)) / np.arange(1, 31)
    for x in (2, 3, 4, 5, 6, 8, 10, 15, 20, 25, 30):
        assert running[x - 1] == INDEX[f"triangle: index from 0 to {x} m"].near


def test_a_random_profile_by_the_printed_recursion():
    x = np.arange(0.0, 100.01, 0.25)
    road = lab.Road(400.0 + x, 80.0 + 0.03 * x + np.cumsum(np.random.default_rng(2).normal(0.0, 2e-3, x.size)))
    (index,) = lab.international_roughness_index(road)
    assert index == pytest.approx(index_by_the_book(road, 0.25), rel=1e-5)


@pytest.mark.parametrize("length", ["2.4", "5", "15"])
def test_a_wave(length):
    x = np.arange(0.0, 300.01, 0.05)
    road = lab.Road(x, 1e-3 * np.sin(2.0 * np.pi * x / float(length)))
    settled = lab.international_roughness_index(road, 150.0)[-1]
    assert settled == INDEX[f"index of a wave of 1 mm amplitude and {length} m"].near


def test_the_moving_average_takes_out_waves_of_its_own_length():
    """Over 250 mm a wave of 250 mm has no slope."""
    x = np.arange(0.0, 200.01, 0.05)
    one, twice = (
        lab.international_roughness_index(lab.Road(x, 1e-3 * np.sin(2.0 * np.pi * x / length)))[-1]
        for length in (0.25, 0.5)
    )
    assert twice > 0.05
    assert one < 1e-6 * twice


def test_class_a_on_average():
    roads = [lab.roads.iso8608("A", length=1000.0, seed=seed) for seed in range(8)]
    index = np.mean([lab.international_roughness_index(road).mean() for road in roads])
    assert index == INDEX["index of the mean of class A"].near
    four_times = lab.international_roughness_index(lab.roads.iso8608("C", length=1000.0, seed=0)).mean()
    assert four_times == pytest.approx(4.0 * lab.international_roughness_index(roads[0]).mean(), rel=1e-9)


def test_whole_segments_and_a_short_road():
    road = lab.roads.iso8608("C", length=350.0)
    assert lab.international_roughness_index(road).shape == (3,)
    assert lab.international_roughness_index(road, 20.0).shape == (17,)
    assert lab.international_roughness_index(road, 350.0).shape == (1,)
    short = lab.roads.iso8608("C", length=60.0)
    assert lab.international_roughness_index(short) == pytest.approx(
        [lab.international_roughness_index(short, 20.0).mean()], rel=0.01
    )
    parts = lab.international_roughness_index(road, 50.0)
    assert lab.international_roughness_index(road) == pytest.approx(parts[:6].reshape(3, 2).mean(axis=1), rel=5e-3)


def test_a_steady_slope_is_no_roughness():
    x = np.linspace(0.0, 200.0, 801)
    assert lab.international_roughness_index(lab.Road(x, 12.0 - 0.06 * x)) == pytest.approx([0.0, 0.0], abs=1e-9)


def test_an_uneven_profile_is_resampled():
    fine = lab.roads.iso8608("B", length=200.0, seed=9)
    keep = np.sort(np.random.default_rng(0).choice(np.arange(1, 8000), 6000, replace=False))
    keep = np.concatenate([[0], keep, [8000]])
    uneven = lab.Road(np.asarray(fine.distance)[keep], np.asarray(fine.height)[keep])
    assert lab.international_roughness_index(uneven) == pytest.approx(lab.international_roughness_index(fine), rel=0.02)
    assert lab.road_class(uneven) == "B"


@pytest.mark.parametrize("name", "ABCDEFGH")
def test_class_of_a_road_of_known_class(name):
    for seed in range(3):
        for length in (100.0, 1000.0):
            fit = road_fit(lab.roads.iso8608(name, length=length, seed=seed))
            assert fit.road_class == name
            assert 1e6 * fit.roughness == pytest.approx(CLASSES[f"mean of class {name}"].value, rel=0.3)
            assert fit.waviness == pytest.approx(2.0, abs=0.2)


def test_twice_as_high_is_a_class_up():
    road, names = lab.roads.iso8608("A", length=500.0, seed=4), "ABCDEFGH"
    for up, name in enumerate(names):
        higher = lab.Road(road.distance, 2.0**up * np.asarray(road.height))
        assert lab.road_class(higher) == name
    beyond = lab.Road(road.distance, 2.0**9 * np.asarray(road.height))
    assert lab.road_class(beyond) == "H"


@pytest.mark.parametrize(
    ("name", "factor", "found"), [("B", 0.49, "A"), ("B", 0.55, "B"), ("B", 1.9, "B"), ("B", 2.2, "C")]
)
def test_limits_are_half_and_double_of_the_mean(name, factor, found):
    road = lab.roads.iso8608(name, length=1000.0, seed=3)
    exact = lab.roads.ROAD_CLASSES[name] / road_fit(road).roughness
    assert lab.road_class(lab.Road(road.distance, math.sqrt(factor * exact) * np.asarray(road.height))) == found


def test_spectrum_of_a_wave_is_its_mean_square():
    """One-sided and corrected for the window: the band's power is half the amplitude squared."""
    x = np.arange(0.0, 400.0, 0.05)
    wave_number, density = road_spectrum(lab.Road(x, 0.3 + 0.01 * x + 4e-3 * np.sin(2.0 * np.pi * 0.125 * x)))
    assert wave_number[density.argmax()] == pytest.approx(0.125, rel=1e-9)  # the centre of a third octave
    third = 0.125 * (2.0 ** (1 / 6) - 2.0 ** (-1 / 6))
    assert density.max() * third == pytest.approx(0.5 * 4e-3**2, rel=0.02)
    others = np.delete(density, density.argmax())
    assert others.max() < 0.02 * density.max()


def test_bands_of_the_spectrum():
    """Octaves about powers of two, thirds from 0.05, twelfths from 0.29 cycle/m on (ISO 8608, from memory)."""
    wave_number = road_spectrum(lab.roads.iso8608("C", length=2000.0)).wave_number
    for centre in (0.0156, 0.0312, 0.0496, 0.0625, 0.25, 0.2888):
        assert np.abs(wave_number / centre - 1.0).min() < 0.003
    steps = np.log2(wave_number[1:] / wave_number[:-1])
    assert steps[0] == pytest.approx(1.0)
    assert steps[-1] == pytest.approx(1.0 / 12.0)


def test_a_flat_road_is_of_class_a():
    x = np.arange(0.0, 50.0, 0.1)
    for height in (np.zeros(x.size), 0.05 * x):
        fit = road_fit(lab.Road(x, height))
        assert (fit.road_class, fit.roughness) == ("A", 0.0)
        assert math.isnan(fit.waviness)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: lab.international_roughness_index(TRIANGLE, 0.0), "segment length is 0 m"),
        (lambda: lab.international_roughness_index(TRIANGLE, 0.1), "at least the 0.25 m between the points"),
        (lambda: lab.international_roughness_index(TRIANGLE, float("nan")), "segment length is nan"),
        (lambda: lab.international_roughness_index(lab.Road([0.0, 0.5], [0.0, 0.1])), "at least 1 m was expected"),
        (lambda: lab.road_class(lab.Road([0.0, 100.0], [0.0, 0.1])), "too short or its points lie too far apart"),
        (lambda: lab.road_class(lab.Road(np.arange(0.0, 3.0, 0.5), np.zeros(6))), "too short or its points"),
    ],
)
def test_what_cannot_be_told(make, said):
    with pytest.raises(lab.LabError, match=said):
        make()
