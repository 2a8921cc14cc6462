"""A station as the lookup tables the kernel marches over."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.vehicle.station import Station

TRAVEL_NODES = 2001
FINE_SPEED = 0.5
"""Up to this shaft speed the damper's table has its fine spacing [m/s]."""
COARSE_SPEED = 12.5
"""Up to here its coarse spacing; beyond, it goes on straight [m/s]."""
HALF_NODES = 2000
"""Nodes on each side of zero, so that zero itself is a node: friction and one-way valves turn there."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Tables:
    """What the kernel needs of a station.

    Attributes:
        constants: masses [kg], tyre stiffness [N/m] and damping [N s/m], its squash at rest [m], whether it may leave
            the road, wheel travel at rest [m], first node and nodes per metre of travel, end and nodes per m/s of the
            fine and of the coarse speed range.
        suspension: (m, 3) force at the wheel [N], motion ratio, friction at the shaft [N].
        damper: (2, m, 2) force at the shaft [N], and the share of the friction that acts.
        play: the damper's free play as wheel travel at rest [m]; None where there is none.
        fastest_rate: an upper estimate of the station's fastest rate [1/s].
    """

    constants: tuple[float, ...]
    suspension: Array
    damper: Array
    play: float | None
    fastest_rate: float


SPEED = np.stack([reach / HALF_NODES * np.arange(-HALF_NODES, HALF_NODES + 1) for reach in (FINE_SPEED, COARSE_SPEED)])
"""Shaft speeds of the damper's table [m/s]."""


def tables(station: Station) -> Tables:
    """Build the tables of a station."""
    first, last = travel_reach(station)
    travel = np.linspace(first, last, TRAVEL_NODES)
    suspension = np.column_stack([station.suspension_force(travel), station.ratio(travel), station.friction_at(travel)])
    damper = np.stack([station.damper.force(SPEED), station.friction_share(SPEED)], axis=-1)
    spacing = np.array([FINE_SPEED, COARSE_SPEED]) / HALF_NODES
    at_shaft = damper[..., 0] + suspension[:, 2].max() * damper[..., 1]
    constants = (
        station.sprung_mass, station.unsprung_mass, station.tyre.stiffness, station.tyre.damping,
        station.static_tyre_deflection, 1.0 if station.tyre.can_leave_road else 0.0,
        station.static_travel, first, (TRAVEL_NODES - 1) / (last - first),
        FINE_SPEED, HALF_NODES / FINE_SPEED, COARSE_SPEED, HALF_NODES / COARSE_SPEED,
    )  # fmt: skip
    return Tables(
        constants=tuple(float(value) for value in constants),
        suspension=np.ascontiguousarray(suspension),
        damper=np.ascontiguousarray(damper),
        play=station.damper.free_play / float(station.ratio(station.static_travel)) or None,
        fastest_rate=fastest_rate(
            station,
            at_shaft=float(np.max(np.abs(np.diff(at_shaft, axis=1)) / spacing[:, None])),
            ratio=float(suspension[:, 1].max()),
            at_wheel=float(np.max(np.diff(suspension[:, 0]) / np.diff(travel))),
        ),
    )


def travel_reach(station: Station) -> tuple[float, float]:
    """Wheel travel from full extension between which a station's laws are looked at [m]."""
    if station.travel is None:
        return station.static_travel - 0.5, station.static_travel + 0.5
    return -0.5 * station.travel, 1.5 * station.travel


def fastest_rate(station: Station, at_shaft: float, ratio: float, at_wheel: float) -> float:
    """An upper estimate of a station's fastest rate [1/s].

    Args:
        station: its masses and tyre.
        at_shaft: steepest slope of damper and friction over shaft speed [N s/m].
        ratio: largest motion ratio.
        at_wheel: steepest slope of spring and stops over wheel travel [N/m].
    """
    inverse_mass = 1.0 / station.unsprung_mass + 1.0 / station.sprung_mass
    damping = at_shaft * ratio**2 * inverse_mass + station.tyre.damping / station.unsprung_mass
    stiffness = at_wheel * inverse_mass + station.tyre.stiffness / station.unsprung_mass
    return damping + math.sqrt(stiffness)
