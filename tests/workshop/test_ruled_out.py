"""What measured releases rule out by themselves: worked by hand."""

from __future__ import annotations

import math

import pytest

from suspension_lab.workshop.click_belief import Measured, Side, side_of
from suspension_lab.workshop.ruled_out import Ruled, does_not_follow, ruled_out, to_be_counted

LIMIT, CLEARLY, MOST = 0.55, 0.1, 24


def ruled(*tries):
    return ruled_out([Measured(*each) for each in tries], LIMIT, CLEARLY, MOST)


@pytest.mark.parametrize(
    ("tries", "expected"),
    [
        ((), Ruled(first=0, last=24)),
        (((4, 0.5, 0),), Ruled(first=0, last=24)),
        (((4, 0.66, 0),), Ruled(first=5, last=24)),
        (((4, 0.64, 0),), Ruled(first=0, last=24)),  # may be scatter
        (((4, 0.64, 0), (4, 0.6, 0)), Ruled(first=5, last=24)),
        (((9, 0.3, 2),), Ruled(first=0, last=8)),
        (((9, 0.6, 1),), Ruled(first=0, last=24)),
        (((9, 0.6, 1), (9, 0.7, 3)), Ruled(first=0, last=8)),
        (((9, 0.6, 1), (9, 0.6, 1)), Ruled(first=0, last=8)),
        (((9, 0.3, 2), (9, 0.3, 1)), Ruled(first=0, last=24)),  # the last counts
        (((4, 0.9),), Ruled(first=0, last=24)),
        (((24, math.inf, 0),), Ruled(first=25, last=24)),
        (((0, 0.4, 2),), Ruled(first=0, last=-1)),
        (((4, 0.9, 0), (9, 0.3, 2)), Ruled(first=5, last=8)),
        (((4, 0.9, 0), (5, 0.3, 2)), Ruled(first=5, last=4, doubted=4)),
        (((4, 0.9, 0), (5, 0.3, 2), (4, 0.9, 0)), Ruled(first=5, last=4, doubted=5)),
        (((4, 0.9, 0), (5, 0.3, 2), (4, 0.9, 0), (5, 0.4, 3)), Ruled(first=5, last=4, gap=(4, 5))),
        (((12, 2.0, 0), (4, 0.7, 3)), Ruled(first=13, last=3, doubted=12, contradict=True)),
    ],
)
def test_what_is_left_between_the_clicks_that_fail(tries, expected):
    assert ruled(*tries) == expected


def test_a_doubted_click_is_believed_as_it_was_measured_last():
    assert ruled((12, 2.0, 0), (4, 0.7, 3), (12, 0.6, 4)) == Ruled(first=0, last=3)


@pytest.mark.parametrize(
    ("release", "side"),
    [
        ((5, 0.5, 1), Side.RIGHT),
        ((5, 0.6, 0), Side.TOO_CLOSED),
        ((5, 0.6, 1), Side.TOO_OPEN),
        ((5, 0.2, 2), Side.TOO_OPEN),
        ((5, 0.5), None),
    ],
)
def test_sides_are_those_of_the_release_test(release, side):
    assert side_of(Measured(*release), LIMIT) is side


@pytest.mark.parametrize(
    ("tries", "expected"),
    [
        ([], False),
        ([(5, 0.5, 1)], False),
        ([(5, 0.5)], True),
        ([(5, 0.5), (5, 0.5)], True),
        ([(5, math.inf)], True),
        ([(5, math.inf), (5, 2.0)], False),
        ([(5, math.inf), (6, 2.0)], True),
    ],
)
def test_swings_are_asked_for_once_where_it_is_slow_and_always_where_it_is_soon(tries, expected):
    assert to_be_counted([Measured(*each) for each in tries], LIMIT) is expected


@pytest.mark.parametrize(
    ("tries", "expected"),
    [
        ([(5, 0.33, 0), (4, 0.33, 0), (3, 0.34, 0)], True),
        ([(5, 0.33), (4, 0.33), (3, 0.34)], True),
        ([(5, 0.33, 0), (4, 0.33, 0), (3, 0.36, 0)], False),
        ([(5, 0.33, 0), (4, 0.33, 0), (5, 0.33, 0)], False),
        ([(7, 0.53, 2), (5, 0.52, 2), (3, 0.52, 2)], False),  # too weak, and told so
        ([(5, math.inf, 0), (4, math.inf, 0), (3, math.inf, 0)], False),
        ([(4, 0.33, 0), (3, 0.34, 0)], False),
    ],
)
def test_times_that_do_not_follow_the_clicks(tries, expected):
    assert does_not_follow([Measured(*each) for each in tries]) is expected
