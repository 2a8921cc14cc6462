"""What oil flows through in a damper: needle bleed, spring-loaded blow-off, fixed leak, and the three side by side.

Pressures are drops across the part [Pa], flows volume flows [m^3/s], both from zero up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, number, positive
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.clicks import Span
from suspension_lab.vehicle.oil import Fluid

SHARP_EDGE = math.pi / (math.pi + 2.0)
"""Discharge coefficient of a sharp edge, 0.611 (Kirchhoff; Merritt, Hydraulic Control Systems, 1967, from memory)."""
NODES = 4000
LOWEST_DROP, HIGHEST_DROP = 1e-3, 1e9
"""Pressure drops between which a circuit's curve is laid out [Pa]; beyond, it goes on straight."""


def gap_resistance(
    *, diameter: float, clearance: float, length: float, viscosity: float, eccentricity: float = 0.0
) -> float:
    """Pressure drop over flow of laminar flow through a thin ring-shaped gap [Pa s/m^3].

    12 mu L / (pi D c^3 (1 + 1.5 e^2)) (Merritt, Hydraulic Control Systems, 1967, chapter 3, from memory).

    Args:
        diameter: mean diameter of the ring [m].
        clearance: between the two round faces [m].
        length: along the flow [m].
        viscosity: dynamic [Pa s].
        eccentricity: how far off centre, over the clearance, 0 to 1.
    """
    eased = 1.0 + 1.5 * eccentricity**2
    return 12.0 * viscosity * length / (math.pi * diameter * clearance**3 * eased)


def orifice_resistance(*, area: float, density: float, discharge: float = SHARP_EDGE) -> float:
    """Pressure drop over flow squared of an orifice, rho / (2 (Cd A)^2) [Pa s^2/m^6] (textbook).

    Args:
        area: [m^2].
        density: [kg/m^3].
        discharge: discharge coefficient.
    """
    return 0.5 * density / (discharge * area) ** 2


def flow_through(drop: ArrayLike, linear: float, square: float) -> Array:
    """Flow [m^3/s] where the drop is linear * flow + square * flow^2; any shape.

    Args:
        drop: pressure drop [Pa], not below zero.
        linear, square: resistances, as the two functions above; at most one of them zero.
    """
    p = np.asarray(drop, dtype=np.float64)
    # This form of the root loses nothing where either term is small.
    return np.asarray(2.0 * p / (linear + np.sqrt(linear**2 + 4.0 * square * p) + 1e-300))


@dataclass(frozen=True, kw_only=True)
class Needle:
    """A tapered needle in its seat: a laminar ring-shaped gap and, behind it, the turbulent loss of an orifice.

    Attributes:
        seat_diameter: [m].
        needle_diameter: in the seat when fully closed [m].
        taper: angle between the needle's flank and its axis [rad].
        lift_per_click: how far one click draws the needle back [m].
        land_length: of the gap along the flow [m].
        eccentricity: how far off centre the needle sits, over the gap, 0 to 1.
        discharge: discharge coefficient of the opening.

    Raises:
        LabError: a needle as wide as its seat or wider, or a value out of its range.
    """

    seat_diameter: float
    needle_diameter: float
    taper: float
    lift_per_click: float
    land_length: float
    eccentricity: float = 0.0
    discharge: float = SHARP_EDGE

    def __post_init__(self) -> None:
        positive("needle's seat diameter", self.seat_diameter, "m")
        positive("needle diameter", self.needle_diameter, "m")
        if self.needle_diameter >= self.seat_diameter:
            raise LabError(
                f"The needle is {1e3 * self.needle_diameter:g} mm wide in a seat of {1e3 * self.seat_diameter:g} mm, "
                "where a needle narrower than its seat was expected; check the two diameters."
            )
        number("needle's taper", self.taper, "rad", low=0.001, high=1.2)
        positive("needle's lift per click", self.lift_per_click, "m")
        positive("needle's land length", self.land_length, "m")
        number("needle's eccentricity", self.eccentricity, "of its gap", low=0.0, high=1.0)
        number("discharge coefficient", self.discharge, "1", low=0.05, high=1.0)

    def gap(self, clicks: float) -> float:
        """Gap around the needle [m], at clicks out from closed; at most half the seat, where the needle has left it."""
        closed = 0.5 * (self.seat_diameter - self.needle_diameter)
        return min(closed + clicks * self.lift_per_click * math.tan(self.taper), 0.5 * self.seat_diameter)

    def opening(self, clicks: float) -> float:
        """Area around the needle [m^2]."""
        gap = self.gap(clicks)
        return math.pi * gap * (self.seat_diameter - gap)

    def flow(self, drop: ArrayLike, clicks: float, fluid: Fluid) -> Array:
        """Flow [m^3/s] over pressure drop [Pa], same shape."""
        gap = self.gap(clicks)
        linear = gap_resistance(
            diameter=self.seat_diameter - gap, clearance=gap, length=self.land_length,
            viscosity=fluid.viscosity, eccentricity=self.eccentricity,
        )  # fmt: skip
        square = orifice_resistance(area=self.opening(clicks), density=fluid.density, discharge=self.discharge)
        return flow_through(drop, linear, square)


