"""The trial of evenness: the same ride from soft to hard, and where the present setting sits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, NamedTuple

from suspension_lab.lab.evenness_panels import EvennessPicture
from suspension_lab.lab.road_choice import SPEEDS, SURFACES, USUAL_ROAD, ride_over
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
from suspension_lab.workshop.release_test import Verdict, rebound_verdicts

ROWS = {
    "All adjusters alike": ALIKE,
    "Rebound alone": "rebound",
    "Compression, low speed alone": "low_speed",
    "Compression, high speed alone": "high_speed",
}


class Found(NamedTuple):
    """What other settings do on a ride, and what the release test says of the rebound clicks."""

    felt: dict[Clicks, Felt]
    verdicts: Mapping[int, Verdict] | None


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
            "road": Choice(label="Road", options=SURFACES, usual=USUAL_ROAD),
            "harder": Choice(label="Harder by closing", options=ROWS),
        }
    )
    settings: Mapping[str, Setting] = field(default_factory=lambda: SPEEDS)

    def __post_init__(self) -> None:
        self._ride: tuple[Any, ...] = ()
        self._known: dict[Clicks, Felt] = {}
        self._judged: tuple[Any, ...] = ()
        self._verdicts: Mapping[int, Verdict] | None = None

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
        if ride[:2] != self._judged:
            self._judged, self._verdicts = ride[:2], None
        return Evenness(trace=trace, row=row, known=MappingProxyType(dict(self._known)), verdicts=self._verdicts)

    def later(self, run: Evenness) -> Callable[[threading.Event], Found] | None:
        """The settings that are not known yet: together, since 32 side by side take hardly longer than nine."""
        station = run.trace.station
        judge = run.verdicts is None and "rebound" in run.row.ranges and not station.rests_on_a_stop
        if not run.missing and not judge:
            return None
        return lambda stop: Found(
            felt_at(station, run.missing, run.trace, stop), rebound_verdicts(station) if judge else run.verdicts
        )

    def completed(self, run: Evenness, found: Found) -> Evenness:
        """The run among settings that are now known."""
        self._known |= found.felt
        self._verdicts = found.verdicts
        return replace(run, known=MappingProxyType(dict(self._known)), verdicts=found.verdicts)

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
