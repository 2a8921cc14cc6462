"""A station's laws as a few straight pieces, which many stations can be marched over side by side.

In a table every station would look at another place, which a processor cannot do for several at a time; it can sum
bends. The price is a small error of the force, about `NEAR_SHARE` of it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from suspension_lab.common.checks import GRAVITY, Array
from suspension_lab.simulation.equivalent import force_at_shaft
from suspension_lab.simulation.kernel import (
    LAW_ROWS,
    RATIO_AT,
    RATIO_BENDS,
    RATIO_START,
    SPEED_AT,
    SPEED_BENDS,
    SPEED_START,
    TRAVEL_AT,
    TRAVEL_BENDS,
    TRAVEL_START,
)
from suspension_lab.simulation.tables import fastest_rate, travel_reach
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station

SIDE_BENDS = (SPEED_BENDS - 1) // 2
"""Bends of the force over shaft speed on each side of zero, where it may bend once more."""
SWAPS = 12
"""So often at most a point is moved to a better place."""
NEAR_FORCE, NEAR_SHARE = 1.0, 0.01
"""How near the damper's pieces should come to its force [N], and as a share of it."""
NEAR_TRAVEL, NEAR_RATIO = 1e-3, 1e-3
"""The same for the force over travel and for the motion ratio, as a share of it."""
BEYOND_STOPS = 30.0
"""So many times less near beyond the ends of the travel."""
FASTEST = 6.0
"""Up to this shaft speed a damper's side is looked at; beyond, it goes on straight [m/s]."""
USUAL_SPEED = 1.0
"""Above this shaft speed, which a ride seldom sees, less near is near enough [m/s]."""
SPEED = FASTEST * (np.arange(401) / 400.0) ** 3.0
"""Where it is looked at [m/s]: close together where needles and seals bend it."""
TRAVEL_NODES, FINE_NODES = 801, 8001


class Points(NamedTuple):
    """Points joined by straight lines, which go on beyond the ends."""

    x: Array
    y: Array

    def lay_into(self, column: Array, start: int, at: int, count: int) -> None:
        """Write them into a station's column as a sum of bends; those too many do nothing.

        Args:
            column: (LAW_ROWS,), written to.
            start: row of the first line's value at zero; its slope stands in the next.
            at: first row of where it bends; behind these, by how much its slope changes there.
            count: of the bends, at least as many as there are.
        """
        slopes, bends = np.diff(self.y) / np.diff(self.x), self.x.size - 2
        column[start], column[start + 1] = self.y[0] - slopes[0] * self.x[0], slopes[0]
        column[at : at + 2 * count] = 0.0
        column[at : at + bends] = self.x[1:-1]
        column[at + count : at + count + bends] = np.diff(slopes)


def few_points(x: Array, y: Array, near: Array, bends: int) -> Points:
    """Few points between which straight lines come near a curve.

    One is added where the line is farthest off, in multiples of what is near, until `bends` lie between the ends
    (after Douglas and Peucker, Cartographica 10, 1973, from memory; upright instead of across); then their values are
    fitted by least squares, but for the first.

    Args:
        x: rising, (n,).
        y: the curve, (n,).
        near: how far off does not matter, above zero, (n,).
        bends: at most.
    """
    kept = [0, x.size - 1]
    for turn in range(bends + SWAPS):
        off = np.abs(np.interp(x, x[kept], y[kept]) - y) / near
        worst = int(off.argmax())
        if off[worst] < 1e-3:
            return Points(x[kept], y[kept])
        if turn >= bends:
            # The point that is missed least moves to where one is missed most.
            missed = [_missed(x, y, near, kept[i - 1], kept[i + 1]) for i in range(1, len(kept) - 1)]
            if min(missed) >= off[worst]:
                break
            del kept[1 + int(np.argmin(missed))]
        kept = sorted([*kept, worst])
    at = x[kept]
    left = np.clip(np.searchsorted(at, x) - 1, 0, at.size - 2)
    share, row = (x - at[left]) / (at[left + 1] - at[left]), np.arange(x.size)
    weights = np.zeros((x.size, at.size))
    weights[row, left], weights[row, left + 1] = (1.0 - share) / near, share / near
    rest = np.linalg.lstsq(weights[:, 1:], y / near - weights[:, 0] * y[0], rcond=None)[0]
    return Points(at, np.append(y[:1], rest))


