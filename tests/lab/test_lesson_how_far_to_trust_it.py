"""Lesson 09: right and typical wrong answers."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.common.reference import Reference
from suspension_lab.excitation.roads.surfaces import iso8608
from suspension_lab.lab.lessons import how_far_to_trust_it as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.workshop.trust import TrustRow


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
    ("times", "right"), [(0.01, lesson.VEHICLES), (0.4, lesson.VEHICLES), (0.6, lesson.BOTH), (1.7, lesson.BOTH),
                         (2.5, lesson.COUNTING)],
)  # fmt: skip
def test_what_decides_goes_by_both_sizes(times: float, right: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows made to differ by so many times what a day moves; within their tolerance or not does not matter."""
    off = times * lesson.by_a_day() / 100.0
    rows = [
        TrustRow(
            topic="t", words="w", ours=50.0 * (1.0 + share),
            reference=Reference(quantity="q", value=50.0, unit="1", tolerance=tolerance, source="published: s"),
        )
        for share, tolerance in ((0.0, 0.1), (-off, 1e3 * float(times > 1.0)))
    ]  # fmt: skip
    monkeypatch.setattr(lesson, "_rows", lambda: rows)
    assert lesson._what_matters().truth().right == right


def test_a_day_moves_what_two_rides_of_one_vehicle_differ_by() -> None:
    """The load alone moves the tyre load variation most: ridden here at both loads, over the same road."""
    station = lab.load_station("courier_scooter_rear")
    ride = lab.Ride(iso8608("C", length=10.0 * 30.0 / 3.6 + 10.0, seed=0), 30.0 / 3.6)
    light, usual, heavy = (
        lab.tyre_load_variation(lab.simulate(station.with_rider(kg), ride)) for kg in (43.0, 48.0, 53.0)
    )
    assert lesson.by_a_day() == pytest.approx(100.0 * abs(heavy - light) / usual, abs=2.0)


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
