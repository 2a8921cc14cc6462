"""What a hand's lateness and scatter are worth in rebound clicks, from simulated releases at each of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from suspension_lab.common.errors import LabError
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.measured.watch import MEAN_OF, Watch, late_or_early
from suspension_lab.workshop.release_test import Verdict, so_many, usual_release, verdict

WATCHED_FOR = 8.0
"""A release that has not settled by then counts as never settled [s] (our choice)."""


@dataclass(frozen=True, kw_only=True)
class ClickTimes:
    """The release test at each rebound click, from closed on.

    Attributes:
        seconds: until settled [s]; infinite: not within `WATCHED_FOR`.
        verdicts: of the release test.
        leaves: on which half swing the body was outside the band last: 0 the way back itself, 1 the first swing past
            ride height. Where it changes from click to click, the time jumps.
    """

    seconds: tuple[float, ...]
    verdicts: tuple[Verdict, ...]
    leaves: tuple[int, ...]


def click_times(station: Station) -> ClickTimes:
    """Simulate the release at each rebound click, all else as it stands.

    Raises:
        LabError: no rebound clicks, or no room for a release.
    """
    if "rebound" not in station.damper.adjusters:
        raise LabError(f"{station.name} has no rebound clicks, so a time is worth none; choose another vehicle.")
    release, found = usual_release(station), []
    for click in range(station.damper.adjusters["rebound"] + 1):
        trace = simulate(station.with_clicks(rebound=click), release, WATCHED_FOR)
        found.append((settling_time(trace, BAND), verdict(trace), swings(trace, BAND)))
    seconds, verdicts, leaves = zip(*found, strict=True)
    return ClickTimes(seconds=seconds, verdicts=verdicts, leaves=leaves)


def clicks_for(seconds: Sequence[float], click: int, by: float) -> tuple[int | None, int | None]:
    """The fewest clicks that change the settling time by so much or more.

    Args:
        seconds: at each click from closed on.
        click: from which one counts.
        by: [s].

    Returns:
        Towards closed and towards open; None: no click there does.
    """
    here = seconds[click]

    def fewest(others: range) -> int | None:
        # Two that never settle differ by nothing that a watch could tell.
        return next((abs(k - click) for k in others if seconds[k] != here and abs(seconds[k] - here) >= by), None)

    return fewest(range(click - 1, -1, -1)), fewest(range(click + 1, len(seconds)))


def alike(seconds: Sequence[float], click: int, by: float) -> tuple[int, int]:
    """The first and last of the clicks around one whose times all differ from its own by less than `by` [s]."""
    closing, opening = clicks_for(seconds, click, by)
    return (0 if closing is None else click - closing + 1), (
        len(seconds) - 1 if opening is None else click + opening - 1
    )


def worth_of(watch: Watch, times: ClickTimes, click: int) -> tuple[str, ...]:
    """What a watch can tell around a rebound click, in words.

    Args:
        watch: of the hand.
        times: of the vehicle.
        click: the present one.
    """
    if not math.isfinite(times.seconds[click]):
        return (f"At rebound {click} the body does not settle within {WATCHED_FOR:g} s, so no watch is of use there.",)
    said = []
    if watch.off:
        said.append(_bias(watch.bias, times, click))
    # A bias is in both times and falls out; two scatters do not.
    apart = math.sqrt(2.0) * watch.spread
    one = alike(times.seconds, click, apart)
    mean = alike(times.seconds, click, math.sqrt(2.0) * watch.scatter(MEAN_OF))
    by_chance = f"Two single tries of yours at one setting differ by about {apart:.2f} s by chance"
    if one == (click, click):
        said.append(f"{by_chance}: less than from rebound {click} to its neighbours, so your watch tells these apart.")
    else:
        said.append(f"{by_chance}: with one try each your watch cannot tell rebound {_listed(one)} apart.")
        if mean == (click, click):
            said.append(f"With the mean of {MEAN_OF} tries each it tells rebound {click} from its neighbours.")
        elif mean == one:
            said.append(f"Nor with the mean of {MEAN_OF} tries each.")
        else:
            said.append(f"With the mean of {MEAN_OF} tries each it still cannot tell rebound {_listed(mean)} apart.")
    return (*said, _steps(times, max(one[0] - 1, 0), min(one[1] + 1, len(times.seconds) - 1)))


def _bias(bias: float, times: ClickTimes, click: int) -> str:
    what = f"Left in, {late_or_early(bias)} looks like another rebound"
    closing, opening = clicks_for(times.seconds, click, abs(bias))
    ways = [f"{so_many(k)} towards {way}" for k, way in ((closing, "closed"), (opening, "open")) if k is not None]
    if not ways:
        return (
            f"Left in, {late_or_early(bias)} is more than any click of this adjuster changes from rebound {click} on."
        )
    return f"{what}: the settling time changes by as much within {', or '.join(ways)}, of rebound {click}."


def _steps(times: ClickTimes, low: int, high: int) -> str:
    """Where the time jumps from a click to the next, and where it hardly changes."""
    jumps = [k for k in range(low, high) if times.leaves[k] != times.leaves[k + 1]]
    if not jumps:
        shown = ", ".join(f"{_seconds(times.seconds[k])} at {k}" for k in range(low, min(high, low + 5) + 1))
        return f"The settling times around it: {shown}."
    told = " and ".join(
        f"from {_seconds(times.seconds[k])} at rebound {k} to {_seconds(times.seconds[k + 1])} at {k + 1}"
        for k in jumps[:2]
    )
    return (
        f"On the open side the time goes in steps: where one more swing leaves the {100 * BAND:.0f} % band it jumps, "
        f"here {told}; in between it changes little. Count the swings too: they tell what no watch can."
    )


def _seconds(seconds: float) -> str:
    return f"{seconds:.2f} s" if math.isfinite(seconds) else "never settled"


def _listed(span: tuple[int, int]) -> str:
    return f"{span[0]} and {span[1]}" if span[1] - span[0] == 1 else f"{span[0]} to {span[1]}"
