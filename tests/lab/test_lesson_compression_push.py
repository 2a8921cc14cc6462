"""Lesson 02: right and typical wrong answers, against pushes made by hand here."""

from __future__ import annotations

from functools import lru_cache

import pytest

import suspension_lab as lab
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.lessons import compression_push as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.workshop.reading import read_run

RIGHT = {"which_push": lesson.IN_QUICK, "which_adjuster": lesson.LOW, "what_carries": lesson.DAMPER}


def bench_after_prediction(**answers: str) -> PredictFirst:
    first = lesson.predict_and_try()
    first.predict(**RIGHT | answers)
    first.bench.set(rise=90)
    return first


@lru_cache(maxsize=1)
def bench_as_it_stands() -> Bench:
    """One for all tests that do not move it."""
    return bench_after_prediction().bench


def checks() -> Checks:
    return lesson.check(bench_as_it_stands())


def push(rise: float, force: float = 400.0, vehicle: str = "courier_scooter_rear", **clicks: int) -> lab.Trace:
    """The bench's push, at the rear scooter's clicks as its file has them but for those given."""
    station = lab.load_station(vehicle).with_clicks(**clicks)
    return lab.simulate(station, lab.Push(peak_force=force, rise_time=rise / 1000.0, hold_time=0.2))


def depth(rise: float, force: float = 400.0, **clicks: int) -> float:
    return -1000.0 * float(push(rise, force, **clicks).body.min())


def test_predictions_that_are_right() -> None:
    assert depth(80.0, low_speed=0) < 0.9 * depth(80.0)
    assert depth(1000.0, low_speed=0) > 0.9 * depth(1000.0)
    assert depth(80.0, high_speed=0) == pytest.approx(depth(80.0), rel=1e-3)
    said = bench_after_prediction().compare()
    assert set(said) == set(RIGHT)
    assert all(text.startswith("as you predicted") for text in said.values())


@pytest.mark.parametrize(
    "given",
    [
        {
            "which_push": (lesson.IN_SLOW, "what causes what"),
            "which_adjuster": (lesson.HIGH, "another adjuster's work"),
            "what_carries": (lesson.SPRING, "what causes what"),
        },
        {
            "which_push": (lesson.IN_BOTH, "the size is not"),
            "which_adjuster": (lesson.EACH, "another adjuster's work"),
            "what_carries": (lesson.GONE, "what causes what"),
        },
        {
            "which_push": (lesson.IN_NEITHER, "the size is not"),
            "which_adjuster": (lesson.NONE, "what causes what"),
        },
    ],
)
def test_predictions_that_are_not(given: dict[str, tuple[str, str]]) -> None:
    said = bench_after_prediction(**{key: answer for key, (answer, _) in given.items()}).compare()
    for key, (_, kind) in given.items():
        assert said[key].startswith("not as you predicted")
        assert kind in said[key].lower()


def test_force_of_a_slow_push_is_the_springs_own() -> None:
    # Closed form: at rest under a force the body has gone down by that force over spring (at the wheel) and tyre in
    # series; seal friction, 22 N at the shaft, can hold back its share at the wheel of the spring's part.
    station = lab.load_station("courier_scooter_rear")
    friction = 22.0 * float(station.ratio(station.static_travel))
    springs = [(400.0 - held) / station.wheel_rate + 400.0 / station.tyre.stiffness for held in (friction, 0.0)]
    low, high = (1000.0 * spring for spring in springs)
    assert 0.97 * low < depth(1500.0) < 1.02 * high


def test_the_tyre_carries_more_sooner_when_closed() -> None:
    # Newton: what the tyre carries more than at rest is the hand's force and what slows the two masses.
    for clicks in (10, 0):
        trace = push(80.0, low_speed=clicks)
        at = int(trace.time.searchsorted(0.08))
        masses = trace.station.sprung_mass * trace.body_acceleration[at]
        wheel = (trace.wheel[at + 1] - 2.0 * trace.wheel[at] + trace.wheel[at - 1]) / (
            trace.time[1] - trace.time[0]
        ) ** 2
        by_newton = 400.0 + masses + trace.station.unsprung_mass * wheel
        assert lesson._on_the_tyre(trace) == pytest.approx(by_newton, abs=15.0)


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        (lesson.OPEN_LOW, "Right"),
        (lesson.CLOSE_LOW, "direction of turning"),
        (lesson.OPEN_HIGH, "another adjuster"),
        (lesson.OPEN_REBOUND, "another adjuster"),
    ],
)
def test_which_turn_makes_a_push_softer(answer: str, kind: str) -> None:
    assert kind in checks().answer("softer", answer)


