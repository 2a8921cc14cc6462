"""Is this vehicle sound? What to look at again before its numbers are believed.

The bounds are wider than good practice: they are to find a wrong number, not a matter of taste.
"""

from __future__ import annotations

from suspension_lab.common.errors import LabError
from suspension_lab.simulation.linear import Modes, body_damping_ratio, modes
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import (
    WORDS,
    Verdict,
    friction_hold,
    from_to,
    passing,
    rebound_verdicts,
    usual_release,
    verdict_on,
)
from suspension_lab.workshop.soundness_damper import damper_doubts

SAG_SHARE = (0.20, 0.45)
"""Rider sag over travel; practice asks for a quarter to a third (common practice, no source)."""
BODY_FREQUENCY = (0.8, 4.0)
"""[Hz]; cars 1 to 1.5 Hz (after Gillespie, Fundamentals of Vehicle Dynamics, 1992, from memory), small two-wheelers
up to 2.5 Hz (common practice, no source)."""
WHEEL_FREQUENCY = (8.0, 30.0)
"""[Hz]; wheel hop of cars and two-wheelers lies at 10 to 20 Hz (common practice, no source). Not judged where the file
has no wheel: the foot of a bench rig is no tyre."""
DAMPING_RATIO = (0.1, 1.0)
"""Mean of both directions, of the body alone; 0.2 to 0.4 is usual (after Dixon, The Shock Absorber Handbook, 2nd ed.
2007, from memory)."""
FRICTION_HOLD = 0.004
"""[m] (common practice, no source)."""
UNSPRUNG_SHARE = 0.5
"""Largest unsprung over sprung mass, rider included (common practice, no source)."""


def doubts(station: Station) -> list[str]:
    """What is doubtful about a station at its present clicks and load, one sentence each; empty where it is sound."""
    if station.rests_on_a_stop:
        # All else would be judged by the stop's hardness, not by the spring's.
        return [*_at_rest(station), *_masses(station)]
    return [
        *_at_rest(station),
        *_frequencies(station, modes(station)),
        *_damping(station),
        *_rebound(station),
        *_friction(station),
        *damper_doubts(station),
        *_masses(station),
    ]


def _friction(station: Station) -> list[str]:
    held = friction_hold(station)
    if held <= FRICTION_HOLD:
        return []
    return [
        f"Seal friction can hold the body {1e3 * held:.0f} mm off ride height, which no click makes up "
        "for; check friction_N, then seals and linkage."
    ]


def _at_rest(station: Station) -> list[str]:
    if station.travel is None:
        return []
    found = []
    on_a_stop = station.rests_on_a_stop
    share = station.sag.rider / station.travel
    if on_a_stop:
        found.append(on_a_stop)
    elif not SAG_SHARE[0] <= share <= SAG_SHARE[1]:
        mend = (
            "too much preload or too hard a spring"
            if share < SAG_SHARE[0]
            else "too little preload or too soft a spring"
        )
        found.append(
            f"Rider sag is {100 * share:.0f} % of the travel, outside {100 * SAG_SHARE[0]:.0f} to "
            f"{100 * SAG_SHARE[1]:.0f} %: {mend} for this load; check preload, spring rate, motion ratio and masses."
        )
    if station.rider_mass > 0.0 and station.sag.free <= 0.0 < station.sag.rider:
        # A bike that hangs on its top-out stop without its rider (common practice, no source).
        found.append(
            "Without rider and load it tops out at rest, with no free sag left: the preload is large for this spring; "
            "check preload_mm and the spring's rate."
        )
    return found


def _frequencies(station: Station, mean: Modes) -> list[str]:
    found = []
    low, high = BODY_FREQUENCY
    body = mean.body.frequency
    if not low <= body <= high:
        found.append(
            f"The body swings at {body:.2g} Hz, outside {low:g} to {high:g} Hz: the spring is too "
            f"{'soft' if body < low else 'hard'} for this mass; check spring rate, motion ratio and sprung mass."
        )
    low, high = WHEEL_FREQUENCY
    wheel = mean.wheel.frequency
    if station.wheel_radius is not None and not low <= wheel <= high:
        found.append(
            f"The wheel hops at {wheel:.2g} Hz, outside {low:g} to {high:g} Hz: the tyre is too "
            f"{'soft' if wheel < low else 'hard'} for this unsprung mass; check tyre stiffness and unsprung mass."
        )
    return found


def _damping(station: Station) -> list[str]:
    # Of the body alone, c / (2 sqrt(k m)): it grows with the damper without end. The two-mass mode does not: under a
    # damper that is far too strong both masses swing as one on the tyre, with little damping.
    mean, rebound, compression = (body_damping_ratio(station, side) for side in ("mean", "rebound", "compression"))
    found = []
    low, high = DAMPING_RATIO
    if not low <= mean <= high:
        found.append(
            f"The mean damping of the body is {mean:.2g} of critical, outside {low:g} to {high:g}: the damper is too "
            f"{'weak' if mean < low else 'strong'} for this vehicle; check its slopes, the motion ratio and the clicks."
        )
    if rebound < compression:
        # After Dixon (as above): rebound takes 60 to 80 % of the damping.
        found.append(
            f"Rebound damping ({rebound:.2g} of critical) is weaker than compression ({compression:.2g}), where the "
            "other way round is usual; check that the two sides are not swapped, and the clicks."
        )
    return found


def _rebound(station: Station) -> list[str]:
    now = station.clicks.rebound
    if now is None:
        return []
    try:
        depth = usual_release(station).depth
    except LabError as error:
        return [str(error)]
    says = verdict_on(station)
    if says in (Verdict.PASSES, Verdict.HIDDEN):
        return []
    good = passing(rebound_verdicts(station))
    mend = (
        f"{from_to(good)} would pass at this load and oil temperature, with compression open"
        if good
        else "no click of this adjuster would pass; check spring, masses, oil and damper sizes"
    )
    return [f"In the release test from {1e3 * depth:.0f} mm rebound {now} {WORDS[says]}; {mend}."]


def _masses(station: Station) -> list[str]:
    share = station.unsprung_mass / station.sprung_mass
    if share <= UNSPRUNG_SHARE:
        return []
    return [
        f"The unsprung mass is {100 * share:.0f} % of the sprung mass, more than {100 * UNSPRUNG_SHARE:.0f} %; check "
        "that both are of one wheel, and that the rider is counted in."
    ]
