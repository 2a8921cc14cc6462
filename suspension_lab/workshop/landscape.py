"""One measure of a map of clicks over two adjusters, seen as a landscape: its best cell, the good ones, its floor.

Rebound comes first: only cells whose rebound passes the release test are offered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.measures.measure import Measure, MeasureKind
from suspension_lab.measures.summary import ride_measure
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.click_map import NEAR, ClickMap, stretch_around
from suspension_lab.workshop.release_test import Verdict


@dataclass(frozen=True, kw_only=True, eq=False)
class Landscape:
    """A measure of a ride over two adjusters; arrays are (clicks of the first, clicks of the second).

    Attributes:
        made: the map, over two adjusters.
        measure: key of one of its measures.
        verdicts: rebound clicks -> what the release test says of them; None: not judged, and all are offered.
        held: rebound clicks of all cells, where rebound is not one of the two adjusters; None: it has none.

    Raises:
        LabError: a map over more or fewer adjusters, or without that measure.
    """

    made: ClickMap
    measure: str
    verdicts: Mapping[int, Verdict] | None = None
    held: int | None = None

    def __post_init__(self) -> None:
        if len(self.made.clicks) != 2:
            raise LabError(
                f"This view needs a map over two adjusters, but got one over {len(self.made.clicks)}; name the clicks "
                "of two."
            )
        self.made[self.measure]

    @property
    def axes(self) -> tuple[str, str]:
        """The two adjusters."""
        first, second = self.made.clicks
        return first, second

    @property
    def kind(self) -> MeasureKind:
        """What stands around the measure's numbers."""
        return ride_measure(self.measure)

    @cached_property
    def values(self) -> Array:
        """In the unit a table shows; NaN where nothing was measured."""
        return self.kind.scale * self.made.over_cases(self.measure)

    @cached_property
    def badness(self) -> Array:
        """Less is better; infinite where nothing was measured."""
        worse = self.kind.scale * self.made.badness(self.measure)
        return np.where(np.isnan(worse), np.inf, worse)

    @property
    def empty(self) -> bool:
        """Whether nothing was measured at all."""
        return not bool(np.isfinite(self.badness).any())

    @cached_property
    def flat(self) -> bool:
        """Whether all cells are the same within what is worth a word: then none is the best."""
        return self.empty or float(np.nanmax(self.values) - np.nanmin(self.values)) <= self.kind.resolution

    @cached_property
    def refused(self) -> NDArray[np.bool_]:
        """Which cells have a rebound that the release test refuses."""
        refused = np.zeros(self.badness.shape, dtype=bool)
        # Rebound, where it is one of the two, is the first.
        if self.verdicts is not None and self.axes[0] != "rebound" and self.held is not None:
            refused[:] = self.verdicts[self.held] is not Verdict.PASSES
        elif self.verdicts is not None and self.axes[0] == "rebound":
            for at, click in enumerate(self.made.clicks["rebound"]):
                refused[at] = self.verdicts[click] is not Verdict.PASSES
        return refused

    @cached_property
    def offered(self) -> Array:
        """As `badness`, infinite also where a cell is refused."""
        return np.where(self.refused, np.inf, self.badness)

    @property
    def offers_none(self) -> bool:
        """Whether no measured cell passes."""
        return not bool(np.isfinite(self.offered).any())

    @cached_property
    def best(self) -> tuple[int, int]:
        """Where the best cell lies of those offered, as places along both axes."""
        first, second = np.unravel_index(int(self.offered.argmin()), self.offered.shape)
        return int(first), int(second)

    @cached_property
    def near(self) -> NDArray[np.bool_]:
        """Which cells offered are at most `NEAR` worse than the best."""
        least = float(self.offered.min())
        return np.asarray(np.isfinite(self.offered) & (self.offered <= least + NEAR * abs(least)))

    @property
    def reach(self) -> dict[str, tuple[int, int]]:
        """How wide the good valley is: from the best cell, each adjuster turned alone, all clicks on the way near."""
        first, second = self.best
        lines = (self.near[:, second], self.near[first])
        found = {}
        for name, at, line in zip(self.axes, self.best, lines, strict=True):
            low, high = stretch_around(at, line)
            found[name] = (self.made.clicks[name][low], self.made.clicks[name][high])
        return found

    @cached_property
    def floor(self) -> Array:
        """For each click of the first adjuster the best click of the second; NaN where none is offered."""
        tried = np.array(self.made.clicks[self.axes[1]], dtype=np.float64)
        return np.where(np.isfinite(self.offered).any(axis=1), tried[self.offered.argmin(axis=1)], np.nan)

    def place(self, clicks: Mapping[str, int] | Clicks) -> tuple[int, int]:
        """Where a setting lies, as places along both axes.

        Raises:
            LabError: clicks the map does not hold.
        """
        for name in self.axes:
            if clicks[name] not in self.made.clicks[name]:
                raise LabError(f"The map has no {name.replace('_', '-')} {clicks[name]}; make one that holds it.")
        first, second = (self.made.clicks[name].index(clicks[name]) for name in self.axes)
        return first, second

    def clicks_at(self, place: tuple[int, int]) -> dict[str, int]:
        """The clicks of a cell."""
        return {name: self.made.clicks[name][at] for name, at in zip(self.axes, place, strict=True)}

    def at(self, place: tuple[int, int], measure: str | None = None) -> Measure:
        """A measure of a cell, this one or another of the map."""
        key = measure or self.measure
        return ride_measure(key).at(float(self.made.over_cases(key)[place]))
