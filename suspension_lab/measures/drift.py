"""How far warm oil, or a fault, has moved a damper: in clicks, and as a share of its force."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import cache

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.simulation.linear import SMALL_SPEED
from suspension_lab.vehicle.clicks import checked_clicks
from suspension_lab.vehicle.damper import Damper


def drift_in_clicks(now: Damper, before: Damper, adjuster: str = "rebound", shaft_speed: float = SMALL_SPEED) -> float:
    """By how many clicks a damper acts more open than it did before.

    Those clicks are looked for at which the damper as it was before has today's force, at one shaft speed; between
    whole clicks the force is taken to change by an even ratio, and beyond the ends of the range as by the last click.

    Args:
        now: the damper today.
        before: the same damper as it was, at the same clicks.
        adjuster: in whose clicks: 'rebound' or 'low_speed'.
        shaft_speed: at which the forces are compared [m/s], without sign.

    Returns:
        Clicks, above zero where it acts more open; infinite (with the sign) where a click changes nothing.

    Raises:
        LabError: the damper does not have that adjuster.
    """
    return float(drifts_in_clicks([now], before, adjuster, shaft_speed)[0])


def drifts_in_clicks(
    now: Sequence[Damper], before: Damper, adjuster: str = "rebound", shaft_speed: float = SMALL_SPEED
) -> Array:
    """The same for n dampers against one, (n,)."""
    checked_clicks(before.adjusters, before.clicks, {adjuster: 0})
    speed = -abs(shaft_speed) if adjuster == "rebound" else abs(shaft_speed)
    most = before.adjusters[adjuster]

    # Force falls over the clicks; few of them are asked for, and each is dear.
    @cache
    def hardness(clicks: int) -> float:
        return -math.log(abs(float(before.with_clicks(**{adjuster: clicks}).force(speed))))

    def found(damper: Damper) -> float:
        wanted = -math.log(abs(float(damper.force(speed))))
        above = min(max(bisect_left(range(most + 1), wanted, key=hardness), 1), most)
        low, high = hardness(above - 1), hardness(above)
        if high - low < 1e-12:
            return 0.0 if abs(wanted - low) < 1e-9 else math.copysign(math.inf, wanted - low)
        return above - 1 + (wanted - low) / (high - low) - before.clicks[adjuster]

    return np.array([found(damper) for damper in now])


def fade(now: Damper, before: Damper, direction: str = "rebound", shaft_speed: float = SMALL_SPEED) -> float:
    """Share of its force that a damper has lost, 0 to 1; below zero where it has grown.

    Args:
        now, before: the damper today and as it was.
        direction: 'rebound' or 'compression'.
        shaft_speed: at which the forces are compared [m/s], without sign.
    """
    speed = -abs(shaft_speed) if direction == "rebound" else abs(shaft_speed)
    return 1.0 - float(now.force(speed)) / float(before.force(speed))
