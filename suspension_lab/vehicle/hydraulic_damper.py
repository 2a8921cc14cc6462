"""A damper by its parts: piston, rod, valves, oil and gas."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, positive
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.clicks import Adjustable, Clicks, Span, checked_adjusters, starting_clicks
from suspension_lab.vehicle.gas import ATMOSPHERE, LEAST_SHARE, GasCharge
from suspension_lab.vehicle.oil import WORKSHOP, Fluid, Oil, oil_temperature
from suspension_lab.vehicle.shell import STEEL, Shell
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.valves import SHARP_EDGE, BlowOff, Circuit, Flows, SetCircuit, orifice_resistance

THICKEST_ROD = 0.99
"""Of the piston's diameter: beyond, there is no ring left for oil."""
FASTEST = 20.0
"""Up to this shaft speed cavitation is looked for [m/s]."""


class Pressures(NamedTuple):
    """Absolute pressures in the damper [Pa], same shape."""

    compression_side: Array
    """Below the piston, where the oil is pressed in compression."""
    rebound_side: Array
    """Above it, around the rod."""
    gas: Array


@dataclass(frozen=True, kw_only=True)
class HydraulicDamper(Adjustable):
    """Force from the pressures on both sides of the piston, which follow from the flow through the valves.

    The rebound circuit sits in the piston. The compression circuit sits in the piston too, or at the passage to the
    reservoir, where only the oil flows that the rod displaces; the piston then lets oil past in compression through a
    one-way valve, and so does the passage in rebound. One-way valves keep the circuits apart: no click of one side
    changes the other.

    Where an absolute pressure would fall under the oil's vapour pressure the damper cavitates and the pressure stays
    there; oil that no longer passes the piston must leave through the other valve. That is judged with the gas at full
    extension, where its pressure is lowest: rather too early than too late. How bubbles close again on the way back
    is not in the model.

    Attributes:
        piston_diameter, rod_diameter: [m].
        rebound, compression: the circuits. Rebound clicks set the rebound needle; low-speed clicks the compression
            needle; high-speed clicks, or low-speed ones where there are none, the cracking pressure of its blow-off
            where that is a `Span`.
        oil: the oil.
        compression_at: 'piston' or 'reservoir'.
        gas: the charge; None: a chamber open to the air.
        body, reservoir: what warms and cools; reservoir None: there is none.
        oil_volume: [m^3].
        free_area: opening of each one-way valve that lets oil back [m^2].
        oil_temperature: [K].
        free_play: shaft travel that meets no oil at each turn, where oil is lacking [m].
        adjusters: name ('rebound', 'low_speed', 'high_speed') -> clicks from closed to open.
        clicks: where they stand; by default in the middle of each range.

    Raises:
        LabError: a rod as wide as the piston or wider, a reservoir valve without reservoir, a reservoir without gas, a
            range of pressures without its adjuster, and whatever the parts and clicks refuse.
    """

    piston_diameter: float
    rod_diameter: float
    rebound: Circuit
    compression: Circuit
    oil: Oil
    compression_at: str = "piston"
    gas: GasCharge | None = None
    body: Shell = field(default_factory=lambda: Shell(mass=1.5, diameter=0.045, length=0.25, specific_heat=STEEL))
    reservoir: Shell | None = None
    oil_volume: float = 120e-6
    free_area: float = 60e-6
    oil_temperature: float = WORKSHOP
    free_play: float = 0.0
    adjusters: Mapping[str, int] = field(default_factory=dict)
    clicks: Clicks = field(default_factory=Clicks)

    def __post_init__(self) -> None:
        positive("piston diameter", self.piston_diameter, "m")
        positive("rod diameter", self.rod_diameter, "m")
        positive("oil volume", self.oil_volume, "m³")
        positive("opening of the one-way valves", self.free_area, "m²")
        if self.rod_diameter >= THICKEST_ROD * self.piston_diameter:
            raise LabError(
                f"The rod is {1e3 * self.rod_diameter:g} mm wide on a piston of {1e3 * self.piston_diameter:g} mm, "
                "where a rod thinner than the piston was expected; check the two diameters."
            )
        if self.compression_at not in ("piston", "reservoir"):
            raise LabError(
                f"The compression circuit is at {self.compression_at!r}, where 'piston' or 'reservoir' was expected."
            )
        if self.compression_at == "reservoir" and self.reservoir is None:
            raise LabError(
                "The compression circuit is at the reservoir, but there is none; give one, or take 'piston'."
            )
        if self.reservoir is not None and self.gas is None:
            raise LabError(
                "The reservoir has no gas to hold its separator up; give the gas its pressure and volume, or leave the "
                "reservoir out."
            )
        if not 0.0 <= self.free_play < 0.1:
            raise LabError(f"The free play is {self.free_play!r} m, where 0 to 0.1 m was expected.")
        oil_temperature(self.oil_temperature)
        checked_adjusters(self.adjusters)
        object.__setattr__(self, "clicks", starting_clicks(self.adjusters, self.clicks))
        for side, adjuster in (("rebound", "rebound"), ("compression", "low_speed")):
            blow_off: BlowOff | None = getattr(self, side).blow_off
            opens = blow_off.cracking_pressure if blow_off else 0.0
            if not isinstance(opens, Span):
                continue
            if adjuster not in self.adjusters:
                raise LabError(
                    f"The {side} blow-off has a closed and an open cracking pressure but no adjuster sets it; add "
                    f"{adjuster} to the adjusters, or give one pressure."
                )
            if opens.closed < opens.open:
                raise LabError(
                    f"The {side} blow-off opens at {1e-5 * opens.closed:g} bar when closed and at "
                    f"{1e-5 * opens.open:g} bar when open, where closed is the harder setting; swap the two."
                )
        if float(self.gas_pressure(0.0)) <= self.oil.vapour_pressure:
            raise LabError(
                f"The gas holds the oil at {1e-5 * float(self.gas_pressure(0.0)):.3g} bar, not above the "
                f"{1e-5 * self.oil.vapour_pressure:.3g} bar at which the oil forms bubbles; give the gas more pressure."
            )

    @property
    def rod_area(self) -> float:
        """Of the rod [m^2]."""
        return 0.25 * math.pi * self.rod_diameter**2

    @property
    def piston_area(self) -> float:
        """Of the full bore [m^2]."""
        return 0.25 * math.pi * self.piston_diameter**2

    @property
    def ring_area(self) -> float:
        """Of the bore around the rod [m^2]."""
        return self.piston_area - self.rod_area

    @property
    def compression_area(self) -> float:
        """What drives oil through the compression circuit: the ring at the piston, the rod at the reservoir [m^2]."""
        return self.ring_area if self.compression_at == "piston" else self.rod_area

    @cached_property
    def fluid(self) -> Fluid:
        """The oil at its temperature."""
        return self.oil.at(self.oil_temperature)

    @cached_property
    def circuits(self) -> tuple[SetCircuit, SetCircuit]:
        """The rebound and the compression circuit at their clicks."""
        return self._set_circuit("rebound", "rebound", "rebound"), self._set_circuit(
            "compression", "low_speed", "high_speed" if "high_speed" in self.adjusters else "low_speed"
        )

    @property
    def knees(self) -> tuple[float, float]:
        """Shaft speeds [m/s] at which the rebound (negative) and compression blow-off open; infinite without one."""
        speeds = []
        for circuit, area in zip(self.circuits, (self.ring_area, self.compression_area), strict=True):
            opens = circuit.circuit.blow_off is not None
            speeds.append(float(circuit.flows(circuit.cracking).whole) / area if opens else math.inf)
        return -speeds[0], speeds[1]

    @cached_property
    def cavitation_speeds(self) -> tuple[float, float]:
        """Shaft speeds [m/s] from which the damper cavitates in rebound (negative) and compression; infinite: never."""
        spare = float(self.gas_pressure(0.0)) - self.oil.vapour_pressure
        if self.compression_at == "piston":
            return -math.inf, float(self.circuits[1].flows(spare).whole) / self.ring_area
        # Rebound: all that the rod leaves free comes back through the passage's one-way valve.
        rebound = math.sqrt(spare / self._free_resistance) / self.rod_area
        speed = np.linspace(0.0, FASTEST, 4001)
        low = self._unbounded(speed)[1] < self.oil.vapour_pressure
        if not low.any():
            return -rebound, math.inf
        from scipy.optimize import brentq

        def spare_above(v: float) -> float:
            return float(self._unbounded(np.array([v]))[1][0]) - self.oil.vapour_pressure

        at = int(np.argmax(low))
        return -rebound, float(brentq(spare_above, speed[at - 1], speed[at], xtol=1e-9))

    @property
    def longest_stroke(self) -> float:
        """Shaft travel from full extension at which the rod's volume leaves the gas no room [m]."""
        if self.gas is None:
            return math.inf
        return ((1.0 - LEAST_SHARE) * self.gas.volume - self._oil_growth) / self.rod_area

    def gas_pressure(self, shaft_travel: ArrayLike) -> Array:
        """Absolute pressure of the gas [Pa] over shaft travel from full extension [m], same shape."""
        x = np.asarray(shaft_travel, dtype=np.float64)
        if self.gas is None:
            return np.full_like(x, ATMOSPHERE)
        return self.gas.pressure_at(self.rod_area * x, self.oil_temperature, self._oil_growth)

    def gas_volume(self, shaft_travel: ArrayLike) -> Array:
        """Volume of the gas [m^3] over shaft travel from full extension [m], same shape; without a charge, none."""
        x = np.asarray(shaft_travel, dtype=np.float64)
        if self.gas is None:
            return np.zeros_like(x)
        return self.gas.volume_at(self.rod_area * x, self._oil_growth)

    def gas_force(self, shaft_travel: ArrayLike) -> Array:
        """Force [N] with which the gas pushes the rod out, over shaft travel from full extension [m], same shape."""
        return (self.gas_pressure(shaft_travel) - ATMOSPHERE) * self.rod_area

    def pressures(self, shaft_speed: ArrayLike, shaft_travel: ArrayLike = 0.0) -> Pressures:
        """Pressures over shaft speed [m/s] and shaft travel from full extension [m], same shape."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        gas = np.broadcast_to(self.gas_pressure(shaft_travel), v.shape)
        rise = gas - self.gas_pressure(0.0)
        below, above = self._bounded(v)
        return Pressures(below + rise, above + rise, np.array(gas))

    def flows(self, shaft_speed: ArrayLike) -> tuple[Flows, Flows]:
        """What flows through the rebound and the compression circuit [m^3/s] over shaft speed [m/s], same shape.

        Each carries nothing while the shaft moves the other way.
        """
        v = np.asarray(shaft_speed, dtype=np.float64)
        rebound, compression = (
            circuit.flows(drop) for circuit, drop in zip(self.circuits, self._drops(v), strict=True)
        )
        return rebound, compression

    def lifts(self, shaft_speed: ArrayLike) -> tuple[Array, Array]:
        """How far the rebound and the compression blow-off stand open [m] over shaft speed [m/s], same shape."""
        drops = self._drops(np.asarray(shaft_speed, dtype=np.float64))
        return self.circuits[0].lift(drops[0]), self.circuits[1].lift(drops[1])

    def force(self, shaft_speed: ArrayLike) -> Array:
        """Force [N] over shaft speed [m/s], same shape; both positive in compression. The gas's force is apart."""
        v = np.asarray(shaft_speed, dtype=np.float64)
        below, above = self._bounded(v)
        gas = float(self.gas_pressure(0.0))
        return np.asarray((below - gas) * self.piston_area - (above - gas) * self.ring_area)

    def with_oil_temperature(self, temperature: float) -> Self:
        """A copy with its oil at another temperature [K].

        Raises:
            LabError: a temperature at which the oil is not described.
        """
        return replace(self, oil_temperature=temperature)

    @property
    def shells(self) -> tuple[Shell, ...]:
        """What warms and cools: its body, and its reservoir where there is one."""
        return (self.body, self.reservoir) if self.reservoir else (self.body,)

    @property
    def _oil_growth(self) -> float:
        return self.oil_volume * self.oil.expansion * (self.oil_temperature - WORKSHOP)

    @property
    def _free_resistance(self) -> float:
        return orifice_resistance(area=self.free_area, density=self.fluid.density, discharge=SHARP_EDGE)

    def _set_circuit(self, side: str, needle: str, preload: str) -> SetCircuit:
        circuit: Circuit = getattr(self, side)
        cracking = circuit.blow_off.cracking_pressure if circuit.blow_off else 0.0
        if isinstance(cracking, Span):
            cracking = cracking.at(self.clicks[preload], self.adjusters[preload])
        clicks = dict(self.clicks).get(needle, 0)
        return SetCircuit(circuit=circuit, clicks=clicks, cracking=cracking, fluid=self.fluid)

    def _unbounded(self, v: Array) -> tuple[Array, Array]:
        """Pressures below and above the piston as if oil could be drawn to any pressure."""
        inward, outward = np.maximum(v, 0.0), np.maximum(-v, 0.0)
        rebound, compression = self.circuits
        gas = float(self.gas_pressure(0.0))
        if self.compression_at == "piston":
            below = np.full_like(v, gas)
            above = gas + rebound.drop(self.ring_area * outward) - compression.drop(self.ring_area * inward)
            return below, above
        free = self._free_resistance
        below = gas + compression.drop(self.rod_area * inward) - free * (self.rod_area * outward) ** 2
        bounded = np.maximum(below, self.oil.vapour_pressure)
        above = bounded + rebound.drop(self.ring_area * outward) - free * (self.ring_area * inward) ** 2
        return below, above

    def _bounded(self, v: Array) -> tuple[Array, Array]:
        below, above = self._unbounded(v)
        lowest = self.oil.vapour_pressure
        torn_off = (v > 0.0) & (above < lowest)
        if self.compression_at == "reservoir" and torn_off.any():
            below = np.where(torn_off, self._below_a_void(v), below)
        return np.maximum(below, lowest), np.maximum(above, lowest)

    def _below_a_void(self, v: Array) -> Array:
        """Pressure below the piston while a void forms above it: what cannot pass it leaves by the passage."""
        drops, through_passage = self.circuits[1].curve
        gas = float(self.gas_pressure(0.0))
        past_piston = np.sqrt((gas + drops - self.oil.vapour_pressure) / self._free_resistance)
        return gas + np.interp(self.piston_area * np.maximum(v, 0.0), through_passage + past_piston, drops)

    def _drops(self, v: Array) -> tuple[Array, Array]:
        """Pressure drops over the rebound and the compression circuit."""
        below, above = self._bounded(v)
        gas = float(self.gas_pressure(0.0))
        inward = below - gas if self.compression_at == "reservoir" else below - above
        return np.where(v < 0.0, above - below, 0.0), np.where(v > 0.0, inward, 0.0)


def by_parts(station: Station) -> HydraulicDamper:
    """The damper of a station, to look into.

    Raises:
        LabError: it is described by its curves.
    """
    if not isinstance(station.damper, HydraulicDamper):
        raise LabError(
            f"{station.name} has a damper described by its curves, and nothing is known of its parts, its oil and its "
            "heat; take a vehicle whose damper is described by its parts."
        )
    return station.damper
