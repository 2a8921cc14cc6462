"""A linear station on a road whose speed is white: closed forms, Lyapunov, the spectrum, and long simulations."""

import numpy as np
import pytest
from reference_values import reference
from two_masses import linear_station
from white_road import FIRST, averages, white_ride

import suspension_lab as lab
from suspension_lab.simulation.white_road import road_speed_intensity

TABLE = reference("white_noise")
ROUGHNESS, SPEED = 64e-6, 20.0
SETS = {
    "240 kg over 36 kg": (240.0, 36.0, 16_000.0, 160_000.0, 980.0),
    "golden car": (250.0, 37.5, 15_825.0, 163_250.0, 1500.0),
    "60 kg over 12 kg": (60.0, 12.0, 9_000.0, 110_000.0, 450.0),
}


def station_of(sprung, unsprung, spring, tyre, damping, **more):
    return linear_station(sprung=sprung, unsprung=unsprung, spring=spring, tyre=tyre, damping=damping, **more)


def closed_forms(ms, mu, ks, kt, c, w):
    """Mean squares of body acceleration, travel, tyre squash and damper speed (sources in the reference file)."""
    m = ms + mu
    return np.array([
        w / (2 * ms**2) * (c * kt + m * ks**2 / c),
        w * m / (2 * c),
        w * m**2 * c / (2 * kt * ms**2)
        + w * (m**3 * ks**2 / (kt * ms) ** 2 - 2 * m * ks * mu / (kt * ms) + mu) / (2 * c),
        w * kt / (2 * c),
    ])  # fmt: skip


def mean_squares(station, answer):
    squash = answer.tyre_load / station.tyre.stiffness
    return np.array([answer.body_acceleration, answer.travel, squash, answer.shaft_speed]) ** 2


def test_half_of_the_one_sided_spectrum():
    assert road_speed_intensity(ROUGHNESS, SPEED) == TABLE["road speed intensity at 20 m/s and 64e-6 m^3"].near


@pytest.mark.parametrize("name", SETS)
def test_table_of_three_vehicles(name):
    station = station_of(*SETS[name])
    answer = lab.random_response(station, ROUGHNESS, SPEED)
    assert answer.body_acceleration == TABLE[f"body acceleration, {name}"].near
    assert 1e3 * answer.travel == TABLE[f"travel, {name}"].near
    assert 1e3 * answer.tyre_load / station.tyre.stiffness == TABLE[f"tyre, {name}"].near
    assert answer.shaft_speed == TABLE[f"damper speed, {name}"].near
    assert answer.damping == pytest.approx(SETS[name][-1], rel=1e-9)
    assert answer.mean_travel == pytest.approx(0.0, abs=1e-12)


