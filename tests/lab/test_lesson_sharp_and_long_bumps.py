"""Lesson 03: right and typical wrong answers, against rides made by hand here."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.lessons import sharp_and_long_bumps as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.workshop.reading import read_run
from suspension_lab.workshop.release_test import Verdict, verdict_on

RIGHT = {"pothole": lesson.HIGH_MORE, "hump": lesson.LOW_LESS, "washboard": lesson.EVEN_FAST}
PACKS = {"rebound": 0, "low_speed": 20, "high_speed": 16}
ALL_CLOSED = {"rebound": 0, "low_speed": 0, "high_speed": 0}


def bench_after_prediction(**answers: str) -> PredictFirst:
    first = lesson.predict_and_try()
    first.predict(**RIGHT | answers)
    first.bench.set(height=41)
    return first


@lru_cache(maxsize=1)
def bench_as_it_stands() -> Bench:
    """One for all tests that do not move it."""
    return bench_after_prediction().bench


def checks() -> Checks:
    return lesson.check(bench_as_it_stands())


ROADS = {
    "pothole": lambda level: lab.roads.pothole(depth=0.04, length=0.4, **level),
    "kerb": lambda level: lab.roads.kerb(height=0.04, **level),
    "long_hump": lambda level: lab.roads.long_hump(height=0.04, length=5.0, **level),
    "washboard": lambda level: lab.roads.washboard(height=0.02, wavelength=0.6, bumps=12, **level),
}


def ride(shape: str, speed: float = 30.0, vehicle: str = "courier_scooter_rear", **clicks: int) -> lab.Trace:
    """A road with 0.3 s of level ground before it and 1.5 s behind, at the vehicle's own clicks but for those given."""
    level = {"run_in": 0.3 * speed / 3.6, "run_out": 1.5 * speed / 3.6}
    station = lab.load_station(vehicle).with_clicks(**clicks)
    return lab.simulate(station, lab.Ride(ROADS[shape](level), speed / 3.6))


def blow(shape: str, **clicks: int) -> float:
    return float(np.abs(ride(shape, **clicks).body_acceleration).max())


def unevenness(speed: float, **clicks: int) -> float:
    """Standard deviation of the tyre load over the load at rest."""
    trace = ride("washboard", speed, **clicks)
    return float(trace.tyre_load.std() / trace.static_tyre_load)


def in_the_air(trace: lab.Trace) -> float:
    """Longest stretch without load [s]."""
    longest = run = 0
    for load in trace.tyre_load:
        run = run + 1 if load <= 0.0 else 0
        longest = max(longest, run)
    return longest * float(trace.time[1] - trace.time[0])


def test_predictions_that_are_right() -> None:
    assert blow("pothole", high_speed=0) > 1.1 * blow("pothole")
    assert blow("pothole", low_speed=0) == pytest.approx(blow("pothole"), rel=0.02)
    assert blow("long_hump", low_speed=0) < 0.9 * blow("long_hump")
    assert blow("long_hump", high_speed=0) == pytest.approx(blow("long_hump"), rel=0.02)
    assert unevenness(15.0, **ALL_CLOSED) > unevenness(15.0)
    assert unevenness(30.0, **ALL_CLOSED) < unevenness(30.0)
    said = bench_after_prediction().compare()
    assert set(said) == set(RIGHT)
    assert all(text.startswith("as you predicted") for text in said.values())


@pytest.mark.parametrize(
    "given",
    [
        {
            "pothole": (lesson.HIGH_LESS, "hard was taken for better"),
            "hump": (lesson.LOW_MORE, "one test or one number alone"),
            "washboard": (lesson.MORE_EVEN, "hard was taken for better"),
        },
        {
            "pothole": (lesson.LOW_MORE, "another adjuster's work"),
            "hump": (lesson.HIGH_MORE, "another adjuster's work"),
            "washboard": (lesson.LESS_EVEN, "one test or one number alone"),
        },
        {
            "pothole": (lesson.LOW_LESS, "another adjuster's work"),
            "hump": (lesson.HIGH_LESS, "another adjuster's work"),
            "washboard": (lesson.EVEN_SLOWLY, "what causes what"),
        },
    ],
)
def test_predictions_that_are_not(given: dict[str, tuple[str, str]]) -> None:
    said = bench_after_prediction(**{key: answer for key, (answer, _) in given.items()}).compare()
    for key, (_, kind) in given.items():
        assert said[key].startswith("not as you predicted")
        assert kind in said[key].lower()


