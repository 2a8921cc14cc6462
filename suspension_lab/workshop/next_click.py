"""The next rebound click to try, from the clicks and times measured so far.

The release test is the judge: a measured click that passes it is done, however much quicker than the target it is.
Until one does, the click that most likely passes is tried; of those that are alike in this, the one nearest the target.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from suspension_lab.common.checks import Array, number, positive, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_belief import LONGEST, TRIED, Belief, Measured, Side, course, passes, side_of
from suspension_lab.workshop.measured.watch import MEAN_OF, Watch, checked_watch, late_or_early
from suspension_lab.workshop.release_test import ON_TARGET, target_time
from suspension_lab.workshop.ruled_out import Ruled, does_not_follow, ruled_out, to_be_counted

STOPWATCH = 0.05
"""Scatter of a hand's stopwatch over a few tries [s] (assumed, no source)."""
TOLERANCE = 0.1
"""[s] (our choice: what a stopwatch can tell)."""
MOST_TOLERANCE = 0.5
"""Of the target (our choice)."""
CLEARLY = 2.0
"""Times the scatter of a time by which one that creeps is clearly too slow (our choice)."""
BEFORE_HOPELESS = 3
"""Releases before a belief alone may call a target out of reach (our choice)."""
NEARLY_THERE = 1
"""So many clicks from an end, which itself is an end stop, are near enough to judge it (our choice)."""
HOPELESS = 0.9
"""From this chance on that an end of the range is not enough the target is out of reach (our choice)."""
HALF_AS_LIKELY = 0.5
"""Of the proposal's chance to pass: so much its neighbours in the range have (our choice)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class NextClick:
    """What to try next.

    Attributes:
        click: rebound clicks to try, or the click that is done; None: out of reach.
        low, high: the range around it in which every click is at least half as likely to pass.
        limit: longest time that passes [s], by the release test or an own target, whichever is shorter.
        done: whether a measured click passes the release test, and is not slower than an own target allows; of several
            it is the one that settles soonest.
        side: of the last measured click; None before the first.
        again: whether it was measured already and is to be measured once more.
        contradict: whether one measured click creeps though a more closed one swings on.
        gap: a click that creeps and the next one, that swings on, each measured twice: none between them passes.
        too_weak: where it is out of reach, whether the damper is too weak for it; else too strong.
        stuck: whether the times measured last do not follow the clicks at all.
        chances: that each click from 0 on passes in truth, (clicks + 1,): one that just failed by a scattered time may;
            0 where what was measured rules it out.
        sentences: the same in words.
    """

    click: int | None
    low: int
    high: int
    limit: float
    done: bool
    side: Side | None
    again: bool
    contradict: bool
    gap: tuple[int, int] | None
    too_weak: bool
    stuck: bool
    chances: Array
    sentences: Sequence[str]

    @property
    def reachable(self) -> bool:
        """Whether any click can pass."""
        return self.click is not None


def next_click(
    measured: Sequence[Measured | tuple[float, ...]],
    target: float | None = 0.5,
    *,
    station: Station | None = None,
    tolerance: float | None = None,
    uncertainty: float = STOPWATCH,
    timing: Watch | None = None,
) -> NextClick:
    """The next rebound click to try.

    Args:
        measured: releases so far, (clicks, seconds) or (clicks, seconds, swings); none at first.
        target: wished settling time [s]; None: that of the station (`target_time`). A quicker release that passes the
            release test is done as well.
        station: the vehicle, or its fit: its clicks, and how time goes with damping; None: a short-travel scooter
            of the demo vehicles, and the answer says so.
        tolerance: how much slower than the target is near enough [s]; None: 0.1 s of an own target, and of the
            station's as much as the release test allows.
        uncertainty: scatter of a measured time, one standard deviation [s]; not used where `timing` is given.
        timing: the watch of the hand that stopped: its bias is taken off each time, and each counts as the mean of
            three tries. What stays open of the bias is counted with each time as if it were its own.

    Raises:
        LabError: a time that is not one, or that the watch's bias leaves nothing of, clicks out of range, or a damper
            without rebound clicks.
    """
    from suspension_lab.vehicle.vehicle_file import load_station
    from suspension_lab.workshop.reading_next_click import read_next_click

    unnamed = station is None
    station = load_station("courier_scooter_rear") if station is None else station
    if not isinstance(station, Station):
        raise LabError(f"The station is {shown(station)}, where a Station was expected, as lab.load_station gives.")
    most = station.damper.adjusters.get("rebound")
    if most is None:
        raise LabError(f"{station.name} has no rebound clicks, so there is no next one to try.")
    wished, limit = _wished(target_time(station), target, tolerance)
    positive("uncertainty of a time", uncertainty, "s")
    if not isinstance(measured, list | tuple):
        raise LabError(
            f"The measured releases are {shown(measured)}, where a list such as [(9, 0.52, 1)] was expected."
        )
    tries = [_checked(each, most) for each in measured]
    if timing is not None:
        uncertainty = checked_watch(timing).uncertainty(MEAN_OF)
        tries = [_by_watch(each, timing) for each in tries]
    belief = Belief(course(station), tries, uncertainty, wished, limit)
    ruled = ruled_out(tries, limit, CLEARLY * uncertainty, most)
    answer = _answer(belief, _soonest_that_passes(tries, limit), tries, ruled)
    read = read_next_click(answer, station, tries, wished, unnamed)
    if timing is None or not tries:
        return read
    return replace(read, sentences=(_with_watch(timing), *read.sentences))


def _wished(usual: float, target: float | None, tolerance: float | None) -> tuple[float, float]:
    """Target and the longest time that passes [s], of what was wished and the station's usual target."""
    wished = usual if target is None else number("target time", target, "s", low=0.05, high=LONGEST)
    near = TOLERANCE if tolerance is None else positive("tolerance", tolerance, "s")
    if near > MOST_TOLERANCE * wished:
        if tolerance is None:
            raise LabError(
                f"The target time is {wished:g} s, where at least {near / MOST_TOLERANCE:g} s was expected: no "
                "stopwatch tells shorter ones apart."
            )
        raise LabError(
            f"The tolerance is {near:g} s for a target of {wished:g} s, where at most half of it was expected; a "
            "wider one would call anything done."
        )
    own_wish = target is not None or tolerance is not None
    return wished, min(ON_TARGET * usual, wished + near) if own_wish else ON_TARGET * usual


