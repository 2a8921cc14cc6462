"""Lesson 07: right and typical wrong answers; the truths once more from single runs and from the bench's own way."""

from __future__ import annotations

from dataclasses import replace

import pytest

import suspension_lab as lab
from suspension_lab.lab.lessons import what_if_lesson as lesson
from suspension_lab.lab.lessons.words import ALL_BETTER, EVEN_AND_HARSH, UNEVEN_AND_HARSH, UNEVEN_AND_SOFT
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.what_if_settings import as_excitation
from suspension_lab.workshop.reading_what_if import read_what_if
from suspension_lab.workshop.release_test import Verdict, verdict_on
from suspension_lab.workshop.what_if import Change, what_if

REAR = lab.load_station("courier_scooter_rear")
TWO_EACH = REAR.with_clicks(rebound=7, low_speed=8)


@pytest.fixture(scope="module")
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(by_hand=lesson.LATER, on_road=ALL_BETTER, over_hump=ALL_BETTER)
    return made


def ridden(test: str, station: lab.Station) -> tuple[float, float]:
    """Variation and shaking of a run made here."""
    trace = lab.simulate(station, as_excitation(test, REAR))
    return lab.tyre_load_variation(trace), lab.weighted_acceleration(trace)


def tried(test: str, after: lab.Station, samples: int = 64) -> dict[str, Change]:
    return {each.kind.key: each for each in what_if(REAR, after, as_excitation(test, REAR), samples=samples).changes}


def test_two_clicks_each_are_better_by_hand_and_over_the_hump_and_worse_on_the_road() -> None:
    was, now = (lab.simulate(station, as_excitation("release", REAR)) for station in (REAR, TWO_EACH))
    assert lab.settling_time(now) < lab.settling_time(was)
    assert (lab.swings(was), lab.swings(now)) == (1, 0)
    for test, better in (("hump", True), ("road", False)):
        pairs = zip(ridden(test, REAR), ridden(test, TWO_EACH), strict=True)
        assert [after < before for before, after in pairs] == [better, better]
    packing = tried("road", TWO_EACH)["packing_down"]
    assert packing.direction == "worse"
    assert packing.stands_out


def test_predictions_are_compared_once_a_change_was_worked_out(first: PredictFirst) -> None:
    first.bench.work_out()  # refused: before and after are the same
    assert first.compare() == {}
    first.bench.set(rebound_after=7)
    assert first.compare() == {}
    assert "press Work it out" in first._said.value
    first.bench.work_out()
    said = first.compare()
    assert "what causes what" in said["by_hand"]
    assert "Hard was taken for better." in said["on_road"]
    assert said["over_hump"].startswith("as you predicted: tyre load variation goes from")


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("one_click", lesson.NONE, "Right"),
        ("one_click", lesson.PUSHED, "the size is not"),
        ("one_click", lesson.RIDDEN, "the size is not"),
        ("pothole", EVEN_AND_HARSH, "Right"),
        ("pothole", UNEVEN_AND_HARSH, "one test or one number alone"),
        ("pothole", ALL_BETTER, "hard was taken for better"),
        ("pothole", UNEVEN_AND_SOFT, "direction of turning"),
        ("rebound_opened", lesson.BACK_CLOSED, "Right"),
        ("rebound_opened", lesson.BACK_OPEN, "direction of turning"),
        ("rebound_opened", lesson.LEAVE_IT, "one test or one number alone"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, answer)


def test_one_click_is_sure_and_nobody_would_notice() -> None:
    """Its scatter the second way: single runs at two oil temperatures lie further apart than the change."""
    after = REAR.with_clicks(low_speed=9)
    (force,) = [change for change in tried("push", after).values() if change.worth_a_word]
    assert force.kind.key == "compression_force"
    assert force.sure
    assert not force.stands_out
    push = as_excitation("push", REAR)
    cold, warm = (
        force.kind.of(lab.simulate(REAR.with_oil_temperature(273.15 + oil), push)).value for oil in (12.0, 28.0)
    )
    assert abs(cold - warm) > force.change
    assert not any(change.worth_a_word for change in tried("road", after).values())


