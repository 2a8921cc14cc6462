"""A damper that warms over minutes of riding, with a reservoir and without: temperatures, return times, clicks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Release
from suspension_lab.measures.drift import drifts_in_clicks, fade
from suspension_lab.measures.free_motion import first_return_time, settling_time
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.heat import WarmUp, warm_up
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import by_parts
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.shell import ALUMINIUM, Shell
from suspension_lab.vehicle.station import Station

USUAL_RESERVOIR = Shell(mass=0.45, diameter=0.042, length=0.11, specific_heat=ALUMINIUM)
"""For a damper that has none (assumed size, no source)."""
DEPTH = 0.035
"""Of the release test in between [m]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Warming:
    """One ride twice.

    Attributes:
        run: the ride as asked for.
        other: the same with the reservoir's metal and surface taken away, or added where it was without.
        with_reservoir: the first has them.
    """

    run: WarmUp
    other: WarmUp
    with_reservoir: bool

    @cached_property
    def releases(self) -> tuple[Trace, Trace]:
        """The release test at the start and at the end."""
        first, last = _releases(self.run, (0, -1))
        return first, last


def ride_until_warm(station: Station, excitation: Excitation, *, reservoir: bool, **settings: Any) -> Warming:
    """Minutes of riding, with a reservoir and without.

    Args:
        station: with a damper described by its parts.
        excitation: the stretch that is ridden over and over.
        reservoir: whether the ride asked for has one; where the damper has none of its own it is `USUAL_RESERVOIR`.
        settings: as of `warm_up`: duration, air_temperature, air_speed, step.

    Raises:
        LabError: as `warm_up`.
    """
    damper = by_parts(station)
    bodies = {True: (damper.body, damper.reservoir or USUAL_RESERVOIR), False: (damper.body,)}
    run, other = (
        warm_up(station, excitation, shells=bodies[has_it], **settings) for has_it in (reservoir, not reservoir)
    )
    return Warming(run=run, other=other, with_reservoir=reservoir)


def warming_summary(ride: Warming) -> tuple[Measure, ...]:
    """The numbers of a ride, ready for a table."""
    run, other = ride.run, ride.other
    first, last = run.station.damper, run.at(-1).damper
    own, there = float(run.temperature[-1]), float(other.temperature[-1])
    ends = {"with": own, "without": there} if ride.with_reservoir else {"with": there, "without": own}
    found = [
        Measure(key="temperature", label="Oil at the end", name="oil temperature",
                value=float(run.temperature[-1]) - ZERO_CELSIUS, unit="°C", smaller_is="better", resolution=1.0),
        Measure(key="steady_temperature", label="It would settle at about", name="settled temperature",
                value=run.steady_temperature - ZERO_CELSIUS, unit="°C", smaller_is="better", resolution=1.0),
        *(
            Measure(key=f"temperature_{key}", label=f"The same ride {key} a reservoir: oil at the end",
                    name=f"oil temperature {key} a reservoir", value=value - ZERO_CELSIUS, unit="°C", resolution=1.0)
            for key, value in ends.items()
        ),
        Measure(key="power", label="Heat into the damper at the end", name="heat", value=float(run.power[-1]),
                unit="W", resolution=1.0),
        *(
            Measure(key=f"{key}_{when}_the_ride", label=f"Release test {when} the ride: {label}",
                    name=f"{name} {when} the ride", value=value(trace, BAND), unit="s", digits=2, resolution=0.01)
            for when, trace in zip(("before", "after"), ride.releases, strict=True)
            for key, label, name, value in (
                ("first_return", "first back", "first return", first_return_time),
                ("settling_time", "settled", "settling time", settling_time),
            )
        ),
        Measure(key="fade", label="Rebound force gone, at 0.1 m/s", name="fade",
                value=100.0 * fade(last, first), unit="%", smaller_is="better", resolution=0.5),
    ]  # fmt: skip
    if "rebound" in first.adjusters:
        found.append(
            Measure(key="drift", label="Rebound acts more open than at the start by", name="drift of rebound",
                    value=float(drifts(run)[-1]), unit="clicks", digits=1, smaller_is="better", resolution=0.1)
        )  # fmt: skip
    return tuple(found)


@lru_cache(maxsize=8)
def settled(run: WarmUp) -> Array:
    """When the release test has settled, at each instant [s], (n,); infinite where not within the test."""
    return np.array([settling_time(trace, BAND) for trace in _releases(run, range(run.time.size))])


def _releases(run: WarmUp, instants: Iterable[int]) -> list[Trace]:
    return [simulate(run.at(i), Release(depth=DEPTH)) for i in instants]


@lru_cache(maxsize=8)
def drifts(run: WarmUp) -> Array:
    """By how many rebound clicks the damper acts more open than at the start, (n,); nan where it has none."""
    first = run.station.damper
    if "rebound" not in first.adjusters:
        return np.full(run.time.size, np.nan)
    return drifts_in_clicks([run.at(i).damper for i in range(run.time.size)], first)
