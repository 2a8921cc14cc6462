"""A ride read in plain words: the tyre on the road, comfort, the compression adjusters, packing down."""

from __future__ import annotations

import math

import numpy as np

from suspension_lab.measures.comfort import comfort_words, maximum_transient_vibration, weighted_acceleration
from suspension_lab.measures.contact import contact_loss, smallest_tyre_load
from suspension_lab.measures.damper_use import adjuster_reach, damper_use, shaft_speed_shares
from suspension_lab.measures.summary import RUN_OF_BUMPS
from suspension_lab.measures.travel import bumps, packing_down
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import passing, rebound_verdicts

MATTERS_MOST = 1.5
"""An adjuster that could change this many times as much of the work as the other matters most (our choice)."""
PACKED = 0.05
"""From this fall of the mean ride height on, as a share of the travel, packing down is worth a word (our choice)."""
USUAL_TRAVEL = 0.08
"""Of a station without stops [m] (our choice)."""
SHORT_RIDE = 5.0
"""A ride shorter than this is judged by its worst second: most of its r.m.s. would be the level road around the bump
[s] (our choice)."""
UNEVEN = 1.5
"""So is one whose worst second is more than this many times its r.m.s.: there the r.m.s. alone says too little
(ISO 2631-1, 6.3.3, from memory)."""
NOT_REACHED = "only the low-speed clicks can matter, the high-speed clicks are not reached"


def read_ride(trace: Trace) -> list[str]:
    """Sentences on a ride: first what the picture says, then what it would mean at the vehicle."""
    return [read_contact(trace), _read_comfort(trace), _read_compression(trace), *_read_packing(trace)]


def has_both_adjusters(trace: Trace) -> bool:
    """Whether a knee parts the ranges of a low-speed and a high-speed compression adjuster."""
    return math.isfinite(trace.station.damper.knees[1]) and {"low_speed", "high_speed"} <= set(trace.station.clicks)


def which_matters(trace: Trace, until: float = math.inf) -> str:
    """Which compression adjuster could change more of this run, on the shaft speeds it had.

    Args:
        trace: any run of a damper with both.
        until: only the time up to here counts [s].

    Raises:
        LabError: the damper does not have both adjusters.
    """
    low, high = (adjuster_reach(trace, name, until) for name in ("low_speed", "high_speed"))
    if high >= MATTERS_MOST * low:
        return "the high-speed clicks matter most"
    return "the low-speed clicks matter most" if low >= MATTERS_MOST * high else "both compression adjusters have a say"


def read_contact(trace: Trace) -> str:
    """How the tyre kept to the road."""
    loss, low = contact_loss(trace), 100.0 * smallest_tyre_load(trace)
    if loss.longest > 0.0:
        off = f"The tyre leaves the road, at the longest for {1e3 * loss.longest:.0f} ms"
        return f"{off}; at the vehicle: a tyre in the air neither brakes nor steers."
    little = "at that moment there is little to brake or steer with"
    means = little if low < 30.0 else "load on the tyre is what it brakes and steers with"
    return f"The tyre stays on the road; its load falls to {low:.0f} % of the load at rest; at the vehicle: {means}."


def _read_comfort(trace: Trace) -> str:
    shaking, worst = weighted_acceleration(trace), maximum_transient_vibration(trace)
    when = "Over the whole ride"
    if trace.time[-1] < SHORT_RIDE or worst > UNEVEN * shaking:
        when, shaking = "In its worst second", worst
    words = " to ".join(comfort_words(shaking))
    return (
        f"{when} the body shakes with {shaking:.2f} m/s² r.m.s., weighted as people feel it (at the body, not at the "
        f"seat): {words} in the words of ISO 2631-1."
    )


def _read_compression(trace: Trace) -> str:
    use, both = damper_use(trace, "compression"), has_both_adjusters(trace)
    reaches = f"The shaft reaches {use.fastest:.2f} m/s in compression"
    if not math.isfinite(use.knee):
        return f"{reaches}."
    if use.fastest <= use.knee:
        return f"{reaches} and stays below the knee at {use.knee:.2f} m/s{f': {NOT_REACHED}' if both else ''}."
    share = 100.0 * shaft_speed_shares(trace).time.compression_above
    above = f"{reaches}, past the knee at {use.knee:.2f} m/s for {share:.1f} % of the time"
    if not both:
        return f"{above}."
    matters = which_matters(trace)
    return f"{above}: all that the high-speed clicks see of this road. From closed to open {matters}."


def _read_packing(trace: Trace) -> list[str]:
    if trace.station.rests_on_a_stop or bumps(trace) < RUN_OF_BUMPS:
        return []
    station = trace.station
    packed, fastest = packing_down(trace), damper_use(trace, "compression").fastest
    rebound, compression = np.abs(station.damper.force(np.array([-fastest, fastest])))
    if packed <= PACKED * (station.travel or USUAL_TRAVEL) or rebound <= compression:
        return []
    return [
        f"It packs down: over the bumps it rides {1e3 * packed:.0f} mm lower on average, since rebound is stronger "
        f"than compression and the wheel has no time to come out again; {_more_open(station)}."
    ]


def _more_open(station: Station) -> str:
    """Whether the release test has room for more open rebound."""
    now = station.clicks.rebound
    if now is None:
        return "this damper has no rebound clicks to open"
    if all(click <= now for click in passing(rebound_verdicts(station))):
        return "rebound has no room left to open in the release test, so look at spring, preload and compression"
    return "more open rebound lets it, as far as the release test allows"
