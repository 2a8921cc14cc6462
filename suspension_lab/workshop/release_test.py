"""The release test's verdict on a setting: does it swing on, does it creep back, or does it pass?

Rebound comes first: what a road says counts only among the clicks that pass here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from enum import IntEnum

from suspension_lab.common.checks import GRAVITY
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.hand import Release
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.mapping import click_map

HALF_SECOND_DEFLECTION = 0.050
"""Static deflection of a short-travel station that is timed to half a second [m] (common practice, no source)."""
ON_TARGET = 1.2
"""Up to this many times its target a settling time counts as met (our choice)."""
DEPTH = 0.025
"""Of the test that clicks are held against [m]: even short-travel vehicles have so much left (our choice)."""
MOST_OF_THE_ROOM, LEAST_DEPTH = 0.9, 0.005
"""Of the travel that is left at rest before the bump stop, where that is short; and a depth that tells nothing more
[m] (our choice)."""
HIDES = 0.2
"""From this share of the depth on, at which dry friction alone can hold the body, it hides the damper (our choice)."""


class Verdict(IntEnum):
    """What the release test says of a setting."""

    TOO_CLOSED = -1
    PASSES = 0
    TOO_OPEN = 1
    HIDDEN = 2


WORDS = {
    Verdict.TOO_CLOSED: "creeps back: too closed",
    Verdict.PASSES: "passes",
    Verdict.TOO_OPEN: "swings on: too open",
    Verdict.HIDDEN: "tells nothing: friction hides the damper, look at seals and linkage",
}


def target_time(station: Station) -> float:
    """Time after which a well-set station has settled in the release test [s].

    Half a second for a short-travel vehicle and about one second for a long-travel one (common practice, no source);
    between them it goes with the root of the static deflection, as the period of a mass on a spring does.
    """
    deflection = station.sprung_mass * GRAVITY / station.wheel_rate
    return 0.5 * math.sqrt(deflection / HALF_SECOND_DEFLECTION)


def friction_hold(station: Station) -> float:
    """How far off ride height dry friction alone can hold the body [m], F / k (textbook, Coulomb friction)."""
    if station.wheel_rate <= 0.0:
        return math.inf if station.friction else 0.0
    return station.friction * float(station.ratio(station.static_travel)) / station.wheel_rate


def settles_on_time(trace: Trace) -> bool:
    """Whether a released body has settled by its target; where dry friction alone holds it off, as near as that lets.

    (The band is then a fifth wider than that: our choice.)

    Raises:
        LabError: nothing to come back from.
    """
    held = friction_hold(trace.station) / abs(float(trace.body[0]))
    return settling_time(trace, min(max(BAND, 1.2 * held), 1.0)) <= ON_TARGET * target_time(trace.station)


def verdict(trace: Trace) -> Verdict:
    """What a released body shows: two or more visible swings, or a slow one, are too open; a creep is too closed.

    (Common practice, no source.)

    Args:
        trace: of a `Release`.

    Raises:
        LabError: nothing to come back from.
    """
    if friction_hold(trace.station) > HIDES * abs(float(trace.body[0])):
        return Verdict.HIDDEN
    count = swings(trace)
    if count <= 1 and settles_on_time(trace):
        return Verdict.PASSES
    return Verdict.TOO_OPEN if count else Verdict.TOO_CLOSED


def release_verdict(trace: Trace) -> float:
    """As `verdict`, as a measure of a map."""
    return float(verdict(trace))


def usual_release(station: Station) -> Release:
    """A release that stays off the bump stop, whose rubber would throw the body back.

    Raises:
        LabError: a station that rests on a stop, or hardly above it.
    """
    if station.rests_on_a_stop:
        raise LabError(f"The release test tells nothing here. {station.rests_on_a_stop}")
    if station.travel is None or station.bump_stop is None:
        return Release(depth=DEPTH)
    depth = min(DEPTH, MOST_OF_THE_ROOM * (station.travel - station.bump_stop.length - station.static_travel))
    if depth < LEAST_DEPTH:
        raise LabError(
            f"The release test tells nothing here: {station.name} stands {1e3 * depth / MOST_OF_THE_ROOM:.0f} mm above "
            "its bump stop; add preload or take load off."
        )
    return Release(depth=depth)


def verdict_on(station: Station) -> Verdict:
    """What the release test says of a station's rebound, as `rebound_verdicts` does of all.

    Raises:
        LabError: as `usual_release`.
    """
    return verdict(simulate(_opened(station), usual_release(station)))


def _opened(station: Station) -> Station:
    return station.with_clicks(**{name: most for name, most in station.damper.adjusters.items() if name != "rebound"})


def rebound_verdicts(station: Station) -> dict[int, Verdict]:
    """The release test at every rebound click, compression open.

    Open is the stricter: compression damps the way down, so what does not swing on there does not at firmer clicks
    either (a test holds it on all demo vehicles).

    Raises:
        LabError: as `usual_release`, or a damper without a rebound adjuster.
    """
    tried = range(station.damper.adjusters.get("rebound", 0) + 1)
    made = click_map(_opened(station), usual_release(station), rebound=tried, measures=[release_verdict])
    return {click: Verdict(int(said)) for click, said in zip(tried, made["release_verdict"][:, 0], strict=True)}


def passing(verdicts: Mapping[int, Verdict]) -> list[int]:
    """The clicks that pass."""
    return [click for click, said in verdicts.items() if said is Verdict.PASSES]


def so_many(clicks: int, what: str = "click") -> str:
    """A number of clicks, or of something else, in words."""
    return f"1 {what}" if clicks == 1 else f"{clicks} {what}s"


def from_to(clicks: Sequence[int]) -> str:
    """Clicks in words: 'click 5', 'clicks 4 to 9', 'clicks 3 to 5 and 8'."""
    runs: list[list[int]] = []
    for click in sorted(clicks):
        if runs and click == runs[-1][-1] + 1:
            runs[-1].append(click)
        else:
            runs.append([click])
    said = [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    every = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
    return f"{'click' if len(clicks) == 1 else 'clicks'} {every}"


def refusal_of(verdicts: Mapping[int, Verdict] | None, clicks: Clicks) -> list[str]:
    """What the release test has against a setting's rebound, and which clicks pass; nothing where it passes.

    Args:
        verdicts: as `rebound_verdicts`; None: not judged.
        clicks: the setting.
    """
    if verdicts is None or clicks.rebound is None or verdicts[clicks.rebound] is Verdict.PASSES:
        return []
    good = passing(verdicts)
    mend = (
        f"set it there first ({from_to(good)} {'passes' if len(good) == 1 else 'pass'} at this load and oil "
        "temperature, with compression open)"
        if good
        else "no click of this adjuster passes at this load and oil temperature, so none is advised; look at spring, "
        "load and damper"
    )
    says = WORDS[verdicts[clicks.rebound]]
    return [f"In the release test rebound {clicks.rebound} {says}: {mend}."]
