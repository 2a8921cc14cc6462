"""The tyre: a vertical spring and damper that pushes on the road but never pulls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, number, positive


@dataclass(frozen=True, kw_only=True)
class Tyre:
    """Vertical stiffness and damping of the tyre.

    Attributes:
        stiffness: [N/m], above zero.
        damping: [N s/m], not below zero.
        can_leave_road: True: the load is never negative, so contact can be lost; False: the linear model of textbooks.

    Raises:
        LabError: a value that is not finite or out of its range.
    """

    stiffness: float
    damping: float = 0.0
    can_leave_road: bool = True

    def __post_init__(self) -> None:
        positive("tyre stiffness", self.stiffness, "N/m")
        number("tyre damping", self.damping, "N s/m", low=0.0)

    def load(self, deflection: ArrayLike, rate: ArrayLike = 0.0) -> Array:
        """Load on the road [N] from deflection [m] and its rate [m/s], positive when squashed; same shape."""
        load = self.stiffness * np.asarray(deflection) + self.damping * np.asarray(rate)
        return np.maximum(load, 0.0) if self.can_leave_road else load
