"""Panels that look into a damper: who carries the oil, and the pressures on both sides of the piston."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from suspension_lab.common.checks import Array
from suspension_lab.lab.look import (
    BLEED,
    BLOW_OFF,
    COMPRESSION_SIDE,
    DAMPER,
    KEPT_GREY,
    LEAK,
    LIMIT,
    REBOUND_SIDE,
    Band,
)
from suspension_lab.lab.panels import NOTHING, Frame, legend_above, line_on, rounded_limits
from suspension_lab.lab.speed_panels import SpeedPanel
from suspension_lab.measures.inside import BAR
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts

POINTS = 241


class InsidePanel(SpeedPanel):
    """Something of the inside of the damper over shaft speed, with the speeds from which it cavitates."""

    left_margin = 80
    filled = (0.3, 0.3)
    room = 0.15

    def __init__(self, upright: str) -> None:
        super().__init__(upright)
        self.cavitates = line_on(self.axes, LIMIT.line(), 5)

    def reach(self, trace: Trace, kept: Trace | None) -> float:
        """How far the speed's axis goes to either side [m/s]."""
        fastest = max(float(np.abs(run.shaft_speed).max()) for run in (trace, kept) if run is not None)
        return max(rounded_limits(0.0, 1.3 * fastest, 2)[1], 0.3)

    def speeds(self) -> Array:
        """Shaft speeds over the whole axis; zero among them."""
        return np.linspace(*self.axes.get_xlim(), POINTS)

    def show_limits(self, damper: HydraulicDamper, at_knees: Array) -> None:
        """Mark the knees, and the speeds from which the damper cavitates."""
        low, high = self.axes.get_xlim()
        knees = np.array(damper.knees)
        onset = damper.cavitation_speeds
        # Where bubbles form before, the blow-off never gets to open.
        seen = (low < knees) & (knees < high) & (onset[0] < knees) & (knees < onset[1])
        self.knees.set_data(knees[seen], at_knees[seen])
        bottom, top = self.axes.get_ylim()
        x: list[float] = []
        for speed in damper.cavitation_speeds:
            if low < speed < high:
                x += [speed, speed, np.nan]
        self.cavitates.set_data(x, [bottom, top, np.nan] * (len(x) // 3))


class SplitPanel(InsidePanel):
    """Damper force over shaft speed, its area shared out as the flow is between bleed, blow-off and leak."""

    top_margin = 62

    def __init__(self) -> None:
        super().__init__("damper force [N]")
        self.bands = {band.label: _band(self.axes, band) for band in (BLEED, BLOW_OFF, LEAK)}
        self.kept_law = line_on(self.axes, {"color": KEPT_GREY, "linestyle": (0, (6, 2)), "linewidth": 1.6}, 4)
        self.law = line_on(self.axes, {**DAMPER.line(), "linewidth": 1.6}, 4)
        self.moving = [*self.bands.values(), self.kept_law, self.law, self.cavitates, self.knees]

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """Speeds of both runs; forces over those speeds."""
        x = self.reach(trace, kept)
        forces = [run.station.damper.force(np.array([-x, x])) for run in (trace, kept) if run is not None]
        values = np.concatenate(forces)
        return Frame((-x, x), rounded_limits(float(values.min()), float(values.max()), 5))

    def show(self, trace: Trace, kept: Trace | None) -> None:
        """Let bands and lines follow the runs."""
        damper, speed = by_parts(trace.station), self.speeds()
        force = damper.force(speed)
        rebound, compression = damper.flows(speed)
        floor = np.zeros_like(speed)
        whole = rebound.whole + compression.whole
        for band, own in zip(self.bands.values(), zip(rebound, compression, strict=True), strict=True):
            share = np.divide(own[0] + own[1], whole, out=np.zeros_like(whole), where=whole > 0.0)
            ceiling = floor + force * share
            band.set_verts([np.column_stack([np.r_[speed, speed[::-1]], np.r_[floor, ceiling[::-1]]])])
            floor = ceiling
        self.law.set_data(speed, force)
        self.kept_law.set_data(*[speed, kept.station.damper.force(speed)] if kept is not None else NOTHING)
        self.show_limits(damper, damper.force(np.array(damper.knees)))

    def legend(self, with_kept: bool) -> None:
        """Name bands and lines."""
        handles: list[Artist] = [Patch(label=band.label, **band.patch()) for band in (BLEED, BLOW_OFF, LEAK)]
        handles.append(
            Line2D([], [], label="blow-off opens", linestyle="", marker="o", color="#000000", markerfacecolor="white")
        )
        if with_kept:
            handles.append(Line2D([], [], label="kept run", color=KEPT_GREY, linestyle=(0, (6, 2)), linewidth=1.6))
        legend_above(self.axes, handles, columns=2, from_edge=8.0)


class PressurePanel(InsidePanel):
    """Absolute pressures on both sides of the piston over shaft speed, with the gas at full extension."""

    top_margin = 46

    def __init__(self) -> None:
        super().__init__("pressure [bar, absolute]")
        self.sides = [line_on(self.axes, look.line(), 3) for look in (COMPRESSION_SIDE, REBOUND_SIDE)]
        self.kept_sides = [line_on(self.axes, look.kept(), 2) for look in (COMPRESSION_SIDE, REBOUND_SIDE)]
        self.knees.set_visible(False)
        self.moving = [*self.kept_sides, *self.sides, self.cavitates]

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """Speeds of both runs; pressures over those speeds."""
        x = self.reach(trace, kept)
        both = [by_parts(run.station).pressures(np.array([-x, x])) for run in (trace, kept) if run is not None]
        highest = max(float(np.max(side)) for sides in both for side in sides[:2])
        return Frame((-x, x), (0.0, rounded_limits(0.0, 1.04 * BAR * highest, 4)[1]))

    def show(self, trace: Trace, kept: Trace | None) -> None:
        """Let the lines follow the runs."""
        speed = self.speeds()
        for lines, run in ((self.sides, trace), (self.kept_sides, kept)):
            sides: Any = by_parts(run.station).pressures(speed)[:2] if run is not None else (None, None)
            for line, side in zip(lines, sides, strict=True):
                line.set_data(*[speed, BAR * side] if side is not None else NOTHING)
        self.show_limits(by_parts(trace.station), np.zeros(2))

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        handles = [Line2D([], [], label=look.label, **look.line()) for look in (COMPRESSION_SIDE, REBOUND_SIDE, LIMIT)]
        if with_kept:
            handles.append(Line2D([], [], label="kept run", color=KEPT_GREY, linewidth=1.6))
        legend_above(self.axes, handles, columns=2, from_edge=8.0)


def _band(axes: Any, band: Band) -> PolyCollection:
    made = PolyCollection([], animated=True, zorder=2, **band.patch())
    axes.add_collection(made, autolim=False)
    return made
