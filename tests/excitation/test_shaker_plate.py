"""The shaker plate: its stroke, its frequency, and how it begins."""

import numpy as np
import pytest

import suspension_lab as lab

STATION = lab.load_station("courier_scooter_rear")


def upward_crossings(path):
    """Times at which the plate passes its middle upward, by straight lines."""
    t, y = path.time, path.value
    i = np.flatnonzero((y[:-1] < -1e-12) & (y[1:] >= -1e-12))
    return t[i] - y[i] * (t[i + 1] - t[i]) / (y[i + 1] - y[i])


def test_a_steady_sine():
    path = lab.ShakerPlate(stroke=0.008, start_frequency=12.0, end_frequency=12.0, duration=5.0).road_path(STATION)
    crossings = upward_crossings(path)
    assert np.diff(crossings) == pytest.approx(1.0 / 12.0, rel=1e-3)
    whole = path.time >= 10.0 / 12.0
    assert (path.value[whole].max(), path.value[whole].min()) == (pytest.approx(0.004), pytest.approx(-0.004))
    exact = 0.004 * np.sin(2.0 * np.pi * 12.0 * path.time)
    assert path.value[whole] == pytest.approx(exact[whole], abs=1e-9)
    assert path.time[-1] == pytest.approx(5.0, abs=1.0 / 12.0)


def test_the_usual_sweep():
    """6 mm from 25 Hz down: the frequency between crossings falls evenly with time."""
    plate = lab.ShakerPlate()
    path = plate.road_path(STATION)
    crossings = upward_crossings(path)
    middle, found = 0.5 * (crossings[1:] + crossings[:-1]), 1.0 / np.diff(crossings)
    eased = 10.0 / 25.0
    expected = np.interp(middle, [eased, 20.0], [25.0, 5.0])
    settled = crossings[:-1] > eased
    assert found[settled] == pytest.approx(expected[settled], rel=3e-3)
    assert plate.frequency_at(middle) == pytest.approx(expected)
    assert (found.max(), found.min()) == (pytest.approx(25.0, rel=5e-3), pytest.approx(5.0, abs=0.25))
    assert np.ptp(path.value) == pytest.approx(0.006)
    assert plate.usual_duration(STATION) == 20.0
    assert path.time[-1] <= 20.0 + 1e-9


def test_a_sweep_upward():
    plate = lab.ShakerPlate(start_frequency=4.0, end_frequency=20.0, duration=12.0)
    crossings = upward_crossings(plate.road_path(STATION))
    found = 1.0 / np.diff(crossings)
    assert (found[0], found[-1]) == (pytest.approx(4.0, rel=0.02), pytest.approx(20.0, rel=0.02))


def test_enough_straight_pieces_and_no_jump():
    path = lab.ShakerPlate().road_path(STATION)
    pieces = np.diff(path.time)
    frequency = np.interp(path.time[:-1], [0.4, 20.0], [25.0, 5.0])
    assert (pieces * frequency).max() < 1.01 / 40
    assert np.abs(np.diff(path.value)).max() < 0.003 * 2.0 * np.pi / 40


def test_it_eases_in():
    trace = lab.simulate(STATION, lab.ShakerPlate())
    first = trace.time < 0.02
    assert np.ptp(trace.road[trace.time < 0.04]) < 0.05 * 0.006
    assert np.abs(trace.tyre_load[first] / trace.static_tyre_load - 1.0).max() < 0.02
    assert trace.time[-1] == pytest.approx(20.0)
    assert np.all(trace.hand_force == 0.0)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"stroke": 0.0}, "plate stroke is 0 m"),
        ({"stroke": 6.0}, "plate stroke is 6 m, where at most 0.5 m"),
        ({"start_frequency": 0.0}, "start frequency of the plate is 0 Hz"),
        ({"end_frequency": float("nan")}, "end frequency of the plate is nan"),
        ({"duration": 0.5}, "at least 0.8 s was expected"),
        ({"duration": 1e6}, "at most 3600 s"),
    ],
)
def test_settings_that_cannot_be_are_told(settings, said):
    with pytest.raises(lab.LabError, match=said):
        lab.ShakerPlate(**settings)
