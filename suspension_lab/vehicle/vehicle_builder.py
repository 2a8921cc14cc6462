"""From the checked content of a vehicle file to a station."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import ValidationError

from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.clicks import Clicks, Span, checked_clicks
from suspension_lab.vehicle.damper import Damper, DamperSide, LinearDamper, TwoSlopeDamper
from suspension_lab.vehicle.gas import ATMOSPHERE, GasCharge
from suspension_lab.vehicle.hydraulic_damper import THICKEST_ROD, HydraulicDamper
from suspension_lab.vehicle.linkage import MotionRatio
from suspension_lab.vehicle.measured_damper import MeasuredDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS, Oil
from suspension_lab.vehicle.shell import ALUMINIUM, STEEL, Shell
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.stop import Stop
from suspension_lab.vehicle.tyre import Tyre
from suspension_lab.vehicle.valves import BlowOff, Circuit, Leak, Needle
from suspension_lab.vehicle.vehicle_faults import VehicleFileError, explained, line_of, within
from suspension_lab.vehicle.vehicle_model import (
    KINDS,
    BlowOffPart,
    CircuitPart,
    ClicksPart,
    HydraulicPart,
    LinearPart,
    LinkagePart,
    MeasuredPart,
    PressureSpanPart,
    ShellPart,
    SidePart,
    SlopeSpanPart,
    SpeedSpanPart,
    SpringPart,
    StopPart,
    TwoSlopePart,
    VehiclePart,
)


def station_from(content: Mapping[str, Any], file: Path, text: str) -> Station:
    """A station from the content of a vehicle file.

    Args:
        content: the parsed TOML.
        file: for messages, and where a damper's own file is looked for.
        text: the file's text, in which faults are located.

    Raises:
        LabError: the first fault, with file, line and key.
    """
    try:
        vehicle = VehiclePart.model_validate(content)
    except ValidationError as error:
        fault = explained(error.errors(), VehiclePart, KINDS)
    else:
        try:
            return _station(vehicle, file)
        except VehicleFileError as error:
            fault = error
        except LabError as error:
            raise LabError(f"{file}: {error}") from None
    line = line_of(text, fault.keys)
    raise LabError(f"{file}{f', line {line}' if line else ''}: {fault}")


def _station(vehicle: VehiclePart, file: Path) -> Station:
    travel, linkage = vehicle.travel, vehicle.linkage
    spring, damper, motion_ratio = _spring(vehicle.spring), _damper(vehicle.damper, file), _motion_ratio(linkage)
    with within(*_too_tight(vehicle, damper, motion_ratio)):
        station = Station(
            name=vehicle.name,
            sprung_mass=vehicle.masses.sprung_mass_kg + vehicle.masses.rider_mass_kg,
            unsprung_mass=vehicle.masses.unsprung_mass_kg,
            rider_mass=vehicle.masses.rider_mass_kg,
            spring=spring,
            damper=damper,
            tyre=Tyre(stiffness=vehicle.tyre.stiffness_N_per_mm * 1e3, damping=vehicle.tyre.damping_N_s_per_m),
            motion_ratio=motion_ratio,
            travel=None if travel is None else travel.wheel_travel_mm * 1e-3,
            bump_stop=None if travel is None else _stop(travel.bump_stop),
            top_out_stop=None if travel is None else _stop(travel.top_out_stop),
            friction=linkage.friction_N,
            wheel_radius=None if vehicle.wheel is None else vehicle.wheel.radius_mm * 1e-3,
        )
    _can_stand(station)
    return station


def _too_tight(vehicle: VehiclePart, damper: Damper, ratio: float | MotionRatio) -> tuple[str, ...]:
    """Where a station's lengths do not fit each other, if they do not: in the gas or in the bump stop."""
    travel = vehicle.travel
    if travel and (travel.bump_stop is None or travel.bump_stop.length_mm < travel.wheel_travel_mm):
        full = 1e-3 * travel.wheel_travel_mm
        stroke = ratio.shaft_travel(full) if isinstance(ratio, MotionRatio) else ratio * full
        if stroke >= damper.longest_stroke:
            return "damper", "gas", "gas_volume_cm3"
    return "travel", "bump_stop"


