"""The kernel against the published state transition of the IRI's golden car."""

import numpy as np
import pytest
from reference_values import reference
from scipy.linalg import expm
from two_masses import From, level_at, linear_station, matrices

import suspension_lab as lab
from suspension_lab.excitation.excitation import State

GOLDEN = reference("golden_car")
TIME = GOLDEN["distance step"].value / (GOLDEN["speed"].value / 3.6)


def golden_car(sprung=250.0):
    return linear_station(
        sprung=sprung,
        unsprung=sprung * GOLDEN["unsprung over sprung mass"].value,
        spring=sprung * GOLDEN["spring rate over sprung mass"].value,
        damping=sprung * GOLDEN["damping over sprung mass"].value,
        tyre=sprung * GOLDEN["tyre stiffness over sprung mass"].value,
    )


def after_one_step(station, excitation):
    """Body, its speed, wheel, its speed, as the IRI's state is ordered."""
    trace = lab.simulate(station, excitation, TIME, step=TIME / 64)
    assert trace.time[-1] == pytest.approx(TIME, rel=1e-12)
    return np.array([trace.body[-1], trace.body_velocity[-1], trace.wheel[-1], trace.wheel_velocity[-1]])


def state_transition(station):
    starts = [State(body=1.0), State(body_velocity=1.0), State(wheel=1.0), State(wheel_velocity=1.0)]
    return np.column_stack([after_one_step(station, From(start)) for start in starts])


@pytest.mark.parametrize("sprung", [1.0, 250.0])
def test_state_transition_is_the_published_one(sprung):
    ours = state_transition(golden_car(sprung))
    for i in range(4):
        for j in range(4):
            assert ours[i, j] == GOLDEN[f"ST row {i + 1} column {j + 1}"].near


@pytest.mark.parametrize("sprung", [1.0, 250.0])
def test_response_to_a_constant_road_is_the_published_one(sprung):
    ours = after_one_step(golden_car(sprung), From(road=level_at(1.0)))
    for i in range(4):
        assert ours[i] == GOLDEN[f"PR row {i + 1}"].near


def test_state_transition_is_the_matrix_exponential():
    """Analytic, and far tighter than the seven digits in print."""
    a, *_ = matrices(golden_car(), damping=1500.0)
    order = [0, 2, 1, 3]
    exact = expm(a * TIME)[np.ix_(order, order)]
    assert np.abs(state_transition(golden_car()) - exact).max() < 1e-8 * np.abs(exact).max()


def test_modes_have_the_published_eigenvalues():
    modes = lab.modes(golden_car())
    for mode, name in ((modes.body, "body"), (modes.wheel, "wheel")):
        real, imaginary = (GOLDEN[f"{name} mode, {part} part"].value for part in ("real", "imaginary"))
        assert mode.damping_ratio == pytest.approx(-real / np.hypot(real, imaginary), rel=1e-8)
    # Undamped: both follow from the determinant of stiffness, k kt / (ms mu), and its trace.
    body, wheel = (2 * np.pi * mode.frequency for mode in modes)
    k, kt, mu = 63.3, 653.0, 0.15
    assert (body * wheel) ** 2 == pytest.approx(k * kt / mu, rel=1e-8)
    assert body**2 + wheel**2 == pytest.approx(k + (k + kt) / mu, rel=1e-8)
