"""Measures of the travel: how much is used, where the wheel spends its time, its ends, and packing down."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array, whole
from suspension_lab.simulation.trace import Trace

MOST_BINS = 1000


class TravelUsed(NamedTuple):
    """How far the wheel moved, in wheel travel."""

    compression: float
    """Deepest, from ride height [m]."""
    extension: float
    """Farthest out, from ride height [m]."""
    deepest: float
    """Deepest, from full extension [m]."""


def travel_used(trace: Trace) -> TravelUsed:
    """The travel used either way from ride height, and the deepest point [m]."""
    travel, rest = trace.wheel_travel, trace.station.static_travel
    return TravelUsed(
        compression=float(travel.max() - rest), extension=float(rest - travel.min()), deepest=float(travel.max())
    )


def travel_histogram(trace: Trace, bins: int = 20) -> tuple[Array, Array]:
    """Where in its travel the wheel spends the time.

    Args:
        trace: any run.
        bins: of even width, 1 to 1000, from full extension to the end of the travel, and as far past either as the
            wheel came; for a station without travel only over what was used.

    Returns:
        Edges in wheel travel from full extension [m], (bins + 1,), and the share of the time in each bin, (bins,);
        the shares sum to 1.

    Raises:
        LabError: bins that are not a whole number from 1 to 1000.
    """
    bins = whole("number of bins", bins, low=1, high=MOST_BINS)
    travel, end = trace.wheel_travel, trace.station.travel
    low, high = float(travel.min()), float(travel.max())
    span = (low, high) if end is None else (min(low, 0.0), max(high, end))
    count, edges = np.histogram(travel, bins=bins, range=span)
    return edges, count / travel.size


def _times_beyond(beyond: NDArray[np.bool_]) -> int:
    return int(np.count_nonzero(np.diff(np.concatenate([[0], beyond.astype(np.int8)])) == 1))


def bottoming(trace: Trace) -> int:
    """How many times the bump stop was squashed to the end of the travel; 0 for a station without travel."""
    if trace.station.travel is None:
        return 0
    return _times_beyond(trace.wheel_travel >= trace.station.travel)


def bump_stop_hits(trace: Trace) -> int:
    """How many times the bump stop was touched; 0 for a station without travel."""
    station = trace.station
    if station.travel is None or station.bump_stop is None:
        return 0
    return _times_beyond(trace.wheel_travel > station.travel - station.bump_stop.length)


def topping_out(trace: Trace) -> int:
    """How many times the top-out stop was touched; 0 for a station without travel."""
    if trace.station.travel is None:
        return 0
    return _times_beyond(trace.wheel_travel < 0.0)


def bumps(trace: Trace) -> int:
    """How many crests of the road the wheel rolled over."""
    steps = np.sign(np.diff(trace.road))
    steps = steps[steps != 0.0]
    return int(np.count_nonzero((steps[:-1] > 0.0) & (steps[1:] < 0.0)))


def packing_down(trace: Trace, start: float | None = None, end: float | None = None) -> float:
    """How far the mean ride height has fallen while driving over bumps [m].

    Args:
        trace: of a ride.
        start, end: the part of the time that counts [s]; None: the later half of the time with bumps under the wheel.

    Returns:
        Mean wheel travel over that part less the travel at rest; above zero when it has packed down.
    """
    bumpy = np.flatnonzero(np.abs(np.diff(trace.road)) > 1e-9)
    first, last = (trace.time[bumpy[0]], trace.time[bumpy[-1] + 1]) if bumpy.size else (0.0, trace.time[-1])
    start = 0.5 * (first + last) if start is None else start
    end = last if end is None else end
    part = (trace.time >= start) & (trace.time <= end)
    return float(np.mean(trace.wheel_travel[part])) - trace.station.static_travel