def _missed(x: Array, y: Array, near: Array, first: int, last: int) -> float:
    """How far off a straight line between two of the points is at the most, in multiples of what is near."""
    inside = slice(first + 1, last)
    line = y[first] + (x[inside] - x[first]) * (y[last] - y[first]) / (x[last] - x[first])
    return float((np.abs(line - y[inside]) / near[inside]).max())


class Suspension(NamedTuple):
    """A station's laws over travel."""

    on_wheel: Points
    linkage: Points
    near_the_linkage: bool
    """Whether the pieces come near the motion ratio everywhere."""
    largest_ratio: float
    steepest: float
    """Of the force at the wheel over travel [N/m]."""
    travel: Array
    force: Array
    """The force at the wheel [N] over wheel travel from full extension [m], close together."""
    rises: bool
    """Whether it does everywhere."""


def suspension_pieces(station: Station) -> Suspension:
    """The force at the wheel [N] and the motion ratio over wheel travel [m]."""
    travel, fine = (np.linspace(*travel_reach(station), nodes) for nodes in (TRAVEL_NODES, FINE_NODES))
    force, ratio, close = station.suspension_force(travel), station.ratio(travel), station.suspension_force(fine)
    near = NEAR_TRAVEL * (np.abs(force) + 0.1 * station.static_tyre_load)
    if station.travel is not None:
        # Beyond the metal of the stops a station hardly ever is.
        near[(travel < 0.0) | (travel > station.travel)] *= BEYOND_STOPS
    linkage = few_points(travel, ratio, NEAR_RATIO * ratio, RATIO_BENDS)
    off = np.abs(np.interp(travel, linkage.x, linkage.y) - ratio)
    return Suspension(
        few_points(travel, force, near, TRAVEL_BENDS), linkage, bool((off < 5.0 * NEAR_RATIO * ratio).all()),
        float(ratio.max()), float(np.max(np.diff(force) / np.diff(travel))),
        fine, close, bool((np.diff(close) > 0.0).all()),
    )  # fmt: skip


def side_pieces(station: Station, direction: int) -> Points:
    """The force at the shaft, friction included, over its speed in one direction, from zero on, both without sign.

    Args:
        station: at its clicks.
        direction: -1 rebound, 1 compression.
    """
    knee = abs(station.damper.knees[0 if direction < 0 else 1])
    speed = np.union1d(SPEED, [knee]) if knee < FASTEST else SPEED
    force = direction * force_at_shaft(station, direction * speed)
    near = (NEAR_FORCE + NEAR_SHARE * np.abs(force)) * np.maximum(1.0, speed / USUAL_SPEED)
    return few_points(speed, force, near, SIDE_BENDS)


def column_of(station: Station, suspension: Suspension, rebound: Points, compression: Points) -> tuple[Array, float]:
    """All laws of a station as the kernel takes them, (LAW_ROWS,), and an upper estimate of its fastest rate [1/s]."""
    whole = Points(
        np.concatenate([-rebound.x[:0:-1], compression.x]), np.concatenate([-rebound.y[:0:-1], compression.y])
    )
    tyre, column = station.tyre, np.zeros(LAW_ROWS)
    column[:SPEED_START] = (
        1.0 / station.sprung_mass, 1.0 / station.unsprung_mass, tyre.stiffness, tyre.damping,
        station.static_tyre_deflection, 0.0 if tyre.can_leave_road else -np.inf, station.static_travel,
    )  # fmt: skip
    suspension.on_wheel.lay_into(column, TRAVEL_START, TRAVEL_AT, TRAVEL_BENDS)
    suspension.linkage.lay_into(column, RATIO_START, RATIO_AT, RATIO_BENDS)
    whole.lay_into(column, SPEED_START, SPEED_AT, SPEED_BENDS)
    at_shaft = float(np.abs(np.diff(whole.y) / np.diff(whole.x)).max())
    return column, fastest_rate(station, at_shaft, suspension.largest_ratio, suspension.steepest)


