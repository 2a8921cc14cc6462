"""Wear and faults as what-ifs: each is a changed copy of a station, with other physics.

How far each fault goes is assumed (no source); what it does follows from the parts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.vehicle.clicks import Span
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.valves import Circuit

FREE_PLAY = 0.004
"""Shaft travel without oil at each turn, where oil is low [m]."""
STICKY = 4.0
"""Sticky seals rub so many times as much."""
BINDING = 0.12
"""A bent shaft's extra friction at full travel, over the load at rest."""
THICKER = 2.0
"""The wrong oil is so many times as thick, about one ISO grade and a half."""
WORN_CRACKING, WORN_RATE = 0.4, 0.7
"""What a worn blow-off keeps of its cracking pressure and of its spring's rate."""


def with_fault(station: Station, fault: str) -> Station:
    """A copy of a station with one thing worn or wrong.

    Args:
        station: a sound one.
        fault: a key of `FAULTS`.

    Raises:
        LabError: an unknown fault, or one that only a damper described by its parts can have.
    """
    if fault not in _APPLY:
        raise LabError(f"There is no fault '{fault}'; {nearest_name(fault, FAULTS)}")
    return _APPLY[fault](station)


def _lost_gas(station: Station) -> Station:
    damper = by_parts(station)
    if damper.gas is None:
        raise LabError(f"{station.name} has a damper without a gas charge, so there is none to lose.")
    return replace(station, damper=_without_pressure(damper))


def _low_oil(station: Station) -> Station:
    # While gas presses on the oil it makes up for what is lost; free play begins once the separator stands on its end.
    damper = _without_pressure(by_parts(station))
    return replace(station, damper=replace(damper, free_play=FREE_PLAY))


def _without_pressure(damper: HydraulicDamper) -> HydraulicDamper:
    if damper.gas is None:
        return damper
    return replace(damper, gas=replace(damper.gas, vented=True))


def _sticky_seals(station: Station) -> Station:
    if not station.friction:
        raise LabError(f"{station.name} has no seal friction that could grow; give its friction first.")
    return replace(station, friction=STICKY * station.friction)


def _bent_shaft(station: Station) -> Station:
    bent = replace(station, binding=BINDING * station.static_tyre_load)
    if not isinstance(station.damper, HydraulicDamper):
        return bent

    def off_centre(circuit: Circuit) -> Circuit:
        return replace(circuit, leak=replace(circuit.leak, eccentricity=1.0)) if circuit.leak else circuit

    damper = station.damper
    # The leak at a reservoir's passage is not the piston's.
    compression = damper.compression if damper.compression_at == "reservoir" else off_centre(damper.compression)
    return replace(bent, damper=replace(damper, rebound=off_centre(damper.rebound), compression=compression))


def _wrong_oil(station: Station) -> Station:
    damper = by_parts(station)
    oil = damper.oil
    oil = replace(oil, viscosity_40=THICKER * oil.viscosity_40, viscosity_100=THICKER * oil.viscosity_100)
    return replace(station, damper=replace(damper, oil=oil))


def _worn_blow_off(station: Station) -> Station:
    damper = by_parts(station)
    return replace(
        station, damper=replace(damper, rebound=_tired(damper.rebound), compression=_tired(damper.compression))
    )


def _tired(circuit: Circuit) -> Circuit:
    if circuit.blow_off is None:
        return circuit
    pressure = circuit.blow_off.cracking_pressure
    worn = (
        Span(closed=WORN_CRACKING * pressure.closed, open=WORN_CRACKING * pressure.open)
        if isinstance(pressure, Span)
        else WORN_CRACKING * pressure
    )
    rate = WORN_RATE * circuit.blow_off.spring_rate
    return replace(circuit, blow_off=replace(circuit.blow_off, cracking_pressure=worn, spring_rate=rate))


_APPLY: dict[str, Callable[[Station], Station]] = {
    "lost_gas": _lost_gas,
    "low_oil": _low_oil,
    "sticky_seals": _sticky_seals,
    "bent_shaft": _bent_shaft,
    "wrong_oil": _wrong_oil,
    "worn_blow_off": _worn_blow_off,
}
FAULTS = {
    "lost_gas": "The gas is gone: only the air's own pressure is left behind the separator.",
    "low_oil": "So much oil is lost that the gas presses on it no more: at each turn the piston first falls through "
    f"{1e3 * FREE_PLAY:g} mm without oil.",
    "sticky_seals": f"The seals stick: their friction is {STICKY:g} times as large.",
    "bent_shaft": "The shaft is bent: it binds more the deeper it goes in, and the piston sits off centre and leaks.",
    "wrong_oil": f"The wrong oil was filled: {THICKER:g} times as thick.",
    "worn_blow_off": f"The blow-off's spring is tired: it opens at {100 * WORN_CRACKING:g} % of its pressure.",
}
"""Fault -> what is wrong, in a sentence."""
