"""`suspension-lab check FILE`: is this vehicle file sound?"""

from __future__ import annotations

import math
from typing import Any

from suspension_lab.cli.arguments import Parser
from suspension_lab.cli.text import listed, table
from suspension_lab.common.checks import GRAVITY
from suspension_lab.measures.drift import drift_in_clicks
from suspension_lab.simulation.linear import body_damping_ratio, modes
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.reading_linear import where_linear_ends
from suspension_lab.workshop.release_test import target_time
from suspension_lab.workshop.soundness import doubts

SOUND, DOUBTFUL = 0, 1


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "check",
        help="is this vehicle file sound?",
        description="Read a vehicle file and print its sag, frequencies, damping and what to look at again.",
        epilog=(
            "Examples:  suspension-lab check my_vehicle.toml\n"
            "           suspension-lab check courier_scooter_rear\n\n"
            "Exit codes: 0 sound; 1 readable, with warnings; 2 bad input."
        ),
    )
    parser.add_argument("file", metavar="FILE", help="a vehicle file (.toml), or the name of a demo vehicle")
    return {"check": parser}


def check(file: str) -> int:
    """Print what a vehicle file says and what is doubtful about it.

    Returns:
        0 sound, 1 with warnings.

    Raises:
        LabError: the file's first fault.
    """
    station = load_station(file)
    found = doubts(station)
    print(station.name)
    print(table([*_masses(station), *_rest(station), *_motion(station), *_adjusters(station), *_inside(station)]))
    print()
    print(listed("Look at again", found) if found else "Sound: nothing to look at again.")
    print("\n" + listed("Seen as linear, and where that ends", where_linear_ends(station)))
    return DOUBTFUL if found else SOUND


def _masses(station: Station) -> list[tuple[str, str]]:
    rider = f", {station.rider_mass:g} kg of it rider and load" if station.rider_mass else ""
    return [
        ("Sprung mass", f"{station.sprung_mass:g} kg{rider}"),
        ("Unsprung mass", f"{station.unsprung_mass:g} kg"),
        ("Load on the road at rest", f"{station.static_tyre_load:.0f} N ({station.static_tyre_load / GRAVITY:g} kg)"),
    ]


def _rest(station: Station) -> list[tuple[str, str]]:
    sag = {"Free sag": station.sag.free, "Rider sag": station.sag.rider}
    if station.travel is None:
        return [("Wheel travel", "no stops given"), *((name, f"{1e3 * value:.1f} mm") for name, value in sag.items())]
    return [
        ("Wheel travel", f"{1e3 * station.travel:g} mm"),
        *(
            (name, f"{1e3 * value:.1f} mm, {100 * value / station.travel:.0f} % of the travel")
            for name, value in sag.items()
        ),
    ]


def _motion(station: Station) -> list[tuple[str, str]]:
    sides = {name: modes(station, name) for name in ("mean", "rebound", "compression")}
    body, wheel = sides["mean"]
    judged = "" if station.wheel_radius else " (not judged: the file has no [wheel])"
    return [
        ("Natural frequencies", f"body {body.frequency:.2f} Hz, wheel {wheel.frequency:.1f} Hz{judged}"),
        ("Damping ratios, body", ", ".join(f"{side} {body_damping_ratio(station, side):.2f}" for side in sides)),
        ("Damping ratios, wheel", ", ".join(f"{name} {mode.wheel.damping_ratio:.2f}" for name, mode in sides.items())),
        ("Settles, well set, in about", f"{target_time(station):.1f} s (release test)"),
    ]


def _inside(station: Station) -> list[tuple[str, str]]:
    damper = station.damper
    if not isinstance(damper, HydraulicDamper):
        return []
    oil = damper.oil
    at = ", ".join(f"{1e6 * oil.kinematic_viscosity(ZERO_CELSIUS + c):.1f} at {c} °C" for c in (20, 40, 80))
    hot, cold = (damper.with_oil_temperature(ZERO_CELSIUS + c) for c in (80, 20))
    force = float(damper.gas_force(station.shaft_travel(station.static_travel)))
    rows = [
        ("Oil", f"{at} mm²/s; viscosity index {oil.viscosity_index:.0f}"),
        ("Gas", f"pushes the rod out with {force:.0f} N at ride height"),
        ("Blow-off opens at", ", ".join(_speeds(damper.knees))),
        ("Cavitates from", ", ".join(_speeds(damper.cavitation_speeds))),
    ]
    if "rebound" in damper.adjusters:
        drift = drift_in_clicks(hot, cold)
        rows.append(("Oil from 20 to 80 °C", f"rebound acts {drift:.1f} clicks more open"))
    return rows


def _speeds(pair: tuple[float, float]) -> list[str]:
    """Rebound and compression speeds in words."""
    sides = zip(("rebound", "compression"), pair, strict=True)
    return [f"{side} {abs(v):.2f} m/s" if math.isfinite(v) else f"{side} never" for side, v in sides]


def _adjusters(station: Station) -> list[tuple[str, str]]:
    if not station.damper.adjusters:
        return [("Clicks", "none: this damper cannot be set")]
    return [
        (f"Clicks, {name.replace('_', '-')}", f"{station.clicks[name]} out from closed, of {most}")
        for name, most in station.damper.adjusters.items()
    ]