@dataclass(frozen=True, kw_only=True)
class BlowOff:
    """A disc, or a stack of shims, held on its seat by a spring: it opens at a pressure, then gives way with it.

    Attributes:
        seat_diameter: [m].
        spring_rate: [N/m]; of the spring or the stack.
        cracking_pressure: at which it opens [Pa]; a `Span` where an adjuster sets its preload.
        discharge: discharge coefficient of the ring it opens.

    Raises:
        LabError: a value that is not above zero.
    """

    seat_diameter: float
    spring_rate: float
    cracking_pressure: float | Span
    discharge: float = SHARP_EDGE

    def __post_init__(self) -> None:
        positive("blow-off's seat diameter", self.seat_diameter, "m")
        positive("blow-off's spring rate", self.spring_rate, "N/m")
        if not isinstance(self.cracking_pressure, Span):
            positive("blow-off's cracking pressure", self.cracking_pressure, "Pa")
        number("discharge coefficient", self.discharge, "1", low=0.05, high=1.0)

    @property
    def seat_area(self) -> float:
        """Of its seat [m^2]."""
        return 0.25 * math.pi * self.seat_diameter**2

    @property
    def most_lift(self) -> float:
        """Lift from which the seat's bore, not the ring under the disc, holds the oil back: a quarter diameter [m]."""
        return 0.25 * self.seat_diameter

    def lift(self, drop: ArrayLike, cracking: float) -> Array:
        """How far the disc stands off its seat [m], same shape: force balance of pressure and spring."""
        free = (np.asarray(drop, dtype=np.float64) - cracking) * self.seat_area / self.spring_rate
        return np.clip(free, 0.0, self.most_lift)

    def full_lift_drop(self, cracking: float) -> float:
        """Pressure drop at which it is fully open [Pa]."""
        return cracking + self.spring_rate * self.most_lift / self.seat_area

    def flow(self, drop: ArrayLike, cracking: float, fluid: Fluid) -> Array:
        """Flow [m^3/s] over pressure drop [Pa], same shape."""
        p = np.asarray(drop, dtype=np.float64)
        ring = math.pi * self.seat_diameter * self.lift(p, cracking)
        return self.discharge * ring * np.sqrt(2.0 * p / fluid.density)


