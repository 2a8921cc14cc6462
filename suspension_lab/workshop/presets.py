"""Two settings to start from, street and track, found on the vehicle's own map and explained by what each gives up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.comfort import weighted_acceleration
from suspension_lab.measures.contact import tyre_load_variation
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.mapping import USUAL_MEASURES, click_map
from suspension_lab.workshop.plan import checked_station

STEPS = 12
"""About so many steps from closed to open are tried of each adjuster."""
STILL_EVEN = 1.05
"""A street setting may load the tyre this much less evenly than the best on the same roads."""
KM_H = 1.0 / 3.6


@dataclass(frozen=True, kw_only=True)
class Preset:
    """A setting to start from.

    Attributes:
        name: 'street' or 'track'.
        clicks: of the compression adjusters, out from closed.
        purpose: what it was chosen for, in a sentence.
        gives_up: what it gives up against the other, in a sentence.
    """

    name: str
    clicks: Clicks
    purpose: str
    gives_up: str


@lru_cache(maxsize=1)
def street_rides() -> tuple[Excitation, ...]:
    """A rough street at 40 km/h, a pothole at 30 km/h, a road hump at 25 km/h."""
    return (
        Ride(roads.iso8608("C", length=90.0, seed=1), 40.0 * KM_H),
        Ride(roads.pothole(depth=0.04, run_in=2.0, run_out=10.0), 30.0 * KM_H),
        Ride(roads.round_top_hump(height=0.075, run_in=2.0, run_out=10.0), 25.0 * KM_H),
    )


@lru_cache(maxsize=1)
def track_rides() -> tuple[Excitation, ...]:
    """A smooth track at 90 km/h, and its low kerb at 60 km/h."""
    return (
        Ride(roads.iso8608("A", length=200.0, seed=1), 90.0 * KM_H),
        Ride(roads.kerb(height=0.03, run_in=3.0, run_out=20.0), 60.0 * KM_H),
    )


def presets(station: Station) -> tuple[Preset, Preset]:
    """A street and a track setting for a vehicle, each the best of a coarse map of its compression clicks.

    Rebound stays where it is: it was set before, by the release test. The street setting shakes the body least among
    those that load the tyre nearly as evenly as the best one does and bottom out over a hump no more often; the track
    setting loads the tyre most evenly. That compression is opened for the street and closed for the track is common
    practice, no source; here it comes out of the roads, or does not.

    Args:
        station: with a compression adjuster, at the rebound clicks of the release test.

    Raises:
        LabError: a damper without a compression adjuster.
    """
    checked_station(station)
    adjusters = {name: most for name, most in station.damper.adjusters.items() if name != "rebound"}
    if not adjusters:
        raise LabError(
            f"{station.name} has no compression adjuster, so there is nothing to preset for street or track."
        )
    tried = {
        name: np.unique(np.round(np.linspace(0, most, min(STEPS, most) + 1)).astype(int)).tolist()
        for name, most in adjusters.items()
    }
    on_street = click_map(station, street_rides(), **tried, measures=(*USUAL_MEASURES, "bottoming"))
    on_track = click_map(station, track_rides(), **tried)
    # Over a single pothole the level road around it counts too: evenness is judged on the rough road alone.
    uneven = on_street["tyre_load_variation"][..., 0]
    blows = on_street["bottoming"].sum(axis=-1)
    allowed = (uneven <= STILL_EVEN * uneven.min()) & (blows <= blows.min())
    shaken = np.where(allowed, _over_best(on_street, "weighted_acceleration"), np.inf)
    street = on_street.clicks_at(int(np.argmin(shaken)))
    track = on_track.clicks_at(int(np.argmin(_over_best(on_track, "tyre_load_variation"))))
    return _street(station, street, track), _track(station, street, track)


def _over_best(made: ClickMap, measure: str) -> Array:
    """A measure over its best on each ride, the mean of the rides: each road has the same say."""
    values = made[measure]
    axes = tuple(range(values.ndim - 1))
    return np.asarray(np.mean(values / values.min(axis=axes, keepdims=True), axis=-1))


def _on(station: Station, clicks: Clicks, rides: Sequence[Excitation]) -> tuple[float, float]:
    """Tyre load variation [%] on the first of some rides, and weighted acceleration there [m/s^2]."""
    trace = simulate(station.with_clicks(**clicks), rides[0])
    return 100.0 * tyre_load_variation(trace), weighted_acceleration(trace)


def _street(station: Station, street: Clicks, track: Clicks) -> Preset:
    mine, other = _on(station, street, track_rides()), _on(station, track, track_rides())
    return Preset(
        name="street", clicks=street,
        purpose=(
            "Street: on a rough road, over a pothole and over a road hump it shakes the body least, among the settings "
            f"that load the tyre at most {100 * (STILL_EVEN - 1):.0f} % less evenly there than the best, and "
            "bottom out no more often."
        ),
        gives_up=_given_up(
            "Taken to the track", "evenness", "on a smooth track at 90 km/h the tyre load varies by",
            f"{mine[0]:.1f} %", f"{other[0]:.1f} %", mine[0] > other[0],
        ),
    )  # fmt: skip


def _track(station: Station, street: Clicks, track: Clicks) -> Preset:
    mine, other = _on(station, track, street_rides()), _on(station, street, street_rides())
    return Preset(
        name="track", clicks=track,
        purpose="Track: on a smooth track at 90 km/h and over its low kerb it loads the tyre most evenly.",
        gives_up=_given_up(
            "Taken to the street", "comfort", "on a rough road at 40 km/h the weighted acceleration of the body is",
            f"{mine[1]:.2f} m/s²", f"{other[1]:.2f} m/s²", mine[1] > other[1],
        ),
    )  # fmt: skip


def _given_up(where: str, what: str, how: str, mine: str, other: str, worse: bool) -> str:
    verb = f"it gives up {what}" if worse and mine != other else f"it gives up no {what} on this vehicle"
    return f"{where} {verb}: {how} {mine}, with the other setting {other}."