def _by_watch(each: Measured, watch: Watch) -> Measured:
    seconds = watch.corrected(each.seconds)
    if seconds <= 0.0:
        raise LabError(
            f"The time at rebound {each.clicks} is {each.seconds:g} s, of which a watch that is "
            f"{late_or_early(watch.bias)} leaves nothing; time it again, or choose the watch of whoever stopped."
        )
    return each._replace(seconds=seconds)


def _with_watch(watch: Watch) -> str:
    return (
        f"The times are corrected by your watch, which is {late_or_early(watch.bias)}, and each counts as the mean of "
        f"{MEAN_OF} tries, right to ± {watch.uncertainty(MEAN_OF):.2f} s."
    )


def _checked(given: Measured | tuple[float, ...], most: int) -> Measured:
    if not isinstance(given, tuple | list) or len(given) not in (2, 3):
        raise LabError(
            f"A measured release is {shown(given)}, where clicks, seconds and, if counted, swings were expected, as "
            "(9, 0.52, 1)."
        )
    clicks = whole("measured rebound clicks", given[0], low=0, high=most)
    real = isinstance(given[1], int | float | np.floating | np.integer) and not isinstance(given[1], bool)
    if not real or not (given[1] == math.inf or 0.0 < given[1] <= LONGEST):
        raise LabError(
            f"The time at rebound {clicks} is {shown(given[1])}, where seconds from 0 to {LONGEST:g} were expected; "
            "check that they are no milliseconds, and write inf where it never settled."
        )
    counted = given[2] if len(given) == 3 else None
    if counted is not None:
        counted = whole(f"swings at rebound {clicks}", counted, low=0, high=50)
    return Measured(clicks, float(given[1]), counted)


