"""The linkage between wheel and damper: shaft travel per wheel travel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, array, rising
from suspension_lab.common.errors import LabError


@dataclass(frozen=True, kw_only=True)
class MotionRatio:
    """Shaft travel per wheel travel, as a table over wheel travel.

    Attributes:
        wheel_travel: from full extension, rising [m], (n,).
        ratio: shaft travel per wheel travel at those points, above zero, (n,).

    Raises:
        LabError: lengths that differ, travel that does not rise, or a ratio not above zero.
    """

    wheel_travel: Sequence[float]
    ratio: Sequence[float]

    def __post_init__(self) -> None:
        travel = array("motion ratio's wheel travel", self.wheel_travel, "m")
        ratio = array("motion ratio", self.ratio, "m/m")
        if travel.size != ratio.size:
            raise LabError(
                f"The motion ratio table has {travel.size} travels but {ratio.size} ratios; give one ratio for each."
            )
        rising("motion ratio's wheel travel", travel, "m")
        if ratio.min() <= 0.0:
            raise LabError(f"The motion ratio falls to {ratio.min():g}, where more than 0 was expected.")
        object.__setattr__(self, "wheel_travel", tuple(travel.tolist()))
        object.__setattr__(self, "ratio", tuple(ratio.tolist()))

    def at(self, wheel_travel: ArrayLike) -> Array:
        """Ratio at a wheel travel [m], constant beyond the table; same shape."""
        return np.interp(np.asarray(wheel_travel, dtype=np.float64), self.wheel_travel, self.ratio)

    def shaft_travel(self, wheel_travel: ArrayLike) -> Array:
        """Shaft travel [m], the exact integral of the ratio over wheel travel from 0; same shape."""
        nodes, ratio = np.asarray(self.wheel_travel), np.asarray(self.ratio)
        area = np.concatenate([[0.0], np.cumsum(0.5 * (ratio[1:] + ratio[:-1]) * np.diff(nodes))])

        def from_first_node(w: Array) -> Array:
            at = np.clip(np.searchsorted(nodes, w) - 1, 0, nodes.size - 2)
            inside = np.clip(w, nodes[0], nodes[-1])
            piece = area[at] + 0.5 * (ratio[at] + np.interp(inside, nodes, ratio)) * (inside - nodes[at])
            beyond = np.minimum(w - nodes[0], 0.0) * ratio[0] + np.maximum(w - nodes[-1], 0.0) * ratio[-1]
            return np.asarray(piece + beyond)

        return from_first_node(np.asarray(wheel_travel, dtype=np.float64)) - from_first_node(np.zeros(()))
