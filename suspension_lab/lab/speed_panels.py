"""Panels over shaft speed: the damper's law, and what else goes with it."""

from __future__ import annotations

import numpy as np
from matplotlib.lines import Line2D

from suspension_lab.lab.look import COMPRESSION, DAMPER, EDGE, KEPT_GREY, REBOUND
from suspension_lab.lab.panels import FONT_SIZE, NOTHING, Frame, Panel, legend_above, line_on, rounded_limits
from suspension_lab.simulation.trace import Trace


class SpeedPanel(Panel[Trace]):
    """Something over shaft speed, both directions, with the knees of the damper."""

    def __init__(self, upright: str) -> None:
        super().__init__()
        axes = self.axes
        axes.axhline(0.0, color=EDGE, linewidth=0.8, zorder=1)
        axes.axvline(0.0, color=EDGE, linewidth=0.8, zorder=1)
        self.name_axes("shaft speed [m/s]", upright)
        self._ways = [
            axes.text(x, 0.02, text, transform=axes.transAxes, ha=side, va="bottom", fontsize=FONT_SIZE - 1.0)
            for x, side, text in ((0.02, "left", "← rebound"), (0.98, "right", "compression →"))
        ]
        self.knees = line_on(axes, {"color": "#000000", "linestyle": "", "marker": "o", "markersize": 5.0}, 6)
        self.knees.set_markerfacecolor("white")

    def resize(self, width: int, height: int, pixel_ratio: float) -> None:
        """Fit another size; on a narrow panel the two ways stand one above the other."""
        super().resize(width, height, pixel_ratio)
        one, other = (each.get_window_extent(self.canvas.get_renderer()).width for each in self._ways)
        beside = one + other < 0.92 * self.axes.get_window_extent().width
        self._ways[1].set_y(0.02 if beside else 0.1)


class DamperPanel(SpeedPanel):
    """Damper force over shaft speed, with the part this run used drawn bold."""

    left_margin = 78
    top_margin = 62
    filled = (0.45, 0.45)

    def __init__(self) -> None:
        super().__init__("damper force at the shaft [N]")
        axes = self.axes
        self.kept_law = line_on(axes, {"color": KEPT_GREY, "linestyle": (0, (6, 2)), "linewidth": 1.4}, 2)
        self.used = {look.label: line_on(axes, look.line(), 3) for look in (REBOUND, COMPRESSION)}
        self.law = line_on(axes, DAMPER.line(), 4)
        self.moving = [self.kept_law, *self.used.values(), self.law, self.knees]

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """Speeds of both runs with room around, the same to both sides; forces over those speeds."""
        runs = [run for run in (trace, kept) if run is not None]
        fastest = max(float(np.abs(run.shaft_speed).max()) for run in runs)
        x = max(rounded_limits(0.0, 1.15 * fastest, 3)[1], 0.3)
        forces = np.concatenate([run.station.damper.force(np.array([-x, x])) for run in runs])
        return Frame((-x, x), rounded_limits(float(forces.min()), float(forces.max()), 5))

    def show(self, trace: Trace, kept: Trace | None) -> None:
        """Let the lines follow the runs."""
        low, high = self.axes.get_xlim()
        damper, speed = trace.station.damper, np.linspace(low, high, 241)
        self.law.set_data(speed, damper.force(speed))
        slowest, fastest = float(trace.shaft_speed.min()), float(trace.shaft_speed.max())
        for look, first, last in ((REBOUND, min(slowest, 0.0), 0.0), (COMPRESSION, 0.0, max(fastest, 0.0))):
            part = np.linspace(first, last, 121)
            self.used[look.label].set_data(part, damper.force(part))
        knees = np.array([knee for knee in damper.knees if low < knee < high])
        self.knees.set_data(knees, damper.force(knees))
        self.kept_law.set_data(*[speed, kept.station.damper.force(speed)] if kept is not None else NOTHING)

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        handles = [Line2D([], [], label=look.label, **look.line()) for look in (REBOUND, COMPRESSION, DAMPER)]
        handles.append(Line2D([], [], label="knee", linestyle="", marker="o", color="#000000", markerfacecolor="white"))
        if with_kept:
            handles.append(Line2D([], [], label="kept run", color=KEPT_GREY, linestyle=(0, (6, 2)), linewidth=1.4))
        legend_above(self.axes, handles, columns=2, from_edge=8.0)
