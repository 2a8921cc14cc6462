"""Tyre load over a stretch of the ride, and the two valleys: evenness and comfort from soft to hard."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from suspension_lab.common.checks import Array
from suspension_lab.lab.look import COMFORT, EDGE, EVENNESS, KEPT_GREY, Look
from suspension_lab.lab.panels import FONT_SIZE, NOTHING, Frame, LoadPanel, Panel, legend_above, line_on, rounded_limits
from suspension_lab.lab.pictures import stacked
from suspension_lab.simulation.trace import Trace
from suspension_lab.workshop.evenness import ALIKE, Evenness
from suspension_lab.workshop.release_test import Verdict

STRETCH = (3.0, 7.0)
"""Of the ride, drawn so that it can be read [s]."""
COMING = "the valley is being worked out"
BAND_GREY = "#E4E4E4"
FAILS: dict[str, Any] = {"facecolor": "none", "edgecolor": EDGE, "hatch": "xxx", "linewidth": 0.0}
EDGE_SHARE, OVER_THE_RING = 0.1, 16.0
"""Of the width, where words at the ring do not fit centred; and how far from its middle they stand [points]."""
STRIP = 0.13
"""Of the height."""


class StretchPanel(LoadPanel):
    """Tyre load over a few seconds of the ride [% of the load at rest]."""

    left_margin = 74

    def __init__(self) -> None:
        super().__init__()
        self.name_axes("time [s], a part of the ride", "tyre load [% of rest]")

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """The stretch; load from nothing to the highest."""
        return Frame(STRETCH, super().frame(trace, kept).y)


def stretch_of(trace: Trace) -> Trace:
    """The part of a ride that is drawn."""
    first, last = np.searchsorted(trace.time, STRETCH)
    given: dict[str, Any] = {each.name: getattr(trace, each.name) for each in fields(trace)}
    cut: dict[str, Any] = {name: value[first:last] for name, value in given.items() if isinstance(value, np.ndarray)}
    return replace(trace, **cut)


class ValleyPanel(Panel[Evenness]):
    """Something over hardness, from open at the left to closed at the right, with the present setting in it.

    Args:
        which: the variation (0) or the shaking (1).
        look: of its curve.
        upright: name of the upright axis.
        scale: shown value over that in SI.
        best: what the lowest point is called.
    """

    left_margin = 74
    filled = (0.99, 0.5)

    def __init__(self, which: int, look: Look, upright: str, scale: float, best: str) -> None:
        super().__init__()
        self._which, self._look, self._scale, self._upright, self._best = which, look, scale, upright, best
        self._along: tuple[str, int] | None = None
        self._turns_rebound = False
        self._values: Array | None = None
        axes = self.axes
        self.band = Rectangle((0.0, 0.0), 0.0, 1.0, transform=axes.get_xaxis_transform(), zorder=1, animated=True,
                              facecolor=BAND_GREY, edgecolor=EDGE, linewidth=0.8)  # fmt: skip
        axes.add_patch(self.band)
        # A strip along the top: a ring beside its row, whose own rebound may pass, does not stand in it.
        self.fails = [Rectangle((0.0, 1.0 - STRIP), 0.0, STRIP, transform=axes.get_xaxis_transform(), zorder=1.5,
                                animated=True, **FAILS) for _ in range(2)]  # fmt: skip
        for patch in self.fails:
            axes.add_patch(patch)
        self.curve = line_on(axes, look.line(), 3)
        self.lowest = line_on(axes, lowest_mark(look), 4)
        self.by_road = line_on(axes, hollow_mark(look), 4)
        self.kept_mark = line_on(axes, KEPT_MARK, 5)
        self.now = line_on(axes, NOW_MARK, 6)
        self.now_name = axes.annotate(
            "", (0.0, 0.0), xytext=(0.0, 0.0), textcoords="offset points", fontsize=FONT_SIZE, va="center",
            zorder=7, animated=True, annotation_clip=False,
        )  # fmt: skip
        self.best_name = axes.text(0.0, 0.0, "", fontsize=FONT_SIZE, va="top", animated=True)
        self.fails_name = axes.text(
            0.0, 1.0 - 0.5 * STRIP, "this stretch fails the release test", transform=axes.get_xaxis_transform(),
            fontsize=FONT_SIZE, ha="center", va="center", animated=True,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
        )  # fmt: skip
        self.coming = axes.text(
            0.5, 0.5, COMING, transform=axes.transAxes, ha="center", va="center", fontsize=FONT_SIZE + 1.0,
            style="italic", animated=True,
        )  # fmt: skip
        for share, side, text in ((0.0, "left", "← open, soft"), (1.0, "right", "closed, hard →")):
            axes.annotate(
                text, (share, 0.0), xytext=(0.0, -26.0), xycoords="axes fraction", textcoords="offset points", ha=side,
                va="center", fontsize=FONT_SIZE,
            )  # fmt: skip
        for mark in (self.lowest, self.by_road, self.kept_mark, self.now):
            mark.set_clip_on(False)
        self.settling = [
            self.band,
            *self.fails,
            self.fails_name,
            self.curve,
            self.lowest,
            self.by_road,
            self.best_name,
            self.coming,
        ]
        self.moving = [self.kept_mark, self.now, self.now_name]

    def stays_for(self, run: Evenness) -> object:
        """The valley's values: a slider that leaves them as they are moves only the marks."""
        valley = run.valley
        if valley is None:
            return None
        values = np.column_stack([valley.closed, valley.values, valley.passes])
        if self._values is None or not np.array_equal(values, self._values):
            self._values = values
        return self._values

    def draw(self, run: Evenness, kept: Evenness | None) -> Array:
        """The panel's pixels; the axes anew too where another adjuster is closed."""
        row = run.row
        along = (row.along, 0 if row.along == ALIKE else row.ranges[row.along])
        if along != self._along:
            self._along, self._frame, self._turns_rebound = along, None, "rebound" in row.turned
            alone = f"{row.along.replace('_', '-')} alone [clicks out]"
            name = "all adjusters, closed by [%]" if row.along == ALIKE else alone
            self.name_axes(name, self._upright)
            # Clicks are counted out from closed, which stands at the right: they are drawn below zero.
            self.axes.xaxis.set_major_locator(MaxNLocator(10, steps=[1, 2, 5, 10], integer=True))
            self.axes.xaxis.set_major_formatter(lambda value, _: f"{abs(value):g}")
        return super().draw(run, kept)

    def _x(self, run: Evenness, of: Evenness) -> float:
        return float(self._over(run, run.row.closed(of.row.present)))

    def _over(self, run: Evenness, closed: Any) -> Any:
        if run.row.along == ALIKE:
            return 100.0 * closed
        return (closed - 1.0) * run.row.ranges[run.row.along]

    def _value(self, of: Evenness) -> float:
        return self._scale * of.present[self._which]

    def frame(self, run: Evenness, kept: Evenness | None) -> Frame:
        """From open to closed; the curve, the present setting, and a kept one."""
        x = tuple(float(end) for end in self._over(run, np.array([0.0, 1.0])))
        marks = [self._value(each) for each in (run, kept) if each is not None]
        valley = run.valley
        if valley is None and self._frame is not None and self._frame.x == x:
            low, high = self._frame.y
            if all(low < value < high for value in marks):
                return self._frame
        values = [*marks, *(self._scale * valley.values[:, self._which] if valley is not None else ())]
        low, high = min(values), max(values)
        span = max(high - low, 0.1 * low)
        # Below the lowest point stands its name.
        return Frame((x[0], x[1]), (max(low - 0.2 * span, 0.0), low + 1.2 * span))

    def _with_room(self, limits: tuple[float, float]) -> tuple[float, float]:
        return rounded_limits(*limits, 10)

    def show(self, run: Evenness, kept: Evenness | None) -> None:
        """Let curve and marks follow."""
        valley = run.valley
        self.now.set_data([self._x(run, run)], [self._value(run)])
        self._judge_this_setting(run)
        self.kept_mark.set_data(*NOTHING if kept is None else [[self._x(run, kept)], [self._value(kept)]])
        self.coming.set_visible(valley is None)
        for artist in (self.band, *self.fails, self.best_name):
            artist.set_visible(valley is not None)
        if valley is None:
            self.fails_name.set_visible(False)
            self.curve.set_data(*NOTHING)
            self.lowest.set_data(*NOTHING)
            self.by_road.set_data(*NOTHING)
            return
        x, values = self._over(run, valley.closed), self._scale * valley.values[:, self._which]
        self.curve.set_data(x, values)
        lowest, (first, last) = valley.lowest(self._which), valley.good(self._which)
        self.lowest.set_data([x[lowest]], [values[lowest]])
        alone = valley.everywhere.lowest(self._which)
        self.by_road.set_data(*[[x[alone]], [values[alone]]] if alone != lowest else NOTHING)
        half = 0.5 * (x[1] - x[0])
        left, right = max(x[first] - half, x[0]), min(x[last] + half, x[-1])
        self.band.set_x(left)
        self.band.set_width(right - left)
        self._cross_out(x, valley.passes, half)
        self._name_the_lowest(float(x[lowest]), float(values[lowest]))

    def _judge_this_setting(self, run: Evenness) -> None:
        """Say at the ring whether its own rebound passes; that of the row at the same place may not."""
        self.now_name.set_visible(self._turns_rebound)
        passes = run.verdict(run.row.present) is Verdict.PASSES
        self.now_name.set_text("this setting passes" if passes else "this setting fails")
        self.now_name.xy = (self._x(run, run), self._value(run))
        across, up = self.axes.transAxes.inverted().transform(self.axes.transData.transform(self.now_name.xy))
        self.now_name.set_horizontalalignment(
            "left" if across < EDGE_SHARE else "right" if across > 1.0 - EDGE_SHARE else "center"
        )
        self.now_name.set_position((0.0, OVER_THE_RING if up < 1.0 - 2.5 * STRIP else -1.6 * OVER_THE_RING))

    def _cross_out(self, x: Array, passes: NDArray[np.bool_], half: float) -> None:
        """Hatch both ends of the row that the release test refuses, and say so in the wider one."""
        good = np.flatnonzero(passes)
        ends = [x[0], x[good[0]] - half, x[good[-1]] + half, x[-1]] if good.size else [x[0], x[-1], x[-1], x[-1]]
        widths = [max(ends[1] - ends[0], 0.0), max(ends[3] - ends[2], 0.0)]
        for patch, start, width in zip(self.fails, (ends[0], ends[2]), widths, strict=True):
            patch.set_x(start)
            patch.set_width(width)
        wider = int(np.argmax(widths))
        self.fails_name.set_x((ends[0], ends[2])[wider] + 0.5 * widths[wider])
        self.fails_name.set_visible(max(widths) > 0.0)

    def _name_the_lowest(self, x: float, value: float) -> None:
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        share = (x - left) / (right - left)
        self.best_name.set_horizontalalignment("left" if share < 0.1 else "right" if share > 0.9 else "center")
        self.best_name.set_text(f" {self._best}{' that passes' if self._turns_rebound else ''} ")
        self.best_name.set_position((x, value - 0.06 * (top - bottom)))

    def legend(self, with_kept: bool) -> None:
        """Name curve and marks."""
        handles: list[Artist] = [
            Line2D([], [], label=self._look.label, **self._look.line()),
            Line2D([], [], label="this setting", **{**NOW_MARK, "markersize": 9.0}),
            Line2D([], [], label="lowest that passes" if self._turns_rebound else "lowest", **lowest_mark(self._look)),
            Patch(facecolor=BAND_GREY, edgecolor=EDGE, linewidth=0.8, label="within 5 % of it"),
        ]
        if self._turns_rebound:
            handles.insert(3, Line2D([], [], label="the road's own", **hollow_mark(self._look)))
        if with_kept:
            handles.append(Line2D([], [], label="kept run", **KEPT_MARK))
        legend_above(self.axes, handles)


