"""The linear view: small motions around ride height, without friction and stops."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.vehicle.station import Station

SMALL_SPEED = 0.1
"""Shaft speed up to which a damper's slope is taken [m/s]: a usual one of the release test, below most knees (common
practice, no source). A damper whose force goes with the speed's square has no slope of its own."""
FOLLOWED_STEPS = 301
"""Steps of damping in which the modes are followed from none."""


class Mode(NamedTuple):
    """A way in which a station swings."""

    frequency: float
    """Undamped natural frequency [Hz]."""
    damping_ratio: float
    """Share of critical damping."""


class Modes(NamedTuple):
    """The two modes of a station."""

    body: Mode
    wheel: Mode


def damping_at_wheel(station: Station, direction: str = "mean") -> float:
    """Damping constant at the wheel for small motions [N s/m].

    Args:
        station: at its present clicks.
        direction: 'rebound', 'compression' or 'mean' of both.
    """
    rebound, compression = np.abs(station.damper.force(np.array([-SMALL_SPEED, SMALL_SPEED]))) / SMALL_SPEED
    slope = {"rebound": rebound, "compression": compression, "mean": 0.5 * (rebound + compression)}[direction]
    return float(slope * station.ratio(station.static_travel) ** 2)


def body_damping_ratio(station: Station, direction: str = "mean") -> float:
    """Share of critical damping of the body alone on its suspension, c / (2 sqrt(k m)), as textbooks give it.

    Unlike the ratio of a mode it only ever rises with damping.

    Args:
        station: at its present clicks, around ride height.
        direction: of the damper's slope: 'rebound', 'compression' or 'mean'.

    Returns:
        Infinite where nothing holds the body up against small motions.
    """
    if station.wheel_rate <= 0.0:
        return math.inf
    critical = 2.0 * math.sqrt(station.wheel_rate * station.sprung_mass)
    return damping_at_wheel(station, direction) / critical


def system_matrix(station: Station, damping: float | None = None) -> Array:
    """State matrix (4, 4) of body, wheel, body velocity, wheel velocity (two-mass model of the textbooks).

    Args:
        station: around ride height.
        damping: at the wheel [N s/m]; None: the mean of rebound and compression.
    """
    c = damping_at_wheel(station) if damping is None else damping
    k, kt, ct = station.wheel_rate, station.tyre.stiffness, station.tyre.damping
    ms, mu = station.sprung_mass, station.unsprung_mass
    return np.array([
        [0.0, 0.0, 1.0, 0.0],
        [0.0, 0.0, 0.0, 1.0],
        [-k / ms, k / ms, -c / ms, c / ms],
        [k / mu, -(k + kt) / mu, c / mu, -(c + ct) / mu],
    ])  # fmt: skip


def modes(station: Station, direction: str = "mean") -> Modes:
    """Natural frequencies and damping ratios of body and wheel.

    The frequencies are the undamped ones. The damping ratio of a mode is that of its pair of eigenvalues, half their
    sum over the root of their product, also where the pair has become real and the mode creeps; the pairs are
    followed from no damping up to the station's, so that each keeps its name.

    Args:
        station: around ride height.
        direction: of the damper's slope: 'rebound', 'compression' or 'mean'.

    Returns:
        A frequency of 0 with an infinite damping ratio where nothing holds the body up against small motions.
    """
    c = damping_at_wheel(station, direction)
    bare = replace(station, tyre=replace(station.tyre, damping=0.0))
    undamped = np.sort(np.abs(np.linalg.eigvals(system_matrix(bare, 0.0)).imag))
    body_rate, wheel_rate = float(undamped[0]), float(undamped[-1])
    if body_rate <= 0.0:
        return Modes(body=Mode(0.0, math.inf), wheel=Mode(wheel_rate / (2.0 * math.pi), math.nan))
    body, wheel = _followed(station, c, body_rate, wheel_rate)
    return Modes(
        body=Mode(frequency=body_rate / (2.0 * math.pi), damping_ratio=body),
        wheel=Mode(frequency=wheel_rate / (2.0 * math.pi), damping_ratio=wheel),
    )


def _followed(station: Station, damping: float, body_rate: float, wheel_rate: float) -> tuple[float, float]:
    """Damping ratios of body and wheel at a damping [N s/m], by following their eigenvalues up from none."""
    matrices = np.stack([system_matrix(station, c) for c in np.linspace(0.0, damping, FOLLOWED_STEPS)])
    # Where each mode's pair was when it last swung; a pair that creeps waits there for its return.
    last = [complex(0.0, body_rate), complex(0.0, wheel_rate)]
    ratios, swinging = [0.0, 0.0], [True, True]
    for values in np.linalg.eigvals(matrices):
        pairs = [complex(value) for value in values if value.imag > 1e-9]
        real = sorted(float(-value.real) for value in values if abs(value.imag) <= 1e-9)
        if len(pairs) == 2:
            straight = abs(pairs[0] - last[0]) + abs(pairs[1] - last[1])
            crossed = abs(pairs[1] - last[0]) + abs(pairs[0] - last[1])
            found: list[complex | None] = list(pairs if straight <= crossed else pairs[::-1])
        elif len(pairs) == 1:
            still = swinging.index(True) if swinging.count(True) == 1 else None
            nearest = int(abs(pairs[0] - last[1]) < abs(pairs[0] - last[0])) if still is None else still
            found = [pairs[0], None] if nearest == 0 else [None, pairs[0]]
        else:
            # Four that creep: the slow pair of neighbours is the body's.
            ratios = [0.5 * (a + b) / math.sqrt(a * b) for a, b in (real[:2], real[2:])]
            swinging = [False, False]
            continue
        for i, value in enumerate(found):
            swinging[i] = value is not None
            if value is not None:
                last[i], ratios[i] = value, -value.real / abs(value)
            else:
                ratios[i] = 0.5 * sum(real) / math.sqrt(math.prod(real))
    return ratios[0], ratios[1]
