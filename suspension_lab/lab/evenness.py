"""The trial of evenness: the same ride from soft to hard, and where the present setting sits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from suspension_lab.lab.evenness_panels import EvennessPicture
from suspension_lab.lab.road_choice import SPEEDS, SURFACES, ride_over
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

ROWS = {
    "All adjusters alike": ALIKE,
    "Rebound alone": "rebound",
    "Compression, low speed alone": "low_speed",
    "Compression, high speed alone": "high_speed",
}


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
            "road": Choice(label="Road", options=SURFACES),
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
        trace = simulate(station, *ride_over(now["road"], now["speed"] / 3.6))
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
