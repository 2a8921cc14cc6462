"""The inside of a damper read in plain words: what a click opens, who carries the oil, and what the oil's heat does."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from suspension_lab.measures.drift import drift_in_clicks, fade
from suspension_lab.measures.free_motion import first_return_time, settling_time, swings
from suspension_lab.measures.inside import flow_shares
from suspension_lab.measures.summary import BAND
from suspension_lab.measures.warming import Warming, drifts
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.oil import WORKSHOP, ZERO_CELSIUS

MILLIMETRE = 1e3
MOVING = 0.01
"""From this shaft speed on the shaft counts as moving [m/s]."""
WORTH_A_WORD = 0.3
"""From this many clicks on, drift is worth a word: a click is the least that can be set."""
HOT = ZERO_CELSIUS + 60.0
"""Metal so hot burns the hand that rests on it (ISO 13732-1 has burn thresholds of this order, from memory)."""


@lru_cache(maxsize=4)
def read_inside(trace: Trace) -> tuple[str, ...]:
    """Sentences on what happened inside the damper in a run.

    Raises:
        LabError: a damper described by its curves.
    """
    damper = by_parts(trace.station)
    fastest = float(trace.shaft_speed.max()), float(-trace.shaft_speed.min())
    return (
        *_needles(damper),
        _carried(damper, "compression", fastest[0]),
        _carried(damper, "rebound", fastest[1]),
        *(_cavitation(damper, fastest) or _unseen(damper)),
        *_free_play(trace),
        *_oil(damper),
    )


def _needles(damper: HydraulicDamper) -> list[str]:
    said = []
    for side, adjuster, circuit in (
        ("rebound", "rebound", damper.circuits[0]),
        ("compression", "low_speed", damper.circuits[1]),
    ):
        if adjuster not in damper.adjusters:
            continue
        needle, clicks = circuit.circuit.needle, circuit.clicks
        ring, most = needle.gap(clicks), damper.adjusters[adjuster]
        click = needle.gap(clicks + 1) - ring if clicks < most else ring - needle.gap(clicks - 1)
        said.append(
            f"{side} {clicks} clicks out, a ring of {MILLIMETRE * ring:.2f} mm, of which a click is "
            f"{MILLIMETRE * click:.3f} mm"
        )
    if "high_speed" in damper.adjusters:
        opens = 1e-5 * damper.circuits[1].cracking
        clicks = damper.clicks["high_speed"]
        said.append(
            f"the {clicks} high-speed clicks open no way of their own, they set the blow-off to {opens:.0f} bar"
        )
    return [f"What the clicks leave open around the needles: {'; '.join(said)}."] if said else []


def _carried(damper: HydraulicDamper, direction: str, speed: float) -> str:
    sign = 1.0 if direction == "compression" else -1.0
    share, knee = flow_shares(damper, sign * speed), abs(damper.knees[0 if sign < 0.0 else 1])
    if speed < 0.005:
        return f"In {direction} the shaft hardly moves."
    ways = [("the bleed", share.bleed), ("the blow-off", share.blow_off), ("the leak", share.leak)]
    parts = [f"{name} carries {100.0 * part:.0f} %" for name, part in ways if part >= 0.005]
    opens = f"the blow-off opens at {knee:.2f} m/s"
    if share.blow_off == 0.0:
        opens += ", which is not reached" if speed <= knee else ", but bubbles form before it can"
    if not math.isfinite(knee):
        opens = "there is no blow-off"
    return f"In {direction} the shaft reaches {speed:.2f} m/s, where {', '.join(parts)} of the oil; {opens}."


def _cavitation(damper: HydraulicDamper, fastest: tuple[float, float]) -> list[str]:
    return [
        f"It cavitates in {direction} from {onset:.2f} m/s: the gas cannot press the oil after the piston, and bubbles "
        f"form{', so the force grows no more' if damper.compression_at == 'piston' else ''}. At the vehicle: a knock "
        "at the turn, froth, and a damper that gives way; a licensed workshop checks the gas."
        for direction, onset, speed in (
            ("compression", damper.cavitation_speeds[1], fastest[0]),
            ("rebound", -damper.cavitation_speeds[0], fastest[1]),
        )
        if speed > onset
    ]


def _unseen(damper: HydraulicDamper) -> list[str]:
    """A word where lost gas does not show in the force, so that nobody takes it for harmless."""
    if damper.gas is None or not damper.gas.vented or damper.free_play:
        return []
    return [
        "In this run the lost gas changes the ride height but not the damping. A real damper froths without its "
        "gas and loses its reserve: do not ride on it; a licensed workshop checks the gas."
    ]


def _free_play(trace: Trace) -> list[str]:
    if not np.any(trace.idle):
        return []
    moving = np.abs(trace.shaft_speed) > MOVING
    share = 100.0 * float(np.mean(np.asarray(trace.idle)[moving])) if moving.any() else 0.0
    return [
        f"At each turn the piston falls through oil that is not there: {share:.0f} % of the time that the "
        "shaft moves the damper does nothing. At the vehicle: free play and a knock at the turn; a licensed workshop "
        "looks for the leak."
    ]


def _oil(damper: HydraulicDamper) -> list[str]:
    if abs(damper.oil_temperature - WORKSHOP) < 0.5 or "rebound" not in damper.adjusters:
        return []
    thick = 1e6 * damper.fluid.viscosity / damper.fluid.density
    drift = drift_in_clicks(damper, damper.with_oil_temperature(WORKSHOP))
    celsius = damper.oil_temperature - ZERO_CELSIUS
    return [f"At {celsius:.0f} °C the oil has {thick:.1f} mm²/s, and {_drifted(drift)} than at 20 °C."]


def _drifted(drift: float) -> str:
    way = "more open" if drift > 0.0 else "more closed"
    if not math.isfinite(drift):
        return f"rebound acts {way} by more clicks than it has"
    return f"rebound acts {abs(drift):.1f} clicks {way}"


def read_warming(ride: Warming) -> list[str]:
    """Sentences on a ride that warmed the damper."""
    run, first, last = ride.run, ride.run.station.damper, ride.run.at(-1).damper
    end = float(run.temperature[-1]) - ZERO_CELSIUS
    said = [
        f"After {run.time[-1] / 60.0:.0f} minutes the oil has {end:.0f} °C, on its way to about "
        f"{run.steady_temperature - ZERO_CELSIUS:.0f} °C: {run.power[-1]:.0f} W go into it, and the air carries off "
        f"{run.conductance:.1f} W for each degree."
    ]
    before, after = (
        f"is back after {_seconds(first_return_time(trace, BAND))} and has settled after "
        f"{_seconds(settling_time(trace, BAND))}, with {_counted(swings(trace))}"
        for trace in ride.releases
    )
    said.append(f"Before the ride the release test {before}; after it, it {after}.")
    if "rebound" in first.adjusters:
        drift, gone = float(drifts(run)[-1]), 100.0 * fade(last, first)
        said.append(f"In clicks: {_drifted(drift)} than at the start; {gone:.0f} % of its force at 0.1 m/s is gone.")
        if abs(drift) >= WORTH_A_WORD:
            said.append(
                "At the vehicle: warm the damper up before you judge or set it, and judge it at the same warmth each "
                "time. What was set cold is too open once it is warm."
            )
    apart = float(ride.other.temperature[-1] - run.temperature[-1])
    word = "without the reservoir" if ride.with_reservoir else "with a reservoir"
    there = f"{abs(apart):.0f} °C {'more' if apart > 0.0 else 'less'}"
    said.append(f"The same ride {word} ends at {end + apart:.0f} °C, {there}.")
    if run.temperature[-1] > HOT:
        said.append("A damper this hot burns the hand: let it cool before you touch it.")
    return said


def _seconds(value: float) -> str:
    return f"{value:.2f} s" if math.isfinite(value) else "more than the test"


def _counted(count: int) -> str:
    return {0: "no visible swing", 1: "one visible swing"}.get(count, f"{count} visible swings")
