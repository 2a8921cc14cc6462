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
    work: float
    """Energy turned into heat [J]."""
    high_speed_share: float
    """Share of that energy taken by the force beyond the knee's own, 0 to 1; 0 where there is no work or no knee."""


def damper_use(trace: Trace, direction: str) -> DamperUse:
    """What a run asked of one direction of the damper.

    Args:
        trace: any run.
        direction: 'rebound' or 'compression'.
    """
    sign = {"rebound": -1.0, "compression": 1.0}[direction]
    knees = trace.station.damper.knees
    knee = abs(knees[0] if sign < 0 else knees[1])
    speed = np.maximum(sign * trace.shaft_speed, 0.0)
    force = np.where(speed > 0.0, np.abs(trace.damper_force), 0.0)
    power = speed * force
    total = float(np.trapezoid(power, trace.time))
    at_knee = abs(float(trace.station.damper.force(sign * knee))) if np.isfinite(knee) else np.inf
    beyond = np.where(speed > knee, np.maximum(force - at_knee, 0.0), 0.0)
    above = float(np.trapezoid(speed * beyond, trace.time))
    return DamperUse(
        fastest=float(speed.max()),
        strongest=float(force.max()),
        knee=knee,
        work=total,
        high_speed_share=above / total if total > 0.0 else 0.0,
    )
