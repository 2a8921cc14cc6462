"""The measures that belong to a run, ready for a table."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from suspension_lab.excitation.hand import Push, Release
from suspension_lab.measures.contact import contact_loss, smallest_tyre_load, tyre_load_variation
from suspension_lab.measures.damper_use import damper_use
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.travel import bottoming, bump_stop_hits, bumps, packing_down, topping_out, travel_used
from suspension_lab.simulation.trace import Trace

BAND = 0.05
"""How near to ride height counts as back, as a share of the depth."""
RUN_OF_BUMPS = 3
"""From this many crests a ride is one over a run of bumps, which can pack down."""


@dataclass(frozen=True, kw_only=True)
class Measure:
    """One number of a run, in the unit a table shows.

    Attributes:
        key: a name for scripts.
        label: for a table.
        name: within a sentence.
        value: infinite where it did not happen within the run.
        unit: shown behind the number; empty for a count.
        digits: behind the point.
        smaller_is: 'better', 'worse', or '' where neither holds by itself.
        resolution: a change smaller than this is none worth a word, in the same unit.
    """

    key: str
    label: str
    name: str
    value: float
    unit: str
    digits: int = 0
    smaller_is: str = ""
    resolution: float = 0.0

    @property
    def text(self) -> str:
        """The number with its unit, or 'not within the run'."""
        if not math.isfinite(self.value):
            return "not within the run"
        if self.unit == "times" and self.value < 2:
            return ("never", "once")[int(self.value)]
        return f"{self.shown} {self.unit}".strip()

    @property
    def shown(self) -> str:
        """The number alone, rounded."""
        rounded = f"{self.value:.{self.digits}f}"
        return rounded.removeprefix("-") if float(rounded) == 0.0 else rounded


@lru_cache(maxsize=4)
def summary(trace: Trace) -> tuple[Measure, ...]:
    """The measures of a run, chosen by what was done to the station."""
    if isinstance(trace.excitation, Release):
        return (*_coming_back(trace), *_ends_of_travel(trace))
    if isinstance(trace.excitation, Push):
        return (*_pushed(trace, trace.excitation), *_coming_back(trace), *_ends_of_travel(trace))
    return (*_ridden(trace), *_ends_of_travel(trace))


def _coming_back(trace: Trace) -> tuple[Measure, ...]:
    return (
        Measure(
            key="first_return_time",
            name="first return",
            label="First back at ride height (within 5 %)",
            value=first_return_time(trace, BAND),
            unit="s",
            digits=2,
            resolution=0.01,
        ),
        Measure(
            key="settling_time",
            name="settling time",
            label="Settled: stays within 5 %",
            value=settling_time(trace, BAND),
            unit="s",
            digits=2,
            smaller_is="better",
            resolution=0.02,
        ),
        Measure(
            key="overshoot",
            name="overshoot",
            label="Overshoot past ride height",
            value=100.0 * overshoot(trace),
            unit="% of the depth",
            resolution=1.0,
        ),
        Measure(
            key="swings",
            name="visible swings",
            label="Visible swings after the first return",
            value=swings(trace),
            unit="",
            smaller_is="better",
        ),
    )


def _pushed(trace: Trace, push: Push) -> tuple[Measure, ...]:
    use = damper_use(trace, "compression", push.pushed_until)
    return (
        Measure(
            key="push_depth",
            name="depth of the push",
            label="Body pushed down by",
            value=-1e3 * float(trace.body.min()),
            unit="mm",
            digits=1,
            resolution=0.3,
        ),
        Measure(
            key="compression_speed",
            name="fastest compression",
            label="Fastest shaft speed in compression",
            value=use.fastest,
            unit="m/s",
            digits=2,
            resolution=0.01,
        ),
        Measure(
            key="compression_force",
            name="strongest compression force",
            label="Strongest damper force in compression, at the shaft",
            value=use.strongest,
            unit="N",
            resolution=3.0,
        ),
    )


def _ridden(trace: Trace) -> tuple[Measure, ...]:
    loss = contact_loss(trace)
    body = trace.body_acceleration
    packed: tuple[Measure, ...] = ()
    if bumps(trace) >= RUN_OF_BUMPS:
        packed = (
            Measure(
                key="packing_down",
                name="packing down",
                label="Packed down over the bumps (mean wheel travel)",
                value=1e3 * packing_down(trace),
                unit="mm",
                digits=1,
                smaller_is="better",
                resolution=0.3,
            ),
        )
    return (
        Measure(
            key="tyre_load_variation",
            name="tyre load variation",
            label="Tyre load variation",
            value=100.0 * tyre_load_variation(trace),
            unit="% of the load at rest",
            digits=1,
            smaller_is="better",
            resolution=0.2,
        ),
        Measure(
            key="smallest_tyre_load",
            name="smallest tyre load",
            label="Smallest tyre load",
            value=100.0 * smallest_tyre_load(trace),
            unit="% of the load at rest",
            smaller_is="worse",
            resolution=1.0,
        ),
        Measure(
            key="contact_loss",
            name="time off the road",
            label="Off the road, in all",
            value=1e3 * loss.share * float(trace.time[-1]),
            unit="ms",
            smaller_is="better",
            resolution=2.0,
        ),
        Measure(
            key="longest_contact_loss",
            name="longest time off the road",
            label="Off the road, longest stretch",
            value=1e3 * loss.longest,
            unit="ms",
            smaller_is="better",
            resolution=2.0,
        ),
        Measure(
            key="body_acceleration_rms",
            name="r.m.s. body acceleration",
            label="Body acceleration, r.m.s. (not frequency-weighted)",
            value=float(np.sqrt(np.mean(body**2))),
            unit="m/s²",
            digits=2,
            smaller_is="better",
            resolution=0.03,
        ),
        Measure(
            key="body_acceleration_peak",
            name="largest body acceleration",
            label="Body acceleration, largest",
            value=float(np.abs(body).max()),
            unit="m/s²",
            digits=1,
            smaller_is="better",
            resolution=0.2,
        ),
        Measure(
            key="compression_speed",
            name="fastest compression",
            label="Fastest shaft speed in compression",
            value=damper_use(trace, "compression").fastest,
            unit="m/s",
            digits=2,
            resolution=0.01,
        ),
        Measure(
            key="rebound_speed",
            name="fastest rebound",
            label="Fastest shaft speed in rebound",
            value=damper_use(trace, "rebound").fastest,
            unit="m/s",
            digits=2,
            resolution=0.01,
        ),
        *packed,
    )


def _ends_of_travel(trace: Trace) -> tuple[Measure, ...]:
    if trace.station.travel is None:
        return ()
    whole = f"mm of {trace.station.travel * 1e3:.0f} mm"
    return (
        Measure(
            key="deepest_travel",
            name="deepest travel",
            label="Deepest wheel travel, from full extension",
            value=1e3 * travel_used(trace).deepest,
            unit=whole,
            resolution=0.5,
        ),
        Measure(
            key="bump_stop_hits",
            name="bump stop touched",
            label="Bump stop touched",
            value=bump_stop_hits(trace),
            unit="times",
            smaller_is="better",
        ),
        Measure(
            key="bottoming",
            name="bottomed out",
            label="Bottomed out",
            value=bottoming(trace),
            unit="times",
            smaller_is="better",
        ),
        Measure(
            key="topping_out",
            name="topped out",
            label="Topped out",
            value=topping_out(trace),
            unit="times",
            smaller_is="better",
        ),
    )
