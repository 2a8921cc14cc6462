"""The guided bracket for a compression adjuster, as practice does it: ride both extremes, then close in between.

Clicks count out from closed, so "too soft" asks for fewer clicks and "too hard" for more. Every verdict is kept in the
order it was given; of a click that was ridden twice the later verdict counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from suspension_lab.common.checks import whole
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.workshop.cautions import REBOUND_FIRST, RIDING_TEST
from suspension_lab.workshop.reading_bracket import (
    BEYOND,
    RIDE_BOTH,
    STUCK,
    contradiction_of,
    no_good_between,
    read_next,
    read_result,
)  # fmt: skip

TOO_SOFT, TOO_HARD, GOOD = "too soft", "too hard", "good"
VERDICTS = (TOO_SOFT, TOO_HARD, GOOD)
FROM_CLOSED = (TOO_HARD, GOOD, TOO_SOFT)
"""The order in which a rider must call them, from closed to open."""
COMPRESSION = ("low_speed", "high_speed")
MOST_CLICKS = 200
"""No adjuster has more (our choice)."""
STEP = 2
"""Clicks to either side of a good one that are tried next (our choice)."""
STEPS_AFTER_GOOD = 2
"""So many of them (our choice)."""
HALF_GOOD = 3
"""A rider calls no click good that is farther than this from the best (our choice, to choose the middle by)."""
CLOSE_ENOUGH = 1
"""So many clicks off the best guess may be (our choice)."""
MOST_TIMES_AGAIN = 2
"""So often two clicks are ridden again for the same contradiction (our choice)."""


class Stop(NamedTuple):
    """A setting that was ridden."""

    clicks: int
    verdict: str
    remark: str = ""


class NextRide(NamedTuple):
    """What to ride next."""

    clicks: int
    """Out from closed."""
    sentence: str
    cautions: tuple[str, ...]


class Result(NamedTuple):
    """What the verdicts say so far."""

    clicks: int | None
    """The best guess, or the click to keep once it is done; None: both extremes are not ridden yet, or out of reach."""
    low: int
    high: int
    """The range in which the best click still may lie."""
    sentence: str


class _State(NamedTuple):
    """What the stops come to."""

    again: tuple[int, ...]
    """Clicks to be ridden again."""
    why: str
    """What they are ridden again for; empty where all fits."""
    stuck: bool
    """Whether a contradiction came back as often as it may."""
    steps: int
    """Tried beside a good click."""


@dataclass(frozen=True, kw_only=True)
class Bracket:
    """A search for the clicks of one compression adjuster by a rider's verdicts.

    Attributes:
        adjuster: 'low_speed' or 'high_speed'.
        most: clicks from closed to open.
        stops: what was ridden, in order.

    Raises:
        LabError: another adjuster, or a stop that cannot have been.
    """

    adjuster: str = "low_speed"
    most: int = 20
    stops: tuple[Stop, ...] = ()

    def __post_init__(self) -> None:
        if self.adjuster == "rebound":
            raise LabError("Rebound is set by the release test and not by a bracket; give low_speed or high_speed.")
        if self.adjuster not in COMPRESSION:
            raise LabError(
                f"The adjuster is {shown(self.adjuster)}, where one of compression was expected; "
                f"{nearest_name(str(self.adjuster), COMPRESSION)}"
            )
        object.__setattr__(self, "most", whole("clicks from closed to open", self.most, low=1, high=MOST_CLICKS))
        object.__setattr__(self, "stops", tuple(_stop(each, self.most) for each in self.stops))

    def with_verdict(self, verdict: str, remark: str = "") -> Bracket:
        """The bracket after the ride that `next` asked for.

        Args:
            verdict: 'too soft', 'too hard' or 'good'.
            remark: the rider's words.

        Raises:
            LabError: another verdict, or a bracket that is done.
        """
        if self.next is None:
            raise LabError(
                f"This bracket is done after {len(self.stops)} stops, so no verdict was expected; undo the last one, "
                "or begin a new bracket."
            )
        return replace(self, stops=(*self.stops, Stop(self.next.clicks, verdict, remark)))

    def undo(self) -> Bracket:
        """The bracket before its last verdict.

        Raises:
            LabError: there is none.
        """
        if not self.stops:
            raise LabError("There is no verdict to take back: nothing was ridden yet.")
        return replace(self, stops=self.stops[:-1])

    @property
    def done(self) -> bool:
        """Whether nothing is left to ride."""
        return self.next is None

    @property
    def standing(self) -> dict[int, str]:
        """Clicks -> the verdict that counts, the last on that click."""
        return {stop.clicks: stop.verdict for stop in self.stops}

    @property
    def contradiction(self) -> str:
        """Two verdicts that contradict each other or seem to, told in words; empty where all fit."""
        return self._state.why

    @cached_property
    def next(self) -> NextRide | None:
        """What to ride next; None where the bracket is done."""
        clicks = self._next_clicks()
        if clicks is None:
            return None
        again = clicks in self._state.again
        return NextRide(clicks, read_next(self, clicks, again), (*RIDING_TEST, REBOUND_FIRST))

    @cached_property
    def result(self) -> Result:
        """What the verdicts say so far, and what is still open."""
        state, beyond = self._state, self._beyond()
        if state.stuck:
            return Result(None, 0, self.most, state.why)
        if beyond:
            return Result(None, 0, self.most, BEYOND[beyond])
        if state.again or not {0, self.most} <= self.standing.keys():
            why = "two verdicts are to be ridden again" if state.again else "ride both extremes first"
            return Result(None, 0, self.most, f"Nothing can be said yet: {why}.")
        best, low, high = self._best()
        return Result(best, low, high, read_result(self, best, low, high))

    def _beyond(self) -> str:
        """The verdict on an end that no click can mend; empty where there is none."""
        if self._state.again:
            return ""
        if self.standing.get(0) == TOO_SOFT:
            return TOO_SOFT
        return TOO_HARD if self.standing.get(self.most) == TOO_HARD else ""

    def _next_clicks(self) -> int | None:
        state = self._state
        if state.stuck:
            return None
        if state.again:
            return state.again[0]
        if self.most not in self.standing:
            return self.most
        if self._beyond():
            return None
        if 0 not in self.standing:
            return 0
        if GOOD in self.standing.values():
            return self._beside_good()
        low, high = max(_clicks(self.standing, TOO_HARD)), min(_clicks(self.standing, TOO_SOFT))
        return (low + high + 1) // 2 if high - low > 1 else None

    def _beside_good(self) -> int | None:
        """A step to the side of the good clicks on which more is unknown; None where enough is known."""
        best, low, high = self._best()
        good = _clicks(self.standing, GOOD)
        harder = min(good) - max(_clicks(self.standing, TOO_HARD), default=min(good))
        softer = min(_clicks(self.standing, TOO_SOFT), default=max(good)) - max(good)
        enough = max(best - low, high - best) <= CLOSE_ENOUGH or self._state.steps >= STEPS_AFTER_GOOD
        if enough or max(harder, softer) <= 1:
            return None
        if softer >= harder:
            return max(good) + min(STEP, softer - 1)
        return min(good) - min(STEP, harder - 1)

    def _best(self) -> tuple[int, int, int]:
        """The best guess, never outside what was called good, and the range in which the best may lie."""
        low, high = self._open()
        best, good = (low + high + 1) // 2, _clicks(self.standing, GOOD)
        if good:
            best = min(max(best, min(good)), max(good))
        return best, min(low, best), max(high, best)

    def _open(self) -> tuple[int, int]:
        """The range in which the best click may lie, once both extremes are ridden.

        The best is the middle of all that the rider calls good. That stretch begins between the last click that is too
        hard and the first good one, and ends alike, so that its middle lies between the middles of those pairs.
        """
        standing = self.standing
        hard, soft, good = (_clicks(standing, verdict) for verdict in (TOO_HARD, TOO_SOFT, GOOD))
        if not good:
            low, high = max(hard), min(soft)
            return (low, high) if high - low == 1 else (low + 1, high - 1)
        low = (max(hard) + max(good)) // 2 + 1 if hard else 0
        high = -(-(min(good) + min(soft)) // 2) - 1 if soft else self.most
        if low > high:  # it lies halfway between two clicks
            low, high = high, low
        narrow = max(low, max(good) - HALF_GOOD), min(high, min(good) + HALF_GOOD)
        return narrow if narrow[0] <= narrow[1] else (low, high)

    @cached_property
    def _state(self) -> _State:
        standing: dict[int, str] = {}
        again: tuple[int, ...] = ()
        asked: list[tuple[int, int]] = []
        why, stuck, steps = "", False, 0
        for at, stop in enumerate(self.stops):
            steps += GOOD in standing.values() and stop.clicks not in {0, self.most, *standing}
            standing[stop.clicks] = stop.verdict
            again = tuple(clicks for clicks in again if clicks != stop.clicks)
            if again:
                continue
            why, pair = "", _contradiction(standing)
            if pair:
                why, stuck = contradiction_of(standing, pair), asked.count(pair) >= MOST_TIMES_AGAIN
            elif (pair := _neighbours(standing)) and pair not in asked:
                why = no_good_between(pair)
            else:
                continue
            why += STUCK if stuck else RIDE_BOTH
            asked.append(pair)
            ridden = [each.clicks for each in self.stops[: at + 1]]
            # The older first: the newer is then felt against it once more.
            again = tuple(sorted(pair, key=lambda clicks: -ridden[::-1].index(clicks)))
        return _State(again, why, stuck, steps)


def _stop(given: Stop | tuple[int, str] | tuple[int, str, str], most: int) -> Stop:
    if not isinstance(given, tuple | list) or len(given) not in (2, 3):
        raise LabError(f"A stop is {shown(given)}, where clicks, a verdict and a remark were expected.")
    clicks, verdict = whole("clicks of a stop", given[0], low=0, high=most), given[1]
    if verdict not in VERDICTS:
        raise LabError(f"The verdict is {shown(verdict)}, which is not known; {nearest_name(str(verdict), VERDICTS)}")
    return Stop(clicks, verdict, str(given[2]) if len(given) == 3 else "")


def _clicks(standing: dict[int, str], verdict: str) -> list[int]:
    """The clicks of a verdict, from closed to open."""
    return sorted(clicks for clicks, said in standing.items() if said == verdict)


def _contradiction(standing: dict[int, str]) -> tuple[int, int] | None:
    """Two clicks of which the more open one was called harder; None where all verdicts fit."""
    order = sorted(standing)
    for one, other in pairwise(order):
        if FROM_CLOSED.index(standing[one]) > FROM_CLOSED.index(standing[other]):
            return one, other
    return None


def _neighbours(standing: dict[int, str]) -> tuple[int, int] | None:
    """Two neighbours, too hard and too soft; None where a click lies between or is good."""
    hard, soft = _clicks(standing, TOO_HARD), _clicks(standing, TOO_SOFT)
    if hard and soft and GOOD not in standing.values() and min(soft) - max(hard) == 1:
        return max(hard), min(soft)
    return None
