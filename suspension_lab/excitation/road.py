"""A road's profile, and driving over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from suspension_lab.common.checks import Array, array, positive, rising
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import LEVEL, Path, State
from suspension_lab.vehicle.station import Station

GRID_SHARE = 0.01
"""The rolled envelope is drawn at this share of the wheel radius."""

THIN_BLOCK, THIN_BELOW = 16, 1e-6
"""Samples in a block, and how far they may lie off its chord [m] to be left out of a rolled envelope."""


@dataclass(frozen=True, eq=False)
class Road:
    """A profile of straight pieces: height over distance.

    Attributes:
        distance: rising [m], (n,).
        height: up positive [m], (n,).
        name: shown in pictures and messages.

    Raises:
        LabError: lengths that differ, an entry that is not finite, or distances that repeat or go backward.
    """

    distance: Sequence[float] | NDArray[np.float64]
    height: Sequence[float] | NDArray[np.float64]
    name: str = "road"

    def __post_init__(self) -> None:
        distance = array("road distance", self.distance, "m")
        height = array("road height", self.height, "m")
        if distance.size != height.size:
            raise LabError(
                f"The road has {distance.size} distances but {height.size} heights; give one height for each distance."
            )
        rising("road distance", distance, "m")
        object.__setattr__(self, "distance", distance)
        object.__setattr__(self, "height", height)

    @property
    def length(self) -> float:
        """From the first to the last point [m]."""
        return float(self.distance[-1] - self.distance[0])

    @property
    def shortest_feature(self) -> float:
        """Smallest distance between two points [m]: nothing shorter can be on this road."""
        return float(np.diff(self.distance).min())

    def with_run_in(self, length: float = 5.0) -> Road:
        """The same road behind a stretch that eases from level ground into its first slope.

        A measured road rarely begins level; without this a ride would start with a jolt that is not on the road.

        Args:
            length: of the added stretch [m].

        Raises:
            LabError: a length that is not above zero.
        """
        positive("run-in length", length, "m")
        distance, height = np.asarray(self.distance), np.asarray(self.height)
        near = distance <= distance[0] + max(length, 2.0 * float(distance[1] - distance[0]))
        slope = np.polyfit(distance[near] - distance[0], height[near], 1)[0]
        x = np.linspace(0.0, length, 51)[:-1]
        # A parabola is level at its beginning and has the road's slope where it meets the road.
        rise = 0.5 * slope * (x**2 / length - length)
        return Road(np.concatenate([distance[0] - length + x, distance]), np.concatenate([height[0] + rise, height]),
                    name=self.name)  # fmt: skip

    def envelope(self, wheel_radius: float) -> Road:
        """The path of the axle of a wheel that rolls over this road, lowered by the radius.

        The centre of a wheel that cannot dip into an edge follows the upper envelope of circles set on every point
        of the profile: a grey dilation by the wheel's own arc (textbook geometry).

        Args:
            wheel_radius: [m].

        Raises:
            LabError: a radius that is not above zero.
        """
        return _envelope(self, positive("wheel radius", wheel_radius, "m"))


@lru_cache(maxsize=32)
def _envelope(road: Road, radius: float) -> Road:
    from scipy.ndimage import grey_dilation

    nodes, heights = np.asarray(road.distance), np.asarray(road.height)
    grid = GRID_SHARE * radius
    x = nodes[0] + grid * np.arange(int(np.ceil((nodes[-1] - nodes[0]) / grid)) + 1)
    reach = int(radius / grid)
    offsets = grid * np.arange(-reach, reach + 1)
    arc = np.sqrt(np.maximum(radius**2 - offsets**2, 0.0)) - radius
    # The dilation of the samples is right between the points; the points themselves are added where they truly are.
    rolled = grey_dilation(np.interp(x, nodes, heights), size=arc.size, structure=arc, mode="nearest")
    slope = np.diff(heights) / np.diff(nodes)
    crests = np.flatnonzero(np.diff(slope) < 0.0) + 1
    for part in np.array_split(crests, crests.size // 2000 + 1):
        at = np.round((nodes[part] - x[0]) / grid).astype(np.int64)[:, None] + np.arange(-reach - 1, reach + 2)
        lever = x[0] + grid * at - nodes[part, None]
        inside = (at >= 0) & (at < x.size) & (np.abs(lever) <= radius)
        cap = heights[part, None] + np.sqrt(np.maximum(radius**2 - lever**2, 0.0)) - radius
        np.maximum.at(rolled, at[inside], cap[inside])
    keep = _bent(rolled)
    return Road(x[keep], rolled[keep], name=road.name)


def _bent(height: Array) -> NDArray[np.bool_]:
    """Which even samples are wanted: block ends always, the inside only where it leaves the straight chord."""
    blocks = (height.size - 1) // THIN_BLOCK
    inside = height[: blocks * THIN_BLOCK].reshape(blocks, THIN_BLOCK)
    ends = height[: blocks * THIN_BLOCK + 1 : THIN_BLOCK]
    share = np.arange(THIN_BLOCK) / THIN_BLOCK
    chord = ends[:-1, None] + share * np.diff(ends)[:, None]
    keep = np.ones(height.size, dtype=np.bool_)
    keep[: blocks * THIN_BLOCK] = np.repeat(np.abs(inside - chord).max(axis=1) > THIN_BELOW, THIN_BLOCK)
    keep[: blocks * THIN_BLOCK : THIN_BLOCK] = True
    return keep


@dataclass(frozen=True)
class Ride:
    """Driving over a road at a steady speed; t = 0 is at its first point, at rest at ride height.

    Beyond its end the road goes on level.

    Attributes:
        road: the profile.
        speed: [m/s].

    Raises:
        LabError: a speed that is not above zero.
    """

    road: Road
    speed: float

    def __post_init__(self) -> None:
        if not isinstance(self.road, Road):
            raise LabError(f"A ride needs a Road, but got {type(self.road).__name__}; see lab.roads.")
        positive("speed", self.speed, "m/s")

    def start(self, station: Station) -> State:
        """At rest at ride height."""
        return State()

    def road_path(self, station: Station) -> Path:
        """The rolled profile under this station's wheel, over time, from its first height [m]."""
        radius = station.wheel_radius
        rolled = self.road if radius is None else self.road.envelope(radius)
        distance, height = np.asarray(rolled.distance), np.asarray(rolled.height)
        return Path(time=(distance - distance[0]) / self.speed, value=height - height[0])

    def force_path(self, station: Station) -> Path:
        """None."""
        return LEVEL

    def free_from(self) -> float:
        """0: the ride begins."""
        return 0.0

    def usual_duration(self, station: Station) -> float:
        """The whole road [s]."""
        return self.road.length / self.speed