def test_golden_car_of_any_weight_moves_the_same():
    light = station_of(1.0, 0.15, 63.3, 653.0, 6.0)
    heavy = station_of(*SETS["golden car"])
    one, other = (lab.random_response(station, ROUGHNESS, SPEED) for station in (light, heavy))
    for name in ("body_acceleration", "travel", "shaft_speed"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-9)
    assert 250.0 * one.tyre_load == pytest.approx(other.tyre_load, rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_closed_forms_for_any_vehicle(seed):
    draw = np.random.default_rng(seed)
    ms, mu, ks, kt, c = np.exp(draw.uniform(np.log([20, 3, 3e3, 8e4, 200]), np.log([400, 60, 6e4, 4e5, 4000])))
    roughness, speed = float(np.exp(draw.uniform(-13.0, -7.0))), float(draw.uniform(1.0, 40.0))
    station = station_of(ms, mu, ks, kt, c)
    found = mean_squares(station, lab.random_response(station, roughness, speed))
    w = 2.0 * np.pi**2 * 0.1**2 * roughness * speed
    assert np.abs(found / closed_forms(ms, mu, ks, kt, c, w) - 1.0).max() < 1e-9


@pytest.mark.parametrize("tyre_damping", [0.0, 300.0])
def test_the_spectrum_holds_the_same_power(tyre_damping):
    """Parseval: the one-sided spectrum of the road's speed through the frequency response, over all frequencies.

    On a damped tyre too, which the closed forms leave out. Beyond 10 kHz only the road itself squashes the tyre.
    """
    station = station_of(*SETS["60 kg over 12 kg"], tyre_damping=tyre_damping)
    frequency = np.geomspace(1e-4, 1e4, 40_001)
    answer, rate = lab.frequency_response(station, frequency), 2.0 * np.pi * frequency
    one_sided = (2.0 * np.pi * 0.1) ** 2 * ROUGHNESS * SPEED
    through = (answer.body_acceleration, answer.travel, 1.0 - answer.wheel, rate * answer.travel)
    power = [np.trapezoid(np.abs(signal / rate) ** 2 * one_sided, frequency) for signal in through]
    power[2] += one_sided / (4.0 * np.pi**2 * frequency[-1])
    expected = mean_squares(station, lab.random_response(station, ROUGHNESS, SPEED))
    assert np.abs(power / expected - 1.0).max() < 5e-5


@pytest.mark.parametrize("name", SETS)
def test_long_simulations_have_the_closed_forms_mean_squares(name):
    """Within 4 standard errors of the mean of 30 roads, which differ among themselves enough to tell how sure it is.

    Four standard errors are at most 7 % of a mean square here, so a factor of 2 or of its root could not pass.
    """
    seen, error = averages(station_of(*SETS[name]), ROUGHNESS, SPEED, seeds=30, duration=120.0)
    expected = closed_forms(*SETS[name], 2.0 * np.pi**2 * 0.1**2 * ROUGHNESS * SPEED)
    assert (4.0 * error[:4] < 0.07 * expected).all(), 4.0 * error[:4] / expected
    assert (np.abs(seen[:4] - expected) < 4.0 * error[:4]).all(), seen[:4] / expected
    assert abs(seen[4]) < 4.0 * error[4]


def test_in_each_band_time_and_spectrum_have_the_same_power():
    """Body acceleration of simulations on 30 roads, by the Fourier transform, against |H|^2 times the road's spectrum.

    Within 4 standard errors, which are at most 9 % around the body's frequency and 4 % around the wheel's.
    """
    station, duration, step = station_of(*SETS["60 kg over 12 kg"]), 120.0, 1e-3
    window = np.hanning(round(duration / step))
    at, bands, powers = np.fft.rfftfreq(window.size, step), [(0.8, 3.0), (5.0, 20.0)], []
    for seed in range(30):
        ride = white_ride(ROUGHNESS, SPEED, duration=duration + FIRST, seed=100 + seed)
        signal = lab.simulate(station, ride, duration + FIRST, step=step).body_acceleration[-window.size :]
        lines = 2.0 * np.abs(np.fft.rfft(signal * window)) ** 2 / window.size / np.sum(window**2)
        powers.append([lines[(at >= low) & (at < high)].sum() for low, high in bands])
    seen, error = np.mean(powers, axis=0), np.std(powers, axis=0, ddof=1) / np.sqrt(len(powers))
    expected = []
    for band in bands:
        frequency = np.linspace(*band, 2000)
        over_speed = lab.frequency_response(station, frequency).body_acceleration / (2.0 * np.pi * frequency)
        one_sided = (2.0 * np.pi * 0.1) ** 2 * ROUGHNESS * SPEED
        expected.append(np.trapezoid(np.abs(over_speed) ** 2 * one_sided, frequency))
    assert (4.0 * error / expected < [0.09, 0.04]).all(), 4.0 * error / expected
    assert (np.abs(seen - expected) < 4.0 * error).all(), seen / expected


@pytest.mark.parametrize(("roughness", "speed"), [(0.0, 20.0), (-1e-6, 20.0), (64e-6, 0.0), (np.nan, 20.0)])
def test_wrong_input_is_told(roughness, speed):
    with pytest.raises(lab.LabError, match=r"expected\.$"):
        lab.random_response(station_of(*SETS["golden car"]), roughness, speed)


def test_a_station_that_nothing_damps_is_told():
    with pytest.raises(lab.LabError, match="no damping"):
        lab.random_response(station_of(250.0, 37.5, 15_825.0, 163_250.0, 0.0), ROUGHNESS, SPEED)
