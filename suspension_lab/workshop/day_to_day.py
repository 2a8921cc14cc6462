"""How far what differs from day to day moves the measures: the doubt that no arithmetic can take away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from suspension_lab.excitation.hand import Release
from suspension_lab.excitation.road import Ride
from suspension_lab.excitation.roads.surfaces import iso8608
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.what_if import usual_spread

DEPTH = 0.035
"""Held down by [m]."""
ROAD, SPEED, SECONDS = "C", 30.0 / 3.6, 10.0
"""An average road, and the ride over it [m/s, s]."""
SHOWN = {"release": ("first_return_time", "overshoot"), "ride": ("tyre_load_variation", "weighted_acceleration")}


@dataclass(frozen=True, kw_only=True)
class DayRow:
    """A station with one thing at the low and at the high end of what it may be.

    Attributes:
        varied: what differs, from and to, in words.
        low, high: the measures at both ends, in the order of `DayTable.usual`.
    """

    varied: str
    low: Sequence[Measure]
    high: Sequence[Measure]


@dataclass(frozen=True, kw_only=True)
class DayTable:
    """Measures of a release and of a ride, as usual and with one thing at a time that differs."""

    usual: Sequence[Measure]
    rows: Sequence[DayRow]


def day_to_day(station: Station) -> DayTable:
    """What load, tyre pressure, oil and friction move, one at a time, and beside them one click of rebound.

    How far each goes is that of `usual_spread` (assumed, no source).

    Args:
        station: in its usual condition, with a wheel.

    Raises:
        LabError: as `simulate`.
    """
    spread = usual_spread(station)
    pairs = []
    for name in spread.varied:
        alone = replace(spread, **{other: None for other in spread.varied if other != name})
        pairs.append((alone.at(station, np.zeros(1)), alone.at(station, np.ones(1))))
    rows = [
        DayRow(varied=_from_to(low_words, high_words), low=_felt(low), high=_felt(high))
        for (low_words, low), (high_words, high) in pairs
    ]
    return DayTable(usual=_felt(station), rows=[*rows, *_one_click(station)])


def _from_to(low: str, high: str) -> str:
    """Two conditions, without saying twice what both begin with."""
    first, second = low.split(), high.split()
    same = next(i for i, (one, other) in enumerate(zip(first, second, strict=False)) if one != other)
    return f"{low} to {' '.join(second[same:])}"


def _one_click(station: Station) -> list[DayRow]:
    if "rebound" not in station.clicks:
        return []
    now = station.clicks["rebound"]
    if not 0 < now < station.damper.adjusters["rebound"]:
        return []
    closed, opened = (station.with_clicks(rebound=now + by) for by in (-1, 1))
    return [DayRow(varied=f"rebound {now - 1} to {now + 1} clicks out", low=_felt(closed), high=_felt(opened))]


@lru_cache(maxsize=1)
def _ride() -> Ride:
    return Ride(iso8608(ROAD, length=SPEED * SECONDS + 2.0, seed=1), SPEED)


def _felt(station: Station) -> tuple[Measure, ...]:
    traces = {"release": simulate(station, Release(depth=DEPTH)), "ride": simulate(station, _ride(), SECONDS)}
    return tuple(
        measure for test, keys in SHOWN.items() for measure in summary(traces[test]) if measure.key in keys
    )  # fmt: skip
