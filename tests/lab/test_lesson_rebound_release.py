"""Lesson 01: right and typical wrong answers, against counts made by hand here."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.lab.lessons import rebound_release as lesson
from suspension_lab.lab.predict_first import PredictFirst


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


def most_open_by_hand(vehicle: str, load: float) -> int:
    """The most open click with at most one swing, settled by the aim and a fifth, compression open."""
    station = lab.load_station(vehicle).with_rider(load)
    opened = {name: most for name, most in station.damper.adjusters.items() if name != "rebound"}
    good = []
    for click in range(station.damper.adjusters["rebound"] + 1):
        trace = lab.simulate(station.with_clicks(rebound=click, **opened), lab.Release(depth=0.025))
        aim = 0.5 * (station.sprung_mass * 9.80665 / station.wheel_rate / 0.050) ** 0.5
        if lab.swings(trace) <= 1 and lab.settling_time(trace) <= 1.2 * aim:
            good.append(click)
    return max(good)


@pytest.mark.parametrize(("vehicle", "load"), [("courier_scooter_rear", 48), ("trail_bike_rear", 52)])
def test_the_most_open_click_is_that_of_the_vehicle_on_the_bench(vehicle: str, load: int) -> None:
    first = bench_after_prediction()
    first.bench.set(vehicle=vehicle, rider=load)
    right = most_open_by_hand(vehicle, load)
    checks = lesson.check(first.bench)
    assert checks.answer("most_open", str(right)).startswith("Right")
    most = first.bench.station.damper.adjusters["rebound"]
    assert "direction of turning" in checks.answer("most_open", str(most - right))


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
