"""The linear view over frequency, and the settled sine of the simulation where nothing but lines is in it."""

import control
import numpy as np
import pytest
from reference_values import reference
from sentences import is_one_sentence
from two_masses import linear_station, matrices

import suspension_lab as lab

POINTS = reference("invariant_points")
VEHICLES = {"240 kg over 36 kg on 160 kN/m": (240.0, 36.0, 160e3), "60 kg over 12 kg on 110 kN/m": (60.0, 12.0, 110e3)}
FREQUENCIES = np.geomspace(0.05, 100.0, 200)


def station_with(tyre_damping):
    return linear_station(
        sprung=106.0, unsprung=24.0, spring=24_300.0, damping=1400.0, tyre=150_000.0, tyre_damping=tyre_damping
    )


@pytest.mark.parametrize("tyre_damping", [0.0, 250.0])
def test_is_that_of_python_control(tyre_damping):
    station = station_with(tyre_damping)
    s = 2j * np.pi * FREQUENCIES
    body, wheel, body_speed, _ = control.ss(*matrices(station, 1400.0))(s)[:, 0, :]
    tyre = station.tyre.stiffness + s * tyre_damping
    ours = lab.frequency_response(station, FREQUENCIES)
    for mine, theirs in (
        (ours.body, body),
        (ours.wheel, wheel),
        (ours.travel, wheel - body),
        (ours.body_acceleration, s * body_speed),
        (ours.tyre_load, tyre * (1.0 - wheel)),
    ):
        assert np.abs(mine - theirs).max() < 1e-9 * np.abs(theirs).max()
    # Where the answer is large the last line hides the small: ratios hold it at each frequency.
    assert np.abs(ours.body / body - 1.0).max() < 1e-9
    assert np.abs(ours.wheel / wheel - 1.0).max() < 1e-9


@pytest.mark.parametrize("spring", [4_000.0, 16_000.0])
@pytest.mark.parametrize("damping", [0.0, 300.0, 5000.0])
@pytest.mark.parametrize("vehicle", VEHICLES)
def test_two_points_that_no_suspension_changes(vehicle, damping, spring):
    """Published idea: Hedrick and Butsuen 1990; the values follow from the sum of both masses' equations."""
    sprung, unsprung, tyre = VEHICLES[vehicle]
    station = linear_station(sprung=sprung, unsprung=unsprung, spring=spring, damping=600.0, tyre=tyre)
    rates = np.sqrt(tyre / np.array([unsprung, sprung + unsprung]))
    answer = lab.frequency_response(station, rates / (2.0 * np.pi), damping=damping)
    acceleration, travel = np.abs(answer.body_acceleration[0]) / rates[0], np.abs(answer.travel[1]) / rates[1]
    assert answer.frequency[0] == POINTS[f"first point, {vehicle}"].near
    assert answer.frequency[1] == POINTS[f"second point, {vehicle}"].near
    assert acceleration == POINTS[f"body acceleration over road speed, {vehicle}"].near
    assert travel == POINTS[f"rattle space over road speed, {vehicle}"].near
    assert acceleration == pytest.approx(np.sqrt(tyre * unsprung) / sprung, rel=1e-9)
    assert travel == pytest.approx((1.0 + unsprung / sprung) / rates[1], rel=1e-9)


def test_on_a_slow_road_the_vehicle_follows_and_its_weight_does_the_rest():
    """Analytic: both masses go along; the travel and the tyre's load are what lifts them, -w^2 m."""
    station, slow = station_with(250.0), 1e-3
    answer = lab.frequency_response(station, [slow])
    square = (2.0 * np.pi * slow) ** 2
    assert answer.body[0] == pytest.approx(1.0, abs=1e-5)
    assert answer.wheel[0] == pytest.approx(1.0, abs=1e-5)
    assert answer.travel[0].real == pytest.approx(-square * 106.0 / 24_300.0, rel=1e-4)
    assert answer.tyre_load[0].real == pytest.approx(-square * 130.0, rel=1e-4)


def test_motion_ratio_acts_twice_on_spring_and_damper():
    """Analytic: rates at the wheel are ratio^2 times those at the shaft."""
    plain, ratio = station_with(0.0), 0.6
    geared = linear_station(
        sprung=106.0,
        unsprung=24.0,
        spring=24_300.0 / ratio**2,
        damping=1400.0 / ratio**2,
        tyre=150e3,
        motion_ratio=ratio,
    )
    one, other = (lab.frequency_response(station, FREQUENCIES).body for station in (plain, geared))
    assert np.abs(one - other).max() < 1e-6


def test_each_frequency_may_have_its_own_damping():
    station = station_with(0.0)
    mixed = lab.frequency_response(station, [2.0, 12.0], damping=[500.0, 3000.0])
    alone = [lab.frequency_response(station, [f], damping=c).wheel[0] for f, c in ((2.0, 500.0), (12.0, 3000.0))]
    assert list(mixed.wheel) == alone


@pytest.mark.parametrize("amplitude", [1e-4, 0.02])
def test_the_settled_simulation_of_a_linear_station_is_the_linear_view(amplitude):
    """Of any amplitude, in size and lag, to one part in a thousand of the largest over frequency."""
    station, frequencies = station_with(250.0), np.array([0.4, 2.0, 2.3, 6.0, 13.0, 30.0])
    real, linear = lab.steady_response(station, frequencies, amplitude), lab.frequency_response(station, frequencies)
    for name in ("body", "wheel", "travel", "body_acceleration", "tyre_load"):
        seen, expected = getattr(real, name), getattr(linear, name)
        assert np.abs(seen - expected).max() < 1e-3 * np.abs(expected).max(), name
        assert np.abs(seen / expected - 1.0).max() < 5e-3, name


@pytest.mark.parametrize(
    ("frequencies", "damping"),
    [
        *(([wrong], None) for wrong in (0.0, -1.0, np.nan, np.inf, 1e9, "fast")),
        ([], None),
        ([1.0, 0.0], None),
        ([1.0, 2.0], -5.0),
        ([1.0, 2.0], [1.0, 2.0, 3.0]),
        ([1.0], np.nan),
    ],
)
def test_wrong_input_is_told_in_a_sentence(frequencies, damping):
    with pytest.raises(lab.LabError) as error:
        lab.frequency_response(station_with(0.0), frequencies, damping=damping)
    assert is_one_sentence(str(error.value))


@pytest.mark.parametrize("answer", [lab.equivalent_response, lab.steady_response])
@pytest.mark.parametrize(("frequency", "amplitude"), [(0.0, 0.01), (2.0, 0.0), (2.0, np.nan)])
def test_sines_of_no_size_are_told_in_a_sentence(answer, frequency, amplitude):
    with pytest.raises(lab.LabError) as error:
        answer(station_with(0.0), [frequency], amplitude)
    assert is_one_sentence(str(error.value))