@dataclass(frozen=True, kw_only=True)
class Leak:
    """A fixed clearance that no click changes, such as that of the piston in its bore: a laminar gap.

    Attributes:
        diameter, clearance, length: of the ring-shaped gap [m].
        eccentricity: how far off centre, over the clearance, 0 to 1.

    Raises:
        LabError: a value out of its range.
    """

    diameter: float
    clearance: float
    length: float
    eccentricity: float = 0.0

    def __post_init__(self) -> None:
        for name in ("diameter", "clearance", "length"):
            positive(f"leak's {name}", getattr(self, name), "m")
        if self.clearance >= 0.25 * self.diameter:
            raise LabError(
                f"The leak's clearance of {1e3 * self.clearance:g} mm is no thin gap on a diameter of "
                f"{1e3 * self.diameter:g} mm; check the two."
            )
        number("leak's eccentricity", self.eccentricity, "of its clearance", low=0.0, high=1.0)

    def flow(self, drop: ArrayLike, fluid: Fluid) -> Array:
        """Flow [m^3/s] over pressure drop [Pa], same shape."""
        resistance = gap_resistance(
            diameter=self.diameter, clearance=self.clearance, length=self.length,
            viscosity=fluid.viscosity, eccentricity=self.eccentricity,
        )  # fmt: skip
        return np.asarray(drop, dtype=np.float64) / resistance


class Flows(NamedTuple):
    """What each way carries [m^3/s], same shape."""

    bleed: Array
    blow_off: Array
    leak: Array

    @property
    def whole(self) -> Array:
        """All three together."""
        return self.bleed + self.blow_off + self.leak


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """Bleed, blow-off and leak side by side behind a one-way valve: one pressure drop, three flows.

    Attributes:
        needle: the bleed.
        blow_off: None: there is none.
        leak: None: there is none.
    """

    needle: Needle
    blow_off: BlowOff | None = None
    leak: Leak | None = None


@dataclass(frozen=True, kw_only=True)
class SetCircuit:
    """A circuit at its clicks, with its oil.

    Attributes:
        circuit: the parts.
        clicks: of the needle, out from closed.
        cracking: pressure at which the blow-off opens [Pa]; not looked at where there is none.
        fluid: the oil in it.
    """

    circuit: Circuit
    clicks: int
    cracking: float
    fluid: Fluid

    def flows(self, drop: ArrayLike) -> Flows:
        """Flow through each way [m^3/s] over pressure drop [Pa], same shape."""
        p = np.asarray(drop, dtype=np.float64)
        parts, none = self.circuit, np.zeros_like(p)
        return Flows(
            bleed=parts.needle.flow(p, self.clicks, self.fluid),
            blow_off=parts.blow_off.flow(p, self.cracking, self.fluid) if parts.blow_off else none,
            leak=parts.leak.flow(p, self.fluid) if parts.leak else none,
        )

    def drop(self, flow: ArrayLike) -> Array:
        """Pressure drop [Pa] over flow [m^3/s], same shape: the inverse of `flows`, between close nodes of it."""
        q = np.asarray(flow, dtype=np.float64)
        drops, wholes = _curve(self)
        steep = (drops[-1] - drops[-2]) / (wholes[-1] - wholes[-2])
        return np.asarray(np.interp(q, wholes, drops) + steep * np.maximum(q - wholes[-1], 0.0))

    @property
    def curve(self) -> tuple[Array, Array]:
        """Pressure drops from zero up [Pa], and the whole flow at each [m^3/s], (n,) each."""
        return _curve(self)

    def lift(self, drop: ArrayLike) -> Array:
        """How far the blow-off stands open [m] over pressure drop [Pa], same shape."""
        parts = self.circuit
        if parts.blow_off is None:
            return np.zeros_like(np.asarray(drop, dtype=np.float64))
        return parts.blow_off.lift(drop, self.cracking)


@lru_cache(maxsize=256)
def _curve(circuit: SetCircuit) -> tuple[Array, Array]:
    """Pressure drops from zero up, and the whole flow at each: exact pairs, so their inverse is too."""
    drops = np.concatenate([[0.0], np.geomspace(LOWEST_DROP, HIGHEST_DROP, NODES)])
    blow_off = circuit.circuit.blow_off
    if blow_off:
        bends = np.array([circuit.cracking, blow_off.full_lift_drop(circuit.cracking)])
        near = circuit.cracking * (1.0 + np.geomspace(1e-5, 0.05, 60))
        drops = np.union1d(drops, np.concatenate([bends, near]))
    wholes = circuit.flows(drops).whole
    drops.setflags(write=False)
    wholes.setflags(write=False)
    return drops, wholes
