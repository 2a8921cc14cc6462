"""Two settings to start from, street and track, found on the vehicle's own map and explained by what each gives up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import GRAVITY, Array
from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.comfort import weighted_acceleration
from suspension_lab.measures.travel import bottoming
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import NEAR, ClickMap, stretch_around
from suspension_lab.workshop.mapping import click_map
from suspension_lab.workshop.plan import checked_station
from suspension_lab.workshop.release_test import WORDS, Verdict, from_to, passing, rebound_verdicts, verdict_on

STEPS = 12
"""About so many steps from closed to open are tried of each adjuster (our choice)."""
HEAVY = 1.5
"""Times the usual rider and load: with so much it is told whether a street setting bottoms out (assumed)."""
SHIFT, SHIFT_TIME = 0.3, 0.2
"""Of its load that shifts to a wheel when one brakes (front) or pulls away (rear), and until when the dip is told [s]
(assumed)."""
KM_H = 1.0 / 3.6


@dataclass(frozen=True, kw_only=True)
class Preset:
    """A setting to start from.

    Attributes:
        name: 'street' or 'track'.
        clicks: of all adjusters, out from closed: in the middle of the good ones, not at their very best.
        reach: compression adjuster -> the clicks, from and to, that it may stand at alone.
        matters: whether some compression setting is not good.
        purpose: what it was chosen for, in a sentence.
        gives_up: what it gives up against the other, in a sentence.
    """

    name: str
    clicks: Clicks
    reach: Mapping[str, tuple[int, int]]
    matters: bool
    purpose: str
    gives_up: str


class Presets(NamedTuple):
    """Both, and what they stand on."""

    street: Preset
    track: Preset
    sentences: list[str]
    """On the rebound they hold for, and on the load they do not."""


@lru_cache(maxsize=1)
def street_rides() -> tuple[Excitation, ...]:
    """Two stretches of an average road at 40 km/h, a pothole at 30 km/h, a road hump at 25 km/h."""
    return (
        *(Ride(roads.iso8608("C", length=90.0, seed=seed), 40.0 * KM_H) for seed in (1, 2)),
        Ride(roads.pothole(depth=0.04, run_in=2.0, run_out=10.0), 30.0 * KM_H),
        Ride(roads.round_top_hump(height=0.075, run_in=2.0, run_out=10.0), 25.0 * KM_H),
    )


@lru_cache(maxsize=1)
def harsh_hump() -> Ride:
    """A hump of 100 mm, taken too fast at 40 km/h."""
    return Ride(roads.round_top_hump(height=0.1, run_in=2.0, run_out=12.0), 40.0 * KM_H)


@lru_cache(maxsize=1)
def track_rides() -> tuple[Excitation, ...]:
    """Three stretches of a very good road at 60 km/h, and a low kerb at the same speed."""
    return (
        *(Ride(roads.iso8608("A", length=90.0, seed=seed), 60.0 * KM_H) for seed in (1, 2, 3)),
        Ride(roads.kerb(height=0.03, run_in=3.0, run_out=20.0), 60.0 * KM_H),
    )


def presets(station: Station) -> Presets:
    """A street and a track setting for a vehicle, from coarse maps of its compression clicks.

    Rebound is not theirs to set: it stays where it is if it passes the release test, else they hold for the middle
    of those that do. Street: of the settings that load the tyre at most 5 % less evenly than the best and bottom out
    over a harsh hump no more often than they must, those that shake the body at most 5 % more than the least of them.
    Track: the firmer half of those that load the tyre at most 5 % less evenly than the best, since closed compression
    holds the body when weight shifts (common practice, no source; a push tells it). Of each the middle is taken, which
    is not an end stop unless nothing else is good.

    Args:
        station: with a compression adjuster.

    Raises:
        LabError: a damper without a compression adjuster, or a station that rests on a stop.
    """
    checked_station(station)
    adjusters = {name: most for name, most in station.damper.adjusters.items() if name != "rebound"}
    if not adjusters:
        raise LabError(
            f"{station.name} has no compression adjuster, so there is nothing to preset for street or track."
        )
    station, stands_on = _at_a_rebound_that_passes(station)
    tried = {
        name: np.unique(np.round(np.linspace(0, most, min(STEPS, most) + 1)).astype(int)).tolist()
        for name, most in adjusters.items()
    }
    on_street = click_map(station, street_rides(), **tried)
    on_track = click_map(station, track_rides(), **tried)
    blows = click_map(station, harsh_hump(), **tried, measures=["bottoming"])["bottoming"][..., 0]
    # Over a single bump the level road around it counts too: evenness is judged on the random roads alone.
    uneven = _over_best(on_street["tyre_load_variation"][..., :2])
    allowed = (uneven <= (1.0 + NEAR) * uneven.min()) & (blows <= blows.min())
    shaken = np.where(allowed, _over_best(on_street["weighted_acceleration"]), np.inf)
    street = _middle(on_street, shaken)
    track = _middle(on_track, _over_best(on_track["tyre_load_variation"]), firm=True)
    return Presets(
        _street(station, street, track), _track(station, street, track),
        [*stands_on, *_ends(station, "street", street.clicks), *_ends(station, "track", track.clicks),
         *_bottoms(station, street.clicks)],
    )  # fmt: skip


class _Chosen(NamedTuple):
    clicks: Clicks
    """Of compression."""
    reach: dict[str, tuple[int, int]]
    matters: bool


def _at_a_rebound_that_passes(station: Station) -> tuple[Station, list[str]]:
    """The station at its rebound, or at the nearest that passes the release test, and what was done."""
    now = station.clicks.rebound
    if now is None:
        says = verdict_on(station)
        fails = [f"Its rebound has no clicks, and in the release test it {WORDS[says]}: see to that first."]
        return station, [] if says is Verdict.PASSES else fails
    verdicts = rebound_verdicts(station)
    good = passing(verdicts)
    if not good:
        raise LabError(
            f"No rebound click of {station.name} passes the release test at this load, so no compression is worth "
            "choosing yet; look at spring, load and damper first."
        )
    would = f"as {from_to(good)} would, at this load and oil temperature"
    if verdicts[now] is Verdict.PASSES:
        edge = " It stands at the edge of them: another load or oil temperature moves them."
        at_edge = edge if now in (good[0], good[-1]) and len(good) > 2 else ""
        return station, [f"Both hold for rebound {now}, which passes the release test ({would}).{at_edge}"]
    middle = good[len(good) // 2]
    return station.with_clicks(rebound=middle), [
        f"Rebound {now} {WORDS[verdicts[now]]} in the release test. Both hold for rebound {middle}, the middle of the "
        f"clicks that pass ({would}): set it first."
    ]


def _over_best(values: Array) -> Array:
    """Values over their best on each ride, the mean of the rides (last axis): each road has the same say."""
    axes = tuple(range(values.ndim - 1))
    return np.asarray(np.mean(values / values.min(axis=axes, keepdims=True), axis=-1))


def _middle(made: ClickMap, cost: Array, *, firm: bool = False) -> _Chosen:
    """The good setting nearest to the middle of all good ones, and how far each adjuster may stand from it.

    Args:
        made: whose clicks are meant.
        cost: of each setting; good is what is near the least.
        firm: take the middle of the firmer half.
    """
    good: NDArray[np.bool_] = cost <= (1.0 + NEAR) * cost.min()
    places = np.argwhere(good)
    # By shares of each range, so that an adjuster of many clicks has no more say.
    shares = places / np.maximum(np.array(good.shape) - 1, 1)
    if firm:
        half = shares.mean(axis=1) <= np.median(shares.mean(axis=1))
        places, shares = places[half], shares[half]
    at = tuple(places[int(np.argmin(((shares - shares.mean(axis=0)) ** 2).sum(axis=1)))].tolist())
    reach = {}
    for axis, (name, tried) in enumerate(made.clicks.items()):
        line = np.moveaxis(good, axis, -1)[(*at[:axis], *at[axis + 1 :])]
        low, high = stretch_around(at[axis], line)
        reach[name] = (tried[low], tried[high])
    return _Chosen(made.clicks_at(int(np.ravel_multi_index(at, good.shape))), reach, not bool(good.all()))


def _bottoms(station: Station, street: Clicks) -> list[str]:
    """From which load on the street setting bottoms out over the harsh hump, or its rebound fails the release test."""
    said = []
    for load in (station.rider_mass, HEAVY * station.rider_mass):
        loaded = station.with_clicks(**street).with_rider(load)
        if loaded.rests_on_a_stop:
            return [f"With {load:.0f} kg: {loaded.rests_on_a_stop}"]
        if load > station.rider_mass and verdict_on(loaded) is not Verdict.PASSES:
            said.append(
                f"With {load:.0f} kg on it this rebound {WORDS[verdict_on(loaded)]} in the release test: set it anew "
                "for such a load."
            )
        if bottoming(simulate(loaded, harsh_hump())):
            return [
                *said,
                f"With {load:.0f} kg on it the street setting bottoms out on a hump of 100 mm at 40 km/h: ride slower "
                "over humps, and set preload for the load before you close compression.",
            ]
    return said


def _ends(station: Station, name: str, clicks: Clicks) -> list[str]:
    """Adjusters that a preset would stand on an end stop."""
    return [
        f"The {name} setting has {adjuster.replace('_', '-')} compression fully "
        f"{'closed' if not clicks[adjuster] else 'open'}: "
        "no click between is good here, so look at spring and damper before you ride so."
        for adjuster in clicks
        if adjuster != "rebound" and clicks[adjuster] in (0, station.damper.adjusters[adjuster])
    ]


def _dip(station: Station, clicks: Clicks) -> float:
    """How far the body dips when weight shifts to its wheel [mm]."""
    push = Push(peak_force=SHIFT * station.sprung_mass * GRAVITY, rise_time=0.1, hold_time=0.5)
    trace = simulate(station.with_clicks(**clicks), push)
    return -1e3 * float(trace.body[trace.time <= SHIFT_TIME].min())


def _shaken(station: Station, clicks: Clicks) -> float:
    """Weighted body acceleration on the first street ride [m/s^2]."""
    return weighted_acceleration(simulate(station.with_clicks(**clicks), street_rides()[0]))


def _made(name: str, station: Station, chosen: _Chosen, purpose: str, gives_up: str) -> Preset:
    return Preset(
        name=name, clicks=replace(station.clicks, **chosen.clicks), reach=chosen.reach, matters=chosen.matters,
        purpose=purpose, gives_up=gives_up,
    )  # fmt: skip


def _street(station: Station, street: _Chosen, track: _Chosen) -> Preset:
    mine, other = (_dip(station, each.clicks) for each in (street, track))
    purpose = (
        "Street: on an average road, over a pothole and over a road hump it shakes the body little, among the settings "
        f"that load the tyre at most {100 * NEAR:.0f} % less evenly than the best and bottom out no more often."
    )
    where = (
        f"under a quick push of {100 * SHIFT:.0f} % of its load, as weight that shifts to this wheel, the body dips in "
        f"the first {SHIFT_TIME:g} s by"
    )
    given = _given_up("Taken to the track", "hold of the body", where, mine, other, "{:.0f} mm")
    return _made("street", station, street, purpose, given)


def _track(station: Station, street: _Chosen, track: _Chosen) -> Preset:
    mine, other = (_shaken(station, each.clicks) for each in (track, street))
    purpose = (
        "Track: the firm side of what loads the tyre at most "
        f"{100 * NEAR:.0f} % less evenly than the best, on a very good road at 60 km/h and over its low kerb."
    )
    where = "on an average road at 40 km/h the weighted acceleration of the body is"
    given = _given_up("Taken to the street", "comfort", where, mine, other, "{:.2f} m/s²")
    return _made("track", station, track, purpose, given)


def _given_up(where: str, what: str, how: str, mine: float, other: float, shown: str) -> str:
    worse = mine > (1.0 + NEAR) * other
    verb = f"it gives up {what}" if worse else f"it gives up no {what} worth a word"
    return f"{where} {verb}: {how} {shown.format(mine)}, with the other setting {shown.format(other)}."
