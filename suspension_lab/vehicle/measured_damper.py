"""A damper known by its measured force over shaft speed at several clicks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array
from suspension_lab.common.curves import straight_beyond
from suspension_lab.common.errors import LabError
from suspension_lab.common.text_files import Column, NumberTable, read_number_table
from suspension_lab.vehicle.clicks import Adjustable, Clicks, starting_clicks

_COLUMNS = [
    Column(name="clicks", unit="out from closed", most=200),
    Column(name="shaft speed", unit="m/s", units={"m/s": 1.0, "mm/s": 1e-3}, most=20.0),
    Column(name="force", unit="N", units={"N": 1.0, "kN": 1e3}, most=1e6),
]


@dataclass(frozen=True, kw_only=True, eq=False)
class MeasuredDamper(Adjustable):
    """Measured curves, joined by straight lines over speed and over clicks.

    The rebound half is taken at the rebound clicks and the compression half at the low-speed clicks, each between
    the two nearest measured settings. Beyond the last measured speed the curve goes on straight.

    Attributes:
        curves: clicks -> (shaft speeds [m/s] (n,), forces [N] (n,)), both positive in compression.
        adjusters: name -> clicks, from the largest clicks measured.
        clicks: where the adjusters stand; by default in the middle.
    """

    curves: Mapping[int, tuple[Array, Array]]
    adjusters: Mapping[str, int] = field(init=False)
    clicks: Clicks = field(default_factory=Clicks)

    def __post_init__(self) -> None:
        if not self.curves:
            raise LabError("A measured damper needs at least one curve of shaft speed and force.")
        most = max(self.curves)
        adjusters = {"rebound": most, "low_speed": most} if most > 0 and len(self.curves) > 1 else {}
        object.__setattr__(self, "adjusters", adjusters)
        object.__setattr__(self, "clicks", starting_clicks(adjusters, self.clicks))

    @classmethod
    def from_csv(cls, path: str | Path) -> MeasuredDamper:
        """Read a table with the columns clicks, shaft speed, force.

        Rows of one setting stand together, shaft speed rising from rebound (negative) through zero to compression.

        Raises:
            LabError: file and line of what is missing, out of order, or against the sign convention.
        """
        table = read_number_table(path, _COLUMNS, "a table of clicks, shaft speed and force")
        clicks = table["clicks"]
        broken = np.flatnonzero((clicks != np.round(clicks)) | (clicks < 0))
        if broken.size:
            at = int(broken[0])
            raise LabError(
                f"{table.path}, line {table.lines[at]}: clicks are {clicks[at]:g}, where a whole number from 0 "
                "(closed) up was expected; count them out from fully closed."
            )
        starts = [0, *(np.flatnonzero(np.diff(clicks)) + 1).tolist(), clicks.size]
        curves: dict[int, tuple[Array, Array]] = {}
        for first, end in pairwise(starts):
            setting = int(clicks[first])
            if setting in curves:
                raise LabError(
                    f"{table.path}, line {table.lines[first]}: {setting} clicks begin a second time, where another "
                    "setting was expected; sort the rows by clicks, then by shaft speed."
                )
            curves[setting] = _curve(table, first, end, setting)
        _same_reach(table, curves)
        return cls(curves=dict(sorted(curves.items())))

    @property
    def knees(self) -> tuple[float, float]:
        """Infinite: a measured curve has no single knee."""
        return -np.inf, np.inf

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        if not self.adjusters:
            return straight_beyond(v, *next(iter(self.curves.values())))
        return np.where(v < 0.0, self._between(v, self.clicks["rebound"]), self._between(v, self.clicks["low_speed"]))

    def _between(self, v: Array, clicks: int) -> Array:
        settings = np.array(list(self.curves))
        upper = int(np.clip(np.searchsorted(settings, clicks), 1, settings.size - 1))
        below, above = int(settings[upper - 1]), int(settings[upper])
        share = np.clip((clicks - below) / (above - below), 0.0, 1.0)
        lower, upper_force = straight_beyond(v, *self.curves[below]), straight_beyond(v, *self.curves[above])
        return np.asarray((1.0 - share) * lower + share * upper_force)


def _curve(table: NumberTable, first: int, end: int, setting: int) -> tuple[Array, Array]:
    speed, force = table["shaft speed"][first:end], table["force"][first:end]
    line = table.lines[first]
    unsorted = np.flatnonzero(np.diff(speed) <= 0.0)
    if unsorted.size:
        at = int(unsorted[0]) + 1
        raise LabError(
            f"{table.path}, line {table.lines[first + at]}: shaft speed goes from {speed[at - 1]:g} to "
            f"{speed[at]:g} m/s within {setting} clicks, where it should rise from line to line; sort these rows by "
            "shaft speed and drop doubled ones."
        )
    if speed.size < 3 or speed[0] >= 0.0 or speed[-1] <= 0.0:
        raise LabError(
            f"{table.path}, line {line}: the rows of {setting} clicks have a gap: they reach from {speed[0]:g} to "
            f"{speed[-1]:g} m/s in {speed.size} rows, where at least 3 rows from a negative shaft speed (rebound) to a "
            "positive one (compression) were expected; add what is missing."
        )
    above = int(np.searchsorted(speed, 0.0))
    if speed[above] - speed[above - 1] > 0.5 * (speed[-1] - speed[0]):
        raise LabError(
            f"{table.path}, line {table.lines[first + above]}: the rows of {setting} clicks have a gap from "
            f"{speed[above - 1]:g} to {speed[above]:g} m/s, where slow shaft speeds were expected too; add these rows."
        )
    wrong = np.flatnonzero((force * speed < 0.0) & (np.abs(speed) >= 0.05))
    if wrong.size:
        at = first + int(wrong[0])
        raise LabError(
            f"{table.path}, line {table.lines[at]}: {table['force'][at]:g} N at {table['shaft speed'][at]:g} m/s would "
            "push the way the shaft moves, where a force against it was expected; write both speed and force positive "
            "in compression and negative in rebound."
        )
    return speed, force


def _same_reach(table: NumberTable, curves: Mapping[int, tuple[Array, Array]]) -> None:
    widest = max(speed[-1] - speed[0] for speed, _ in curves.values())
    for setting, (speed, _) in curves.items():
        if speed[-1] - speed[0] < 0.5 * widest:
            raise LabError(
                f"{table.path}: the curve of {setting} clicks has a gap: it covers {speed[0]:g} to {speed[-1]:g} m/s, "
                "where at least half of what the widest one covers was expected; measure it as far, or leave it out."
            )
