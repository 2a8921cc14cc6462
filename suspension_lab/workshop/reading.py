"""A run read in plain words: what it shows, and what it would mean at the vehicle."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from suspension_lab.common.checks import GRAVITY
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.contact import contact_loss, smallest_tyre_load
from suspension_lab.measures.damper_use import adjuster_reach, damper_use
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.summary import BAND, RUN_OF_BUMPS, Measure, summary
from suspension_lab.measures.travel import bottoming, bump_stop_hits, bumps, packing_down, topping_out
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.soundness import friction_hold

HALF_SECOND_DEFLECTION = 0.050
"""Static deflection of a short-travel station that is timed to half a second [m] (common practice, no source)."""
ON_TARGET = 1.2
"""Up to this many times its target a settling time counts as met."""
ANOTHER_TEST = "The kept run was another vehicle or another test: better and worse cannot be told between the two."
MOST_CHANGES = 4
"""So many changes of a kind are said; the table has them all."""
MATTERS_MOST = 1.5
"""An adjuster that could change this many times as much of the work as the other matters most."""
SMALL_SHARE = 15.0
"""Under this percentage of the hand's force the hand does not feel the damper (common practice, no source)."""
PACKED = 0.004
"""From this fall of the mean ride height on, packing down is worth a word [m]."""


def target_time(station: Station) -> float:
    """Time after which a well-set station has settled in the release test [s].

    Half a second for a short-travel vehicle and about one second for a long-travel one (common practice, no source);
    between them it goes with the root of the static deflection, as the period of a mass on a spring does.
    """
    deflection = station.sprung_mass * GRAVITY / station.wheel_rate
    return 0.5 * math.sqrt(deflection / HALF_SECOND_DEFLECTION)


def read_run(trace: Trace) -> list[str]:
    """Sentences on a run: first what the picture says, then what it would mean at the vehicle."""
    if isinstance(trace.excitation, Release):
        sentences = _read_release(trace)
    elif isinstance(trace.excitation, Push):
        sentences = _read_push(trace, trace.excitation)
    else:
        sentences = _read_ride(trace)
    return [*sentences, *_read_ends(trace)]


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
    keys = {now.key for now, _ in changed}
    groups: dict[str, list[str]] = {"changed": [], "better": [], "worse": []}
    for now, was in sorted(changed, key=lambda pair: -_relative_change(*pair)):
        if now.key == "longest_contact_loss" and "contact_loss" in keys:
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
    on_time, aim = settled <= ON_TARGET * target, f"a well-set one has settled within about {target:.1f} s"
    closing, opening = _rebound_advice(trace.station)
    if count >= 2:
        clock = "The clock alone would call this right, so count the swings. " if on_time else ""
        means = f"At the vehicle it keeps swinging after the hand has gone: too open. {clock}{closing}; {aim}."
    elif on_time:
        quick = (
            " It is quicker than practice asks: there is room to open it, until it swings."
            if (count == 0 and settled < 0.5 * target)
            else ""
        )
        means = f"At the vehicle this looks right: back in one move, at most one swing ({aim}).{quick}"
    elif count == 1:
        means = (
            f"At the vehicle it swings past and is slow to settle: {closing[0].lower()}{closing[1:]}, and look at "
            f"compression, which damps the way back down; {aim}."
        )
    else:
        means = (
            "At the vehicle it creeps back: too closed. Over bumps that follow each other it would not be back in time "
            f"and pack down. {opening}; {aim}."
        )
    return [shows, means, *_read_friction(trace)]


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
            "the spring, and compression clicks hardly change it. Push quickly to judge compression."
        )
    else:
        means = (
            f"The damper answers with up to {share:.0f} % of the hand's force, so in a push this quick the hand feels "
            f"the compression clicks. {_which_adjuster(trace, push.pushed_until)}"
        )
    return [shows, means.strip()]


def _which_adjuster(trace: Trace, until: float = math.inf) -> str:
    """Which compression adjuster could change more of this run, on the shaft speeds it had."""
    use = damper_use(trace, "compression", until)
    if not math.isfinite(use.knee) or not {"low_speed", "high_speed"} <= set(trace.station.clicks):
        return ""
    knee = f"the knee at {use.knee:.2f} m/s"
    if use.fastest <= use.knee:
        return f"It stays below {knee}: only the low-speed clicks can matter, the high-speed clicks are not reached."
    low, high = (adjuster_reach(trace, name, until) for name in ("low_speed", "high_speed"))
    word = "both compression adjusters have a say"
    word = "the high-speed clicks matter most" if high >= MATTERS_MOST * low else word
    word = "the low-speed clicks matter most" if low >= MATTERS_MOST * high else word
    return f"It goes past {knee}; from closed to open {word}."


def _read_ride(trace: Trace) -> list[str]:
    loss, low = contact_loss(trace), 100.0 * smallest_tyre_load(trace)
    peak = float(np.abs(trace.body_acceleration).max())
    felt = f"the body feels at most {peak:.0f} m/s² ({peak / GRAVITY:.1f} g)"
    if loss.longest > 0.0:
        shows = f"The tyre leaves the road, at the longest for {1e3 * loss.longest:.0f} ms; {felt}."
        means = "At the vehicle: a tyre in the air neither brakes nor steers."
    else:
        shows = f"The tyre stays on the road; its load falls to {low:.0f} % of the load at rest; {felt}."
        little = "at that moment there is little to brake or steer with"
        means = f"At the vehicle: {little if low < 30.0 else 'load on the tyre is what it brakes and steers with'}."
    fastest = damper_use(trace, "compression").fastest
    sentences = [shows, f"The shaft reaches {fastest:.2f} m/s in compression. {_which_adjuster(trace)}".strip(), means]
    packed = packing_down(trace) if bumps(trace) >= RUN_OF_BUMPS else 0.0
    at_speed = np.abs(trace.station.damper.force(np.array([-fastest, fastest])))
    if packed > PACKED and at_speed[0] > at_speed[1]:
        sentences.append(
            f"It packs down: over the bumps it rides {1e3 * packed:.0f} mm lower on average: rebound is stronger "
            "than compression and the wheel has no time to come out again. More open rebound lets it."
        )
    return sentences


def _read_ends(trace: Trace) -> list[str]:
    sentences = []
    at_rest = trace.station.rests_on_a_stop
    if at_rest:
        sentences.append(f"Mind the setting: {at_rest}")
    if bottoming(trace):
        sentences.append("It bottoms out: the bump stop is squashed to its end, and the blow goes into the frame.")
    elif bump_stop_hits(trace) and not at_rest:
        sentences.append("It touches its bump stop.")
    if topping_out(trace) and not at_rest:
        sentences.append("It tops out: the suspension reaches full extension and knocks.")
    return sentences
