"""The next rebound click to try, from the clicks and times measured so far.

A station's model knows how the settling time goes with rebound damping; how strong this damper really is, how much a
click of it changes and how heavy the vehicle is are learned from each measured release (Bayes' rule over a grid).
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array, number, positive, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.scaled_damper import scaled
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import target_time, usual_release

LONGEST = 30.0
"""No release takes longer [s]: a larger time was meant in another unit."""
STOPWATCH = 0.05
"""Scatter of a hand's stopwatch over a few tries [s] (assumed, no source)."""
TOLERANCE = 0.1
"""[s] (our choice: what a stopwatch can tell)."""
MODEL_SCATTER = 0.08
"""Of a settling time, as a share: what the model and the day leave open (our choice)."""
WILD = 0.03
"""Chance that a time was written down wrong."""
MISCOUNTED = 0.15
"""Chance that a count of swings is one off, or more (assumed)."""
STRENGTHS_TRIED = np.linspace(-1.2, 1.2, 7)
STRENGTHS = np.linspace(-1.2, 1.2, 25)
"""Logarithm of how many times as strong as its file's a damper may be: simulated, and between these."""
CLICKS_TRIED = 9
STATIONS_KEPT = 8
CLICKS = np.array([0.7, 0.85, 1.0, 1.15, 1.3])
"""How many times as much as in the file a click may change."""
TIMES = np.array([0.8, 0.87, 0.94, 1.0, 1.07, 1.15, 1.25])
"""How many times as long everything may take, for another load or spring."""
WORST_MISS, SWINGS_ONCE, TRIED = 1.2, 0.3, 0.15
"""What a setting costs that swings on, one that swings once, and one that was tried, as the logarithm of a time that
is missed (our choice)."""
NEARLY = 0.85
"""An end of the range that misses the target by less is enough (our choice)."""
HOPELESS = 0.9
"""From this chance on that an end of the range is not enough the target is out of reach (our choice)."""
RANGE = 0.1
"""So much of the chance lies below the range, and as much above it."""


class Side(Enum):
    """On which side of the two settings that take the target time a damper stands."""

    TOO_CLOSED = "closed"
    RIGHT = "right"
    TOO_OPEN = "open"


class Measured(NamedTuple):
    """A release measured at the vehicle."""

    clicks: int
    """Rebound, out from closed."""
    seconds: float
    """Until it has settled; infinite: it did not."""
    swings: int | None = None
    """Visible ones; None: not counted."""


@dataclass(frozen=True, kw_only=True, eq=False)
class NextClick:
    """What to try next.

    Attributes:
        click: rebound clicks to try, or the click that is done; None: out of reach.
        low, high: the range in which it lies, as far as can be said.
        done: whether a measured click meets the target.
        reachable: whether any click can.
        side: of the last measured click; None before the first.
        contradict: whether one measured click creeps though a more closed one swings on.
        too_weak: where it is out of reach, whether the damper is too weak for it; else too strong.
        chances: that each click from 0 on comes nearest to the target, (clicks + 1,).
        sentences: the same in words.
    """

    click: int | None
    low: int
    high: int
    done: bool
    reachable: bool
    side: Side | None
    contradict: bool
    too_weak: bool
    chances: Array
    sentences: Sequence[str]


