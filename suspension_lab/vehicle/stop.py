"""Rubber stops at the two ends of the travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, positive

METAL_STIFFNESS = 1.0e6
"""Stiffness at the wheel once a stop's rubber is used up [N/m]; stiff enough to stop the wheel within millimetres."""


@dataclass(frozen=True, kw_only=True)
class Stop:
    """A rubber stop at the end of the travel, harder the more it is squashed.

    Attributes:
        length: how far it can be squashed, in wheel travel [m].
        rate: its rate at the wheel where it begins [N/m]; at full squash its force is twice rate times length.
    """

    length: float
    rate: float

    def __post_init__(self) -> None:
        positive("a stop's length", self.length, "m")
        positive("a stop's rate", self.rate, "N/m")

    def force(self, squash: ArrayLike) -> Array:
        """Force [N] at the wheel over squash [m], zero below zero; same shape."""
        x = np.maximum(np.asarray(squash, dtype=np.float64), 0.0)
        rubber = np.minimum(x, self.length)
        metal = METAL_STIFFNESS * np.maximum(x - self.length, 0.0)
        return np.asarray(self.rate * rubber * (1.0 + (rubber / self.length) ** 2) + metal)
