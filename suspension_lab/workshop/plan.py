"""What a map of clicks is to hold, cut into parts that any worker can do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from suspension_lab.common.checks import Array, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.measures.summary import ride_measure
from suspension_lab.simulation.settings import Ahead, simulate_settings, worked_out_ahead
from suspension_lab.simulation.simulate import course_of
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import adjusters_in_order, all_settings, one_at_a_time

Measured = str | Callable[[Trace], float]
"""A ride's measure by its key, or any function of a run."""
PART = 32
"""Settings in a part, or a multiple of it: as many as are marched side by side."""
FEWEST_PARTS, MOST_TOGETHER = 24, 8
"""A large map is cut into at least so many parts, of at most so many times 32 settings: each part sent costs time."""


class Case(NamedTuple):
    """One column of a map: a station, what is done to it, and a name for both."""

    name: str
    station: Station
    excitation: Excitation


def as_excitations(given: object) -> list[Excitation]:
    """One excitation or several, as a list.

    Raises:
        LabError: none, or something that is no excitation.
    """
    several: list[Any] = [given] if hasattr(given, "road_path") or not isinstance(given, Iterable) else list(given)
    if not several:
        raise LabError("The list of excitations is empty, where at least one ride was expected.")
    for each in several:
        if isinstance(each, Road):
            raise LabError("A Road alone is no excitation: a speed is missing; give lab.Ride(road, speed).")
        if not hasattr(each, "road_path"):
            raise LabError(f"{shown(each)} is no excitation, where a Ride, a Push or another one was expected.")
    return several


def checked_station(given: object) -> Station:
    """The station, held to be one.

    Raises:
        LabError: it is not.
    """
    if not isinstance(given, Station):
        raise LabError(f"The station is {shown(given)}, where a Station was expected, as lab.load_station gives it.")
    return given


def as_measures(given: object) -> tuple[Measured, ...]:
    """One measure or several, as a tuple.

    Raises:
        LabError: something that is no list of measures.
    """
    if isinstance(given, str) or callable(given):
        return (given,)
    if not isinstance(given, Iterable):
        raise LabError(f"The measures are {shown(given)}, where a list of them was expected.")
    return tuple(given)


def name_of(excitation: Excitation) -> str:
    """A ride as 'road, 40 km/h', a release or push by its size; another excitation by its own words."""
    if isinstance(excitation, Ride):
        return f"{excitation.road.name}, {3.6 * excitation.speed:.4g} km/h"
    if isinstance(excitation, Release):
        return f"release from {1e3 * excitation.depth:.4g} mm"
    if isinstance(excitation, Push):
        return f"push of {excitation.peak_force:.4g} N in {excitation.rise_time:.3g} s"
    return str(excitation)


def checked_axes(station: Station, asked: Mapping[str, Sequence[int] | None]) -> dict[str, tuple[int, ...]]:
    """The clicks to try for each adjuster, rising, held to the damper's ranges.

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
        if not isinstance(given[name], Iterable):
            raise LabError(f"{label} is {shown(given[name])}, where a list of clicks was expected, as range(0, 25).")
        tried = tuple(sorted(whole(f"{label} clicks", value, low=0, high=most) for value in given[name]))
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
        for measure in self.measures:
            if not isinstance(measure, str) and not (callable(measure) and hasattr(measure, "__name__")):
                raise LabError(
                    f"A measure of this map is {shown(measure)}, where the key of a ride's measure or a function with "
                    "a name was expected."
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
        shared: dict[int, Ahead] = {}
        # All cases of one setting before the next, so that a map which is stopped holds whole settings.
        size = PART * max(1, min(MOST_TOGETHER, self.settings // (PART * FEWEST_PARTS)))
        for first in range(0, self.settings, size):
            for number, case in enumerate(self.cases):
                if number not in shared:
                    shared[number] = worked_out_ahead(
                        case.station, case.excitation, self.duration, step=self.step,
                        settings=one_at_a_time(self.clicks),
                    )  # fmt: skip
                part = Part(
                    case=case, ahead=shared[number], clicks=self.clicks, first=first,
                    last=min(first + size, self.settings), measures=self.measures, duration=self.duration,
                    step=self.step,
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
    case, settings = part.case, list(all_settings(part.clicks, part.first, part.last))
    traces = simulate_settings(case.station, settings, case.excitation, part.duration, step=part.step, ahead=part.ahead)
    return np.array([[_value(measure, trace) for measure in part.measures] for trace in traces])


def _value(measure: Measured, trace: Trace) -> float:
    if isinstance(measure, str):
        return float(ride_measure(measure).found(trace))
    try:
        return float(measure(trace))
    except LabError:
        raise
    except Exception as error:
        raise LabError(
            f"The measure {measure.__name__} gave no number at {trace.station.clicks} ({error}); mend it, and try it "
            "on a single run first."
        ) from None


def different(names: Sequence[str]) -> list[str]:
    """Names told apart by a number where they are the same."""
    seen: Counter[str] = Counter()
    made = []
    for name in names:
        seen[name] += 1
        made.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return made
