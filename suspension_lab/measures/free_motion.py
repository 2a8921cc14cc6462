"""Measures of a free motion: how the body comes back after it was let go.

All count from the moment of letting go and compare with the depth the body had then. A measure of something that
did not happen within the trace is infinite, never a guess.
"""

from __future__ import annotations

import math

import numpy as np

from suspension_lab.common.checks import Array, number
from suspension_lab.common.errors import LabError
from suspension_lab.simulation.trace import Trace

VISIBLE = 0.05
"""Share of the release depth from which a swing can be seen: under 2 mm of 35 mm (common practice, no source)."""


def _course(trace: Trace) -> tuple[Array, Array, float]:
    """Times from letting go, the body's way left in shares of the depth (1 at first), and the depth [m]."""
    first = int(np.searchsorted(trace.time, trace.excitation.free_from() - 1e-12))
    if first >= trace.time.size - 1:
        raise LabError(
            f"The run of {trace.time[-1]:g} s ends before the hand lets go at {trace.excitation.free_from():g} s; "
            "simulate longer."
        )
    depth = float(trace.body[first])
    if abs(depth) < 1e-6:
        raise LabError(
            "The body is at its ride height when it is let go; a free motion needs a depth to come back from."
        )
    return trace.time[first:] - trace.time[first], trace.body[first:] / depth, abs(depth)


def _crossing(time: Array, value: Array, i: int, level: float) -> float:
    """When the straight line from sample i to i + 1 meets a level."""
    return float(time[i] + (level - value[i]) / (value[i + 1] - value[i]) * (time[i + 1] - time[i]))


def settling_time(trace: Trace, band: float = 0.05) -> float:
    """Time until the body stays within a band around ride height [s].

    Args:
        trace: of a release or a push.
        band: as a share of the depth, 0 to 1.

    Returns:
        Seconds from letting go; infinite where the trace ends outside the band.

    Raises:
        LabError: a band out of range, or nothing to come back from.
    """
    number("band", band, "of the depth", low=1e-6, high=1.0)
    time, left, _ = _course(trace)
    outside = np.flatnonzero(np.abs(left) > band)
    if outside.size == 0:
        return 0.0
    last = int(outside[-1])
    if last == left.size - 1:
        return math.inf
    return _crossing(time, np.abs(left), last, band) if left[last] * left[last + 1] > 0 else float(time[last + 1])


def first_return_time(trace: Trace, band: float = 0.0) -> float:
    """Time until the body first is back at ride height [s].

    Args:
        trace: of a release or a push.
        band: how near counts as back, as a share of the depth; 0 is ride height itself.

    Returns:
        Seconds from letting go; infinite where the body never gets there, as a creeping one does not.

    Raises:
        LabError: a band out of range, or nothing to come back from.
    """
    number("band", band, "of the depth", low=0.0, high=1.0)
    time, left, _ = _course(trace)
    back = np.flatnonzero(left <= band)
    if back.size == 0:
        return math.inf
    i = int(back[0])
    return 0.0 if i == 0 else _crossing(time, left, i - 1, band)


def _swing_peaks(trace: Trace) -> list[float]:
    """The farthest point of each swing past ride height, in shares of the depth, the first return's first."""
    _, left, _ = _course(trace)
    left = left[left != 0.0]  # a sample at ride height itself is on neither side
    sides = np.sign(left)
    turns = np.flatnonzero(sides[1:] * sides[:-1] < 0) + 1
    return [float(np.abs(part).max()) for part in np.split(left, turns)[1:]]


def overshoot(trace: Trace) -> float:
    """How far the body first swings past ride height, as a share of the depth; 0 where it does not.

    Raises:
        LabError: nothing to come back from.
    """
    peaks = _swing_peaks(trace)
    return peaks[0] if peaks else 0.0


def swings(trace: Trace, visible: float = VISIBLE) -> int:
    """Number of visible swings after the first return.

    One swing is one passing of ride height that goes on to a visible distance beyond: up past it is one, down past
    it again is two.

    Args:
        trace: of a release or a push.
        visible: smallest swing that counts, as a share of the depth.

    Raises:
        LabError: a share out of range, or nothing to come back from.
    """
    number("visible share", visible, "of the depth", low=0.0, high=1.0)
    return sum(peak > visible for peak in _swing_peaks(trace))
