"""A damper as strong as its swing makes it: the linear constant that takes as much energy out of each cycle.

The describing function of a sine and the statistical linearisation of a Gaussian speed (textbooks, after Caughey 1963
and Roberts and Spanos 1990, from memory). Friction is smoothed as the simulation smooths it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, positive
from suspension_lab.common.errors import LabError
from suspension_lab.simulation.frequency import FrequencyResponse, checked_frequencies, motion, of_motion
from suspension_lab.vehicle.station import Station

QUARTER = np.sin(0.5 * np.pi * (np.arange(512) + 0.5) / 512)
"""Speeds of a quarter of a cycle over the amplitude, at the middles of 512 even parts."""
SPEEDS = np.geomspace(1e-7, 1e2, 541)
"""Shaft speed amplitudes between which a balance is looked for [m/s]: 60 a decade."""
HALVINGS = 40


def equivalent_damping(station: Station, speed_amplitude: float) -> float:
    """Linear damping at the wheel that takes as much energy out of a cycle as damper and seal friction do [N s/m].

    Free play is not in it. Closed forms: c for a linear damper, 4 F / (pi V) for dry friction and 8 a V / (3 pi) for
    a force a v^2 (textbooks on vibration).

    Args:
        station: at its present clicks, around ride height.
        speed_amplitude: of a shaft speed that goes as a sine [m/s].

    Raises:
        LabError: an amplitude that is not finite or not above zero.
    """
    positive("shaft speed amplitude", speed_amplitude, "m/s")
    return float(_damping(station, np.array(speed_amplitude)))


def mean_force(station: Station, speed_amplitude: float) -> float:
    """Force that damper and friction leave over a whole cycle, at the wheel, positive when it pushes the body up [N].

    Rebound stronger than compression makes it negative: divided by the wheel rate it is how far the body rides above
    its ride height (it jacks down).

    Args:
        station: at its present clicks, around ride height.
        speed_amplitude: of a shaft speed that goes as a sine [m/s].

    Raises:
        LabError: an amplitude that is not finite or not above zero.
    """
    speed = positive("shaft speed amplitude", speed_amplitude, "m/s") * QUARTER
    total = float(np.mean(force_at_shaft(station, speed) + force_at_shaft(station, -speed)))
    return 0.5 * total * float(station.ratio(station.static_travel))


def force_at_shaft(station: Station, speed: Array) -> Array:
    """Force of damper and seal friction at ride height [N] over shaft speed [m/s]; same shape."""
    friction = float(station.friction_at(station.static_travel))
    return station.damper.force(speed) + friction * station.friction_share(speed)


def equivalent_response(station: Station, frequencies: ArrayLike, road_amplitude: float) -> FrequencyResponse:
    """How a station answers sines of one size, with the damping that each swing's own shaft speed makes.

    At each frequency the shaft speed and the damping that belongs to it are brought into balance. Where more than one
    balance is possible (dry friction that holds or lets go) the smallest swing is taken, as from rest. Stops, free
    play and a tyre that leaves the road are not in it: `steady_response` has them.

    Args:
        station: around ride height.
        frequencies: [Hz], (n,).
        road_amplitude: of the sine, half its height [m].

    Raises:
        LabError: values out of range, or a swing that no damping brings into balance.
    """
    f = checked_frequencies(frequencies)
    positive("road amplitude", road_amplitude, "m")
    return of_motion(station, f, *motion(station, f, _damping(station, _balance(station, f, road_amplitude))))


def shaft_speed(station: Station, response: FrequencyResponse, road_amplitude: float) -> Array:
    """Amplitude of the shaft speed [m/s] over frequency on sines of one size, (n,)."""
    return _at_shaft(station, response.frequency, response.travel, road_amplitude)


def _at_shaft(station: Station, frequency: Array, travel: ArrayLike, road_amplitude: float) -> Array:
    ratio = float(station.ratio(station.static_travel))
    return np.asarray(2.0 * np.pi * frequency * np.abs(travel) * ratio * road_amplitude, dtype=np.float64)


def _damping(station: Station, amplitude: Array) -> Array:
    """Equivalent damping at the wheel [N s/m] over the amplitude of the shaft speed [m/s]; same shape."""
    speed = amplitude[..., None] * QUARTER
    force = 0.5 * (force_at_shaft(station, speed) - force_at_shaft(station, -speed))
    ratio = float(station.ratio(station.static_travel))
    return np.asarray(2.0 * np.mean(force * QUARTER, axis=-1) / amplitude * ratio**2, dtype=np.float64)


def _balance(station: Station, frequency: Array, road_amplitude: float) -> Array:
    """Shaft speed amplitude [m/s] that makes the damping which lets it be so large, at each frequency; (n,)."""

    def excess(speed: Array, damping: Array) -> Array:
        body, wheel = motion(station, frequency, damping)
        return _at_shaft(station, frequency, wheel - body, road_amplitude) - speed

    found = excess(SPEEDS[:, None], _damping(station, SPEEDS)[:, None]) <= 0.0
    if found[0].any() or not found.any(axis=0).all():
        at = frequency[np.flatnonzero(found[0] | ~found.any(axis=0))[0]]
        raise LabError(
            f"At {at:g} Hz and {1e3 * road_amplitude:g} mm of road no shaft speed from {SPEEDS[0]:g} to {SPEEDS[-1]:g} "
            f"m/s balances the damping of {station.name}; take another road amplitude or frequency, or give it damping."
        )
    first = found.argmax(axis=0)
    low, high = SPEEDS[first - 1], SPEEDS[first]
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        above = excess(middle, _damping(station, middle)) > 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.asarray(np.sqrt(low * high), dtype=np.float64)