def next_click(
    measured: Sequence[Measured | tuple[float, ...]],
    target: float | None = 0.5,
    *,
    station: Station | None = None,
    tolerance: float = TOLERANCE,
    uncertainty: float = STOPWATCH,
) -> NextClick:
    """The next rebound click to try.

    Args:
        measured: releases so far, (clicks, seconds) or (clicks, seconds, swings); none at first.
        target: wished settling time [s]; None: that of the station (`target_time`).
        station: the vehicle, or its fit: its clicks, and how time goes with damping; None: a short-travel scooter
            of the demo vehicles, and the answer says so.
        tolerance: how near is near enough [s].
        uncertainty: scatter of a measured time, one standard deviation [s].

    Raises:
        LabError: a time that is not one, clicks out of range, or a damper without rebound clicks.
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
    wished = target_time(station) if target is None else number("target time", target, "s", low=0.05, high=LONGEST)
    positive("tolerance", tolerance, "s")
    positive("uncertainty of a time", uncertainty, "s")
    tries = [_checked(each, most) for each in measured]
    belief = _Belief(_course(station), tries, uncertainty, wished)
    good = next((each.clicks for each in reversed(tries) if _meets(each, tolerance, belief)), None)
    side = belief.side(tries[-1], tolerance) if tries else None
    return read_next_click(_answer(belief, good, tries, side, tolerance), station, tries, wished, unnamed)


def _checked(given: Measured | tuple[float, ...], most: int) -> Measured:
    if not isinstance(given, tuple | list) or len(given) not in (2, 3):
        raise LabError(
            f"A measured release is {shown(given)}, where clicks, seconds and, if counted, swings were expected, as "
            "(9, 0.52, 1)."
        )
    clicks = whole("measured rebound clicks", given[0], low=0, high=most)
    if given[1] != math.inf and not (isinstance(given[1], int | float) and 0.0 < given[1] <= LONGEST):
        raise LabError(
            f"The time at rebound {clicks} is {shown(given[1])}, where seconds from 0 to {LONGEST:g} were expected; "
            "check that they are no milliseconds, and write inf where it never settled."
        )
    counted = given[2] if len(given) == 3 else None
    if counted is not None:
        counted = whole(f"swings at rebound {clicks}", counted, low=0, high=50)
    return Measured(clicks, float(given[1]), counted)


def _answer(
    belief: _Belief, good: int | None, tries: Sequence[Measured], side: Side | None, tolerance: float
) -> NextClick:
    chances, most = belief.chances, len(belief.chances) - 1
    first, last = _between_what_failed(tries, belief.target, tolerance, most)
    contradict = 0 <= last < first <= most
    if contradict:
        first, last = 0, most
    out_of_reach = first > most or last < 0 or max(belief.too_weak, belief.too_strong) >= HOPELESS
    weak = last < 0 or (first <= most and belief.too_weak >= belief.too_strong)
    if good is not None:
        click, low, high = good, good, good
    else:
        costs = belief.costs.copy()
        for each in tries:
            # A click that missed by the scatter of a hand may be tried again, but others first.
            costs[each.clicks] += TRIED
        first, last = max(min(first, most), 0), max(min(last, most), 0)
        costs[:first], costs[last + 1 :] = math.inf, math.inf
        click, below = int(costs.argmin()), np.cumsum(chances)
        low, high = int(np.argmax(below >= RANGE)), int(np.argmax(below >= 1.0 - RANGE))
        low, high = min(max(low, first), click), max(min(high, last), click)
    return NextClick(
        click=None if out_of_reach and good is None else click, low=low, high=high, done=good is not None,
        reachable=good is not None or not out_of_reach, side=side, chances=chances, contradict=contradict,
        too_weak=weak, sentences=(),
    )  # fmt: skip


def _between_what_failed(tries: Sequence[Measured], target: float, tolerance: float, most: int) -> tuple[int, int]:
    """The first click more open than all that clearly creep, and the last more closed than all that swing on."""
    creep = [each.clicks for each in tries if each.seconds > target + 2.0 * tolerance and each.swings == 0]
    swing = [each.clicks for each in tries if each.swings is not None and each.swings >= 2]
    return max(creep, default=-1) + 1, min(swing, default=most + 1) - 1


def _meets(each: Measured, tolerance: float, belief: _Belief) -> bool:
    if abs(each.seconds - belief.target) > tolerance:
        return False
    if each.swings is None:
        return belief.swings_on(each.clicks) < 0.2
    return each.swings <= 1


class _Course(NamedTuple):
    """Settling time [s] and swings at each click, by strength and clicks' worth, (clicks + 1, s, c)."""

    seconds: Array
    swings: Array


_KNOWN: OrderedDict[int, tuple[Station, _Course]] = OrderedDict()


def _course(station: Station) -> _Course:
    """The release test over clicks and strengths; of the stations asked last it is kept."""
    known = _KNOWN.get(id(station))
    if known is not None:
        return known[1]
    most = station.damper.adjusters["rebound"]
    clicks = np.unique(np.round(np.linspace(0, most, min(most + 1, CLICKS_TRIED))).astype(int))
    seconds, counted = np.empty((2, STRENGTHS_TRIED.size, clicks.size))
    release = usual_release(station)
    for at, strength in enumerate(STRENGTHS_TRIED):
        for column, click in enumerate(clicks.tolist()):
            damper = scaled(station.damper.with_clicks(rebound=click), rebound=math.exp(strength))
            other = replace(station, damper=damper)
            other.__dict__["static_travel"] = station.static_travel
            trace = simulate(other, release)
            seconds[at, column], counted[at, column] = min(settling_time(trace, BAND), LONGEST), swings(trace)
    _KNOWN[id(station)] = station, _between(clicks.astype(np.float64), seconds, counted)
    while len(_KNOWN) > STATIONS_KEPT:
        _KNOWN.popitem(last=False)
    return _KNOWN[id(station)][1]


