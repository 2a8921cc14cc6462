"""The short rides of a mystery vehicle with a warm damper: what the rider says, and a ring on the shaft."""

from __future__ import annotations

from functools import lru_cache

from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Ride
from suspension_lab.measures.comfort import maximum_transient_vibration, weighted_acceleration
from suspension_lab.measures.travel import bottoming, bump_stop_hits, packing_down
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import by_parts
from suspension_lab.workshop.mystery_instruments import TAPE, Row, numbers, words
from suspension_lab.workshop.mystery_standing import Standing, Values

FELT = 0.08
"""A rider feels a difference in shaking from this share on (our choice)."""
FELT_SINKING = 4.0
"""And that it sinks more over a washboard from this on [mm] (our choice)."""


@lru_cache(maxsize=1)
def _pothole() -> Ride:
    return Ride(roads.pothole(depth=0.04, run_in=0.5, run_out=15.0), 30.0 / 3.6)


@lru_cache(maxsize=1)
def _washboard() -> Ride:
    return Ride(roads.washboard(height=0.02, bumps=32, run_in=1.0, run_out=10.0), 25.0 / 3.6)


def over_a_pothole(standing: Standing) -> Values:
    """Shaking of the worst second [m/s^2], deepest shaft travel [mm], touches of the bump stop, blows at its end."""
    trace = simulate(standing.warm, _pothole(), 1.8)
    deepest = 1e3 * float(trace.station.shaft_travel(trace.wheel_travel.max()))
    return maximum_transient_vibration(trace), deepest, float(bump_stop_hits(trace)), float(bottoming(trace))


def pothole_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    """What the rider and the ring on the shaft tell."""
    return (
        words("The rider says it is", _felt(read[0], sound[0]), _felt(1.0, 1.0)),
        numbers("Rubber ring on the shaft, from full extension", read[1], sound[1], TAPE),
        words("Stops", _knocks(read[2], read[3]), _knocks(sound[2], sound[3])),
    )


def over_a_washboard(standing: Standing) -> Values:
    """Shaking [m/s^2], packing down [mm], touches of the bump stop, blows at its end, and 1 where the damper fades."""
    trace = simulate(standing.warm, _washboard(), 3.0)
    hits, ends = float(bump_stop_hits(trace)), float(bottoming(trace))
    return weighted_acceleration(trace), 1e3 * packing_down(trace), hits, ends, float(_fades(trace))


def _fades(trace: Trace) -> bool:
    """Whether the shaft is ever so fast that the oil tears off and the damper loses force."""
    outward, inward = by_parts(trace.station).cavitation_speeds
    speed = trace.shaft_speed
    return bool(speed.max() > inward or speed.min() < outward)


def washboard_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    """What the rider tells."""

    def sinks(by: float) -> str:
        return "sinks deeper" if by > FELT_SINKING else "rides higher" if by < -FELT_SINKING else "keeps its height"

    def fades(whether: float) -> str:
        return "fades in quick strokes" if whether else "keeps its force"

    return (
        words("The rider says it is", _felt(read[0], sound[0]), _felt(1.0, 1.0)),
        words("Over bump after bump it", sinks(read[1] - sound[1]), sinks(0.0)),
        words("Stops", _knocks(read[2], read[3]), _knocks(sound[2], sound[3])),
        words("The damper", fades(read[4]), fades(sound[4])),
    )


def _felt(shaking: float, sound: float) -> str:
    ratio = shaking / sound
    return "harsher" if ratio > 1.0 + FELT else "softer" if ratio < 1.0 - FELT else "as it should be"


def _knocks(hits: float, ends: float) -> str:
    return "bottoms out with a blow" if ends else "knocks on its bump stop" if hits else "no knock"