def _can_stand(station: Station) -> None:
    """Hold that the spring carries the load, and more the deeper the wheel goes in.

    Raises:
        VehicleFileError: the table that must be mended.
    """
    with within("spring"):
        rest = station.static_travel
    if not isinstance(station.motion_ratio, MotionRatio):
        return
    marks = [*station.motion_ratio.wheel_travel, rest, station.travel or rest]
    travel = np.linspace(min(marks) - 0.01, max(marks) + 0.01, 1001)
    force = station.suspension_force(travel)
    sinking = np.flatnonzero(np.diff(force) <= 0.0)
    if sinking.size:
        raise VehicleFileError(
            ("linkage", "motion_ratio"),
            f"'linkage.motion_ratio' falls so fast that the spring carries less the deeper the wheel goes in (from "
            f"{1e3 * travel[sinking[0]]:.0f} mm on), where a force that grows was expected; check these ratios.",
        )


def _stop(part: StopPart | None) -> Stop | None:
    return None if part is None else Stop(length=part.length_mm * 1e-3, rate=part.rate_N_per_mm * 1e3)


def _spring(part: SpringPart) -> Spring:
    rate, x, force = part.rate_N_per_mm, part.table_compression_mm, part.table_force_N
    if rate is None and x is None and force is None:
        raise VehicleFileError(
            ("spring",), "'spring.rate_N_per_mm' is missing; add it, or a table of the spring's force."
        )
    if rate is not None and (x or force):
        raise VehicleFileError(
            ("spring",), "'spring' has a rate and a table, where one of them was expected; take one out."
        )
    if rate is None and (x is None or force is None):
        lacking = "table_compression_mm" if x is None else "table_force_N"
        raise VehicleFileError(
            ("spring",), f"'spring.{lacking}' is missing; add it, with one entry for each point of the table."
        )
    with within("spring"):
        return Spring(
            rate=None if rate is None else rate * 1e3,
            preload=part.preload_mm * 1e-3,
            progression=part.progression_N_per_mm2 * 1e6,
            compression=None if x is None else [1e-3 * value for value in x],
            table_force=force,
        )


def _motion_ratio(part: LinkagePart) -> float | MotionRatio:
    ratio, travel = part.motion_ratio, part.wheel_travel_mm
    if not isinstance(ratio, list):
        if travel is not None:
            raise VehicleFileError(
                ("linkage", "wheel_travel_mm"),
                "'linkage.wheel_travel_mm' is given but 'linkage.motion_ratio' is one number; "
                "make it a list too, or take wheel_travel_mm out of [linkage].",
            )
        return ratio
    if travel is None:
        raise VehicleFileError(
            ("linkage", "motion_ratio"),
            "'linkage.motion_ratio' is a list but 'linkage.wheel_travel_mm' is missing; "
            "add it, with the wheel travel of each ratio.",
        )
    with within("linkage", "wheel_travel_mm"):
        return MotionRatio(wheel_travel=[1e-3 * value for value in travel], ratio=ratio)


def _damper(part: LinearPart | TwoSlopePart | MeasuredPart | HydraulicPart, file: Path) -> Damper:
    if isinstance(part, HydraulicPart):
        return _hydraulic(part)
    if isinstance(part, LinearPart):
        return LinearDamper(rebound=part.rebound_N_s_per_m, compression=part.compression_N_s_per_m)
    if isinstance(part, MeasuredPart):
        with within("damper", "file"):
            measured = MeasuredDamper.from_csv(file.parent / part.file)
        return measured.with_clicks(**_checked(part.clicks, measured.adjusters))
    adjusters = part.adjusters.model_dump(exclude_none=True)
    with within("damper"):
        return TwoSlopeDamper(
            rebound=_side(part.rebound),
            compression=_side(part.compression),
            adjusters=adjusters,
            clicks=Clicks(**_checked(part.clicks, adjusters)),
        )


