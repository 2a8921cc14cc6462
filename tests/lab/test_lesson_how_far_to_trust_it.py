"""Lesson 09: right and typical wrong answers."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab.lessons import how_far_to_trust_it as lesson
from suspension_lab.lab.predict_first import PredictFirst


@pytest.fixture(scope="module")
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(what_matters=lesson.COUNTING, oil_or_click=lesson.CLICK)
    return made


def test_predictions_come_back_compared(first: PredictFirst) -> None:
    said = first.compare()
    assert "what causes what" in said["what_matters"]
    assert said["oil_or_click"].startswith("as you predicted")


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("proof", lesson.NO_PROOF, "Right"),
        ("proof", lesson.PROOF, "what causes what"),
        ("little", lesson.LEAVE, "Right"),
        ("little", lesson.TURN, "one test or one number alone"),
        ("little", lesson.MEASURE, "hard was taken for better"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, answer)


def test_the_number_is_the_overshoot_of_two_releases(first: PredictFirst) -> None:
    station = lab.load_station("courier_scooter_rear")
    closed, opened = (
        lab.overshoot(lab.simulate(station.with_clicks(rebound=click), lab.Release(depth=0.035))) for click in (8, 10)
    )
    right = 100.0 * abs(opened - closed)
    checks = lesson.check(first.bench)
    assert checks.answer("click_moves", f"{right:.0f}").startswith("Right")
    assert "mind the unit" in checks.answer("click_moves", f"{right / 100.0:.3f}")
    assert "too large" in checks.answer("click_moves", "30")
