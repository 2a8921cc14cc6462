"""Settings in a row from soft to hard, and how even and how comfortable each of them is over one ride."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.measures.comfort import weighted_acceleration
from suspension_lab.measures.contact import tyre_load_variation
from suspension_lab.simulation.settings import simulate_settings
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import NEAR, stretch_around
from suspension_lab.workshop.release_test import Verdict

if TYPE_CHECKING:
    from suspension_lab.workshop.mapping import Stop

ALIKE = "alike"
"""All adjusters together, each at the same share of its range."""
MOST_IN_A_ROW = 28
"""Settings in a row: with the present one and its neighbours still as many as are marched side by side at once."""
NEIGHBOURS = (-2, -1, 1, 2)
"""Clicks by which the present setting is tried closed (below zero) and open."""


class Felt(NamedTuple):
    """What a setting does to tyre and rider."""

    variation: float
    """Tyre load variation, as a share of the load at rest."""
    shaking: float
    """Weighted body acceleration, r.m.s. [m/s^2]."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """Settings from open and soft to closed and hard.

    Attributes:
        along: `ALIKE`, or the one adjuster that is closed while the others stay.
        ranges: adjuster -> clicks from closed to open.
        present: the setting asked about; the others of an adjuster's row stay as it has them.

    Raises:
        LabError: an adjuster that the damper does not have, or a damper without any.
    """

    along: str
    ranges: Mapping[str, int]
    present: Clicks

    def __post_init__(self) -> None:
        if not self.ranges:
            raise LabError("This damper has no adjusters, so there is nothing to close; choose another vehicle.")
        if self.along != ALIKE and self.along not in self.ranges:
            have = ", ".join(name.replace("_", "-") for name in self.ranges)
            raise LabError(
                f"This damper has no {self.along.replace('_', '-')} adjuster to close (it has {have}); choose one of "
                "these, or all adjusters alike."
            )

    @property
    def turned(self) -> tuple[str, ...]:
        """The adjusters that are closed along the row."""
        return tuple(self.ranges) if self.along == ALIKE else (self.along,)

    @cached_property
    def settings(self) -> tuple[Clicks, ...]:
        """The row itself: a setting for each click of the finest adjuster turned, or for fewer where it has many."""
        count = min(max(self.ranges[name] for name in self.turned) + 1, MOST_IN_A_ROW)
        return tuple(
            replace(self.present, **{name: round((1.0 - share) * self.ranges[name]) for name in self.turned})
            for share in np.linspace(0.0, 1.0, count)
        )

    def closed(self, clicks: Clicks) -> float:
        """How far a setting is closed, 0 to 1: the mean share of the adjusters turned."""
        return sum(self.share(clicks, name) for name in self.turned) / len(self.turned)

    def share(self, clicks: Clicks, name: str) -> float:
        """How far one adjuster is closed, 0 to 1."""
        return 1.0 - clicks[name] / self.ranges[name]

    def moved(self, by: int) -> Clicks:
        """The present setting, every adjuster turned opened by some clicks, or closed where they are below zero.

        One that reaches its end stays there.
        """
        ranges, now = self.ranges, self.present
        return replace(now, **{name: max(0, min(ranges[name], now[name] + by)) for name in self.turned})


@dataclass(frozen=True, kw_only=True, eq=False)
class Evenness:
    """A ride at the present setting, among the settings of its row.

    Attributes:
        trace: the ride at the present setting.
        row: from soft to hard.
        known: what the settings measured so far do on this ride.
        verdicts: rebound clicks -> what the release test says of them; None: not judged, and all are offered.
    """

    trace: Trace
    row: Row
    known: Mapping[Clicks, Felt] = field(default_factory=lambda: MappingProxyType({}))
    verdicts: Mapping[int, Verdict] | None = None

    @cached_property
    def present(self) -> Felt:
        """What the present setting does: as the others of its row are known, so that they compare; else by its trace.

        The two differ by less than about one per cent.
        """
        return self.known.get(self.row.present) or felt(self.trace)

    @cached_property
    def missing(self) -> tuple[Clicks, ...]:
        """Settings of the row, the present one and its neighbours, that are not known yet."""
        row = self.row
        wanted = dict.fromkeys([*row.settings, row.present, *(row.moved(by) for by in NEIGHBOURS)])
        return tuple(clicks for clicks in wanted if clicks not in self.known)

    @cached_property
    def valley(self) -> Valley | None:
        """The row's values; None while some are missing."""
        settings = self.row.settings
        if any(clicks not in self.known for clicks in settings):
            return None
        return Valley(
            closed=np.array([self.row.closed(clicks) for clicks in settings]),
            settings=settings,
            values=np.array([self.known[clicks] for clicks in settings]),
            passes=np.array([self.verdict(clicks) is Verdict.PASSES for clicks in settings]),
        )

    @property
    def turns_rebound(self) -> bool:
        """Whether rebound is among what is closed along the row, and was judged."""
        return "rebound" in self.row.turned and self.verdicts is not None

    def verdict(self, clicks: Clicks) -> Verdict:
        """What the release test says of a setting's rebound; that it passes, where it was not judged."""
        if self.verdicts is None or clicks.rebound is None:
            return Verdict.PASSES
        return self.verdicts[clicks.rebound]

    def neighbour(self, by: int) -> Felt | None:
        """What the present setting would do some clicks further; None while unknown, or where it is at its end."""
        clicks = self.row.moved(by)
        return None if clicks == self.row.present else self.known.get(clicks)


