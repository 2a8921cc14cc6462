"""The linear view: small motions around ride height, without friction and stops."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.vehicle.station import Station

SMALL_SPEED = 0.02
"""Shaft speed at which a damper's slope is taken [m/s]: well under any knee."""


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

    The frequencies are the undamped ones, from the eigenvalues without damping. The damping ratios are those of the
    eigenvalues where a mode swings, and c / (2 sqrt(k m)) of the single mass where it no longer does.

    Args:
        station: around ride height.
        direction: of the damper's slope: 'rebound', 'compression' or 'mean'.
    """
    c = damping_at_wheel(station, direction)
    undamped = np.sort(np.abs(np.linalg.eigvals(system_matrix(station, 0.0)).imag))
    body_rate, wheel_rate = float(undamped[0]), float(undamped[-1])
    values = np.linalg.eigvals(system_matrix(station, c))
    swinging = sorted(values[values.imag > 1e-9], key=abs)
    body = c / (2.0 * station.sprung_mass * body_rate)
    wheel = (c + station.tyre.damping) / (2.0 * station.unsprung_mass * wheel_rate)
    if len(swinging) == 2:
        body, wheel = (float(-value.real / abs(value)) for value in swinging)
    elif len(swinging) == 1:
        value = swinging[0]
        near_body = abs(abs(value) - body_rate) < abs(abs(value) - wheel_rate)
        ratio = float(-value.real / abs(value))
        body, wheel = (ratio, wheel) if near_body else (body, ratio)
    return Modes(
        body=Mode(frequency=body_rate / (2.0 * np.pi), damping_ratio=body),
        wheel=Mode(frequency=wheel_rate / (2.0 * np.pi), damping_ratio=wheel),
    )
