"""A robust map read in plain words: which clicks hold up, and how far from them one may stand."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.summary import ride_measure
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.click_map import NEAR, ClickMap
from suspension_lab.workshop.release_test import from_to, passing, rebound_verdicts
from suspension_lab.workshop.robust import Spread, conditions, robust_map

SPEED = 40.0 / 3.6
SECONDS = 6.0
STEPS = 12
"""About so many steps from closed to open are tried of compression."""


class Holds(NamedTuple):
    """What holds up, for one measure."""

    label: str
    clicks: str
    """The middle of the good ones, and the measure there in the worst condition."""
    valley: str
    """From and to which clicks each adjuster may stand."""


class HoldUp(NamedTuple):
    """A map over what a workshop does not know."""

    made: ClickMap
    sentences: list[str]
    """What was varied, and which rebound clicks were tried."""


def usual_robust_map(station: Station, samples: int = 16) -> HoldUp:
    """A robust map of rebound and low-speed clicks on an average road, over the rebound that passes the release test.

    Load from two thirds to one and a half times the rider's, tyre pressure 15 % either way, oil from 10 to 60 degC,
    friction from half to double (assumed, no source).

    Args:
        station: with a damper described by its parts.
        samples: conditions tried.

    Raises:
        LabError: a damper without adjusters or without oil of its own, a load under which it rests on a stop, or no
            rebound click that passes the release test in any condition.
    """
    load = (round(station.rider_mass / 1.5), max(round(1.5 * station.rider_mass), 1))
    spread = Spread(
        rider=load, tyre_pressure=(0.85, 1.15), friction=(0.5, 2.0),
        oil_temperature=(ZERO_CELSIUS + 10.0, ZERO_CELSIUS + 60.0),
    )  # fmt: skip
    adjusters = station.damper.adjusters
    tried = {name: range(0, most + 1, max(1, round(most / STEPS))) for name, most in adjusters.items()}
    rebound, says = _rebound_to_try(station, spread, samples) if "rebound" in adjusters else (None, [])
    ride = Ride(roads.iso8608("C", length=SECONDS * SPEED, seed=1), SPEED)
    made = robust_map(station, ride, spread, rebound=rebound, low_speed=tried.get("low_speed"), samples=samples)
    varied = (
        f"Varied: load {load[0]} to {load[1]} kg, tyre pressure 85 to 115 % of the usual, oil 10 to 60 °C, seal "
        "friction 50 to 200 % of the usual; on an average road (class C) at 40 km/h."
    )
    stays = f"High-speed compression stays at {station.clicks.high_speed}. " if "high_speed" in adjusters else ""
    return HoldUp(made, [stays + varied, *says])


def _rebound_to_try(station: Station, spread: Spread, samples: int) -> tuple[list[int], list[str]]:
    """The rebound clicks that pass the release test in most conditions, and what that says."""
    counts = Counter(
        click
        for _, varied in conditions(station, spread, samples)
        for click in passing(rebound_verdicts(varied))
    )  # fmt: skip
    if not counts:
        raise LabError(
            f"No rebound click of {station.name} passes the release test in any of {samples} conditions, so no setting "
            "holds up; look at spring, load and damper first."
        )
    most = max(counts.values())
    tried = sorted(click for click, count in counts.items() if count == most)
    if most == samples:
        says = f"Rebound was tried only where it passes the release test in all {samples} conditions: {from_to(tried)}."
        return tried, [says, REBOUND_FIRST]
    says = (
        f"No rebound click passes the release test in all {samples} conditions. Rebound was tried only where it passes "
        f"in most, {most} of them: {from_to(tried)}. Set rebound anew when load or oil temperature change."
    )
    return tried, [says, REBOUND_FIRST]


def read_robust(made: ClickMap) -> list[Holds]:
    """What holds up in a robust map, one entry for each of its measures."""
    return [_holds(made, measure) for measure in made.measures]


def _holds(made: ClickMap, measure: str) -> Holds:
    kind, across = ride_measure(measure), "worst"
    values, reach = made.over_cases(measure, across), made.valley(measure, NEAR, across)
    bad, best = made.badness(measure, across), made.best(measure, across)
    # The middle of what is good is farther from its edges than the best is.
    middle = Clicks(**{
        name: min((click for click in tried if low <= click <= high), key=lambda c: abs(c - 0.5 * (low + high)))
        for (name, tried), (low, high) in zip(made.clicks.items(), reach.values(), strict=True)
    })  # fmt: skip
    least = float(bad.min())
    at = _place(made, middle)
    if bad[at] > least + NEAR * abs(least):
        middle, at = best, _place(made, best)
    value, at_best = kind.at(float(values[at])), kind.at(float(values[_place(made, best)]))
    ranges = [
        f"{name.replace('_', '-')} {low} to {high}{' (hardly matters)' if (low, high) == (tried[0], tried[-1]) else ''}"
        for (name, (low, high)), tried in zip(reach.items(), made.clicks.values(), strict=True)
        if len(tried) > 1
    ]
    return Holds(
        kind.label, f"{middle} (at worst {value.text}; the best of all {at_best.shown})",
        ", ".join(ranges) or "nothing else was tried",
    )  # fmt: skip


def _place(made: ClickMap, clicks: Clicks) -> tuple[int, ...]:
    return tuple(tried.index(clicks[name]) for name, tried in made.clicks.items())
