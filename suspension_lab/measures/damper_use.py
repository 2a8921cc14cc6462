"""Measures of what a run asks of the damper: how fast its shaft moved, and where it did its work."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array, whole
from suspension_lab.simulation.heat import dissipated_power
from suspension_lab.simulation.trace import Trace

MOST_BINS = 1000


class DamperUse(NamedTuple):
    """One direction of the damper over a run."""

    fastest: float
    """Highest shaft speed, without sign [m/s]."""
    strongest: float
    """Largest damper force, without sign [N]."""
    knee: float
    """Shaft speed of the knee, without sign; infinite where the law has none [m/s]."""


class Zones(NamedTuple):
    """How something divides between the two directions, below and above the knee of each; 0 to 1."""

    rebound_above: float
    rebound_below: float
    compression_below: float
    compression_above: float


class ShaftSpeedShares(NamedTuple):
    """What each part of the damper's law ever sees of a run."""

    time: Zones
    """Of the whole time; what is left of 1 is standing still, or free play."""
    work: Zones
    """Of the work the damper takes up; they sum to 1, or are all 0 where it takes up none."""


def damper_use(trace: Trace, direction: str, until: float = np.inf) -> DamperUse:
    """What a run asked of one direction of the damper.

    Args:
        trace: any run.
        direction: 'rebound' or 'compression'.
        until: only the time up to here counts [s].
    """
    sign = {"rebound": -1.0, "compression": 1.0}[direction]
    knees = trace.station.damper.knees
    part = trace.time <= until
    speed = np.maximum(sign * trace.shaft_speed[part], 0.0)
    force = np.where(speed > 0.0, np.abs(trace.damper_force[part]), 0.0)
    return DamperUse(
        fastest=float(speed.max()), strongest=float(force.max()), knee=abs(knees[0] if sign < 0 else knees[1])
    )


def adjuster_reach(trace: Trace, adjuster: str, until: float = np.inf) -> float:
    """How much work an adjuster could change on this run's own shaft speeds, from closed to open [J].

    Args:
        trace: any run.
        adjuster: one that the damper has.
        until: only the time up to here counts [s].

    Raises:
        LabError: the damper does not have that adjuster.
    """
    damper, part = trace.station.damper, trace.time <= until
    speed = trace.shaft_speed[part]
    ends = [damper.with_clicks(**{adjuster: clicks}).force(speed) for clicks in (0, damper.adjusters.get(adjuster, 0))]
    return float(np.trapezoid(np.abs((ends[0] - ends[1]) * speed), trace.time[part]))


def shaft_speed_shares(trace: Trace) -> ShaftSpeedShares:
    """How the time and the damper's work divide between rebound and compression, below and above the knee.

    Low-speed clicks shape the compression force below its knee, high-speed clicks that above. Where the law has no
    knee all counts as below.
    """
    speed, knees = trace.shaft_speed, trace.station.damper.knees
    at_work = ~np.asarray(trace.idle) & (speed != 0.0)
    power = np.where(at_work, trace.damper_force * speed, 0.0)
    zones = (
        at_work & (speed < knees[0]),
        at_work & (speed < 0.0) & (speed >= knees[0]),
        at_work & (speed > 0.0) & (speed <= knees[1]),
        at_work & (speed > knees[1]),
    )
    work, whole_work = [float(power[zone].sum()) for zone in zones], float(power.sum())
    return ShaftSpeedShares(
        time=Zones(*(np.count_nonzero(zone) / speed.size for zone in zones)),
        work=Zones(*(part / whole_work if whole_work > 0.0 else 0.0 for part in work)),
    )


def shaft_speed_histogram(trace: Trace, bins: int = 40) -> tuple[Array, Array]:
    """How the time divides over shaft speed, in bins that end at the knees and at standstill.

    Args:
        trace: any run.
        bins: about how many, 4 to 1000; each side of a knee or of standstill has at least one.

    Returns:
        Edges, rebound negative [m/s], (m + 1,), and the share of the whole time in each bin, (m,); they sum to 1.

    Raises:
        LabError: bins that are not a whole number from 4 to 1000.
    """
    bins = whole("number of bins", bins, low=4, high=MOST_BINS)
    speed = trace.shaft_speed
    low, high = min(float(speed.min()), -1e-6), max(float(speed.max()), 1e-6)
    marks = [low, *(mark for mark in (trace.station.damper.knees[0], 0.0, trace.station.damper.knees[1])
                    if low < mark < high), high]  # fmt: skip
    width = (high - low) / bins
    parts = [np.linspace(a, b, max(1, round((b - a) / width)) + 1)[:-1] for a, b in pairwise(marks)]
    edges = np.concatenate([*parts, [high]])
    return edges, np.histogram(speed, bins=edges)[0] / speed.size


def damper_power(trace: Trace) -> float:
    """Mean power the damper turns into heat over a run [W]; free play counts nothing, and seal friction is apart."""
    return dissipated_power(trace, seals=False)