@pytest.mark.parametrize("speed", [15, 30, 24])
def test_bumps_a_second_go_by_the_speed_on_the_bench(speed: int) -> None:
    first = bench_after_prediction()
    first.bench.set(shape="washboard", height=20, speed=speed)
    # Counted on the bench's own road: its crests over the time from the first to the last of them.
    trace = first.bench.result
    inner = trace.road[1:-1]
    crests = trace.time[1:-1][(inner > trace.road[:-2]) & (inner >= trace.road[2:]) & (inner > 0.019)]
    counted = (len(crests) - 1) / (crests[-1] - crests[0])
    assert len(crests) == 12
    assert lesson.check(first.bench).answer("rhythm", f"{counted:.1f}").startswith("Right")
    assert "You divided km/h" in lesson.check(first.bench).answer("rhythm", f"{speed / 0.6:.1f}")
    assert "time between two bumps" in lesson.check(first.bench).answer("rhythm", f"{1.0 / counted:.4f}")
    assert "the speed in m/s" in lesson.check(first.bench).answer("rhythm", f"{speed / 3.6:.1f}")
    assert "First the speed" in lesson.check(first.bench).answer("rhythm", "3")


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        (lesson.SHORTER_HARDER, "Right"),
        (lesson.SHORTER_SOFTER, "hard was taken for better"),
        (lesson.LONGER_HARDER, "one test or one number alone"),
        (lesson.LONGER_SOFTER, "direction of turning"),
    ],
)
def test_a_hard_damper_on_a_kerb_gains_and_pays(answer: str, kind: str) -> None:
    assert kind in checks().answer("kerb", answer)


def test_kerb_by_hand() -> None:
    assert in_the_air(ride("kerb", **ALL_CLOSED)) < in_the_air(ride("kerb"))
    assert blow("kerb", **ALL_CLOSED) > blow("kerb")


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        (lesson.OPEN_REBOUND, "Right"),
        (lesson.CLOSE_HIGH, "hard was taken for better"),
        (lesson.CLOSE_LOW, "another adjuster's work"),
        (lesson.LEAVE, "what causes what"),
    ],
)
def test_what_helps_against_packing_down(answer: str, kind: str) -> None:
    assert kind in checks().answer("packing", answer)


def test_packing_down_by_hand() -> None:
    packs, helped = ride("washboard", 15.0, **PACKS), ride("washboard", 15.0, **PACKS | {"rebound": 9})
    bumpy = (packs.time > 1.2) & (packs.time < 2.0)  # some of the later bumps
    assert helped.wheel_travel[bumpy].mean() < packs.wheel_travel[bumpy].mean() - 0.002
    assert lab.weighted_acceleration(helped) < lab.weighted_acceleration(packs)
    shut = ride("washboard", 15.0, **PACKS | {"high_speed": 0})
    assert lab.weighted_acceleration(shut) > lab.weighted_acceleration(packs)
    # The release test, which sets rebound, says so too.
    assert [verdict_on(run.station) for run in (packs, helped)] == [Verdict.TOO_CLOSED, Verdict.PASSES]


def first_past_the_knee(vehicle: str, **clicks: int) -> int:
    """The first speed at which the bench's own sentences say that the hump gets past the knee, from below [km/h]."""
    for speed in range(10, 61):
        if "past the knee" in " ".join(read_run(ride("long_hump", float(speed), vehicle, **clicks))):
            return speed
    return 0


@pytest.mark.parametrize(
    ("vehicle", "clicks"),
    [
        ("courier_scooter_rear", {"low_speed": 10}),
        ("courier_scooter_rear", {"low_speed": 0}),
        ("delivery_van_corner", {"low_speed": 12}),
        ("trail_bike_rear", {"low_speed": 10}),
    ],
)
def test_speed_of_the_hump_goes_by_what_stands_on_the_bench(vehicle: str, clicks: dict[str, int]) -> None:
    first = bench_after_prediction()
    first.bench.set(vehicle=vehicle, **clicks)
    right = first_past_the_knee(vehicle, **clicks)
    assert lesson.check(first.bench).answer("hump_speed", str(right)).startswith("Right")
    if right:
        assert "right in m/s" in lesson.check(first.bench).answer("hump_speed", f"{right / 3.6:.1f}")
    else:
        assert "below the knee" in lesson.check(first.bench).answer("hump_speed", "55")


@pytest.mark.parametrize(
    ("given", "kind"),
    [("0.2", "shaft speed"), ("0", "5 to 60"), ("80", "from 0 to 60"), ("55", "try slower"),
     ("20", "below the knee")],
)  # fmt: skip
def test_other_speeds_are_answered_by_their_kind(given: str, kind: str) -> None:
    assert kind in checks().answer("hump_speed", given)


def test_numbers_of_the_page_are_those_of_the_rides() -> None:
    text = repr(lesson.numbers())
    for speed in (15.0, 30.0):
        for clicks in ({}, ALL_CLOSED):
            assert f"tyre load varies by {100.0 * unevenness(speed, **clicks):.1f} %" in text
    for shape in ("pothole", "long_hump"):
        for clicks in ({}, {"low_speed": 0}, {"high_speed": 0}):
            assert f"largest body acceleration {blow(shape, **clicks):.1f} m/s²" in text
