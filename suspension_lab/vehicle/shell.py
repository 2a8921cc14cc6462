"""The outside of a damper: the metal that the oil warms, and the surface that the air cools."""

from __future__ import annotations

import math
from dataclasses import dataclass

from suspension_lab.common.checks import number, positive

ALUMINIUM, STEEL = 900.0, 470.0
"""Specific heats [J/(kg K)] (handbook values at room temperature, from memory)."""


@dataclass(frozen=True, kw_only=True)
class Shell:
    """A round body, across whose side the air flows.

    Attributes:
        mass: of its metal [kg].
        diameter, length: [m].
        specific_heat: of its metal [J/(kg K)].

    Raises:
        LabError: a value out of its range.
    """

    mass: float
    diameter: float
    length: float
    specific_heat: float = STEEL

    def __post_init__(self) -> None:
        for name, unit in (("mass", "kg"), ("diameter", "m"), ("length", "m")):
            positive(f"damper body's {name}", getattr(self, name), unit)
        number("damper body's specific heat", self.specific_heat, "J/(kg K)", low=100.0, high=5000.0)

    @property
    def surface(self) -> float:
        """Side of the body [m^2]; the ends are shaded by their mounts."""
        return math.pi * self.diameter * self.length

    @property
    def heat_capacity(self) -> float:
        """Of its metal [J/K]."""
        return self.mass * self.specific_heat