def _answer(belief: Belief, good: int | None, tries: Sequence[Measured], ruled: Ruled) -> NextClick:
    chances, most = belief.chances, len(belief.chances) - 1
    clicks = np.arange(most + 1)
    hopeless = ruled.doubted is None and _is_hopeless(belief, [each.clicks for each in tries], most)
    out_of_reach = ruled.first > most or ruled.last < 0 or hopeless or ruled.gap is not None
    weak = ruled.last < 0 or (ruled.first <= most and belief.too_weak >= belief.too_strong)
    stuck = does_not_follow(tries)
    if good is None and ruled.doubted is None:
        chances = np.where((clicks >= ruled.first) & (clicks <= ruled.last), chances, 0.0)
    low, high, again = 0, most, False
    if good is not None:
        click = low = high = good
    elif out_of_reach:
        click = None
    elif stuck or ruled.doubted is not None or to_be_counted(tries, belief.limit):
        # Nothing is learnt from another click before this one is measured properly.
        again = True
        click = low = high = tries[-1].clicks if stuck or ruled.doubted is None else ruled.doubted
    else:
        click, again = _likeliest(belief, tries, ruled)
        likely = chances >= HALF_AS_LIKELY * chances[click]
        low, high = (click, click) if again else _around(click, likely, ruled)
    return NextClick(
        click=click, low=low, high=high, limit=belief.limit, done=good is not None,
        side=belief.side(tries[-1]) if tries else None, again=again,
        contradict=ruled.contradict, gap=ruled.gap, too_weak=weak, stuck=stuck, chances=chances, sentences=(),
    )  # fmt: skip


def _is_hopeless(belief: Belief, tried: Sequence[int], most: int) -> bool:
    """Whether the belief alone says that an end of the range is not enough, and one has been nearly there."""
    if len(tried) < BEFORE_HOPELESS:
        return False
    weak = belief.too_weak >= HOPELESS and min(tried) <= NEARLY_THERE
    return weak or (belief.too_strong >= HOPELESS and max(tried) >= most - NEARLY_THERE)


def _likeliest(belief: Belief, tries: Sequence[Measured], ruled: Ruled) -> tuple[int, bool]:
    """The click that most likely passes, and whether it is that measured last, which does not fit the belief."""
    costs = belief.costs.copy()
    for each in tries:
        # A click that missed by the scatter of a hand may be tried again, but others first.
        costs[each.clicks] += TRIED
    click = ruled.first + int(costs[ruled.first : ruled.last + 1].argmin())
    if not tries or tries[-1].swings is None:
        return click, bool(tries) and click == tries[-1].clicks
    last, side = tries[-1].clicks, side_of(tries[-1], belief.limit)
    wrong_way = click < last if side is Side.TOO_CLOSED else click > last
    return (last, True) if wrong_way or click == last else (click, False)


def _around(click: int, likely: Array, ruled: Ruled) -> tuple[int, int]:
    """The unbroken run of likely clicks around one, from the first to the last that there may be."""
    low = high = click
    while low > ruled.first and likely[low - 1]:
        low -= 1
    while high < ruled.last and likely[high + 1]:
        high += 1
    return low, high


def _soonest_that_passes(tries: Sequence[Measured], limit: float) -> int | None:
    """Of what was measured last at each click, the click that passes and settles soonest; of equals the last one."""
    latest = {each.clicks: each for each in tries}
    good = [each for each in tries if latest[each.clicks] is each and passes(each, limit)]
    return min(reversed(good), key=lambda each: each.seconds).clicks if good else None
