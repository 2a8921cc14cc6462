"""A run on a shaker plate read in plain words."""

from __future__ import annotations

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.measures.contact import contact_loss
from suspension_lab.measures.plate import car_band, minimum_contact_force
from suspension_lab.simulation.trace import Trace

AT_THE_END = 0.03
"""Nearer than this share of the sweep to one of its ends a smallest load is not a resonance's."""
CAR_LIKE = 0.25
"""Up to this share of the load at rest half the stroke on the tyre is about what it is on a car (18 % for 276 kg on
160 kN/m, a textbook's passenger car)."""
SHOWN_SPEED = 30.0
"""Speed at which the plate's frequency is told as a distance from bump to bump [km/h]."""


def read_plate(trace: Trace) -> list[str]:
    """What happened on a plate, what it means at the vehicle, and that the bands of cars do not carry over.

    Raises:
        LabError: a run that is not one on a `ShakerPlate`, or that ends before the plate has its stroke.
    """
    plate = trace.excitation
    if not isinstance(plate, ShakerPlate):
        raise LabError(f"This reading needs a run on a ShakerPlate, but this one is a {type(plate).__name__}.")
    smallest, loss = minimum_contact_force(trace), contact_loss(trace)
    percent = f"{100.0 * smallest.share:.0f} %"
    if loss.longest > 0.0:
        shows = (
            f"The tyre leaves the plate, at the longest for {1e3 * loss.longest:.0f} ms, around "
            f"{smallest.frequency:.1f} Hz: its minimum contact force is {percent}."
        )
    else:
        shows = f"The tyre load falls to {percent} of the load at rest, at {smallest.frequency:.1f} Hz."
    apart = SHOWN_SPEED / 3.6 / smallest.frequency
    means = (
        f"At the vehicle: on bumps {plate.stroke * 1e3:.0f} mm high and {apart:.2f} m apart at {SHOWN_SPEED:.0f} km/h, "
        "that is what is left at the worst moments to brake and steer with; the damper holds the wheel down there."
    )
    return [shows, means, *_read_sweep(plate, smallest.frequency), _read_bands(trace, plate, smallest.share)]


def _read_sweep(plate: ShakerPlate, frequency: float) -> list[str]:
    span = abs(plate.end_frequency - plate.start_frequency)
    off = min(abs(frequency - plate.start_frequency), abs(frequency - plate.end_frequency))
    if off > AT_THE_END * span or span == 0.0:
        return []
    return [
        "The smallest load lies at an end of the sweep, so the wheel's resonance may not have been passed; sweep "
        "further."
    ]


def _read_bands(trace: Trace, plate: ShakerPlate, share: float) -> str:
    tyre = trace.station.tyre.stiffness * 0.5 * plate.stroke / trace.static_tyre_load
    half = f"half the stroke on this tyre is worth {100.0 * tyre:.0f} % of the load at rest"
    if tyre > CAR_LIKE:
        carries = (
            f"and its bands do not carry over to a light two-wheeler: {half}, on a car about 20 %, so low values come "
            "with a damper in order"
        )
    else:
        carries = f"and {half}, about as on a car, so that word is a guide; only a licensed line can pass or fail it"
    return (
        f"An inspection line would call this '{car_band(share)}' on a passenger car, {carries}. Compare the same "
        "vehicle before and after, at the same load and tyre pressure."
    )
