"""Panels: one axes each, of which only the lines are drawn again.

A panel computes nothing: it shows a trace, and a kept one in grey. What moves is animated, so that a picture can be
redrawn without its axes.
"""

from __future__ import annotations

import math
from typing import Any, Generic, NamedTuple, TypeVar

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from suspension_lab.common.checks import Array
from suspension_lab.lab.look import BODY, EDGE, KEPT_GREY, ROAD, TYRE_LOAD, WHEEL, Look
from suspension_lab.measures.contact import off_road
from suspension_lab.simulation.trace import Trace

Run = TypeVar("Run")
DOTS_PER_INCH = 100.0
FONT_SIZE = 10.0
MOST_POINTS = 1500
"""More points than this on a line cannot be told apart on a screen."""
NOTHING: list[Array] = [np.empty(0), np.empty(0)]


class Frame(NamedTuple):
    """The limits of an axes."""

    x: tuple[float, float]
    y: tuple[float, float]

    def still_good_for(self, wanted: Frame, filled: tuple[float, float]) -> bool:
        """Whether axes with these limits can stay: all wanted is inside, and fills this share of them each way."""
        return all(
            low <= want_low and want_high <= high and want_high - want_low >= share * (high - low)
            for (low, high), (want_low, want_high), share in zip(self, wanted, filled, strict=True)
        )


class Panel(Generic[Run]):
    """One axes in a figure of its own, on a canvas in memory.

    A subclass says which `moving` artists it has, and which `settling` ones under them, the `frame` it needs, how it
    lets them `show` the runs, and its `legend`.
    """

    left_margin = 64
    """Room for the numbers and the name of the upright axis [screen pixels]: letters do not grow with the picture."""
    top_margin = 24
    room = 0.08
    """Around the runs, as a share of their height, so that the next moves of a slider still fit."""
    filled = (0.85, 0.45)
    """Axes stay as they are while the runs fill at least this share of them, along and upright."""

    def __init__(self) -> None:
        self.figure = Figure(dpi=DOTS_PER_INCH, facecolor="white")
        self.canvas = FigureCanvasAgg(self.figure)
        self.axes = self.figure.add_subplot()
        self.axes.grid(color="#DDDDDD", linewidth=0.6)
        self.axes.set_axisbelow(True)
        self.axes.tick_params(labelsize=FONT_SIZE)
        for side in ("top", "right"):
            self.axes.spines[side].set_visible(False)
        self.settling: list[Artist] = []
        self.moving: list[Artist] = []
        self._frame: Frame | None = None
        self._with_kept = False
        self._background: Any = None
        self._settled: Any = None
        self._settled_for: object = None

    def frame(self, run: Run, kept: Run | None) -> Frame:
        """The limits these runs need, not rounded yet upright."""
        raise NotImplementedError

    def show(self, run: Run, kept: Run | None) -> None:
        """Let the moving artists follow the runs."""
        raise NotImplementedError

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        raise NotImplementedError

    def stays_for(self, run: Run) -> object:
        """While this is the same object, the settling artists need not be drawn again; None: always."""
        return None

    def name_axes(self, x: str, y: str) -> None:
        """Name both axes."""
        self.axes.set_xlabel(x, fontsize=FONT_SIZE)
        self.axes.set_ylabel(y, fontsize=FONT_SIZE)

    def resize(self, width: int, height: int, pixel_ratio: float) -> None:
        """Fit another size [screen pixels]; the next drawing is a whole one."""
        self.figure.set_dpi(DOTS_PER_INCH * pixel_ratio)
        self.figure.set_size_inches(width / DOTS_PER_INCH, height / DOTS_PER_INCH)
        self.figure.subplots_adjust(
            left=self.left_margin / width, right=1 - 18 / width, bottom=44 / height, top=1 - self.top_margin / height
        )
        self._fit_name()
        self._frame = None

    def _fit_name(self) -> None:
        """The name of the upright axis, smaller where a low panel would cut it."""
        label, box, high = self.axes.yaxis.label, self.axes.get_position(), self.figure.bbox.height
        label.set_fontsize(FONT_SIZE)
        long, middle = label.get_window_extent(self.canvas.get_renderer()).height, 0.5 * (box.y0 + box.y1) * high
        label.set_fontsize(FONT_SIZE * min(1.0, 2.0 * min(middle, high - middle) / max(long, 1.0)))

    def place(self) -> tuple[list[float], Frame]:
        """Box of the axes in the panel (left, top, width, height as shares), and their limits, as last drawn."""
        assert self._frame is not None
        box = self.axes.get_position()
        return [box.x0, 1.0 - box.y1, box.width, box.height], self._frame

    def draw(self, run: Run, kept: Run | None) -> Array:
        """The panel's pixels (height, width, 4): the lines drawn anew, and the axes too where they no longer fit."""
        wanted = self.frame(run, kept)
        with_kept = kept is not None
        if self._frame is None or with_kept != self._with_kept or not self._frame.still_good_for(wanted, self.filled):
            self._frame, self._with_kept = Frame(wanted.x, self._with_room(wanted.y)), with_kept
            self.axes.set_xlim(*self._frame.x)
            self.axes.set_ylim(*self._frame.y)
            self.legend(with_kept)
            self.canvas.draw()
            self._background = self._settled = self.canvas.copy_from_bbox(self.figure.bbox)
            self._settled_for = None
        stays = self.stays_for(run)
        if stays is not None and stays is self._settled_for:
            self.canvas.restore_region(self._settled)
            self.show(run, kept)
        else:
            self.canvas.restore_region(self._background)
            self.show(run, kept)
            for artist in self.settling:
                self.axes.draw_artist(artist)
            self._settled, self._settled_for = self.canvas.copy_from_bbox(self.figure.bbox), stays
        for artist in self.moving:
            self.axes.draw_artist(artist)
        return np.asarray(self.canvas.buffer_rgba())

    def _with_room(self, limits: tuple[float, float]) -> tuple[float, float]:
        low, high = limits
        room = self.room * (high - low)
        return rounded_limits(low - room if low < 0.0 else low, high + room, 6)


