"""Lesson 08: right and typical wrong answers; its truths against the vehicles' own, hidden causes."""

from __future__ import annotations

import re

import pytest

from suspension_lab.lab.lessons import mystery_vehicles as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.result_sheet import replies
from suspension_lab.workshop.mistakes import NOT_KNOWN
from suspension_lab.workshop.mystery import CAUSES, NOTHING, mystery, one_of_each_fault
from suspension_lab.workshop.mystery_procedure import price_list, solve
from suspension_lab.workshop.mystery_score import FAULT_LEFT, LUCKY


@pytest.fixture(scope="module")
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(first=lesson.TURN, guess=lesson.HIGH)
    return made


def test_predictions_come_back_compared(first: PredictFirst) -> None:
    said = first.compare()
    assert "causes what" in said["first"]
    assert "size is not" in said["guess"]
    guess = float(re.search(r"scores (\d+) of 100", said["guess"])[1])
    assert guess < 40.0


def test_who_does_not_know_is_told(first: PredictFirst) -> None:
    other = lesson.predict_and_try()
    other.predict(first=NOT_KNOWN, guess=NOT_KNOWN)
    assert all("now you know" in each for each in other.compare().values())


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("sticks", "sticky_seal", "Right"),
        ("sticks", "wrong_spring", "cause"),
        ("sticks", "soft_rebound", "another adjuster"),
        ("sticks", "lost_gas", "cause"),
        ("swings_on", "soft_rebound", "Right"),
        ("swings_on", "closed_low_speed", "another adjuster"),
        ("swings_on", "wrong_spring", "cause"),
        ("swings_on", "sticky_seal", "what causes what"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, CAUSES[answer])


@pytest.mark.parametrize("cause", ["sticky_seal", "soft_rebound"])
def test_the_example_of_a_cause_has_it_and_is_none_that_a_trainee_begins_with(cause: str) -> None:
    number = lesson.an_example(cause)
    assert mystery(number).fault == cause
    assert number > 500
    assert solve(mystery(number)).diagnosis == cause


def test_minutes_by_the_price_list(first: PredictFirst) -> None:
    prices = dict(price_list())
    right = prices["Tyre gauge"] + prices["Sag by tape"] + prices["Release test"]
    checks = lesson.check(first.bench)
    assert checks.answer("minutes", str(right)).startswith("Right")
    assert "Not yet" in lesson.check(first.bench).answer("minutes", str(60 * right))
    assert "Not yet" in lesson.check(first.bench).answer("minutes", str(right + 1))


def test_guesses_are_tried_on_one_vehicle_of_each_fault_and_right_as_often_as_by_chance() -> None:
    faults = [cause for cause in CAUSES if cause != NOTHING]
    vehicles = one_of_each_fault(1)
    assert [vehicle.fault for vehicle in vehicles] == faults
    assert {(vehicle.vehicle, vehicle.load) for vehicle in vehicles} == {(mystery(1).vehicle, mystery(1).load)}
    # Right, a guess has its fault mended and is limited as a lucky one only; wrong, the fault is left.
    assert lesson.guessed() == pytest.approx((LUCKY + (len(faults) - 1) * FAULT_LEFT) / len(faults), abs=3.0)


def test_a_vehicle_handed_over_goes_to_the_results() -> None:
    bench = lesson.predict_and_try(7).bench
    bench.decide("lost_gas")
    bench.hand_over()
    reply = replies()[-1]
    assert (reply.lesson, reply.question, reply.kind) == (lesson.LESSON, "vehicle 7", "mystery")
    assert reply.right == (mystery(7).fault == "lost_gas")
    assert reply.score == bench.score.points
    assert reply.mistake == str(bench.score.mistake.kind)
    bench = lesson.predict_and_try(7).bench
    bench.decide(mystery(7).fault)
    bench.hand_over()
    assert replies()[-1].mistake == ""