def test_high_speed_closed_gains_on_the_pothole_and_has_its_price() -> None:
    was, now = ridden("pothole", REAR), ridden("pothole", REAR.with_clicks(high_speed=0))
    assert now[0] < was[0]
    assert now[1] > was[1]


def test_the_release_test_forbids_what_the_road_likes() -> None:
    after = REAR.with_clicks(rebound=12)
    assert ridden("road", after)[1] < ridden("road", REAR)[1]
    assert lab.swings(lab.simulate(after, as_excitation("release", REAR))) == 2
    assert verdict_on(after) is Verdict.TOO_OPEN
    assert read_what_if(what_if(REAR, after, as_excitation("push", REAR), samples=8))[0].startswith("Do not leave it")


def test_preload_lifts_and_damps_nothing() -> None:
    after = replace(REAR, spring=replace(REAR.spring, preload=REAR.spring.preload + 0.003))
    assert REAR.static_travel - after.static_travel == pytest.approx(0.003, abs=0.0005)
    release = as_excitation("release", REAR)
    was, now = (lab.settling_time(lab.simulate(station, release)) for station in (REAR, after))
    assert now == pytest.approx(was, abs=0.02)
    load = tried("hump", after)["smallest_tyre_load"]
    assert load.direction == "worse"
    assert not load.sure


def test_warm_oil_moves_the_start() -> None:
    """What two clicks each leave warm is about what the setting of before is cold."""
    release = as_excitation("release", REAR)
    cold, warm, turned = (
        lab.simulate(station, release)
        for station in (REAR, *(each.with_oil_temperature(273.15 + 60.0) for each in (REAR, TWO_EACH)))
    )
    assert [lab.swings(trace) for trace in (cold, warm, turned)] == [1, 2, 1]
    assert lab.settling_time(turned) == pytest.approx(lab.settling_time(cold), abs=0.03)


@pytest.mark.parametrize(
    ("moved", "before", "after"),
    [
        ({"rebound_after": 9}, REAR, TWO_EACH),  # nothing is changed: the page's first change
        ({"rebound_after": 9, "low_speed_after": 0}, REAR, REAR.with_clicks(low_speed=0)),
        ({"vehicle": "trail_bike_rear", "high_speed_after": 0}, lab.load_station("trail_bike_rear"), None),
        ({"rebound_after": 12, "rider": 96}, REAR.with_rider(96.0), REAR.with_rider(96.0).with_clicks(rebound=12)),
    ],
)
def test_the_share_is_that_of_the_change_on_the_bench(
    moved: dict[str, object], before: lab.Station, after: lab.Station | None
) -> None:
    first = lesson.predict_and_try()
    first.bench.set(**moved)
    was, now = (ridden("road", each)[1] for each in (before, after or before.with_clicks(high_speed=0)))
    share = 100.0 * (now / was - 1.0)
    assert lesson.check(first.bench).answer("shaking", f"{share:.1f}").startswith("Right")
    by_table = 100.0 * (float(f"{now:.2f}") / float(f"{was:.2f}") - 1.0)
    assert lesson.check(first.bench).answer("shaking", f"{by_table:.2f}").startswith("Right")


def test_a_wrong_share_is_answered_by_its_kind(first: PredictFirst) -> None:
    first.bench.set(rebound_after=9, low_speed_after=0)
    was, now = (ridden("road", each)[1] for each in (REAR, REAR.with_clicks(low_speed=0)))
    share = 100.0 * (now / was - 1.0)
    for given, says in (
        (now, "one of the two numbers"),
        (now - was, "the difference in m/s²"),
        (share / 100.0, "mind the unit"),
        (-share, "its sign is not"),
        (3.0 * share, "too large"),
    ):
        assert says in lesson.check(first.bench).answer("shaking", f"{given:.3f}")