def rounded_limits(low: float, high: float, pieces: int = 4) -> tuple[float, float]:
    """Limits around a range, on round numbers, so that they stay while a slider moves a little."""
    span = max(high - low, 1e-9)
    raw = span / pieces
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(factor * power for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if factor * power >= raw * 0.999)
    return step * math.floor(low / step + 1e-6), step * math.ceil(high / step - 1e-6)


def thinned(time: Array, signal: Array) -> list[Array]:
    """Time and signal with at most about `MOST_POINTS` points: of each stretch the lowest and the highest sample."""
    stretch = 2 * math.ceil(time.size / MOST_POINTS)
    if stretch <= 2:
        return [time, signal]
    whole = time.size // stretch * stretch
    rows = signal[:whole].reshape(-1, stretch)
    ends = np.sort(np.stack([rows.argmin(axis=1), rows.argmax(axis=1)], axis=1), axis=1)
    kept = np.concatenate([(ends + np.arange(0, whole, stretch)[:, None]).ravel(), np.arange(whole, time.size)])
    return [time[kept], signal[kept]]


def line_on(axes: Axes, style: dict[str, Any], z: float) -> Line2D:
    """An empty line that moves: it is drawn apart from its axes."""
    (line,) = axes.plot([], [], animated=True, zorder=z, solid_capstyle="round", **style)
    return line


class MotionPanel(Panel[Trace]):
    """Body, wheel and road over time [mm from ride height]."""

    def __init__(self, *, with_road: bool) -> None:
        super().__init__()
        axes = self.axes
        self.looks: list[Look] = [BODY, WHEEL, *([ROAD] if with_road else [])]
        self.kept_lines = [line_on(axes, look.kept(), 2) for look in self.looks[:2]]
        self.lines = [line_on(axes, look.line(), 4 - i) for i, look in enumerate(self.looks)]
        self.let_go = axes.axvline(0.0, color="#000000", linewidth=1.0, linestyle=(0, (1, 3)), animated=True)
        self.let_go_name = axes.text(
            0.0, 0.03, " hand has let go", transform=axes.get_xaxis_transform(), fontsize=FONT_SIZE - 1.0, animated=True
        )
        self.moving = [self.let_go, self.let_go_name, *self.kept_lines, *reversed(self.lines)]
        self.name_axes("time [s]", "from ride height [mm]")
        axes.axhline(0.0, color=EDGE, linewidth=0.8, zorder=1)

    def _signals(self, trace: Trace) -> list[Array]:
        signals = [trace.body, trace.wheel, trace.road]
        return [1e3 * signal for signal in signals[: len(self.looks)]]

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """Time of the longer run; all signals."""
        runs = [run for run in (trace, kept) if run is not None]
        values = [signal for run in runs for signal in self._signals(run)]
        low, high = min(float(v.min()) for v in values), max(float(v.max()) for v in values)
        margin = 0.04 * (high - low)
        return Frame((0.0, max(float(run.time[-1]) for run in runs)), (low - margin, high + margin))

    def show(self, trace: Trace, kept: Trace | None) -> None:
        """Let the lines follow the runs."""
        free_from = trace.excitation.free_from()
        for artist in (self.let_go, self.let_go_name):
            artist.set_visible(free_from > 0.0)
        self.let_go.set_xdata([free_from, free_from])
        self.let_go_name.set_x(free_from)
        for line, signal in zip(self.lines, self._signals(trace), strict=True):
            line.set_data(*thinned(trace.time, signal))
        for i, line in enumerate(self.kept_lines):
            line.set_data(*thinned(kept.time, self._signals(kept)[i]) if kept is not None else NOTHING)

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        handles = [Line2D([], [], label=look.label, **look.line()) for look in self.looks]
        if with_kept:
            handles.append(Line2D([], [], label="kept run", color=KEPT_GREY, linewidth=1.6))
        legend_above(self.axes, handles)


