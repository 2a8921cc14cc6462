"""Times taken at the vehicle, by stopwatch or by a video's frames, each with what it is uncertain by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import number, positive, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.measured.watch import LONGEST, READING, Watch, checked_watch, late_or_early, student_factor

REACTION = 0.1
"""Scatter of a time stopped by hand [s]: assumed (our choice); your own is told by several tries."""
SHORTEST = 0.02
"""No return is quicker [s] (our choice)."""


@dataclass(frozen=True, kw_only=True)
class Timed:
    """A time that was taken at the vehicle.

    Attributes:
        seconds: [s].
        uncertainty: half of the range that holds the truth about two times in three, as one standard deviation does
            [s].
        source: where it comes from, and what was assumed, in one sentence.

    Raises:
        LabError: a time that no vehicle takes, or an uncertainty not above zero.
    """

    seconds: float
    uncertainty: float
    source: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "seconds", _seconds("time", self.seconds))
        object.__setattr__(self, "uncertainty", positive("uncertainty of the time", self.uncertainty, "s"))

    @property
    def words(self) -> str:
        """As '0.52 ± 0.06 s'."""
        return f"{self.seconds:.2f} ± {self.uncertainty:.2f} s"


def by_stopwatch(
    times: ArrayLike | Sequence[float], reaction: float = REACTION, *, watch: Watch | None = None
) -> Timed:
    """The mean of several tries.

    Its uncertainty is the standard error, widened by Student's t for few tries (textbook), but never less than a
    hand's scatter over the root of the number of tries. What a hand is late by every time is not in it, unless its
    watch is given: then the bias is taken off, and the watch's own scatter and what it leaves open of the bias count.

    Args:
        times: of each try [s], (n,); one alone is allowed.
        reaction: scatter of one try by hand [s]; not used where a watch is given.
        watch: of the hand that stopped, as the stopwatch trainer finds it; None: not known.

    Raises:
        LabError: no try, a time that is not a number of seconds, a reaction not above zero, a watch that is none, or
            one that is later than what was stopped.
    """
    floor = positive("reaction", reaction, "s")
    try:
        tries = np.atleast_1d(np.array(times, dtype=np.float64))
    except (TypeError, ValueError):
        raise LabError(f"The stopped times are {shown(times)}, where numbers in s were expected.") from None
    if tries.ndim != 1 or not tries.size:
        raise LabError("No stopped time is given; give one or more, as [0.52, 0.61, 0.55].")
    each = [_seconds(f"stopped time {i}", value) for i, value in enumerate(tries.tolist(), 1)]
    count = len(each)
    if watch is not None:
        return _by_own_watch(each, checked_watch(watch))
    assumed = f"a hand's scatter of {floor:g} s is assumed" if reaction == REACTION else f"scatter of {floor:g} s given"
    if count == 1:
        source = f"by stopwatch, one try only, so its scatter is not known: {assumed}; take three or more."
        return Timed(seconds=each[0], uncertainty=floor, source=source)
    found = _own_scatter(each)
    least = floor / math.sqrt(count)
    why = f"their own scatter, counted with Student's t for {count} tries" if found > least else assumed
    return Timed(
        seconds=float(np.mean(each)),
        uncertainty=max(found, least),
        source=f"by stopwatch, mean of {count} tries; {why}.",
    )


def _own_scatter(each: Sequence[float]) -> float:
    """Of the mean of tries, by their own standard error [s]."""
    return float(np.std(each, ddof=1)) / math.sqrt(len(each)) * student_factor(len(each) - 1)


def _by_own_watch(each: Sequence[float], watch: Watch) -> Timed:
    mean, count = float(np.mean(each)), len(each)
    seconds = watch.corrected(mean)
    if seconds < SHORTEST:
        raise LabError(
            f"The stopped time is {mean:.2f} s, of which a watch that is {late_or_early(watch.bias)} leaves no time "
            "that a return takes; time it again, or choose the watch of whoever stopped."
        )
    known = watch.uncertainty(count)
    found = math.hypot(_own_scatter(each), watch.setting_uncertainty, READING) if count > 1 else 0.0
    tries = "one try" if count == 1 else f"mean of {count} tries"
    scatter = "their own scatter, more than the watch's" if found > known else f"its scatter of {watch.spread:.2f} s"
    return Timed(
        seconds=seconds, uncertainty=max(known, found),
        source=f"by stopwatch, {tries}, corrected by a watch that is {late_or_early(watch.bias)} in {watch.tries} "
        f"tries; {scatter} and what is open of its bias are counted.",
    )  # fmt: skip


def by_frames(frames_per_second: float, first: int, last: int) -> Timed:
    """The time between two frames of a video.

    Each mark is right to half a frame, evenly spread, which is 1/sqrt(12) of a frame as a standard deviation
    (textbook); two marks make the root of two of it.

    Args:
        frames_per_second: of the recording; a slow-motion film plays fewer than it was recorded with.
        first, last: the frame of the let-go and the frame where it ends, both counted from the same start.

    Raises:
        LabError: a rate not above zero, frames that are not whole or not in order, or a time no vehicle takes.
    """
    rate = positive("frames per second", frames_per_second, "1/s")
    start, end = _frame("first frame", first), _frame("last frame", last)
    if end <= start:
        raise LabError(
            f"The last frame is {end} and the first {start}, where a later one was expected; count both from the "
            "film's start."
        )
    seconds = (end - start) / rate
    if seconds > LONGEST:
        raise LabError(
            f"{end - start} frames at {rate:g} a second are {seconds:.3g} s, where at most {LONGEST:g} s were "
            "expected; give the rate the film was recorded with, not the one it plays with."
        )
    return Timed(
        seconds=seconds, uncertainty=math.sqrt(2.0) / (rate * math.sqrt(12.0)),
        source=f"by video, {end - start} frames at {rate:g} a second; for slow motion that must be the rate of the "
        "recording, not of the playback.",
    )  # fmt: skip


def _frame(where: str, value: Any) -> int:
    try:
        return whole(where, value, low=0, high=10_000_000)
    except LabError:
        raise LabError(
            f"The {where} is {shown(value)}, where a whole number of frames from 0 on was expected; step through the "
            "film frame by frame."
        ) from None


def _seconds(where: str, value: Any) -> float:
    seconds = number(where, value, "s")
    if seconds > LONGEST:
        raise LabError(
            f"{where} is {seconds:g} s, where at most {LONGEST:g} s was expected; if these are milliseconds, divide "
            "by 1000."
        )
    if seconds < SHORTEST:
        raise LabError(
            f"{where} is {seconds:g} s, where at least {SHORTEST:g} s was expected; give seconds from the let-go on."
        )
    return seconds