def test_softest_of_the_four_turns_by_hand() -> None:
    turns = [{"low_speed": 14}, {"low_speed": 6}, {"high_speed": 12}, {"rebound": 13}]
    forces = [float(push(80.0, **turn).damper_force[:2801].max()) for turn in turns]
    assert min(forces) == forces[0]


@pytest.mark.parametrize(
    ("answer", "kind"),
    [(lesson.KNEE_DOWN, "Right"), (lesson.FASTER, "what causes what"), (lesson.ALWAYS, "another adjuster")],
)
def test_why_open_high_speed_has_a_say(answer: str, kind: str) -> None:
    assert kind in checks().answer("knee", answer)


def test_the_knee_moves_and_the_push_does_not() -> None:
    knees = [lab.load_station("courier_scooter_rear").with_clicks(high_speed=high).damper.knees[1] for high in (8, 16)]
    fastest = [float(push(80.0, high_speed=high).shaft_speed.max()) for high in (8, 16)]
    assert knees[1] < fastest[0] < fastest[1] < knees[0]


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        (lesson.PUSH_QUICKLY, "Right"),
        (lesson.PUSH_HARDER, "what causes what"),
        (lesson.TURN_HIGH, "another adjuster"),
        (lesson.SEND_AWAY, "one test"),
    ],
)
def test_a_slow_push_condemns_no_adjuster(answer: str, kind: str) -> None:
    assert depth(1000.0, 800.0, low_speed=0) > 0.9 * depth(1000.0, 800.0)
    assert kind in checks().answer("broken", answer)


def longest_by_words(vehicle: str, low_speed: int, force: float) -> int:
    """The slowest push of which the bench's own sentences say that the hand feels the clicks, to 20 ms [ms]."""
    felt = [
        rise for rise in range(40, 1001, 20)
        if "the hand feels" in " ".join(read_run(push(rise, force, vehicle, low_speed=low_speed)))
    ]  # fmt: skip
    return max(felt, default=0)


@pytest.mark.parametrize(
    ("vehicle", "low_speed", "force"),
    [("courier_scooter_rear", 10, 400), ("courier_scooter_rear", 0, 400), ("courier_scooter_front", 18, 600)],
)
def test_the_slowest_push_that_is_felt_goes_by_the_bench(vehicle: str, low_speed: int, force: int) -> None:
    first = bench_after_prediction()
    first.bench.set(vehicle=vehicle, low_speed=low_speed, force=force)
    right = longest_by_words(vehicle, low_speed, float(force))
    assert lesson.check(first.bench).answer("longest", str(right)).startswith("Right")
    assert "mind the unit" in lesson.check(first.bench).answer("longest", str(right / 1000))


@pytest.mark.parametrize(
    ("given", "kind"),
    [("9", "40 to 1500"), ("2000", "from 0 to 1500"), ("0", "make the push quicker"), ("100", "try slower ones"),
     ("900", "names the spring"), ("540", "fully closed"), ("190", "fully open")],
)  # fmt: skip
def test_other_times_are_answered_by_their_kind(given: str, kind: str) -> None:
    assert kind in checks().answer("longest", given)


def test_zero_is_right_where_no_push_is_felt(monkeypatch: pytest.MonkeyPatch) -> None:
    # No demo vehicle is so; a hand that felt nothing under its own whole force would be.
    monkeypatch.setattr(lesson, "SMALL_SHARE", 101.0)
    assert checks().answer("longest", "0").startswith("Right")
    assert "names the spring" in checks().answer("longest", "500")


def test_numbers_of_the_page_are_those_of_the_pushes() -> None:
    text = repr(lesson.numbers())
    for rise, clicks in ((1000.0, 10), (1000.0, 0), (80.0, 10), (80.0, 0)):
        assert f"{depth(rise, low_speed=clicks):.1f} mm deep" in text
