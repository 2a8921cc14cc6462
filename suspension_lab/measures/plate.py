"""Measures of a run on a shaker plate, as on an inspection line."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.measures.contact import contact_loss
from suspension_lab.measures.measure import MeasureKind
from suspension_lab.simulation.trace import Trace

CAR_BANDS = ((61, "good"), (41, "fair"), (21, "poor"), (0, "bad"))
"""From this percentage on, the word of the inspection lines (minimum contact force after TS-02-76, from memory;
secondary copies differ by 1). They were made for passenger cars. A light two-wheeler on a stiff tyre gets far lower
values with a damper in order (Klapka, Mazurek, Machacek 2016, Engineering Mechanics: high tyre stiffness and small axle
load give false failures), so they do not carry over to it."""


class MinimumContactForce(NamedTuple):
    """How far the tyre load falls on a plate."""

    share: float
    """Smallest tyre load over the load at rest, not under 0."""
    frequency: float
    """Of the plate at that time [Hz]; the middle one where the tyre leaves the plate over a range."""


def minimum_contact_force(trace: Trace) -> MinimumContactForce:
    """Smallest tyre load on a plate over the load at rest, and the frequency at which it happens.

    Counted from where the plate has its whole stroke. 0 where the tyre leaves the plate, or where a tyre that cannot
    leave it would pull.

    Raises:
        LabError: a run that is not one on a `ShakerPlate`, or that ends before the plate has its stroke.
    """
    plate = _plate(trace)
    first = int(np.searchsorted(trace.time, plate.whole_stroke_from - 1e-12))
    if first >= trace.time.size:
        raise LabError(
            f"The run of {trace.time[-1]:g} s ends before the plate has its whole stroke at "
            f"{plate.whole_stroke_from:g} s; simulate longer."
        )
    load = trace.tyre_load[first:]
    at = float(np.median(trace.time[first:][load == load.min()]))
    return MinimumContactForce(max(0.0, float(load.min()) / trace.static_tyre_load), float(plate.frequency_at(at)))


def car_band(share: float) -> str:
    """The inspection lines' word for a minimum contact force (0 to 1) of a passenger car; see `CAR_BANDS`."""
    return next(word for least, word in CAR_BANDS if round(100.0 * share) >= least)


# fmt: off
PLATE: tuple[MeasureKind, ...] = (
    MeasureKind(
        key="minimum_contact_force", name="minimum contact force", label="Minimum contact force (smallest tyre load)",
        found=lambda trace: minimum_contact_force(trace).share, scale=100.0, unit="% of the load at rest",
        smaller_is="worse", resolution=1.0),
    MeasureKind(
        key="minimum_contact_frequency", name="frequency of the smallest load", label="Plate's frequency there",
        found=lambda trace: minimum_contact_force(trace).frequency, unit="Hz", digits=1, resolution=0.2),
    MeasureKind(
        key="longest_contact_loss", name="longest time off the plate", label="Off the plate, longest stretch",
        found=lambda trace: contact_loss(trace).longest, scale=1e3, unit="ms", smaller_is="better", resolution=2.0),
)
# fmt: on


def _plate(trace: Trace) -> ShakerPlate:
    if not isinstance(trace.excitation, ShakerPlate):
        raise LabError(
            "The minimum contact force needs a run on a ShakerPlate, but this one is a "
            f"{type(trace.excitation).__name__}."
        )
    return trace.excitation
