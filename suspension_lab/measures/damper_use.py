"""Measures of what a run asks of the damper: how fast its shaft moved, and where it did its work."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from suspension_lab.simulation.trace import Trace


class DamperUse(NamedTuple):
    """One direction of the damper over a run."""

    fastest: float
    """Highest shaft speed, without sign [m/s]."""
    strongest: float
    """Largest damper force, without sign [N]."""
    knee: float
    """Shaft speed of the knee, without sign; infinite where the law has none [m/s]."""


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
