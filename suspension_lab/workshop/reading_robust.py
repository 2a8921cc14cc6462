"""A robust map read in plain words: which clicks hold up, and how far from them one may stand."""

from __future__ import annotations

from typing import NamedTuple

from suspension_lab.excitation import roads
from suspension_lab.excitation.hand import Release
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.free_motion import swings
from suspension_lab.measures.summary import ride_measure
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.robust import Spread, robust_map

SPEED = 40.0 / 3.6
SECONDS = 6.0
RELEASE_DEPTH = 0.025
"""Of the release test that rebound clicks are held against [m]: even short-travel vehicles have so much left."""
STEPS = 12
"""About so many steps from closed to open are tried of each adjuster."""


class Holds(NamedTuple):
    """What holds up, for one measure."""

    label: str
    best: str
    """The clicks whose worst condition is best, and the measure there."""
    valley: str
    """From and to which clicks each adjuster may stand."""


def usual_robust_map(station: Station, samples: int = 16) -> tuple[ClickMap, str]:
    """A robust map of rebound and low-speed clicks on a rough road, and what was varied, in a sentence.

    Load from two thirds to one and a half times the rider's, tyre pressure 15 % either way, oil from 10 to 60 degC,
    friction from half to double (assumed, no source).

    Args:
        station: with a damper described by its parts.
        samples: conditions tried.

    Raises:
        LabError: a damper without adjusters or without oil of its own.
    """
    load = (round(station.rider_mass / 1.5), max(round(1.5 * station.rider_mass), 1))
    spread = Spread(
        rider=load, tyre_pressure=(0.85, 1.15), friction=(0.5, 2.0),
        oil_temperature=(ZERO_CELSIUS + 10.0, ZERO_CELSIUS + 60.0),
    )  # fmt: skip
    adjusters = station.damper.adjusters
    tried = {name: range(0, most + 1, max(1, round(most / STEPS))) for name, most in adjusters.items()}
    ride = Ride(roads.iso8608("C", length=SECONDS * SPEED, seed=1), SPEED)
    made = robust_map(
        station, ride, spread, rebound=tried.get("rebound"), low_speed=tried.get("low_speed"), samples=samples
    )
    sentence = (
        f"Varied: load {load[0]} to {load[1]} kg, tyre pressure 85 to 115 % of the usual, oil 10 to 60 °C, seal "
        "friction 50 to 200 % of the usual; on a rough road (class C) at 40 km/h."
    )
    return made, sentence


def read_robust(made: ClickMap) -> list[Holds]:
    """What holds up in a robust map, one entry for each of its measures."""
    found = []
    for name in made.measures:
        kind, best = ride_measure(name), made.best(name, "worst")
        at = tuple(made.clicks[adjuster].index(best[adjuster]) for adjuster in made.clicks)
        value = kind.at(float(made.over_cases(name, "worst")[at]))
        reach = made.valley(name, 0.05, "worst")
        valley = ", ".join(f"{adjuster.replace('_', '-')} {low} to {high}" for adjuster, (low, high) in reach.items())
        found.append(Holds(kind.label, f"{best} (at worst {value.text})", valley))
    return found


def swings_on(station: Station, made: ClickMap) -> list[str]:
    """What the release test says to the rebound clicks that a map found best: a sentence for each that swings on."""
    best = {made.best(name, "worst").rebound for name in made.measures}
    found = []
    for rebound in sorted(clicks for clicks in best if clicks is not None):
        count = swings(simulate(station.with_clicks(rebound=rebound), Release(depth=RELEASE_DEPTH)))
        if count >= 2:
            says = f"But rebound {rebound} swings on in the release test ({count} visible swings)."
            found.append(f"{says} {REBOUND_FIRST}")
    return found
