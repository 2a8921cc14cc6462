"""What measured releases rule out by themselves, whatever is believed of the damper, and what to measure again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from suspension_lab.workshop.click_belief import Measured, Side, side_of

STUCK_AFTER, STUCK_WITHIN = 3, 0.02
"""So many releases at different clicks within so little [s] do not follow the clicks (our choice)."""


@dataclass(frozen=True, kw_only=True)
class Ruled:
    """Clicks between what creeps and what swings on.

    Attributes:
        first, last: the most closed and the most open click that may pass; the first may lie behind the last.
        doubted: where it does, the click to measure once more; None: it does not, or there is a `gap`.
        contradict: whether a click creeps though a more closed one swings on.
        gap: a click that creeps and its neighbour that swings on, both measured twice.
    """

    first: int
    last: int
    doubted: int | None = None
    contradict: bool = False
    gap: tuple[int, int] | None = None


def ruled_out(tries: Sequence[Measured], limit: float, clearly: float, most: int) -> Ruled:
    """What is left between the clicks that fail.

    A click counts by what was measured last at it: at once where it swings twice or creeps for clearly too long, else
    once it was measured twice alike.

    Args:
        tries: releases in their order.
        limit: longest time that passes [s].
        clearly: so much longer is no scatter [s].
        most: the most open click.
    """
    sides: dict[int, list[Side | None]] = {}
    for each in tries:
        sides.setdefault(each.clicks, []).append(side_of(each, limit))
    latest = {each.clicks: each for each in tries}

    def counts(click: int, side: Side) -> bool:
        last, seen = latest[click], sides[click]
        if seen[-1] is not side:
            return False
        clear = last.swings is not None and (last.swings >= 2 or (not last.swings and last.seconds > limit + clearly))
        return clear or seen[-2:] == [side, side]

    creeps = max((click for click in latest if counts(click, Side.TOO_CLOSED)), default=-1)
    swings_on = min((click for click in latest if counts(click, Side.TOO_OPEN)), default=most + 1)
    first, last = creeps + 1, swings_on - 1
    if first <= last or first > most or last < 0:
        return Ruled(first=first, last=last)
    once = [click for click in (creeps, swings_on) if len(sides[click]) < 2]
    gap = (creeps, swings_on) if swings_on == creeps + 1 and not once else None
    doubted = None if gap else min(once or (creeps, swings_on), key=lambda click: len(sides[click]))
    return Ruled(first=first, last=last, doubted=doubted, contradict=creeps > swings_on, gap=gap)


def to_be_counted(tries: Sequence[Measured], limit: float) -> bool:
    """Whether the last release is to be measured again for its swings: one that is soon enough always, else once."""
    if not tries or tries[-1].swings is not None:
        return False
    asked = len(tries) > 1 and tries[-2].clicks == tries[-1].clicks and tries[-2].swings is None
    return tries[-1].seconds <= limit or not asked


def does_not_follow(tries: Sequence[Measured]) -> bool:
    """Whether the last three releases, at three clicks, took the same time and swung alike, though none swings on."""
    last = tries[-STUCK_AFTER:]
    if len(last) < STUCK_AFTER or len({each.clicks for each in last}) < STUCK_AFTER:
        return False
    seconds, counted = [each.seconds for each in last], {each.swings for each in last}
    if not all(map(math.isfinite, seconds)) or max(seconds) - min(seconds) > STUCK_WITHIN:
        return False
    return len(counted) == 1 and counted <= {None, 0, 1}
