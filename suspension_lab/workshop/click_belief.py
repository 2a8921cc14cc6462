"""What is believed of a damper after some measured releases: Bayes' rule over a grid of dampers.

A station's model knows how settling time and swings go with its rebound clicks. How strong this damper really is, how
much a click of it changes, and how long everything takes under this load, are learned.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from functools import cached_property
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.scaled_damper import scaled
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import usual_release

LONGEST = 30.0
"""No release takes longer [s]: a larger time was meant in another unit."""
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
WORST_MISS, SWINGS_ONCE = 1.2, 0.3
"""What a setting misses the target by that swings on, and one that swings once, as the logarithm of a time (our
choice)."""
MISS_COUNTS, TRIED = 0.3, 0.15
"""What a miss counts beside the chance to fail, so that it leads where that hardly differs, and what a click costs that
was tried (our choice; of 0, 0.1, 0.3 and 1 the third took the fewest tries in simulated workshops)."""


class Side(Enum):
    """On which side of what passes the release test a damper stands."""

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


def passes(each: Measured, limit: float) -> bool:
    """Whether a measured release passes the release test: the clock alone, without swings, cannot tell.

    Args:
        each: the release.
        limit: longest time that passes [s].
    """
    return each.seconds <= limit and each.swings is not None and each.swings <= 1


def side_of(each: Measured, limit: float) -> Side | None:
    """On which side a release fails, as the release test judges it; None: without swings counted nobody knows."""
    if each.swings is None:
        return None
    if passes(each, limit):
        return Side.RIGHT
    return Side.TOO_OPEN if each.swings else Side.TOO_CLOSED


class Course(NamedTuple):
    """Settling time [s] and swings at each click, by strength and clicks' worth, (clicks + 1, s, c)."""

    seconds: Array
    swings: Array


_KNOWN: OrderedDict[int, tuple[Station, Course]] = OrderedDict()


def course(station: Station) -> Course:
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


def _between(clicks: Array, seconds: Array, counted: Array) -> Course:
    """From the clicks and strengths tried to all of them."""
    from scipy.interpolate import RegularGridInterpolator

    most = clicks[-1]
    middle, grid = 0.5 * most, (STRENGTHS_TRIED, clicks)
    at = np.clip(middle + CLICKS * (np.arange(most + 1.0)[:, None] - middle), 0.0, most)
    places = np.stack(np.broadcast_arrays(STRENGTHS[None, :, None], at[:, None, :]), axis=-1)
    plain = np.exp(RegularGridInterpolator(grid, np.log(seconds))(places))
    return Course(plain, RegularGridInterpolator(grid, counted, method="nearest")(places))


class Belief:
    """How likely each damper of a grid is after what was measured; arrays are (strengths, clicks' worth, times).

    Args:
        course: of the station.
        tries: releases so far.
        uncertainty: scatter of a time [s].
        target: time that is aimed at [s].
        limit: longest time that passes [s]; None: the target.
    """

    def __init__(
        self, course: Course, tries: Sequence[Measured], uncertainty: float, target: float, limit: float | None = None
    ) -> None:
        self._course, self._count, self.target = course, len(course.seconds), target
        self.limit = target if limit is None else limit
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

    @cached_property
    def chances(self) -> Array:
        """That each click passes: at most one swing, and settled within the limit; (clicks + 1,)."""
        found = []
        for click in range(self._count):
            fine = (self._seconds(click) <= self.limit) & (self._swings(click) <= 1.0)
            found.append(float((self.weight * fine).sum()))
        return np.array(found)

    @property
    def costs(self) -> Array:
        """Of trying each click: its chance to fail, and what it is expected to miss the target by; (clicks + 1,)."""
        return np.asarray(1.0 - self.chances + MISS_COUNTS * (self.weight * self._misses).sum(axis=(1, 2, 3)))

    @cached_property
    def too_weak(self) -> float:
        """Chance that even closed it swings on."""
        return self.swings_on(0)

    @cached_property
    def too_strong(self) -> float:
        """Chance that even open it creeps for longer than what passes."""
        last = self._count - 1
        slow = (self._seconds(last) > self.limit) & (self._swings(last) <= 0.0)
        return float((self.weight * slow).sum())

    def swings_on(self, click: int) -> float:
        """Chance that a click swings on."""
        return float((self.weight * (self._swings(click) >= 2.0)).sum())

    def side(self, last: Measured) -> Side:
        """Of the click measured last: as the release test judges it, or, without swings counted, as is believed."""
        judged = side_of(last, self.limit)
        if judged is not None:
            return judged
        if self.swings_on(last.clicks) > 0.5:
            return Side.TOO_OPEN
        return Side.RIGHT if last.seconds <= self.limit else Side.TOO_CLOSED
