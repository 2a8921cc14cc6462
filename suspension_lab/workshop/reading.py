"""A run read in plain words: what it shows, and what it would mean at the vehicle."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import suppress

import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.damper_use import damper_use
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import BAND, summary
from suspension_lab.measures.travel import bottoming, bump_stop_hits, topping_out
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.reading_plate import read_plate
from suspension_lab.workshop.reading_ride import NOT_REACHED, has_both_adjusters, read_ride, which_matters
from suspension_lab.workshop.release_test import (
    WORDS,
    Verdict,
    friction_hold,
    settles_on_time,
    target_time,
    usual_release,
    verdict,
    verdict_on,
)

ANOTHER_TEST = "The kept run was another vehicle or another test: better and worse cannot be told between the two."
MOST_CHANGES = 4
"""So many changes of a kind are said; the table has them all."""
SAID_BY = {
    "longest_contact_loss": "contact_loss",
    "maximum_transient_vibration": "weighted_acceleration",
    "vibration_dose": "weighted_acceleration",
}
"""A change need not be said where the other has changed the same way."""
SMALL_SHARE = 15.0
"""Under this percentage of the hand's force the hand is said to feel mostly the spring (our choice)."""
HARDLY = 0.1
"""Clicks hardly change a push whose depth differs by less than this share from closed to open (our choice)."""


def read_run(trace: Trace) -> list[str]:
    """Sentences on a run: first what the picture says, then what it would mean at the vehicle."""
    if isinstance(trace.excitation, Release):
        sentences = _read_release(trace)
    elif isinstance(trace.excitation, Push):
        sentences = _read_push(trace, trace.excitation)
    elif isinstance(trace.excitation, ShakerPlate):
        sentences = read_plate(trace)
    else:
        sentences = read_ride(trace)
    return [*sentences, *read_ends(trace)]


def compare_runs(trace: Trace, kept: Trace, measures: Callable[[Trace], Sequence[Measure]] = summary) -> list[str]:
    """What changed against the kept run: the better and the worse alike, the largest changes first.

    Args:
        trace, kept: two runs of one test.
        measures: those that are compared.
    """
    if not _same_test(trace, kept):
        return [ANOTHER_TEST]
    return compare_measures(measures(trace), measures(kept))


def compare_measures(measures: Sequence[Measure], kept: Sequence[Measure]) -> list[str]:
    """What changed between two tables of one test: the better and the worse alike, the largest changes first."""
    before = {measure.key: measure for measure in kept}
    changed = [(now, before[now.key]) for now in measures if now.key in before and _differs(now, before[now.key])]
    grew = {now.key: now.value > was.value for now, was in changed}
    groups: dict[str, list[str]] = {"changed": [], "better": [], "worse": []}
    for now, was in sorted(changed, key=lambda pair: -_relative_change(*pair)):
        if grew.get(SAID_BY.get(now.key, "")) == grew[now.key]:
            continue
        improved = (now.value < was.value) == (now.smaller_is == "better")
        group = "changed" if not now.smaller_is else "better" if improved else "worse"
        text = f"{now.name} {was.shown} → {now.text}" if math.isfinite(was.value) else f"{now.name} now {now.text}"
        groups[group].append(text)
    said = [
        f"Against the kept run, {word}: {'; '.join(items[:MOST_CHANGES])}." for word, items in groups.items() if items
    ]
    return said or ["Against the kept run: no change worth a word."]


def _same_test(trace: Trace, kept: Trace) -> bool:
    one, other = trace.excitation, kept.excitation
    if trace.station.name != kept.station.name or type(one) is not type(other):
        return False
    if isinstance(one, Ride) and isinstance(other, Ride):
        same_road = np.array_equal(one.road.distance, other.road.distance)
        return same_road and np.array_equal(one.road.height, other.road.height) and one.speed == other.speed
    return one == other


def _relative_change(now: Measure, was: Measure) -> float:
    if not (math.isfinite(now.value) and math.isfinite(was.value)):
        return math.inf
    return abs(now.value - was.value) / max(abs(was.value), abs(now.value))


def _differs(now: Measure, was: Measure) -> bool:
    if not (math.isfinite(now.value) and math.isfinite(was.value)):
        return math.isfinite(now.value) != math.isfinite(was.value)
    return abs(now.value - was.value) > now.resolution


def _read_release(trace: Trace) -> list[str]:
    back, settled = first_return_time(trace, BAND), settling_time(trace, BAND)
    count, over, target = swings(trace), overshoot(trace), target_time(trace.station)
    if not math.isfinite(back):
        shows = f"The body creeps up and is not back at ride height within the {trace.time[-1]:.0f} s shown."
    elif count == 0:
        shows = f"The body comes up without a visible swing and is back within 5 % of ride height after {back:.2f} s."
    else:
        times = "once" if count == 1 else f"{count} times"
        rest = f"after {settled:.2f} s" if math.isfinite(settled) else "not within the time shown"
        shows = (
            f"The body is back at ride height after {back:.2f} s, swings visibly past it {times} (the first by "
            f"{100 * over:.0f} % of the release depth), and has settled {rest}."
        )
    says, aim = verdict(trace), f"a well-set one has settled within about {target:.1f} s"
    closing, opening = _rebound_advice(trace.station)
    if says is Verdict.TOO_OPEN and count >= 2:
        clock = "The clock alone would call this right, so count the swings. " if settles_on_time(trace) else ""
        means = f"At the vehicle it keeps swinging after the hand has gone: too open. {clock}{closing}; {aim}."
    elif says is Verdict.PASSES:
        quick = (
            " It is quicker than practice asks: there is room to open it, until it swings."
            if (count == 0 and settled < 0.5 * target)
            else ""
        )
        means = f"At the vehicle this looks right: back in one move, at most one swing ({aim}).{quick}"
    elif says is Verdict.TOO_OPEN:
        means = (
            f"At the vehicle it swings past and is slow to settle: {closing[0].lower()}{closing[1:]}, and look at "
            f"compression, which damps the way back down; {aim}."
        )
    else:
        means = (
            "At the vehicle it creeps back: too closed. Over bumps that follow each other it would not be back in time "
            f"and pack down. {opening}; {aim}."
        )
    if held_on_the_bump_stop(trace):
        means = (
            "At the vehicle the hand holds it on its bump stop, whose rubber throws it back: times and swings tell "
            "little of the clicks. Hold it down less far, or add preload for this load."
        )
    return [shows, means + _by_the_usual_release(trace.station, says), *_read_friction(trace)]


