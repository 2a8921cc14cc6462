"""A bump shorter than a step is never stepped over, wherever it lies."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm
from two_masses import linear_station, matrices

import suspension_lab as lab

STEP = 1e-3
DAMPING = 1400.0


def bump(at, width, height, length=20.0):
    """One sample stands up from level road."""
    return lab.Road([0.0, at - 0.5 * width, at, at + 0.5 * width, length], [0.0, 0.0, height, 0.0, 0.0])


@pytest.fixture(params=[0.0, 150.0], ids=["undamped tyre", "damped tyre"])
def station(request):
    return linear_station(
        sprung=106.0, unsprung=24.0, spring=24_300.0, damping=DAMPING, tyre=150_000.0, tyre_damping=request.param
    )


@pytest.mark.parametrize("speed", [2.0, 7.3, 14.0, 33.0])
@pytest.mark.parametrize("share_of_step", [0.02, 0.2, 0.9])
def test_answer_is_that_of_an_impulse(station, speed, share_of_step):
    """Analytic: far shorter than any period, the bump kicks the wheel by tyre stiffness x area over time / mass.

    The bump's own length, as an angle of the fastest swing, is what the impulse leaves out.
    """
    width = share_of_step * STEP * speed
    height = 0.02
    area = 0.5 * height * width / speed
    a, b, *_ = matrices(station, DAMPING)
    fastest = np.abs(np.linalg.eigvals(a)).max()
    left_out = (fastest * width / speed) ** 2
    on_by_a_step = expm(a * STEP)
    for at in speed * (0.05 + STEP * np.linspace(0.0, 1.0, 14)):
        trace = lab.simulate(station, lab.Ride(bump(at, width, height), speed), 0.3, step=STEP)
        after = trace.time > (at + width) / speed
        each = [expm(a * (trace.time[after][0] - at / speed)) @ b[:, 0] * area]
        while len(each) < np.count_nonzero(after):
            each.append(on_by_a_step @ each[-1])
        exact = np.array(each)
        for ours, theirs in ((trace.wheel, exact[:, 1]), (trace.body, exact[:, 0])):
            assert np.abs(ours[after] - theirs).max() < (1e-4 + left_out) * np.abs(theirs).max()


@pytest.mark.parametrize("name", ["courier_scooter_rear", "trail_bike_rear", "delivery_van_corner"])
@pytest.mark.parametrize("speed", [3.0, 11.0, 25.0])
def test_demo_vehicles_feel_it_as_with_a_very_fine_step(name, speed):
    """The usual step of 1 ms against one of 10 us, the axle following the road as it is."""
    station = replace(lab.load_station(name), wheel_radius=None)
    width, height = 0.3 * STEP * speed, 0.03
    for at in speed * (0.02 + STEP * np.linspace(0.0, 1.0, 5)):
        ride = lab.Ride(bump(at, width, height), speed)
        usual, fine = lab.simulate(station, ride, 0.25), lab.simulate(station, ride, 0.25, step=1e-5)
        peak = np.abs(fine.wheel).max()
        assert peak > 2e-5
        assert np.abs(usual.wheel - fine.wheel[::100]).max() < 0.01 * peak


@pytest.mark.parametrize("step", [1e-3, 5e-3, 20e-3])
def test_the_step_between_samples_does_not_matter(station, step):
    """A user's coarse samples must not lose the bump either."""
    ride = lab.Ride(bump(1.0037, 0.004, 0.02), 10.0)
    coarse, fine = lab.simulate(station, ride, 0.4, step=step), lab.simulate(station, ride, 0.4, step=1e-4)
    every = round(step / 1e-4)
    assert np.abs(coarse.wheel - fine.wheel[::every]).max() < 0.01 * np.abs(fine.wheel).max()


def test_many_bumps_of_one_sample_each():
    """A comb of bumps, each shorter than a step, lifts the wheel as their mean height does.

    Analytic: at rest on a comb much finer than the tyre's swing, the tyre feels the mean height.
    """
    station = linear_station(sprung=106.0, unsprung=24.0, spring=24_300.0, damping=DAMPING, tyre=150_000.0)
    speed, pitch, height = 20.0, 0.02, 0.01
    crests = 1.0 + pitch * np.arange(2900)
    width = 0.25 * pitch
    points = np.concatenate([crests - width, crests, crests + width])
    order = np.argsort(points)
    heights = np.repeat([0.0, height, 0.0], crests.size)[order]
    road = lab.Road(np.concatenate([[0.0], points[order]]), np.concatenate([[0.0], heights]))
    trace = lab.simulate(station, lab.Ride(road, speed), 2.9)
    settled = trace.time > 2.4
    assert trace.body[settled].mean() == pytest.approx(height * width / pitch, rel=0.01)
