"""How fast a map of clicks is made, against plain C and with one worker and two. On request: pytest -m benchmark."""

import statistics
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import psutil
import pytest
from plain_c import arguments, built, call_c, timed
from ten_seconds_of_road import DURATION, ride, station

import suspension_lab as lab
from suspension_lab.simulation import kernel
from suspension_lab.simulation.pieces import Laws
from suspension_lab.simulation.simulate import course_of

pytestmark = pytest.mark.benchmark

SECONDS_OF_A_MAP = 1.0
OF_PLAIN_C = 0.6
TWO_WORKERS = 1.8


def vehicle():
    return lab.load_station("courier_scooter_rear")


def rough():
    return lab.Ride(lab.roads.iso8608("C", length=150.0, seed=1), 10.0)


def measured(**asked):
    """Seconds that a map takes, by the clock."""
    began = time.perf_counter()
    made = lab.click_map(vehicle(), **asked)
    assert made.complete
    return time.perf_counter() - began


def test_a_map_of_576_settings_over_ten_seconds():
    """24 times 24, as 24 rebound, 12 low-speed and 2 high-speed clicks."""
    asked = {
        "rebound": range(24),
        "low_speed": range(12),
        "high_speed": [4, 12],
        "excitation": rough(),
        "duration": 10.0,
    }
    measured(**asked)
    took = [measured(**asked) for _ in range(5)]
    print(f"\n576 settings over 10 s: {min(took):.2f} to {max(took):.2f} s")
    assert statistics.median(took) <= SECONDS_OF_A_MAP


@pytest.mark.parametrize("road", [ride, rough])
@pytest.mark.parametrize("name", ["two slopes, ratio constant", "courier_scooter_rear"])
def test_a_lane_costs_less_than_plain_c(name, road, tmp_path_factory):
    """The same steps, as lanes and as a plain loop in C over tables."""
    c = built(tmp_path_factory)
    one = station() if name.startswith("two") else vehicle()
    given = arguments((one, road()))
    course = course_of(one, road(), DURATION)
    column, _ = Laws(one).at(one)
    laws = np.repeat(column[:, None], kernel.LANES, axis=1).ravel()
    out = np.empty((kernel.LANES, kernel.LANE_COLUMNS, course.samples))
    linkage = None if isinstance(one.motion_ratio, float | int) else True
    lanes = (
        out,
        course.step,
        given[2],
        np.zeros(4 * kernel.LANES),
        laws,
        course.road,
        course.hand,
        course.breaks,
        linkage,
    )
    kernel.march_side_by_side(*lanes)
    assert np.abs(out[0, 0] - kernel.march(*given)[:, 0]).max() < 1e-3
    pairs = [
        (timed(lambda: kernel.march_side_by_side(*lanes), 3) / kernel.LANES, timed(lambda: call_c(c, given), 5))
        for _ in range(20)
    ]
    ratio = statistics.median(a / b for a, b in pairs)
    per = 1e9 / course.samples / given[2]
    lane, plain = (per * statistics.median(column) for column in zip(*pairs, strict=True))
    print(f"\n{name}, {road.__name__}: a step as a lane {lane:.1f} ns, in plain C {plain:.1f} ns: {ratio:.2f}")
    assert ratio <= OF_PLAIN_C


@pytest.mark.parametrize("pool", [ProcessPoolExecutor, ThreadPoolExecutor])
def test_two_workers_against_one(pool):
    asked = {**{"rebound": range(24), "low_speed": range(20), "high_speed": range(0, 16, 2)}, "excitation": rough()}
    seconds = []
    for workers in (1, 2, 1, 2):
        with pool(workers) as executor:
            measured(excitation=rough(), rebound=range(24), low_speed=range(12), executor=executor, duration=1.0)
            seconds.append(measured(**asked, executor=executor, duration=10.0))
    ratio = (seconds[0] + seconds[2]) / (seconds[1] + seconds[3])
    print(
        f"\n{pool.__name__}: one worker {seconds[0]:.2f}, {seconds[2]:.2f} s, "
        f"two {seconds[1]:.2f}, {seconds[3]:.2f} s: {ratio:.2f}"
    )
    assert pool is ThreadPoolExecutor or ratio >= TWO_WORKERS


def test_it_grows_in_a_straight_line_up_to_100_000_settings():
    """Time over settings and over seconds of road; memory beyond the results does not grow."""
    clicks = {"rebound": range(24), "low_speed": range(20), "high_speed": range(16)}
    process = psutil.Process()
    measured(excitation=rough(), **clicks, duration=0.2)
    found = []
    for cases in (1, 4, 13):
        rides = [rough() for _ in range(cases)]
        before = process.memory_info().rss
        took = measured(excitation=rides, **clicks, duration=0.5)
        found.append((7680 * cases, took, process.memory_info().rss - before))
    for settings, took, grown in found:
        print(
            f"\n{settings} settings: {took:.2f} s, {1e6 * took / settings:.0f} us each, memory {grown / 1e6:+.0f} MB",
            end="",
        )
    assert found[-1][1] / found[0][1] == pytest.approx(13.0, rel=0.35)
    assert found[-1][2] < 60e6
    seconds = [
        measured(excitation=rough(), rebound=range(24), low_speed=range(12), duration=t) for t in (2.0, 8.0, 14.0)
    ]
    print(f"\n2, 8 and 14 s of road: {seconds[0]:.3f}, {seconds[1]:.3f}, {seconds[2]:.3f} s")
    assert seconds[2] - seconds[1] == pytest.approx(seconds[1] - seconds[0], rel=0.6)
