"""Lesson 04: right and typical wrong answers; the truths once more from single runs, setting by setting."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab.lessons import hard_is_not_sporty as lesson
from suspension_lab.lab.lessons.words import ALL_BETTER, EVEN_AND_HARSH, UNEVEN_AND_HARSH, UNEVEN_AND_SOFT
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.road_choice import ride_over


@pytest.fixture(scope="module")
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(most_even=lesson.BETWEEN, most_comfortable=lesson.CLOSED, worse_end=lesson.OPENED)
    made.bench.set(low_speed=9)
    return made


def by_share(share: float, kind: str = "B") -> tuple[float, float]:
    """Variation and shaking with every adjuster closed by a share, run alone."""
    station = lab.load_station("courier_scooter_rear")
    clicks = {name: round((1.0 - share) * most) for name, most in station.damper.adjusters.items()}
    trace = lab.simulate(station.with_clicks(**clicks), *ride_over(kind, 30.0 / 3.6))
    return lab.tyre_load_variation(trace), lab.weighted_acceleration(trace)


def test_there_is_a_valley_and_comfort_lies_on_its_soft_side() -> None:
    opened, between, closed = (by_share(share) for share in (0.0, 0.55, 1.0))
    assert between[0] < opened[0] < closed[0]
    assert opened[1] < between[1] < closed[1]


def test_predictions_come_back_compared(first: PredictFirst) -> None:
    said = first.compare()
    assert said["most_even"].startswith("as you predicted: the lowest lies at")
    assert "Hard was taken for better." in said["most_comfortable"]
    assert "not as you predicted" in said["worse_end"]


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("rebound_closed", UNEVEN_AND_HARSH, "Right"),
        ("rebound_closed", EVEN_AND_HARSH, "one test or one number alone"),
        ("rebound_closed", UNEVEN_AND_SOFT, "direction of turning"),
        ("rebound_closed", ALL_BETTER, "hard was taken for better"),
        ("washboard", "on the washboard", "Right"),
        ("washboard", "on the cobbles", "the size is not"),
        ("washboard", "on the good road of class B", "hard was taken for better"),
        ("washboard", lesson.NOWHERE, "one test or one number alone"),
        ("two_ends", lesson.NEITHER, "Right"),
        ("two_ends", lesson.OPEN_FOR_COMFORT, "one test or one number alone"),
        ("two_ends", lesson.CLOSED_FOR_FEEL, "hard was taken for better"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, answer)


def test_hardest_is_most_even_on_the_washboard_alone() -> None:
    for kind, hardest_wins in (("washboard", True), ("B", False), ("cobbles", False)):
        assert (by_share(1.0, kind)[0] < by_share(0.7, kind)[0]) is hardest_wins


def test_the_number_is_that_of_the_bench(first: PredictFirst) -> None:
    first.bench.set(road="C", speed=40)
    trace = lab.simulate(first.bench.station, *ride_over("C", 40.0 / 3.6))
    right = 100.0 * lab.tyre_load_variation(trace)
    checks = lesson.check(first.bench)
    assert checks.answer("variation", f"{right:.1f}").startswith("Right")
    assert "mind the unit" in checks.answer("variation", f"{right / 100.0:.4f}")
    assert "shaking of the body" in checks.answer("variation", f"{lab.weighted_acceleration(trace):.2f}")
    assert "too large" in checks.answer("variation", f"{1.6 * right:.1f}")
