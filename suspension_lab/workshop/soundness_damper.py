"""Is a damper described by its parts sound? Gas, sizes that do not fit, clicks without effect."""

from __future__ import annotations

import numpy as np

from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station

GAS_RATIO = 3.0
"""Largest gas pressure at full travel over that at full extension (common practice, no source)."""
CAVITATION = 1.5
"""Shaft speed that a damper should bear without cavitating [m/s]; over potholes the demo vehicles reach it."""
WARM = ZERO_CELSIUS + 100.0
"""As warm as a damper may get in use (common practice, no source) [K]."""
LEAST_EFFECT = 0.02
"""Of its force at any of `SPEEDS` an adjuster should change so much from closed to open."""
SPEEDS = np.array([0.02, 0.1, 0.3, 1.0, 2.0])


def damper_doubts(station: Station) -> list[str]:
    """What is doubtful about a station's damper, one sentence each; empty for one described by its curves."""
    damper = station.damper
    if not isinstance(damper, HydraulicDamper):
        return []
    return [
        *_cavitation(damper),
        *_gas(station, damper),
        *_sizes(damper),
        *_oil(station, damper),
        *_idle_clicks(damper),
    ]


def _cavitation(damper: HydraulicDamper) -> list[str]:
    return [
        f"The damper cavitates in {side} from {abs(onset):.2f} m/s of shaft speed, which a sharp bump passes "
        f"({CAVITATION:g} m/s): the gas pressure is low for these valves; check gas_pressure_bar and the valves."
        for side, onset in zip(("rebound", "compression"), damper.cavitation_speeds, strict=True)
        if abs(onset) < CAVITATION
    ]


def _gas(station: Station, damper: HydraulicDamper) -> list[str]:
    if station.travel is None or damper.gas is None:
        return []
    out, full = (float(damper.gas_pressure(station.shaft_travel(w))) for w in (0.0, station.travel))
    if full > GAS_RATIO * out:
        return [
            f"At full travel the gas has {full / out:.1f} times its pressure at full extension, more than "
            f"{GAS_RATIO:g} times: it has little room and acts as a hard spring; check gas_volume_cm3 and the rod."
        ]
    growth = damper.oil_volume * damper.oil.expansion * (WARM - damper.oil_temperature)
    if float(station.shaft_travel(station.travel)) >= damper.longest_stroke - growth / damper.rod_area:
        return [
            f"With the oil at {WARM - ZERO_CELSIUS:.0f} °C the rod leaves the gas no room at full travel: the oil has "
            f"grown by {1e6 * growth:.0f} cm³; check gas_volume_cm3 and the oil's volume_cm3."
        ]
    return []


def _sizes(damper: HydraulicDamper) -> list[str]:
    found = []
    bore = damper.piston_diameter
    if damper.body.diameter <= bore:
        found.append(_too("body", damper.body.diameter, "must be wider than", "piston", bore))
    for side, circuit in (("rebound", damper.rebound), ("compression", damper.compression)):
        at_reservoir = side == "compression" and damper.compression_at == "reservoir"
        around = damper.reservoir.diameter if at_reservoir and damper.reservoir else bore
        if circuit.blow_off and circuit.blow_off.seat_diameter > 0.7 * around:
            found.append(
                _too(f"{side} blow-off's seat", circuit.blow_off.seat_diameter, "finds no room in", "bore", around)
            )
        if circuit.leak and not at_reservoir and not 0.9 * bore <= circuit.leak.diameter <= 1.1 * bore:
            found.append(_too(f"{side} leak", circuit.leak.diameter, "should be about as wide as", "piston", bore))
    return found


def _too(part: str, size: float, how: str, other: str, against: float) -> str:
    return f"The {part} of {1e3 * size:g} mm {how} the {other} of {1e3 * against:g} mm; check these diameters."


def _oil(station: Station, damper: HydraulicDamper) -> list[str]:
    if station.travel is None:
        return []
    swept = damper.piston_area * float(station.shaft_travel(station.travel))
    # The oil fills at least what the piston sweeps; a damper is not many times as long as its stroke.
    if swept <= damper.oil_volume <= 12.0 * swept:
        return []
    return [
        f"The oil's {1e6 * damper.oil_volume:.0f} cm³ do not fit a piston that sweeps {1e6 * swept:.0f} cm³, where "
        "one to twelve times that was expected; check volume_cm3, piston and travel."
    ]


def _idle_clicks(damper: HydraulicDamper) -> list[str]:
    found = []
    for name, most in damper.adjusters.items():
        speeds = -SPEEDS if name == "rebound" else SPEEDS
        closed, opened = (np.abs(damper.with_clicks(**{name: clicks}).force(speeds)) for clicks in (0, most))
        label = name.replace("_", "-")
        if np.max(1.0 - opened / closed) < LEAST_EFFECT:
            little = f"less than {100 * LEAST_EFFECT:g} %"
            found.append(f"The {label} clicks change the force by {little} from closed to open; check what they set.")
            continue
        needle = {"rebound": damper.rebound.needle, "low_speed": damper.compression.needle}.get(name)
        out = needle and next((c for c in range(most) if needle.gap(c) >= 0.5 * needle.seat_diameter), None)
        if out is not None:
            found.append(
                f"The {label} needle has left its seat after {out} of {most} clicks, and the others change nothing; "
                "check lift_per_click_mm and taper_deg."
            )
    return found