def _between(clicks: Array, seconds: Array, counted: Array) -> _Course:
    """From the clicks and strengths tried to all of them."""
    from scipy.interpolate import RegularGridInterpolator

    most = clicks[-1]
    middle, grid = 0.5 * most, (STRENGTHS_TRIED, clicks)
    at = np.clip(middle + CLICKS * (np.arange(most + 1.0)[:, None] - middle), 0.0, most)
    places = np.stack(np.broadcast_arrays(STRENGTHS[None, :, None], at[:, None, :]), axis=-1)
    plain = np.exp(RegularGridInterpolator(grid, np.log(seconds))(places))
    return _Course(plain, RegularGridInterpolator(grid, counted, method="nearest")(places))


class _Belief:
    """How likely each damper of a grid is after what was measured; arrays are (strengths, clicks' worth, times)."""

    def __init__(self, course: _Course, tries: Sequence[Measured], uncertainty: float, target: float) -> None:
        self._course, self._count, self.target = course, len(course.seconds), target
        prior = (
            -0.5 * (STRENGTHS[:, None, None] / 0.6) ** 2
            - 0.5 * (np.log(CLICKS)[None, :, None] / 0.15) ** 2
            - 0.5 * (np.log(TIMES)[None, None, :] / 0.12) ** 2
        )
        likely = np.asarray(prior)
        for each in tries:
            likely = likely + self._log_likelihood(each, uncertainty)
        weight = np.exp(likely - likely.max())
        self.weight = weight / weight.sum()

    def _seconds(self, click: int) -> Array:
        return np.asarray(self._course.seconds[click][:, :, None] * TIMES)

    def _swings(self, click: int) -> Array:
        return np.asarray(self._course.swings[click][:, :, None])

    def _log_likelihood(self, each: Measured, uncertainty: float) -> Array:
        seconds = self._seconds(each.clicks)
        scatter = np.hypot(uncertainty, MODEL_SCATTER * np.minimum(seconds, 3.0))
        off = (min(each.seconds, 3.0) - np.minimum(seconds, 3.0)) / scatter
        likely = np.log((1.0 - WILD) * np.exp(-0.5 * off**2) / scatter + WILD)
        if each.swings is not None:
            apart = np.abs(self._swings(each.clicks) - each.swings)
            likely = likely + np.log(np.where(apart < 0.5, 1.0 - MISCOUNTED, MISCOUNTED / 2.0 * 0.25 ** (apart - 1.0)))
        return np.asarray(likely)

    @cached_property
    def _misses(self) -> Array:
        """How far each click misses the target, as the logarithm of the time, for each damper of the grid."""
        found = []
        for click in range(self._count):
            missed = np.minimum(np.abs(np.log(self._seconds(click) / self.target)), WORST_MISS)
            counted = self._swings(click)
            once = np.minimum(missed + SWINGS_ONCE, WORST_MISS)
            found.append(np.where(counted <= 0.0, missed, np.where(counted <= 1.0, once, WORST_MISS)))
        return np.array(found)

    @property
    def costs(self) -> Array:
        """What each click is expected to miss, (clicks + 1,)."""
        return np.asarray((self.weight * self._misses).sum(axis=(1, 2, 3)))

    @cached_property
    def chances(self) -> Array:
        """That each click comes nearest to the target, (clicks + 1,)."""
        nearest = self._misses.argmin(axis=0)
        return np.asarray(
            np.bincount(nearest.ravel(), weights=self.weight.ravel(), minlength=self._count), dtype=np.float64
        )

    @cached_property
    def too_weak(self) -> float:
        """Chance that even closed it is quicker than the target, or swings on."""
        quick = (self._seconds(0) < NEARLY * self.target) | (self._swings(0) >= 2.0)
        return float((self.weight * quick).sum())

    @cached_property
    def too_strong(self) -> float:
        """Chance that even open it creeps longer than the target."""
        last = self._count - 1
        slow = (self._seconds(last) > self.target / NEARLY) & (self._swings(last) <= 0.0)
        return float((self.weight * slow).sum())

    def swings_on(self, click: int) -> float:
        """Chance that a click swings on."""
        return float((self.weight * (self._swings(click) >= 2.0)).sum())

    def side(self, last: Measured, tolerance: float) -> Side:
        """Of the click measured last."""
        if (last.swings is not None and last.swings >= 2) or (
            last.swings is None and self.swings_on(last.clicks) > 0.5
        ):
            return Side.TOO_OPEN
        if abs(last.seconds - self.target) <= tolerance:
            return Side.RIGHT
        return Side.TOO_CLOSED if last.seconds > self.target else Side.TOO_OPEN
