"""The linear view over frequency: how a station answers a sine road, per metre of road."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suspension_lab.common.checks import Array, array
from suspension_lab.common.errors import LabError
from suspension_lab.simulation.linear import damping_at_wheel
from suspension_lab.vehicle.station import Station

Complex = NDArray[np.complex128]
HIGHEST = 1e4
"""No vehicle swings faster [Hz]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FrequencyResponse:
    """The answer to a sine road over its frequency, each (n,); complex, so that it holds size and lag.

    Attributes:
        frequency: of the road's sine [Hz].
        body, wheel: motion per metre of road [m/m].
        travel: wheel travel, positive in compression, per metre of road [m/m].
        body_acceleration: per metre of road [m/s^2 per m, that is 1/s^2].
        tyre_load: variation around the load at rest, per metre of road [N/m].
    """

    frequency: Array
    body: Complex
    wheel: Complex
    travel: Complex
    body_acceleration: Complex
    tyre_load: Complex


def of_motion(station: Station, frequency: Array, body: Complex, wheel: Complex) -> FrequencyResponse:
    """All answers from the motion of both masses.

    The tyre carries what moves the masses (the sum of their equations), whatever suspension and tyre do.

    Args:
        station: gives the masses.
        frequency: [Hz], (n,).
        body, wheel: motion per metre of road, (n,).
    """
    square = (2.0 * np.pi * frequency) ** 2
    return FrequencyResponse(
        frequency=frequency,
        body=body,
        wheel=wheel,
        travel=wheel - body,
        body_acceleration=-square * body,
        tyre_load=-square * (station.sprung_mass * body + station.unsprung_mass * wheel),
    )


def checked_frequencies(frequencies: ArrayLike) -> Array:
    """Frequencies as an array (n,) [Hz].

    Raises:
        LabError: no list of numbers, or one that is not finite, not above zero or far too high.
    """
    f = array("frequencies", np.atleast_1d(np.asarray(frequencies, dtype=object)), "Hz", at_least=1)
    bad = np.flatnonzero((f <= 0.0) | (f > HIGHEST))
    if bad.size:
        raise LabError(
            f"frequencies entry {bad[0] + 1} is {f[bad[0]]:g} Hz, where more than 0 Hz and at most {HIGHEST:g} Hz was "
            "expected; leave it out."
        )
    return f


def frequency_response(
    station: Station, frequencies: ArrayLike, *, damping: float | ArrayLike | None = None
) -> FrequencyResponse:
    """How a station answers small sines of the road: the two-mass model of the textbooks, tyre damping included.

    Friction, stops, free play and a tyre that leaves the road are not in it.

    Args:
        station: around ride height.
        frequencies: [Hz], (n,).
        damping: at the wheel [N s/m], one or (n,); None: the mean slope of rebound and compression.

    Raises:
        LabError: frequencies or damping out of range.
    """
    f = checked_frequencies(frequencies)
    c = np.asarray(damping_at_wheel(station)) if damping is None else array(
        "damping", np.atleast_1d(np.asarray(damping, dtype=object)), "N s/m", at_least=1
    )  # fmt: skip
    if c.size not in (1, f.size) or (c < 0.0).any():
        raise LabError(
            f"damping holds {c.size} values from {c.min():g} N s/m on, where one value or one for each of the {f.size} "
            "frequencies, none below 0 N s/m, was expected."
        )
    return of_motion(station, f, *motion(station, f, c))


def motion(station: Station, frequency: Array, damping: Array) -> tuple[Complex, Complex]:
    """Motion of body and wheel per metre of road, by Cramer's rule on both masses' equations.

    Args:
        station: around ride height.
        frequency: [Hz], any shape.
        damping: at the wheel [N s/m], a shape that goes with it.

    Returns:
        Both of the common shape.
    """
    s = 2j * np.pi * frequency
    strut = station.wheel_rate + s * damping
    tyre = station.tyre.stiffness + s * station.tyre.damping
    on_body = strut + station.sprung_mass * s**2
    # Not the difference of two large products: strut^2 has been taken out of both.
    both = on_body * (tyre + station.unsprung_mass * s**2) + strut * station.sprung_mass * s**2
    return tyre * strut / both, tyre * on_body / both
