"""Whether the samples of a recording can be worked with at all: their times, holes, and what the sensor cut off."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError

FEWEST_PER_SECOND = 20.0
"""Samples a second below which a return of half a second shows too little (our choice)."""
MOST_PER_SECOND = 2e4
"""No phone or film is faster; then the time's unit is wrong (our choice)."""
HOLE, LEAST_HOLE = 5.0, 0.03
"""So many usual steps without a sample are a hole, and no shorter time than this [s] is (our choice)."""
CLIPPED, FLAT = 3, 12.0
"""So many samples in a row at exactly the extreme, with a slope beside them of so many steps of the sensor, are cut off
(our choice)."""
LONGEST = 600.0
"""[s] (our choice)."""
FEWEST = 10
"""Samples below which nothing is looked for."""


def checked_time(time: Array, at: Callable[[int], str], where: str) -> float:
    """The usual step between samples [s].

    Args:
        time: (n,) [s].
        at: where a sample stands, in words.
        where: the whole recording, in words.

    Raises:
        LabError: too few samples, too long, too slow or too fast, or a time that does not grow.
    """
    if time.size < FEWEST:
        raise LabError(f"{where}: it has {time.size} samples, where at least {FEWEST} were expected; record longer.")
    bad = np.flatnonzero(np.diff(time) <= 0.0)
    if bad.size:
        i = int(bad[0]) + 1
        how = "stands still" if time[i] == time[i - 1] else "goes backward"
        raise LabError(
            f"{at(i)}: the time {how} (from {time[i - 1]:.6g} s to {time[i]:.6g} s), where it should grow from sample "
            "to sample; sort the rows, and drop doubled ones."
        )
    if time[-1] - time[0] > LONGEST:
        raise LabError(
            f"{where}: it is {time[-1] - time[0]:.4g} s long, where at most {LONGEST:g} s was expected; cut it to its "
            "releases, or, if its time is in ms, head it 'time [ms]'."
        )
    usual = float(np.median(np.diff(time)))
    if usual > 1.0 / FEWEST_PER_SECOND * 1.01:
        raise LabError(
            f"{where}: it has {1.0 / usual:.3g} samples a second, where at least {FEWEST_PER_SECOND:g} are needed; "
            "record faster, or, if its time is in ms, head it 'time [ms]'."
        )
    if usual < 1.0 / MOST_PER_SECOND:
        raise LabError(
            f"{where}: it has {1.0 / usual:.3g} samples a second, where at most {MOST_PER_SECOND:g} were expected; "
            "check the time's unit."
        )
    return usual


def not_clipped(axis: Array, at: Callable[[int], str]) -> None:
    """Hold that no extreme is cut off: a flat top whose sides are steeper than a round top's steps are.

    Raises:
        LabError: names the first such sample.
    """
    levels = np.unique(axis)
    if levels.size < 4:
        return
    step = float(np.diff(levels).min())
    for extreme in (float(levels[-1]), float(levels[0])):
        flat = np.concatenate([[0], (axis == extreme).astype(int), [0]])
        starts, ends = np.flatnonzero(np.diff(flat) == 1), np.flatnonzero(np.diff(flat) == -1)
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            half = max(1, (end - start) // 2)
            if end - start < CLIPPED or start - half < 0 or end + half > axis.size:
                continue
            beside = np.abs(axis[[start - half, end + half - 1]] - extreme)
            if float(beside.min()) > FLAT * step:
                raise LabError(
                    f"{at(start)}: {end - start} samples in a row read exactly {extreme:g}, the recording's "
                    "extreme, so the sensor cut them off; set it to a wider range, or let go from less depth."
                )


def no_hole(time: Array, start: float, until: float, usual: float, at: Callable[[int], str]) -> None:
    """Hold that no long time without a sample lies between `start` and `until` [s].

    Raises:
        LabError: names the sample behind it.
    """
    steps = np.diff(time)
    within = (time[1:] > start - 0.05) & (time[:-1] < until)
    holes = np.flatnonzero(within & (steps > max(HOLE * usual, LEAST_HOLE)))
    if holes.size:
        i = int(holes[0]) + 1
        raise LabError(
            f"{at(i)}: {1e3 * steps[i - 1]:.0f} ms without a sample lie before it within the motion, where "
            f"{1e3 * usual:.3g} ms are usual; record it again with nothing else running on the phone."
        )