class Laws:
    """The laws of one station at any clicks, each side of the damper worked out once.

    Rebound clicks set the rebound side alone and compression clicks the compression side alone, as in every damper of
    the lab.

    Args:
        station: one that `can_be_pieces`.
    """

    def __init__(self, station: Station) -> None:
        self._sides: dict[tuple[int, Clicks], Points] = {}
        self._suspension = suspension_pieces(station)
        self.near_the_linkage = self._suspension.near_the_linkage
        """Whether the pieces come near the motion ratio everywhere."""

    def at(self, station: Station) -> tuple[Array, float]:
        """The column of this station at other clicks, (LAW_ROWS,), and an upper estimate of its fastest rate [1/s]."""
        return column_of(station, self._suspension, self._side(station, -1), self._side(station, 1))

    def _side(self, station: Station, direction: int) -> Points:
        clicks = station.clicks
        mine = (
            Clicks(rebound=clicks.rebound)
            if direction < 0
            else Clicks(low_speed=clicks.low_speed, high_speed=clicks.high_speed)
        )
        if (direction, mine) not in self._sides:
            self._sides[direction, mine] = side_pieces(station, direction)
        return self._sides[direction, mine]


class LawsOfMany:
    """The laws of stations that differ in anything; what some of them share (the same objects) is worked out once."""

    def __init__(self) -> None:
        self._suspensions: dict[tuple[object, ...], Suspension] = {}
        self._sides: dict[tuple[object, ...], Points] = {}
        self._columns: dict[int, tuple[Array, float]] = {}
        self._alive: list[Station] = []

    def near_the_linkage(self, station: Station) -> bool:
        """Whether the pieces come near a station's motion ratio everywhere."""
        return id(station) in self._columns or self._suspension(station).near_the_linkage

    def at(self, station: Station) -> tuple[Array, float]:
        """As `Laws.at`."""
        if id(station) not in self._columns:
            self._alive.append(station)
            self._columns[id(station)] = self._worked_out(station)
        return self._columns[id(station)]

    def _worked_out(self, station: Station) -> tuple[Array, float]:
        rubbing = (id(station.damper), station.friction, station.friction_speed)
        for direction in (-1, 1):
            if (direction, *rubbing) not in self._sides:
                self._sides[direction, *rubbing] = side_pieces(station, direction)
        return column_of(station, self._suspension(station), self._sides[-1, *rubbing], self._sides[1, *rubbing])

    def let_settle(self, station: Station) -> None:
        """Find a station's travel at rest on the law that it shares with others, unless it is known."""
        if "static_travel" in station.__dict__:
            return
        law = self._suspension(station)
        if not law.rises:
            return
        # Half a micrometre off at most: far quicker than to look for it anew for each load.
        station.__dict__["static_travel"] = float(np.interp(station.sprung_mass * GRAVITY, law.force, law.travel))

    def _suspension(self, station: Station) -> Suspension:
        # By identity: parts are frozen, and comparing them would take longer than the laws. They are kept alive, so
        # that no other part gets their identity.
        parts = (id(station.spring), id(station.damper), id(station.motion_ratio), station.travel,
                 station.bump_stop, station.top_out_stop)  # fmt: skip
        if parts not in self._suspensions:
            self._alive.append(station)
            self._suspensions[parts] = suspension_pieces(station)
        return self._suspensions[parts]
