"""Lesson 01: right and typical wrong answers, against counts made by hand here."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.lessons import rebound_release as lesson
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.workshop.release_test import Verdict, verdict_on


def bench_after_prediction(**answers: str) -> PredictFirst:
    first = lesson.predict_and_try()
    first.predict(**{"open_by_four": lesson.LATER, "close_by_four": lesson.SOONER} | answers)
    first.bench.set(rebound=12)
    return first


def time_at(rebound: int) -> float:
    station = lab.load_station("courier_scooter_rear").with_clicks(rebound=rebound)
    return float(lab.settling_time(lab.simulate(station, lab.Release(depth=0.035))))


def test_predictions_that_are_right() -> None:
    assert time_at(13) > time_at(9) > time_at(5)
    said = bench_after_prediction().compare()
    assert all(text.startswith("as you predicted") for text in said.values())


@pytest.mark.parametrize(
    ("key", "answer"),
    [("open_by_four", lesson.SOONER), ("close_by_four", lesson.LATER), ("close_by_four", lesson.SAME)],
)
def test_predictions_that_are_not(key: str, answer: str) -> None:
    assert bench_after_prediction(**{key: answer}).compare()[key].startswith("not as you predicted")


@pytest.mark.parametrize(
    ("answer", "kind"),
    [(lesson.CLOSE, "Right"), (lesson.OPEN, "direction of turning"), (lesson.LEAVE, "the clock alone")],
)
def test_the_same_time_with_two_swings(answer: str, kind: str) -> None:
    assert kind in lesson.check(bench_after_prediction().bench).answer("which_side", answer)


def shown_on_the_bench(bench: Bench) -> list[int]:
    """The clicks of which the bench's own sentences say that they look right, tested as the question asks for."""
    settings = bench.settings
    low_speed = bench.station.damper.adjusters["low_speed"]
    bench.set(depth=25, low_speed=low_speed)
    if "on its bump stop" in " ".join(bench.screen.words):
        bench.set(depth=20)
    right = []
    for click in range(bench.station.damper.adjusters["rebound"] + 1):
        bench.set(rebound=click)
        if "At the vehicle this looks right" in " ".join(bench.screen.words):
            right.append(click)
    bench.set(**settings)
    return right


@pytest.mark.parametrize(
    ("vehicle", "load"),
    [
        ("courier_scooter_rear", 48), ("trail_bike_rear", 52), ("classroom_rig", 40), ("delivery_van_corner", 60),
        # Where a map of clicks is one off.
        ("courier_scooter_rear", 52), ("trail_bike_rear", 88), ("classroom_rig", 43), ("delivery_van_corner", 90),
        # Little room above the bump stop.
        ("courier_scooter_front", 44), ("courier_scooter_front", 48), ("courier_scooter_front", 50),
        ("courier_scooter_rear", 96),
    ],
)  # fmt: skip
def test_the_most_open_click_is_what_the_bench_shows(vehicle: str, load: int) -> None:
    first = bench_after_prediction()
    first.bench.set(vehicle=vehicle, rider=load)
    shown = shown_on_the_bench(first.bench)
    right, most = max(shown), first.bench.station.damper.adjusters["rebound"]
    checks = lesson.check(first.bench)
    assert checks.answer("most_open", str(right)).startswith("Right")
    for wrong in (right - 1, right + 1):
        assert "Not yet" in checks.answer("most_open", str(wrong))
    if most - right != right:
        assert "direction of turning" in checks.answer("most_open", str(most - right))


def test_where_two_ways_of_testing_differ_either_click_is_right() -> None:
    """Held down by 25 mm rebound 8 swings on, by the 24 mm that clicks are held against at this load it passes."""
    first = bench_after_prediction()
    first.bench.set(vehicle="courier_scooter_rear", rider=78)
    assert max(shown_on_the_bench(first.bench)) == 7
    assert verdict_on(first.bench.station.with_clicks(rebound=8)) is Verdict.PASSES
    for click in ("7", "8"):
        assert lesson.check(first.bench).answer("most_open", click).startswith("Right")
    assert lesson.check(first.bench).answer("most_open", "9").startswith("Not yet")


@pytest.mark.parametrize(
    ("given", "kind"),
    [("4", "wrong end"), ("1", "wrong end"), ("6", "a more open one does too"), ("11", "the clock alone"),
     ("99", "0 to 24")],
)  # fmt: skip
def test_other_clicks_are_answered_by_their_kind(given: str, kind: str) -> None:
    assert kind in lesson.check(bench_after_prediction().bench).answer("most_open", given)


def test_preload_moves_ride_height_alone() -> None:
    checks = lesson.check(bench_after_prediction().bench)
    assert checks.answer("preload", lesson.HIGHER).startswith("Right")
    for answer in (lesson.QUICKER, lesson.BOTH):
        assert "what causes what" in lesson.check(bench_after_prediction().bench).answer("preload", answer)