NOW_MARK: dict[str, Any] = {
    "linestyle": "", "marker": "o", "markersize": 12.0, "markeredgewidth": 2.0, "color": "#000000",
    "markerfacecolor": "none",
}  # fmt: skip
KEPT_MARK: dict[str, Any] = {"linestyle": "", "marker": "s", "markersize": 8.0, "color": KEPT_GREY}


def lowest_mark(look: Look) -> dict[str, Any]:
    """Arguments for the lowest point of a curve."""
    return {"linestyle": "", "marker": "D", "markersize": 6.0, "color": look.colour, "markeredgecolor": "#000000"}


def hollow_mark(look: Look) -> dict[str, Any]:
    """Arguments for the lowest point of a curve by the road alone, where the release test refuses it."""
    return {**lowest_mark(look), "markersize": 7.5, "markerfacecolor": "#FFFFFF", "markeredgewidth": 1.6}


def _same_ride(one: Evenness, other: Evenness) -> bool:
    return one.trace.station.name == other.trace.station.name and one.trace.excitation == other.trace.excitation


class EvennessPicture:
    """Tyre load over time, above the valleys of evenness and comfort."""

    narrowest, widest = 560, 1000

    def __init__(self) -> None:
        self.load = StretchPanel()
        self.valleys = [
            ValleyPanel(0, EVENNESS, "load variation [%]", 100.0, "most even"),
            ValleyPanel(1, COMFORT, "shaking [m/s²]", 1.0, "most comfortable"),
        ]
        self.resize(860)

    def resize(self, width: int, pixel_ratio: float = 1.0) -> None:
        """Fit another width [screen pixels]; the next drawing is a whole one."""
        self.load.resize(width, 180, pixel_ratio)
        for panel in self.valleys:
            panel.resize(width, 220, pixel_ratio)

    def png(self, run: Evenness, kept: Evenness | None = None) -> bytes:
        """The picture of a ride as PNG; a kept one only if it was the same ride, since it would not compare."""
        kept = kept if kept is not None and _same_ride(run, kept) else None
        load = self.load.draw(stretch_of(run.trace), stretch_of(kept.trace) if kept is not None else None)
        # A canvas may be a pixel off where the device's pixels are finer than the screen's.
        return stacked([load, *(panel.draw(run, kept) for panel in self.valleys)])
