"""A map of clicks: measures at every combination of clicks, over one or many rides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.measures.summary import ride_measure
from suspension_lab.vehicle.clicks import ADJUSTERS, Clicks

if TYPE_CHECKING:
    import pandas as pd

NEAR = 0.05
"""A setting at most this share worse than the best is a good one, in the good valley (our choice)."""
ACROSS = ("mean", "median", "worst")
CASE = "case"
"""Heading of the column that says over which ride, and in which condition, a row was measured."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ClickMap:
    """Measures at every combination of clicks, for each case: a ride, and where it was varied a condition.

    `map["tyre_load_variation"]` is an array over the clicks and the cases; `map.table` is the same as a pandas table
    with one row for each.

    Attributes:
        vehicle: its name.
        clicks: adjuster -> the clicks tried, in the order of the axes.
        cases: a name for each.
        measures: names of the measures; their values are SI.
        values: (clicks of each adjuster ..., cases, measures); NaN where a map was stopped before it got there.
        note: what was out of the ordinary while it was made; empty if nothing.
    """

    vehicle: str
    clicks: Mapping[str, tuple[int, ...]]
    cases: tuple[str, ...]
    measures: tuple[str, ...]
    values: Array
    note: str = ""

    @property
    def complete(self) -> bool:
        """Whether every combination of clicks was measured."""
        return not bool(np.isnan(self.values).all(axis=-1).any())

    def __getitem__(self, measure: str) -> Array:
        """Values of one measure, (clicks of each adjuster ..., cases)."""
        return np.asarray(self.values[..., self._column(measure)])

    def over_cases(self, measure: str, across: str = "mean") -> Array:
        """One value of a measure for each combination of clicks, (clicks of each adjuster ...).

        Args:
            measure: its name.
            across: 'mean' or 'median' of the cases, or the 'worst' of them.

        Raises:
            LabError: no such measure, or another word.
        """
        if across not in ACROSS:
            raise LabError(f"across is {across!r}, where one of {', '.join(ACROSS)} was expected.")
        values = self[measure]
        if across == "worst":
            return np.asarray(values.min(axis=-1) if more_is_better(measure) else values.max(axis=-1))
        return np.asarray(np.mean(values, axis=-1) if across == "mean" else np.median(values, axis=-1))

    def badness(self, measure: str, across: str = "mean") -> Array:
        """As `over_cases`, but turned so that less is better."""
        values = self.over_cases(measure, across)
        return -values if more_is_better(measure) else values

    def clicks_at(self, flat: int) -> Clicks:
        """The combination of clicks at a place of the flattened values."""
        return next(all_settings(self.clicks, flat, flat + 1))

    def best(self, measure: str, across: str = "mean") -> Clicks:
        """The clicks with the best value of a measure, of those that were measured.

        Raises:
            LabError: no such measure, or nothing was measured yet.
        """
        values = self.badness(measure, across)
        if np.isnan(values).all():
            raise LabError("This map was stopped before any setting was measured in all cases; let it run on first.")
        return self.clicks_at(int(np.nanargmin(values)))

    def valley(self, measure: str, within: float = NEAR, across: str = "mean") -> dict[str, tuple[int, int]]:
        """How wide the good valley is: adjuster -> the clicks, from and to, that stay near the best.

        From the best setting each adjuster is moved alone; all clicks on the way must stay near.

        Args:
            measure: its name.
            within: how much worse still counts as near, as a share of the best value.
            across: as `over_cases`.
        """
        values, best = self.badness(measure, across), self.best(measure, across)
        at = tuple(self.clicks[name].index(best[name]) for name in self.clicks)
        limit = values[at] + within * abs(values[at])
        reach = {}
        for axis, (name, tried) in enumerate(self.clicks.items()):
            good = np.moveaxis(values, axis, -1)[(*at[:axis], *at[axis + 1 :])] <= limit
            ends = [tried[place] for place in stretch_around(at[axis], good)]
            reach[name] = (min(ends), max(ends))
        return reach

    @property
    def table(self) -> pd.DataFrame:
        """One row for each combination of clicks and case: the clicks, the case, the measures in SI."""
        import pandas as pd

        grid = np.meshgrid(*self.clicks.values(), np.arange(len(self.cases)), indexing="ij")
        columns = {name: axis.ravel() for name, axis in zip(self.clicks, grid, strict=False)}
        cases = np.array(self.cases, dtype=object)[grid[-1].ravel()]
        values = self.values.reshape(-1, len(self.measures))
        return pd.DataFrame(columns | {CASE: cases} | {name: values[:, i] for i, name in enumerate(self.measures)})

    def to_csv(self, path: str | Path) -> None:
        """Write the table as CSV, the vehicle named in a line before it; `ClickMap.from_csv` reads it again.

        The file is complete or not there: it is written under another name first.

        Raises:
            LabError: a place that cannot be written.
        """
        file = Path(path)
        part = file.with_name(file.name + ".part")
        try:
            with part.open("w", encoding="utf-8", newline="") as out:
                out.write(f"# {' '.join(self.vehicle.split())}\n")
                self.table.to_csv(out, index=False)
            part.replace(file)
        except OSError as error:
            part.unlink(missing_ok=True)
            raise LabError(f"{file} could not be written ({error.strerror}); choose another place.") from None

    @staticmethod
    def from_csv(path: str | Path) -> ClickMap:
        """Read a map that `to_csv` wrote.

        Raises:
            LabError: file and line of what is missing, doubled or not a number.
        """
        from suspension_lab.workshop.click_map_file import read_click_map

        return read_click_map(path)

    def _column(self, measure: str) -> int:
        measure = getattr(measure, "__name__", measure)
        if measure not in self.measures:
            raise LabError(f"This map has no measure {shown(measure)}; {nearest_name(str(measure), self.measures)}")
        return self.measures.index(measure)


def more_is_better(measure: str) -> bool:
    """Whether a larger value of a measure is the better one; of measures that are not a ride's, less is."""
    try:
        return ride_measure(measure).smaller_is == "worse"
    except LabError:
        return False


def all_settings(clicks: Mapping[str, tuple[int, ...]], first: int = 0, last: int | None = None) -> Iterator[Clicks]:
    """Combinations of clicks from the `first` up to before the `last`, the last adjuster turned fastest."""
    shape = tuple(len(tried) for tried in clicks.values())
    for flat in range(first, int(np.prod(shape, dtype=object)) if last is None else last):
        at = np.unravel_index(flat, shape)
        yield Clicks(**{name: tried[i] for (name, tried), i in zip(clicks.items(), at, strict=True)})


def stretch_around(at: int, good: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last place of the stretch of good ones around one of them."""
    first = last = at
    while first > 0 and good[first - 1]:
        first -= 1
    while last + 1 < good.size and good[last + 1]:
        last += 1
    return first, last


def one_at_a_time(clicks: Mapping[str, tuple[int, ...]]) -> Iterator[Clicks]:
    """Combinations in which every setting of the rebound side and every one of the compression side comes up."""
    firsts = {name: tried[:1] for name, tried in clicks.items()}
    yield from all_settings(firsts | {name: tried for name, tried in clicks.items() if name == "rebound"})
    yield from all_settings(firsts | {name: tried for name, tried in clicks.items() if name != "rebound"})


def adjusters_in_order(names: Mapping[str, object]) -> list[str]:
    """The adjusters among some names, in the usual order."""
    return [name for name in ADJUSTERS if name in names]
