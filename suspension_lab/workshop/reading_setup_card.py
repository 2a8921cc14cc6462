"""The setup card's words: what is to be seen at the vehicle, and how to test it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from suspension_lab.common.checks import number
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.release_test import ON_TARGET, friction_hold, from_to, target_time, usual_release

if TYPE_CHECKING:
    from suspension_lab.workshop.setup_card import MeasuredAtVehicle

PRESSURES = (0.2, 12.0)
"""A tyre pressure is meant within these [bar] (our choice)."""
HOW_TO_COUNT = (
    "Turn clockwise, without force, until the adjuster stops: that is closed, 0 clicks, hardest. Count the clicks out "
    "from there, counter-clockwise."
)


def card_facts(station: Station, pressure: float | None, measured: MeasuredAtVehicle) -> tuple[tuple[str, str], ...]:
    """Load, preload, tyre pressure [bar] where it is given, and the sags, as pairs of a label and a value.

    Raises:
        LabError: a pressure that no tyre has.
    """
    rows = [
        ("Rider and load on this wheel", f"{station.rider_mass:g} kg"),
        ("Spring preload", f"{1e3 * station.spring.preload:.3g} mm, as squashed with the wheel hanging free"),
    ]
    if pressure is not None:
        low, high = PRESSURES
        bar = number("tyre pressure", pressure, "bar", low=low, high=high)
        rows.append(("Tyre pressure, cold", f"{bar:.3g} bar"))
    free = "none: it stands fully extended" if station.sag.free <= 0.0 else _sag(station, station.sag.free)
    if station.rider_mass:
        rows.append(("Free sag, vehicle alone", free + _beside(measured.free_sag)))
        rows.append(("Rider sag, with this load", _sag(station, station.sag.rider) + _beside(measured.rider_sag)))
    else:
        rows.append(("Sag, without rider and load", free + _beside(measured.free_sag)))
    return tuple(rows)


def _sag(station: Station, sag: float) -> str:
    travel = "" if station.travel is None else f" of {1e3 * station.travel:.0f} mm travel"
    return f"{1e3 * sag:.0f} mm{travel}, at the wheel"


def _beside(sag: float | None) -> str:
    return "" if sag is None else f"; measured {1e3 * sag:.0f} mm"


def release_steps(station: Station, good: Sequence[int]) -> tuple[str, ...]:
    """The release test, step by step.

    Args:
        station: which passes it.
        good: the rebound clicks that pass; none without such an adjuster.
    """
    release, target = usual_release(station), target_time(station)
    trace, depth = simulate(station, release), release.depth
    # As the test itself judges: where dry friction alone holds the body off, as near as that lets.
    band = min(max(BAND, 1.2 * friction_hold(station) / depth), 1.0)
    load = f"{station.rider_mass:g} kg of rider and load on this wheel" if station.rider_mass else "no load on it"
    steps = [
        f"Level ground, tyre pressure and sag right, {load}, damper warm. One person holds the vehicle upright.",
        f"Push the body {1e3 * depth:.0f} mm below its ride height, tyre squash included, and hold it still.",
        "Let go at once and start the watch. Stop it when the body has come to rest; count its visible swings past "
        "ride height. Do it three times.",
        f"Target: settled (within {1e3 * band * depth:.1f} mm) after about {target:.2f} s; up to "
        f"{ON_TARGET * target:.2f} s counts as met. At most one swing. The simulation takes "
        f"{settling_time(trace, band):.2f} s and swings {'once' if swings(trace) else 'not at all'}.",
    ]
    if good:
        steps.append(
            "Two swings or more: too open, close rebound by a click or two. Creeps back: too closed, open it by a "
            f"click or two. In the simulation, at this load, {from_to(good)} of rebound "
            f"{'passes' if len(good) == 1 else 'pass'}."
        )
    return tuple(steps)


def push_words(station: Station) -> str:
    """The quick push; empty where the damper has no compression adjuster."""
    if "low_speed" not in station.damper.adjusters:
        return ""
    words = (
        "Push down within about a tenth of a second, with the same force each time, and feel for the resistance at the "
        "beginning of the stroke. A slow push tells only of the spring."
    )
    if "high_speed" in station.damper.adjusters:
        words += " High-speed clicks are hardly felt by hand: a sharp edge on the road tells them."
    return words


def card_origin(station: Station, measured: MeasuredAtVehicle) -> str:
    """Where the card's numbers come from."""
    oil = ""
    if isinstance(station.damper, HydraulicDamper):
        oil = f", with oil at {station.damper.oil_temperature - ZERO_CELSIUS:.0f}\N{NO-BREAK SPACE}°C"
    if measured.words:
        return (
            f"Measured at the vehicle: {measured.words}. All other numbers are simulated from the values in the "
            f"vehicle's file{oil}."
        )
    return (
        f"The numbers on this card are simulated from the values in the vehicle's file{oil}; none was measured at the "
        "vehicle."
    )