def _hydraulic(part: HydraulicPart) -> HydraulicDamper:
    adjusters = part.adjusters.model_dump(exclude_none=True)
    clicks = Clicks(**_checked(part.clicks, adjusters))
    with within("damper", "oil", "viscosity_100C_mm2_per_s"):
        oil = Oil(
            viscosity_40=1e-6 * part.oil.viscosity_40C_mm2_per_s,
            viscosity_100=1e-6 * part.oil.viscosity_100C_mm2_per_s,
            density=part.oil.density_15C_kg_per_m3,
        )
    gas = None if part.gas is None else GasCharge(
        pressure=ATMOSPHERE + 1e5 * part.gas.gas_pressure_bar, volume=1e-6 * part.gas.gas_volume_cm3
    )  # fmt: skip
    rebound, compression = _circuit(part.rebound, "rebound"), _circuit(part.compression, "compression")
    with within("damper", *_at_fault(part)):
        return HydraulicDamper(
            piston_diameter=1e-3 * part.piston_diameter_mm,
            rod_diameter=1e-3 * part.rod_diameter_mm,
            rebound=rebound,
            compression=compression,
            compression_at=part.compression_at,
            oil=oil,
            gas=gas,
            body=_shell(part.body),
            reservoir=_shell(part.reservoir) if part.reservoir else None,
            oil_volume=1e-6 * part.oil.volume_cm3,
            free_area=1e-6 * part.one_way_opening_mm2,
            oil_temperature=ZERO_CELSIUS + part.oil_temperature_C,
            adjusters=adjusters,
            clicks=clicks,
        )


def _at_fault(part: HydraulicPart) -> tuple[str, ...]:
    """Where the parts of a damper do not fit each other, if they do not: the key below [damper]."""
    if part.rod_diameter_mm >= THICKEST_ROD * part.piston_diameter_mm:
        return ("rod_diameter_mm",)
    if part.compression_at == "reservoir" and not part.reservoir:
        return ("compression_at",)
    if part.reservoir and part.gas is None:
        return ("reservoir",)
    if part.adjusters.high_speed and not part.adjusters.low_speed:
        return ("adjusters",)
    for side, adjuster in (("rebound", part.adjusters.rebound), ("compression", part.adjusters.low_speed)):
        blow_off: BlowOffPart | None = getattr(part, side).blow_off
        if adjuster is None and blow_off and isinstance(blow_off.cracking_pressure_bar, PressureSpanPart):
            return side, "blow_off", "cracking_pressure_bar"
    return ("oil_temperature_C",) if part.gas else ()


def _circuit(part: CircuitPart, side: str) -> Circuit:
    needle, blow_off, leak = part.needle, part.blow_off, part.leak
    with within("damper", side, "needle", "needle_diameter_mm"):
        made = Needle(
            seat_diameter=1e-3 * needle.seat_diameter_mm,
            needle_diameter=1e-3 * needle.needle_diameter_mm,
            taper=math.radians(needle.taper_deg),
            lift_per_click=1e-3 * needle.lift_per_click_mm,
            land_length=1e-3 * needle.land_length_mm,
            eccentricity=needle.eccentricity,
        )
    with within("damper", side, "leak", "clearance_mm"):
        leaking = None if leak is None else Leak(
            diameter=1e-3 * leak.diameter_mm, clearance=1e-3 * leak.clearance_mm, length=1e-3 * leak.length_mm,
            eccentricity=leak.eccentricity,
        )  # fmt: skip
    return Circuit(needle=made, blow_off=None if blow_off is None else _blow_off(blow_off), leak=leaking)


def _blow_off(part: BlowOffPart) -> BlowOff:
    opens = part.cracking_pressure_bar
    pressure = 1e5 * opens if isinstance(opens, float | int) else Span(closed=1e5 * opens.closed, open=1e5 * opens.open)
    return BlowOff(
        seat_diameter=1e-3 * part.seat_diameter_mm, spring_rate=1e3 * part.spring_rate_N_per_mm,
        cracking_pressure=pressure,
    )  # fmt: skip


def _shell(part: ShellPart) -> Shell:
    return Shell(
        mass=part.mass_kg, diameter=1e-3 * part.diameter_mm, length=1e-3 * part.length_mm,
        specific_heat=STEEL if part.metal == "steel" else ALUMINIUM,
    )  # fmt: skip


def _side(part: SidePart) -> DamperSide:
    def value(given: float | SlopeSpanPart | SpeedSpanPart) -> float | Span:
        return given if isinstance(given, float | int) else Span(closed=given.closed, open=given.open)

    return DamperSide(
        low_speed_slope=value(part.low_speed_slope_N_s_per_m),
        knee_speed=value(part.knee_speed_m_per_s),
        high_speed_slope=value(part.high_speed_slope_N_s_per_m),
    )


def _checked(part: ClicksPart, adjusters: Mapping[str, int]) -> dict[str, int]:
    clicks = part.given()
    for name, value in clicks.items():
        with within("damper", "clicks", name):
            checked_clicks(adjusters, Clicks(), {name: value})
    return clicks
