"""The measures that belong to a run, ready for a table."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.measures.comfort import maximum_transient_vibration, vibration_dose, weighted_acceleration
from suspension_lab.measures.contact import contact_loss, smallest_tyre_load, tyre_load_variation
from suspension_lab.measures.damper_use import DamperUse, damper_power, damper_use, shaft_speed_shares
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.measure import Measure, MeasureKind
from suspension_lab.measures.plate import PLATE
from suspension_lab.measures.travel import bottoming, bump_stop_hits, bumps, packing_down, topping_out, travel_used
from suspension_lab.simulation.trace import Trace

BAND = 0.05
"""How near to ride height counts as back, as a share of the depth."""
RUN_OF_BUMPS = 3
"""From this many crests a ride is one over a run of bumps, which can pack down."""


def _push_use(trace: Trace) -> DamperUse:
    """Of the compression while the hand pushes."""
    until = trace.excitation.pushed_until if isinstance(trace.excitation, Push) else math.inf
    return damper_use(trace, "compression", until)


def _has_stops(trace: Trace) -> bool:
    return trace.station.travel is not None


# fmt: off
COMING_BACK: tuple[MeasureKind, ...] = (
    MeasureKind(
        key="first_return_time", name="first return", label="First back at ride height (within 5 %)",
        found=lambda trace: first_return_time(trace, BAND), unit="s", digits=2, resolution=0.01),
    MeasureKind(
        key="settling_time", name="settling time", label="Settled: stays within 5 %",
        found=lambda trace: settling_time(trace, BAND), unit="s", digits=2, smaller_is="better", resolution=0.02),
    MeasureKind(
        key="overshoot", name="overshoot", label="Overshoot past ride height",
        found=overshoot, scale=100.0, unit="% of the depth", resolution=1.0),
    MeasureKind(
        key="swings", name="visible swings", label="Visible swings after the first return",
        found=swings, unit="", smaller_is="better"),
)
PUSHED: tuple[MeasureKind, ...] = (
    MeasureKind(
        key="push_depth", name="depth of the push", label="Body pushed down by",
        found=lambda trace: -float(trace.body.min()), scale=1e3, unit="mm", digits=1, resolution=0.3),
    MeasureKind(
        key="compression_speed", name="fastest compression", label="Fastest shaft speed in compression",
        found=lambda trace: _push_use(trace).fastest, unit="m/s", digits=2, resolution=0.01),
    MeasureKind(
        key="compression_force", name="strongest compression force",
        label="Strongest damper force in compression, at the shaft",
        found=lambda trace: _push_use(trace).strongest, unit="N", resolution=3.0),
)
RIDDEN = (
    MeasureKind(
        key="tyre_load_variation", name="tyre load variation", label="Tyre load variation",
        found=tyre_load_variation, scale=100.0, unit="% of the load at rest", digits=1, smaller_is="better",
        resolution=0.2),
    MeasureKind(
        key="smallest_tyre_load", name="smallest tyre load", label="Smallest tyre load",
        found=smallest_tyre_load, scale=100.0, unit="% of the load at rest", smaller_is="worse", resolution=1.0),
    MeasureKind(
        key="contact_loss", name="time off the road", label="Off the road, in all",
        found=lambda trace: contact_loss(trace).share * float(trace.time[-1]), scale=1e3, unit="ms",
        smaller_is="better", resolution=2.0),
    MeasureKind(
        key="longest_contact_loss", name="longest time off the road", label="Off the road, longest stretch",
        found=lambda trace: contact_loss(trace).longest, scale=1e3, unit="ms", smaller_is="better", resolution=2.0),
    MeasureKind(
        key="weighted_acceleration", name="weighted body acceleration",
        label="Comfort: weighted body acceleration, r.m.s.",
        found=weighted_acceleration, unit="m/s²", digits=2, smaller_is="better", resolution=0.03),
    MeasureKind(
        key="maximum_transient_vibration", name="weighted body acceleration of the worst second",
        label="Comfort: weighted acceleration, the worst second",
        found=maximum_transient_vibration, unit="m/s²", digits=2, smaller_is="better", resolution=0.05),
    MeasureKind(
        key="vibration_dose", name="vibration dose", label="Comfort: vibration dose value",
        found=vibration_dose, unit="m/s^1.75", digits=2, smaller_is="better", resolution=0.05),
    MeasureKind(
        key="body_acceleration_peak", name="largest body acceleration",
        label="Body acceleration, largest (not weighted)",
        found=lambda trace: float(np.abs(trace.body_acceleration).max()), unit="m/s²", digits=1,
        smaller_is="better", resolution=0.2),
    MeasureKind(
        key="compression_speed", name="fastest compression", label="Fastest shaft speed in compression",
        found=lambda trace: damper_use(trace, "compression").fastest, unit="m/s", digits=2, resolution=0.01),
    MeasureKind(
        key="rebound_speed", name="fastest rebound", label="Fastest shaft speed in rebound",
        found=lambda trace: damper_use(trace, "rebound").fastest, unit="m/s", digits=2, resolution=0.01),
    MeasureKind(
        key="above_compression_knee", name="time above the compression knee",
        label="Compression faster than its knee",
        found=lambda trace: shaft_speed_shares(trace).time.compression_above, scale=100.0, unit="% of the time",
        digits=1, resolution=0.2, belongs=lambda trace: math.isfinite(trace.station.damper.knees[1])),
    MeasureKind(
        key="damper_power", name="damper power", label="The damper turns into heat, on average",
        found=damper_power, unit="W", digits=1, resolution=0.5),
    MeasureKind(
        key="packing_down", name="packing down", label="Packed down over the bumps (mean wheel travel)",
        found=packing_down, scale=1e3, unit="mm", digits=1, smaller_is="better", resolution=0.3,
        belongs=lambda trace: bumps(trace) >= RUN_OF_BUMPS),
)
ENDS_OF_TRAVEL = (
    MeasureKind(
        key="deepest_travel", name="deepest travel", label="Deepest wheel travel, from full extension",
        found=lambda trace: travel_used(trace).deepest, scale=1e3, unit="mm", resolution=0.5,
        out_of=lambda trace: trace.station.travel or 0.0, belongs=_has_stops),
    MeasureKind(
        key="bump_stop_hits", name="bump stop touched", label="Bump stop touched",
        found=bump_stop_hits, unit="times", smaller_is="better", belongs=_has_stops),
    MeasureKind(
        key="bottoming", name="bottomed out", label="Bottomed out",
        found=bottoming, unit="times", smaller_is="better", belongs=_has_stops),
    MeasureKind(
        key="topping_out", name="topped out", label="Topped out",
        found=topping_out, unit="times", smaller_is="better", belongs=_has_stops),
)
# fmt: on


@lru_cache(maxsize=4)
def summary(trace: Trace) -> tuple[Measure, ...]:
    """The measures of a run, chosen by what was done to the station."""
    return tuple(kind.of(trace) for kind in kinds_of(trace.excitation) if kind.belongs(trace))


def kinds_of(excitation: Excitation) -> tuple[MeasureKind, ...]:
    """The measures that runs of an excitation can have."""
    if isinstance(excitation, Release):
        return (*COMING_BACK, *ENDS_OF_TRAVEL)
    if isinstance(excitation, Push):
        return (*PUSHED, *COMING_BACK, *ENDS_OF_TRAVEL)
    if isinstance(excitation, ShakerPlate):
        return (*PLATE, ride_measure("compression_speed"), ride_measure("rebound_speed"), *ENDS_OF_TRAVEL)
    return (*RIDDEN, *ENDS_OF_TRAVEL)


def ride_measure(key: str) -> MeasureKind:
    """Label, unit, digits and the like of one of a ride's measures, and how to find it; no run is needed.

    Args:
        key: as in `summary` of a ride, such as 'tyre_load_variation'.

    Raises:
        LabError: no such measure; the message names them all.
    """
    kinds = {kind.key: kind for kind in (*RIDDEN, *ENDS_OF_TRAVEL)}
    if key not in kinds:
        raise LabError(f"A ride has no measure {key!r}; choose from {', '.join(kinds)}.")
    return kinds[key]
