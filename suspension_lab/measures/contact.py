"""Measures of how evenly the tyre is pressed on the road."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.simulation.trace import Trace


class ContactLoss(NamedTuple):
    """How long the tyre was off the road."""

    share: float
    """Of the whole time, 0 to 1."""
    longest: float
    """The longest stretch [s]."""


def tyre_load_variation(trace: Trace) -> float:
    """Standard deviation of the tyre load over the load at rest.

    The dynamic load coefficient of the literature (after Sweatman 1983 and Cebon 1999; their mean load is the
    load at rest here).
    """
    return float(np.std(trace.tyre_load) / trace.static_tyre_load)


def smallest_tyre_load(trace: Trace) -> float:
    """Smallest tyre load over the load at rest."""
    return float(trace.tyre_load.min() / trace.static_tyre_load)


def off_road(trace: Trace) -> list[tuple[float, float]]:
    """Stretches without contact as pairs of first and last time [s]."""
    return _stretches(trace.time, trace.tyre_load <= 0.0)


def contact_loss(trace: Trace) -> ContactLoss:
    """Share of the time off the road, and the longest stretch [s]."""
    stretches = off_road(trace)
    step = float(trace.time[1] - trace.time[0])
    longest = max((last - first + step for first, last in stretches), default=0.0)
    return ContactLoss(share=float(np.mean(trace.tyre_load <= 0.0)), longest=longest)


def _stretches(time: Array, lost: NDArray[np.bool_]) -> list[tuple[float, float]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(lost, dtype=np.int8), [0]])))
    return [(float(time[a]), float(time[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)]
