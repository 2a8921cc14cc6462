"""What a map of clicks is to hold, cut into parts that any worker can do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array, whole
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.summary import ride_measure
from suspension_lab.simulation.settings import Ahead, simulate_settings, worked_out_ahead
from suspension_lab.simulation.simulate import course_of
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import adjusters_in_order, all_settings, one_at_a_time

Measured = str | Callable[[Trace], float]
"""A ride's measure by its key, or any function of a run."""
PART = 32
"""Settings in a part: as many as are marched side by side."""


class Case(NamedTuple):
    """One column of a map: a station, what is done to it, and a name for both."""

    name: str
    station: Station
    excitation: Excitation


def name_of(excitation: Excitation) -> str:
    """A ride as 'road, 40 km/h'; another excitation by its own words."""
    if isinstance(excitation, Ride):
        return f"{excitation.road.name}, {3.6 * excitation.speed:.4g} km/h"
    return str(excitation)


def checked_axes(station: Station, asked: Mapping[str, Sequence[int] | None]) -> dict[str, tuple[int, ...]]:
    """The clicks to try for each adjuster, held to the damper's ranges.

    Raises:
        LabError: none at all, an empty list, clicks out of range or doubled, or an adjuster the damper does not have.
    """
    given = {name: tried for name, tried in asked.items() if tried is not None}
    if not given:
        raise LabError("A click map needs the clicks to try of at least one adjuster, such as rebound=range(0, 25).")
    axes = {}
    for name in adjusters_in_order(given):
        label = name.replace("_", "-")
        if name not in station.damper.adjusters:
            station.with_clicks(**{name: 0})
        most = station.damper.adjusters[name]
        tried = tuple(whole(f"{label} clicks", value, low=0, high=most) for value in given[name])
        if not tried:
            raise LabError(f"{label} has no clicks to try: the map would be empty; give some of 0 to {most}.")
        if len(set(tried)) < len(tried):
            raise LabError(f"{label} has the same clicks twice, where each was expected once; drop the doubled ones.")
        axes[name] = tried
    return axes


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """What a map is to hold: cases, the clicks of each adjuster, and measures."""

    cases: Sequence[Case]
    clicks: Mapping[str, tuple[int, ...]]
    measures: tuple[Measured, ...]
    duration: float | None = None
    step: float | None = None

    def __post_init__(self) -> None:
        if not self.measures:
            raise LabError(
                "The list of measures is empty, where at least one was expected, such as tyre_load_variation."
            )
        names = self.names
        if len(set(names)) < len(names):
            raise LabError(f"Two of the measures have one name ({', '.join(names)}); give each a name of its own.")
        for measure in self.measures:
            if isinstance(measure, str):
                ride_measure(measure)

    @property
    def names(self) -> tuple[str, ...]:
        """Of the measures."""
        return tuple(each if isinstance(each, str) else each.__name__ for each in self.measures)

    @property
    def settings(self) -> int:
        """How many combinations of clicks there are."""
        return int(np.prod([len(tried) for tried in self.clicks.values()], dtype=object))

    @property
    def samples(self) -> int:
        """Of all runs together, with the cases as long as the first."""
        first = self.cases[0]
        course = course_of(first.station, first.excitation, self.duration, self.step)
        return course.samples * self.settings * len(self.cases)

    def parts(self) -> Iterator[tuple[int, int, Part]]:
        """The case and the first setting of each part, and the part."""
        for number, case in enumerate(self.cases):
            ahead = worked_out_ahead(
                case.station, case.excitation, self.duration, step=self.step, settings=one_at_a_time(self.clicks)
            )
            for first in range(0, self.settings, PART):
                part = Part(
                    case=case, ahead=ahead, clicks=self.clicks, first=first, last=min(first + PART, self.settings),
                    measures=self.measures, duration=self.duration, step=self.step,
                )  # fmt: skip
                yield number, first, part


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """Some of a map's settings in one case, with all that a worker needs."""

    case: Case
    ahead: Ahead
    clicks: Mapping[str, tuple[int, ...]]
    first: int
    last: int
    measures: tuple[Measured, ...]
    duration: float | None
    step: float | None


def measured(part: Part) -> Array:
    """The measures of a part's settings, (settings, measures)."""
    find = [ride_measure(each).found if isinstance(each, str) else each for each in part.measures]
    case, settings = part.case, list(all_settings(part.clicks, part.first, part.last))
    traces = simulate_settings(case.station, settings, case.excitation, part.duration, step=part.step, ahead=part.ahead)
    return np.array([[float(measure(trace)) for measure in find] for trace in traces])


def different(names: Sequence[str]) -> list[str]:
    """Names told apart by a number where they are the same."""
    seen: Counter[str] = Counter()
    made = []
    for name in names:
        seen[name] += 1
        made.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return made
