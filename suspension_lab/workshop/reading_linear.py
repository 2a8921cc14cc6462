"""The linear view read in plain words: what it says of a station, and where it stops being true."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import positive
from suspension_lab.excitation.roads import ROAD_CLASSES
from suspension_lab.simulation.equivalent import equivalent_damping, shaft_speed
from suspension_lab.simulation.frequency import frequency_response
from suspension_lab.simulation.linear import SMALL_SPEED, damping_at_wheel, modes
from suspension_lab.simulation.white_road import gaussian_damping, linear_random_response
from suspension_lab.vehicle.station import Station

APART = 0.2
"""A damping that differs by more than this share from that of small motions is another damper."""
NOW_AND_THEN = 3.0
"""A random road's peaks reach this many times the r.m.s. value about once in 370 times (Gaussian)."""
SPEEDS = np.geomspace(0.01, 2.0, 139)
"""Shaft speeds that are looked at [m/s]: slower is friction, faster are hard edges (common practice, no source)."""


def where_linear_ends(station: Station, speed: float = 10.0) -> list[str]:
    """What the linear view says of a station, and from which roads on it is no longer true, one sentence each.

    All limits are worked out by the linear view itself, on sines between half the body's and 1.5 times the wheel's
    frequency, and on random roads of ISO 8608.

    Args:
        station: at its present clicks and load.
        speed: over the random road [m/s].

    Raises:
        LabError: a speed that is not finite or not above zero.
    """
    positive("speed", speed, "m/s")
    if station.rests_on_a_stop:
        return [f"There is no linear view of this setting: {station.rests_on_a_stop}"]
    if station.wheel_rate <= 0.0 or damping_at_wheel(station) <= 0.0:
        lacks = "spring that holds it up" if station.wheel_rate <= 0.0 else "damping"
        return [f"There is no linear view worth reading: for small motions {station.name} has no {lacks}."]
    body, wheel = modes(station)
    return [
        f"Seen as linear, the body swings at {body.frequency:.1f} Hz with {body.damping_ratio:.2f} of critical "
        f"damping, and the wheel hops at {wheel.frequency:.1f} Hz with {wheel.damping_ratio:.2f}.",
        *_damping(station),
        *_sines(station, 0.5 * body.frequency, 1.5 * wheel.frequency),
        *_random(station, speed),
    ]


def _damping(station: Station) -> list[str]:
    """At which shaft speeds the damper, and damper and friction over a whole swing, are as in small motions."""
    said = []
    for name, sign in (("rebound", -1.0), ("compression", 1.0)):
        slope = station.damper.force(sign * SPEEDS) / (sign * SPEEDS)
        small = float(station.damper.force(sign * SMALL_SPEED)) / (sign * SMALL_SPEED)
        if small > 0.0:
            said.append(f"in {name} {_where(np.abs(slope / small - 1.0) <= APART)}")
    sentences = [
        f"The linear view takes its damping at {SMALL_SPEED:g} m/s of shaft speed; the damper's force over speed is "
        f"within {100 * APART:.0f} % of that {' and '.join(said)}."
    ]
    held = float(station.friction_at(station.static_travel))
    if held > 0.0:
        fits = _where(_fits(station, equivalent_damping))
        sentences.append(
            f"With the seals' {held:.0f} N of friction, which count most in small swings, damper and seals together "
            f"are within {100 * APART:.0f} % of it in swings that reach a shaft speed {fits}."
        )
    if station.damper.free_play > 0.0:
        sentences.append(
            f"The damper has {1e3 * station.damper.free_play:.1f} mm of free play: smaller motions than that are not "
            "damped at all, which the linear view does not know."
        )
    return sentences


def _sines(station: Station, lowest: float, highest: float) -> list[str]:
    """From which amplitude of a sine road on, and where that is least."""
    answer = frequency_response(station, np.geomspace(lowest, highest, 200))
    sizes = {
        "load": np.abs(answer.tyre_load),
        "travel": np.abs(answer.travel),
        "speed": shaft_speed(station, answer, 1.0),
    }
    limits = []
    for what, kind, most in _ends(station, equivalent_damping):
        worst = int(sizes[kind].argmax())
        limits.append((1e3 * most / float(sizes[kind][worst]), float(answer.frequency[worst]), what))
    said = [f"{what} from ±{size:.{0 if size >= 10 else 1}f} mm on (at {f:.1f} Hz)" for size, f, what in sorted(limits)]
    return [f"On a road that is a sine, {'; '.join(said)}."] if said else []


def _random(station: Station, speed: float) -> list[str]:
    """From which roughness on."""
    at_one = linear_random_response(station, 1.0, speed)
    sizes = {
        "load": NOW_AND_THEN * at_one.tyre_load,
        "travel": NOW_AND_THEN * at_one.travel,
        "speed": at_one.shaft_speed,
    }
    limits = sorted(((most / sizes[kind]) ** 2, what) for what, kind, most in _ends(station, gaussian_damping))
    said = [f"{what} from class {_class(roughness)} on" for roughness, what in limits if _class(roughness)]
    return [f"Riding {3.6 * speed:.0f} km/h on a random road (classes of ISO 8608), {'; '.join(said)}."] if said else []


def _ends(station: Station, law: Callable[[Station, float], float]) -> list[tuple[str, str, float]]:
    """What ends the linear view, of which kind that is, and from which tyre load [N], travel [m] or shaft speed [m/s].

    Args:
        station: as it stands.
        law: equivalent damping at the wheel over a shaft speed.
    """
    found = []
    if station.tyre.can_leave_road:
        found.append(("the tyre would at times leave the road", "load", station.static_tyre_load))
    if station.travel is not None and station.bump_stop is not None:
        inward = station.travel - station.bump_stop.length - station.static_travel
        room, stop = min((inward, "reach the bump stop"), (station.static_travel, "top out"))
        found.append((f"the suspension would at times {stop}", "travel", room))
    fits = np.flatnonzero(_fits(station, law))
    if fits.size and fits[-1] + 1 < SPEEDS.size:
        found.append((f"the damping would stay {100 * APART:.0f} % off", "speed", float(SPEEDS[fits[-1] + 1])))
    return found


def _fits(station: Station, law: Callable[[Station, float], float]) -> NDArray[np.bool_]:
    """At which SPEEDS an equivalent damping is about that of small motions."""
    damping = np.array([law(station, float(speed)) for speed in SPEEDS])
    return np.asarray(np.abs(damping / damping_at_wheel(station) - 1.0) <= APART)


def _where(fits: NDArray[np.bool_]) -> str:
    """Stretches of SPEEDS in words."""
    if fits.all() or not fits.any():
        return "at any speed" if fits.all() else "at no speed"
    turns = np.flatnonzero(np.diff(np.concatenate([[False], fits, [False]]).astype(np.int8)))
    said = []
    for first, behind in zip(turns[::2], turns[1::2], strict=True):
        low = f"from {SPEEDS[first]:.2g}" if first else "up"
        said.append(f"{low} to {SPEEDS[behind]:.2g} m/s" if behind < SPEEDS.size else f"{low} m/s on")
    return ", ".join(said)


def _class(roughness: float) -> str | None:
    """The first class of ISO 8608 whose mean is as rough as this Gd(n0) [m^3]; None: beyond them all."""
    return next((name for name, mean in ROAD_CLASSES.items() if roughness <= mean), None)