@dataclass(frozen=True, kw_only=True, eq=False)
class Valley:
    """Values over a row of settings.

    Attributes:
        closed: share closed, rising, (n,).
        settings: (n,).
        values: tyre load variation and weighted acceleration, (n, 2), as in `Felt`.
        passes: whether its rebound passes the release test, (n,).
    """

    closed: Array
    settings: Sequence[Clicks]
    values: Array
    passes: NDArray[np.bool_]

    @property
    def everywhere(self) -> Valley:
        """The same with nothing refused: what the road alone would say."""
        return replace(self, passes=np.ones_like(self.passes))

    @property
    def offered(self) -> NDArray[np.bool_]:
        """The settings among which the best is looked for: those that pass, or all where none does."""
        return self.passes if self.passes.any() else ~self.passes

    def lowest(self, which: int) -> int:
        """Index of the lowest value on offer: of the variation (0) or the shaking (1)."""
        return int(np.where(self.offered, self.values[:, which], np.inf).argmin())

    def good(self, which: int) -> tuple[int, int]:
        """First and last index of the stretch on offer around the lowest value that stays near it."""
        values, lowest = self.values[:, which], self.lowest(which)
        return stretch_around(lowest, self.offered & (values <= (1.0 + NEAR) * values[lowest]))


def felt(trace: Trace) -> Felt:
    """What a ride does to tyre and rider."""
    return Felt(tyre_load_variation(trace), weighted_acceleration(trace))


def felt_at(station: Station, settings: Iterable[Clicks], trace: Trace, stop: Stop | None = None) -> dict[Clicks, Felt]:
    """What other settings would do on the ride of a trace.

    Args:
        station: the vehicle's wheel.
        settings: to be tried, side by side: values differ from `simulate`'s by less than about one per cent.
        trace: whose road, speed and duration are taken.
        stop: asked between the settings; those done by then are given back.

    Raises:
        LabError: as `simulate`.
    """
    wanted = list(settings)
    found: dict[Clicks, Felt] = {}
    runs = simulate_settings(station, wanted, trace.excitation, float(trace.time[-1]))
    for clicks, run in zip(wanted, runs, strict=True):
        if stop is not None and stop.is_set():
            break
        found[clicks] = felt(run)
    return found
