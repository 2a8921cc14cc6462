"""The trial of evenness: the same ride from soft to hard, and where the present setting sits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.lab.evenness_panels import EvennessPicture
from suspension_lab.lab.trial import Choice, Setting, Trial
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.evenness import ALIKE, Evenness, Felt, Row, felt_at
from suspension_lab.workshop.plan import name_of
from suspension_lab.workshop.reading import compare_runs
from suspension_lab.workshop.reading_evenness import read_evenness

DURATION = 10.0
"""Of every ride [s]: measures over unequal times would not compare."""
FASTEST = 80
"""[km/h]"""
SPEEDS = {"speed": Setting(label="Speed", unit="km/h", low=10, high=FASTEST, value=30)}
"""The one setting of a ride."""
LENGTH = DURATION * FASTEST / 3.6 + 2.0
"""Of every road [m]: the fastest ride sees all of it, a slower one its beginning."""
SEED = 1
RUN_IN = 2.0
ROADS = {
    "Random road, class B (good)": "B",
    "Random road, class C (average)": "C",
    "Random road, class D (poor)": "D",
    "Random road, class E (very poor)": "E",
    "Cobbles": "cobbles",
    "Patched asphalt": "patched",
    "Expansion joints, every 5 m": "joints",
    "Washboard, 10 mm every 0.6 m": "washboard",
}
ROWS = {
    "All adjusters alike": ALIKE,
    "Rebound alone": "rebound",
    "Compression, low speed alone": "low_speed",
    "Compression, high speed alone": "high_speed",
}


@lru_cache(maxsize=len(ROADS))
def road_of(kind: str) -> Road:
    """One of `ROADS`, long enough for the fastest ride.

    Args:
        kind: a value of `ROADS`.
    """
    between = {"run_in": RUN_IN, "run_out": RUN_IN}
    if kind in roads.ROAD_CLASSES:
        return roads.iso8608(kind, length=LENGTH, seed=SEED)
    if kind == "cobbles":
        return roads.cobbles(length=LENGTH, seed=SEED, **between)
    if kind == "patched":
        return roads.patched_asphalt(length=LENGTH, patches=round(LENGTH / 6.0), seed=SEED, **between)
    if kind == "joints":
        return roads.expansion_joints(joints=round(LENGTH / 5.0), **between)
    return roads.washboard(height=0.01, bumps=round(LENGTH / 0.6), **between)


@dataclass(kw_only=True)
class EvennessTrial(Trial):
    """Ten seconds on a road, the same at settings from soft to hard.

    The ride at the present setting is simulated at once; those of the other settings follow later, and are kept for as
    long as vehicle, load, road and speed stay.
    """

    picture: EvennessPicture = field(default_factory=EvennessPicture)
    cautions: Sequence[str] = RIDING_TEST
    choices: Mapping[str, Choice] = field(
        default_factory=lambda: {
            "road": Choice(label="Road", options=ROADS),
            "harder": Choice(label="Harder by closing", options=ROWS),
        }
    )
    settings: Mapping[str, Setting] = field(default_factory=lambda: SPEEDS)

    def __post_init__(self) -> None:
        self._ride: tuple[Any, ...] = ()
        self._known: dict[Clicks, Felt] = {}

    def suits(self, station: Station) -> bool:
        """Whether it has a wheel to ride on, and adjusters to close."""
        return station.wheel_radius is not None and bool(station.damper.adjusters)

    def run(self, station: Station, now: Mapping[str, Any]) -> Evenness:
        """Ride at the present setting.

        Raises:
            LabError: a damper without adjusters or without the one that is to be closed.
        """
        row = Row(along=now["harder"], ranges=station.damper.adjusters, present=station.clicks)
        trace = simulate(station, Ride(road_of(now["road"]), now["speed"] / 3.6), DURATION)
        ride = tuple(now[name] for name in ("vehicle", "rider", "road", "speed"))
        if ride != self._ride:
            self._ride, self._known = ride, {}
        return Evenness(trace=trace, row=row, known=MappingProxyType(dict(self._known)))

    def later(self, run: Evenness) -> Callable[[threading.Event], dict[Clicks, Felt]] | None:
        """The settings that are not known yet: together, since 32 side by side take hardly longer than nine."""
        if not run.missing:
            return None
        return lambda stop: felt_at(run.trace.station, run.missing, run.trace, stop)

    def completed(self, run: Evenness, found: dict[Clicks, Felt]) -> Evenness:
        """The run among settings that are now known."""
        self._known |= found
        return replace(run, known=MappingProxyType(dict(self._known)))

    def title(self, run: Evenness) -> str:
        """Road and speed."""
        return name_of(run.trace.excitation)

    def words(self, run: Evenness) -> list[str]:
        """Where the setting sits between soft and hard."""
        return read_evenness(run)

    def compared(self, run: Evenness, kept: Evenness) -> list[str]:
        """What has changed."""
        return compare_runs(run.trace, kept.trace)

    def measures(self, run: Evenness) -> Sequence[Measure]:
        """Those of a ride."""
        return summary(run.trace)
