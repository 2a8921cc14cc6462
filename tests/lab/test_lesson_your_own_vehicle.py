"""Lesson 06: right and typical wrong answers."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab import result_sheet, watch_choice
from suspension_lab.lab.lessons import your_own_vehicle as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import right_answer
from suspension_lab.workshop.mistakes import NOT_KNOWN
from suspension_lab.workshop.release_test import Verdict, usual_release, verdict


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


@pytest.mark.parametrize(
    ("tries", "given", "says"),
    [
        ([(4, 0.46, 0)], "4", "Right"),
        ([(4, 0.46, 0)], "3", "It is done: leave it."),
        ([(4, 0.46, 0)], "5", "It is done: leave it."),
        ([(5, 0.33, 0)], "5", "Right"),
        ([(5, 0.33, 0)], "7", "It is done: leave it."),
        ([(5, 0.33, 0), (12, 0.55, 2)], "5", "Right"),
        ([(5, 0.33, 0), (12, 0.55, 2)], "11", "keep the one that settles soonest"),
        ([(12, 0.55, 2)], "6", "Right"),
        ([(12, 0.55, 2)], "9", "Right"),
        ([(12, 0.55, 2)], "2", "how far the lab would go"),
        ([(12, 0.55, 2)], "12", "swings on: it will do so again"),
        ([(12, 0.55, 2)], "14", "swings on: is that too open, or too closed?"),
        ([(3, 0.7, 0)], "3", "creeps back: it will do so again"),
        ([(3, 0.7, 0)], "2", "creeps back: is that too open, or too closed?"),
        ([(3, 0.7, 0)], "12", "how far the lab would go"),
        ([(9, 0.7, 1)], "11", "swings, and is slow to settle: is that"),
        ([(5, 0.33)], "5", "Right"),
        ([(5, 0.33)], "6", "Measure the last click once more"),
    ],
)
def test_the_next_click_is_answered_by_what_the_last_release_did(
    first: PredictFirst, tries: list[tuple[float, ...]], given: str, says: str
) -> None:
    for each in tries:
        first.bench.write(*each)
    assert says in lesson.check(first.bench).answer("next", given)


@pytest.mark.parametrize("start", range(25))
def test_no_right_answer_is_a_click_that_was_measured_to_fail_or_lies_beyond_it(
    first: PredictFirst, start: int
) -> None:
    """From every click: what is called right is done, or on the right side of a release that fails."""
    station = lab.load_station("courier_scooter_rear").with_clicks(rebound=start)
    run = lab.simulate(station, usual_release(station))
    seconds, swings = round(lab.settling_time(run), 2), lab.swings(run)
    first.bench.write(start, seconds, swings)
    right = [click for click in range(25) if lesson.check(first.bench).answer("next", str(click)).startswith("Right")]
    assert right
    if verdict(run) is Verdict.PASSES:
        assert right == [start]
    else:
        assert all(click < start if swings else click > start for click in right)


def test_ten_tries_with_the_watch_go_to_the_results(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(result_sheet, "_REPLIES", [])
    monkeypatch.setattr(watch_choice, "_FOUND", [])
    watch_choice._CHOICES.clear()
    trainer = lesson.train_your_thumb()
    for settled in trainer.settled:
        trainer.press(settled + 0.2)
    assert {reply.question: reply.score for reply in result_sheet.replies()} == {"bias": 0.2, "spread": 0.0}