class LoadPanel(Panel[Trace]):
    """Tyre load over time [% of the load at rest], with lost contact hatched."""

    def __init__(self) -> None:
        super().__init__()
        axes = self.axes
        self.lost = PolyCollection(
            [], animated=True, facecolor="#00000018", edgecolor="#000000", hatch="////", linewidth=0.6, zorder=2
        )
        axes.add_collection(self.lost, autolim=False)
        self.kept_line = line_on(axes, TYRE_LOAD.kept(), 3)
        self.line = line_on(axes, TYRE_LOAD.line(), 4)
        self.moving = [self.lost, self.kept_line, self.line]
        self.name_axes("time [s]", "tyre load [% of rest]")
        axes.axhline(100.0, color=EDGE, linewidth=0.8, zorder=1)

    def frame(self, trace: Trace, kept: Trace | None) -> Frame:
        """Time of the longer run; load from nothing to the highest."""
        runs = [run for run in (trace, kept) if run is not None]
        highest = max(float(run.tyre_load.max()) / run.static_tyre_load for run in runs)
        end = max(float(run.time[-1]) for run in runs)
        return Frame((0.0, end), (0.0, max(102.0 * highest, 185.0)))

    def show(self, trace: Trace, kept: Trace | None) -> None:
        """Let the lines follow the runs."""
        self.line.set_data(*thinned(trace.time, 100.0 * trace.tyre_load / trace.static_tyre_load))
        in_grey = thinned(kept.time, 100.0 * kept.tyre_load / kept.static_tyre_load) if kept is not None else NOTHING
        self.kept_line.set_data(*in_grey)
        top = self.axes.get_ylim()[1]
        # A stretch of a few milliseconds is widened to where the eye finds it.
        widest = 0.002 * float(trace.time[-1])
        self.lost.set_verts(
            [
                [(first - widest, 0.0), (first - widest, top), (last + widest, top), (last + widest, 0.0)]
                for first, last in off_road(trace)
            ]
        )

    def legend(self, with_kept: bool) -> None:
        """Name the lines."""
        handles: list[Artist] = [Line2D([], [], label=TYRE_LOAD.label, **TYRE_LOAD.line())]
        if with_kept:
            handles.append(Line2D([], [], label="kept run", **TYRE_LOAD.kept()))
        handles.append(Patch(facecolor="#00000018", edgecolor="#000000", hatch="////", label="off the road"))
        legend_above(self.axes, handles)


def legend_above(axes: Axes, handles: list[Any], *, columns: int | None = None, from_edge: float | None = None) -> None:
    """A legend above the axes.

    Args:
        axes: of a panel.
        handles: what it names.
        columns: None: all in one row.
        from_edge: where it begins, from the panel's left edge [screen pixels]; None: at the axes.
    """
    box, width = axes.get_position(), DOTS_PER_INCH * axes.figure.bbox.width / axes.figure.dpi
    edge = ((from_edge or 4.0) / width - box.x0) / box.width
    usual = 0.0 if from_edge is None else edge
    sizes = ((usual, FONT_SIZE - 1.0, 2.6, 1.2), (edge, FONT_SIZE - 1.0, 1.6, 0.8), (edge, FONT_SIZE - 2.5, 1.2, 0.5))
    for left, font, handle, between in sizes:
        legend = axes.legend(
            handles=handles, loc="lower left", bbox_to_anchor=(left, 1.0), ncols=columns or len(handles),
            frameon=False, fontsize=font, borderaxespad=0.2, handlelength=handle, columnspacing=between,
        )  # fmt: skip
        if legend.get_window_extent().x1 <= axes.figure.bbox.x1:
            # It fits; else, on a narrow picture, once more and smaller.
            return
