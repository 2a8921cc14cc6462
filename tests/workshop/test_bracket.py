"""The guided bracket, ridden by simulated riders whose best click is known."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable

import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.workshop.bracket import GOOD, TOO_HARD, TOO_SOFT, VERDICTS, Bracket
from suspension_lab.workshop.cautions import RIDING_TEST

Rider = Callable[[int, int], str]
"""Clicks and the number of the ride -> verdict."""
HARDNESS = {TOO_HARD: 0, GOOD: 1, TOO_SOFT: 2}
OPPOSITE = {TOO_HARD: TOO_SOFT, TOO_SOFT: TOO_HARD, GOOD: GOOD}


def rider(best: float, tolerance: float) -> Rider:
    """More clicks out from closed are softer."""
    return lambda clicks, _: GOOD if abs(clicks - best) <= tolerance else TOO_HARD if clicks < best else TOO_SOFT


def ridden(rider: Rider, most: int) -> list[Bracket]:
    """The bracket after each ride."""
    course = [Bracket(most=most)]
    while not course[-1].done:
        now = course[-1]
        course.append(now.with_verdict(rider(now.next.clicks, len(now.stops))))
        assert len(course) < 300
    return course


@pytest.mark.parametrize("most", [5, 8, 12, 16, 20, 24, 30, 60])
@pytest.mark.parametrize("tolerance", [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0])
def test_every_best_click_is_found_within_one_in_few_stops(most: int, tolerance: float):
    """The bound asked for: both extremes, a bisection, and two more."""
    for best in range(most + 1):
        done = ridden(rider(best, tolerance), most)[-1]
        assert abs(done.result.clicks - best) <= 1
        assert done.result.low <= best <= done.result.high
        assert len(done.stops) <= 2 + math.ceil(math.log2(most)) + 2


def test_a_best_between_two_clicks_is_found_too():
    for best in range(20):
        done = ridden(rider(best + 0.5, 0.3), 20)[-1]
        assert (done.result.low, done.result.high) == (best, best + 1)
        assert done.result.clicks == best + 1  # the softer
        assert len(done.stops) <= 2 + math.ceil(math.log2(20)) + 2


def test_a_wider_tolerance_ends_at_a_click_the_rider_calls_good():
    for best, tolerance in itertools.product(range(31), (4.0, 6.0, 9.0)):
        done = ridden(rider(best, tolerance), 30)[-1]
        assert abs(done.result.clicks - best) <= tolerance


def test_the_order_is_soft_warm_hard_then_between():
    first = Bracket(adjuster="high_speed", most=16)
    assert first.next.clicks == 16
    assert "Warm up: ride ten minutes first" in first.next.sentence
    second = first.with_verdict(TOO_SOFT)
    assert second.next.clicks == 0
    assert "close, clockwise, by 16 clicks" in second.next.sentence
    for ride in (first.next, second.next):
        assert "slow, on closed ground" in ride.sentence
        assert set(RIDING_TEST) <= set(ride.cautions)
    third = second.with_verdict(TOO_HARD)
    assert 0 < third.next.clicks < 16
    assert "high-speed" in third.next.sentence
    assert "open, counter-clockwise" in third.next.sentence
    assert set(RIDING_TEST) <= set(third.next.cautions)


def test_too_hard_when_open_and_too_soft_when_closed_cannot_be_reached():
    for said, word in (([TOO_HARD], "fully open it is too hard"), ([TOO_SOFT] * 2, "fully closed it is too soft")):
        bracket = Bracket()
        for verdict in said:
            bracket = bracket.with_verdict(verdict)
        assert bracket.done
        assert bracket.result.clicks is None
        assert word in bracket.result.sentence
        assert all(part in bracket.result.sentence for part in ("spring", "oil", "damper"))
        assert not bracket.undo().done


def test_a_good_extreme_is_stepped_away_from():
    soft = Bracket().with_verdict(GOOD).with_verdict(TOO_HARD)
    assert soft.next.clicks == 18
    hard = Bracket().with_verdict(TOO_SOFT).with_verdict(GOOD)
    assert hard.next.clicks == 2
    both = Bracket().with_verdict(GOOD).with_verdict(GOOD)
    assert both.done
    assert "does nothing the rider feels" in both.result.sentence


def fits(standing: dict[int, str]) -> bool:
    """Second way: from closed to open a rider can only go from too hard over good to too soft."""
    said = [HARDNESS[standing[clicks]] for clicks in sorted(standing)]
    return said == sorted(said)


def test_a_contradiction_is_told_both_are_ridden_again_and_nothing_is_lost():
    bracket = Bracket()
    for verdict in (TOO_SOFT, TOO_HARD, GOOD, TOO_HARD):  # 20, 0, 10, 12: the softer click called harder
        assert not bracket.contradiction
        bracket = bracket.with_verdict(verdict, remark="windy")
    assert [stop.clicks for stop in bracket.stops] == [20, 0, 10, 12]
    assert "10 was good and 12, which is more open, too hard" in bracket.contradiction
    assert bracket.contradiction in bracket.next.sentence
    assert not bracket.done
    assert bracket.result.clicks is None
    again = bracket.with_verdict(GOOD)
    assert [bracket.next.clicks, again.next.clicks] == [10, 12]
    settled = again.with_verdict(TOO_SOFT)
    assert not settled.contradiction
    assert [stop.verdict for stop in settled.stops] == [TOO_SOFT, TOO_HARD, GOOD, TOO_HARD, GOOD, TOO_SOFT]
    assert all(stop.remark == "windy" for stop in settled.stops[:4])
    assert settled.standing[12] == TOO_SOFT


def test_a_contradiction_that_comes_back_ends_the_day():
    bracket = Bracket()
    for verdict in (TOO_SOFT, TOO_HARD, *(GOOD, TOO_HARD) * 3):
        bracket = bracket.with_verdict(verdict)
    assert bracket.done
    assert bracket.result.clicks is None
    assert "something else changes" in bracket.result.sentence


@pytest.mark.parametrize("most", [8, 20, 24])
def test_one_verdict_that_was_the_wrong_way_round_is_found_out(most: int):
    lies = 0
    for best, tolerance, at in itertools.product(range(most + 1), (0.5, 1.0, 2.0), range(2, 10)):
        honest = rider(best, tolerance)

        def once_wrong(clicks: int, ride: int, honest: Rider = honest, at: int = at) -> str:
            return OPPOSITE[honest(clicks, ride)] if ride == at else honest(clicks, ride)

        course = ridden(once_wrong, most)
        stops = course[-1].stops
        if len(stops) <= at or stops[at].verdict == honest(stops[at].clicks, at):
            continue
        lies += 1
        assert any(bracket.contradiction for bracket in course)
        assert abs(course[-1].result.clicks - best) <= 1
    assert lies > 20


def test_a_noisy_rider_is_told_of_each_contradiction_and_comes_to_an_end():
    rng, told = random.Random(5), 0
    for _ in range(400):
        honest = rider(rng.randrange(21), 1.0)
        course = ridden(lambda c, n, r=honest: rng.choice(VERDICTS) if rng.random() < 0.3 else r(c, n), 20)
        for before, after in itertools.pairwise(course):
            assert after.stops[:-1] == before.stops
            if not fits(after.standing):
                assert after.contradiction
                told += not before.contradiction
        assert fits(course[-1].standing) or course[-1].contradiction
    assert told > 40


def test_undo_takes_back_the_last_verdict_only():
    for now, after in itertools.pairwise(ridden(rider(7, 1.0), 20)):
        assert after.undo() == now
        assert after.undo().next == now.next
    with pytest.raises(lab.LabError, match="nothing was ridden yet") as told:
        Bracket().undo()
    assert is_one_sentence(str(told.value))


def test_a_bracket_can_be_taken_up_again_from_its_stops():
    done = ridden(rider(7, 1.0), 20)[-1]
    assert Bracket(most=20, stops=[tuple(stop) for stop in done.stops]) == done


def test_what_it_says_so_far_is_never_more_than_is_known():
    for best in range(21):
        for bracket in ridden(rider(best, 1.0), 20)[:-1]:
            if bracket.result.clicks is None:
                continue
            assert bracket.result.low <= best <= bracket.result.high
            assert bracket.result.sentence.startswith("So far")


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (lambda: Bracket(adjuster="rebound"), "Rebound is set by the release test"),
        (lambda: Bracket(adjuster="lowspeed"), "adjuster is 'lowspeed'.*did you mean 'low_speed'"),
        (lambda: Bracket(most=0), "clicks from closed to open is 0, where a whole number from 1"),
        (lambda: Bracket(most=2.5), "clicks from closed to open is 2.5"),
        (lambda: Bracket(stops=(5,)), "A stop is 5, where clicks, a verdict and a remark"),
        (lambda: Bracket(stops=((21, GOOD),)), "clicks of a stop is 21"),
        (lambda: Bracket().with_verdict("to soft"), "verdict is 'to soft'.*did you mean 'too soft'"),
        (lambda: Bracket().with_verdict(3), "verdict is 3.*known names"),
        (lambda: Bracket().with_verdict(TOO_HARD).with_verdict(GOOD), "done after 1 stops, so no verdict was expected"),
    ],
)
def test_bad_input_is_one_sentence(made: Callable[[], Bracket], says: str):
    with pytest.raises(lab.LabError, match=says) as told:
        made()
    assert is_one_sentence(str(told.value))