def _by_the_usual_release(station: Station, says: Verdict) -> str:
    """A word where clicks are judged otherwise than by this depth and compression."""
    if "rebound" not in station.clicks or Verdict.HIDDEN is says:
        return ""
    with suppress(LabError):  # it rests on a stop, which is said elsewhere
        usual = verdict_on(station)
        if usual not in (says, Verdict.HIDDEN):
            depth = 1e3 * usual_release(station).depth
            return f" From {depth:.0f} mm with compression open, by which clicks are judged here, it {WORDS[usual]}."
    return ""


def held_on_the_bump_stop(trace: Trace) -> bool:
    """Whether the hand of a release holds the body where the bump stop throws it back; the tyre gives way too."""
    station = trace.station
    if station.travel is None or station.bump_stop is None:
        return False
    deepest = station.static_travel + float(trace.wheel[0] - trace.body[0])
    return deepest > station.travel - station.bump_stop.length


def _read_friction(trace: Trace) -> list[str]:
    """A word where dry friction alone can hold the body outside the band that the times are read from."""
    held, depth = friction_hold(trace.station), abs(float(trace.body[0]))
    if held <= BAND * depth:
        return []
    return [
        f"Mind the friction: it can hold the body {1e3 * held:.1f} mm off ride height, more than 5 % of this depth, "
        "so times and swings tell little about the clicks. Hold it down further; then look at seals and linkage."
    ]


def _rebound_advice(station: Station) -> tuple[str, str]:
    if "rebound" in station.clicks:
        return (
            "Close rebound (clockwise, fewer clicks) by one or two clicks and test again",
            "Open rebound (counter-clockwise, more clicks) by one or two clicks and test again",
        )
    return "This damper needs more rebound damping", "This damper needs less rebound damping"


def _read_push(trace: Trace, push: Push) -> list[str]:
    station, use = trace.station, damper_use(trace, "compression", push.pushed_until)
    depth = -1e3 * float(trace.body.min())
    share = 100.0 * use.strongest * float(station.ratio(station.static_travel)) / push.peak_force
    shows = (
        f"A push of {push.peak_force:.0f} N within {push.rise_time:.2f} s moves the body down by {depth:.0f} mm; the "
        f"shaft reaches {use.fastest:.2f} m/s in compression."
    )
    if share < SMALL_SHARE:
        means = (
            f"The damper answers with at most {share:.0f} % of the hand's force: in a push this slow you mostly feel "
            f"the spring{_what_clicks_change(station, push)}. Push quickly to judge compression."
        )
    else:
        means = (
            f"The damper answers with up to {share:.0f} % of the hand's force, so in a push this quick the hand feels "
            f"the compression clicks. {_which_adjuster(trace, push.pushed_until)}"
        )
    return [shows, means.strip()]


def _what_clicks_change(station: Station, push: Push) -> str:
    """Whether the depth of a push tells compression fully closed from fully open, in words."""
    offered = {name: most for name, most in station.damper.adjusters.items() if name != "rebound"}
    if not offered:
        return ""
    closed, opened = (
        -1e3 * float(simulate(station.with_clicks(**clicks), push).body.min())
        for clicks in (dict.fromkeys(offered, 0), offered)
    )
    if opened - closed < HARDLY * opened:
        return ", and compression clicks hardly change it"
    return (
        f", though compression clicks change it: with compression fully closed it goes {closed:.1f} mm deep, fully "
        f"open {opened:.1f} mm"
    )


def _which_adjuster(trace: Trace, until: float) -> str:
    if not has_both_adjusters(trace):
        return ""
    use = damper_use(trace, "compression", until)
    knee = f"the knee at {use.knee:.2f} m/s"
    if use.fastest <= use.knee:
        return f"It stays below {knee}: {NOT_REACHED}."
    return f"It goes past {knee}; from closed to open {which_matters(trace, until)}."


def read_ends(trace: Trace) -> list[str]:
    """Words on stops that were met, or that the vehicle rests on."""
    at_rest = trace.station.rests_on_a_stop
    ends = []
    if bottoming(trace):
        ends.append("It bottoms out: the bump stop is squashed to its end, and the blow goes into the frame")
    elif bump_stop_hits(trace) and not at_rest:
        ends.append("It touches its bump stop")
    if topping_out(trace) and not at_rest:
        ends.append(f"{'it' if ends else 'It'} tops out: the suspension reaches full extension and knocks")
    return [*([f"Mind the setting: {at_rest}"] if at_rest else []), *(["; ".join(ends) + "."] if ends else [])]
