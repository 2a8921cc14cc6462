"""Lesson 06: right and typical wrong answers."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab import result_sheet
from suspension_lab.lab.lessons import your_own_vehicle as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import right_answer
from suspension_lab.workshop.mistakes import NOT_KNOWN


@pytest.fixture
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(both_sides=NOT_KNOWN, surer_time=lesson.WATCH, freed=lesson.WIDER)
    return made


def test_predictions_come_back_compared(first: PredictFirst) -> None:
    first._tried = True
    said = first.compare()
    assert said["both_sides"].startswith("now you know: at rebound 12 it takes")
    assert "size is not" in said["surer_time"]
    assert said["freed"].startswith("as you predicted")
    assert "swings on" in right_answer(first.questions["both_sides"])


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("which_way", lesson.CLOSE, "Right"),
        ("which_way", lesson.OPEN, "direction of turning"),
        ("which_way", lesson.LEAVE, "the clock alone"),
        # Weight over sag: 48 kg times 9.80665 m/s^2 over 19 mm.
        ("spring", "24.8", "Right"),
        ("spring", "24800", "mind the unit"),
        ("spring", "2.53", "mind the unit"),
        ("spring", "17.4", "the difference of the two sags"),
        ("spring", "60", "too large"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, answer)


def test_the_next_click_is_that_of_the_releases_on_the_bench(first: PredictFirst) -> None:
    station = lab.load_station("courier_scooter_rear")
    after_open = lab.next_click([(12, 0.55, 2)], None, station=station).click
    checks = lesson.check(first.bench)
    assert checks.answer("next", str(after_open)).startswith("Right")
    assert "direction of turning" in checks.answer("next", "18")
    assert "0 to 24" in checks.answer("next", "40")
    first.bench.write(1, 1.94, 0)
    after_closed = lab.next_click([(1, 1.94, 0)], None, station=station).click
    assert after_closed is not None
    assert after_closed > 1
    checks = lesson.check(first.bench)
    assert checks.answer("next", str(after_closed)).startswith("Right")
    assert "direction of turning" in checks.answer("next", "0")


def test_ten_tries_with_the_watch_go_to_the_results(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(result_sheet, "_REPLIES", [])
    trainer = lesson.train_your_thumb()
    for settled in trainer.settled:
        trainer.press(settled + 0.2)
    assert {reply.question: reply.score for reply in result_sheet.replies()} == {"bias": 0.2, "spread": 0.0}
