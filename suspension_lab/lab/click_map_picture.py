"""The picture of a map of clicks: colours, numbered contours, the valley's floor, the good cells, and the marks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib import colormaps
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator

from suspension_lab.common.checks import Array
from suspension_lab.lab.look import EDGE, KEPT_GREY
from suspension_lab.lab.panels import DOTS_PER_INCH, FONT_SIZE, legend_above
from suspension_lab.lab.png import encode_png
from suspension_lab.workshop.click_map import NEAR, more_is_better
from suspension_lab.workshop.landscape import Landscape

if TYPE_CHECKING:
    from suspension_lab.lab.click_map import MapRun

COLOURS = "cividis"
"""Even to the eye, and the same to the colour-blind (Nunez, Anderton, Renslow 2018, PLOS ONE 13(7), from memory)."""
LEFT, RIGHT, TOP, BOTTOM = 76, 96, 34, 52
"""Room around the map [screen pixels]; at the right for the colour bar."""
MIDDLE = 0.18
"""Black and white stand out alike from a colour of this relative luminance (WCAG 2.1: (L + 0.05)^2 = 1.05 x 0.05)."""
EMPTY: dict[str, Any] = {"facecolor": "#EEEEEE", "edgecolor": EDGE, "hatch": "///", "linewidth": 0.0}
AXIS = {"rebound": "rebound", "low_speed": "compression, low speed", "high_speed": "compression, high speed"}
MOST_CONTOURS = 8
FLOOR: dict[str, Any] = {"color": "#000000", "linestyle": (0, (5, 2)), "linewidth": 1.8}
GOOD: dict[str, Any] = {"color": "#000000", "linestyle": (0, (1, 1.2)), "linewidth": 2.4}
BEST: dict[str, Any] = {"marker": "D", "markersize": 10.0, "markerfacecolor": "white", "markeredgecolor": "black",
                        "markeredgewidth": 2.0, "linestyle": ""}  # fmt: skip
PRESENT: dict[str, Any] = {"marker": "o", "markersize": 15.0, "markerfacecolor": "none", "markeredgecolor": "black",
                           "markeredgewidth": 2.4, "linestyle": ""}  # fmt: skip
REFUSED: dict[str, Any] = {"facecolor": (1.0, 1.0, 1.0, 0.55), "edgecolor": EDGE, "hatch": "xx", "linewidth": 0.0}
KEPT: dict[str, Any] = {**PRESENT, "marker": "s", "markersize": 13.0, "markeredgecolor": KEPT_GREY}
WHITE_AROUND = [withStroke(linewidth=4.6, foreground="white")]


class ClickMapPicture:
    """A map in colours; while only the present cell moves, its marks alone are drawn anew."""

    narrowest, widest = 560, 1000

    def __init__(self) -> None:
        self.figure = Figure(dpi=DOTS_PER_INCH, facecolor="white")
        self.canvas = FigureCanvasAgg(self.figure)
        self.resize(860)

    def resize(self, width: int, pixel_ratio: float = 1.0) -> None:
        """Fit another width [screen pixels]; the next drawing is a whole one."""
        self.size = (width, max(520, min(600, round(0.62 * width))))
        self.figure.set_dpi(DOTS_PER_INCH * pixel_ratio)
        self.figure.set_size_inches(self.size[0] / DOTS_PER_INCH, self.size[1] / DOTS_PER_INCH)
        self._drawn: tuple[Any, ...] = ()

    def png(self, run: MapRun, kept: MapRun | None = None) -> bytes:
        """The map with the present cell, and a kept one in grey, as PNG."""
        kept = kept if kept is not None and kept.axes == run.axes else None
        ask = (run.made, run.measure, tuple(run.tried.items()), kept is not None)
        if not self._drawn or any(
            one is not other and one != other for one, other in zip(ask, self._drawn, strict=True)
        ):
            self._draw(run, kept is not None)
            self._drawn = ask
        self.canvas.restore_region(self._background)
        for mark, of in ((self._kept, kept), (self._present, run)):
            if of is not None:
                mark.set_data(*[[of.station.clicks[name]] for name in run.axes])
                self.axes.draw_artist(mark)
        return encode_png(np.asarray(self.canvas.buffer_rgba()))

    def place(self) -> dict[str, Any]:
        """Box of the map in the picture (left, top, width, height as shares), and its limits, as last drawn."""
        box = self.axes.get_position()
        return {
            "box": [box.x0, 1.0 - box.y1, box.width, box.height],
            "x": [float(end) for end in self.axes.get_xlim()], "y": [float(end) for end in self.axes.get_ylim()],
        }  # fmt: skip

    def _draw(self, run: MapRun, with_kept: bool) -> None:
        width, height = self.size
        self.figure.clear()
        box = (LEFT / width, BOTTOM / height, (width - LEFT - RIGHT) / width, (height - TOP - BOTTOM) / height)
        axes = self.axes = self.figure.add_axes(box)
        axes.patch.set(**EMPTY)
        axes.tick_params(labelsize=FONT_SIZE)
        (across, xs), (upright, ys) = run.tried.items()
        axes.set_xlim(xs[0] - 0.5, xs[-1] + 0.5)
        axes.set_ylim(ys[0] - 0.5, ys[-1] + 0.5)
        for name, axis in ((across, axes.xaxis), (upright, axes.yaxis)):
            axis.set_major_locator(MaxNLocator(integer=True, nbins=13))
            axis.set_label_text(f"{AXIS[name]} [clicks out]", fontsize=FONT_SIZE)
        _name_ends(axes, width - LEFT - RIGHT, height - TOP - BOTTOM)
        land = run.land
        handles = [] if land is None or land.empty else self._draw_land(land, (width - RIGHT + 14) / width, box)
        self._present, self._kept = (axes.plot([], [], animated=True, **look)[0] for look in (PRESENT, KEPT))
        self._present.set_path_effects([withStroke(linewidth=5.6, foreground="white")])
        handles.append(Line2D([], [], label="this cell", **{**PRESENT, "markersize": 10.0}))
        if with_kept:
            handles.append(Line2D([], [], label="kept", **{**KEPT, "markersize": 9.0}))
        if land is None or not land.made.complete:
            handles.append(Patch(label="not measured", **EMPTY))
        legend_above(axes, handles, from_edge=8.0)
        self.canvas.draw()
        self._background = self.canvas.copy_from_bbox(self.figure.bbox)

    def _draw_land(self, land: Landscape, bar_at: float, box: tuple[float, ...]) -> list[Artist]:
        axes, better_up = self.axes, more_is_better(land.measure)
        x, y = (np.array(land.made.clicks[name], dtype=np.float64) for name in land.axes)
        low, high = float(np.nanmin(land.values)), float(np.nanmax(land.values))
        norm = Normalize(low, high) if high > low else Normalize(low - 1.0, low + 1.0)
        colours = colormaps[COLOURS if better_up else f"{COLOURS}_r"]
        picture = np.ma.masked_invalid(land.values.T)
        image = axes.imshow(
            picture, origin="lower", aspect="auto", interpolation="nearest", cmap=colours, norm=norm,
            extent=(x[0] - 0.5, x[-1] + 0.5, y[0] - 0.5, y[-1] + 0.5),
        )  # fmt: skip
        bar_axes = self.figure.add_axes((bar_at, box[1], 16 / self.size[0], box[3]))
        bar = self.figure.colorbar(image, cax=bar_axes)
        bar.ax.tick_params(labelsize=FONT_SIZE - 1.0)
        if high <= low:
            bar.set_ticks([low], labels=[f"{low:.{land.kind.digits}f}"])
        bar.set_label(f"{land.kind.name} [{land.kind.unit}]", fontsize=FONT_SIZE)
        crossed = self._cross_out(land, x, y)
        if land.flat:
            return crossed
        bar.ax.set_title("better" if better_up else "worse", fontsize=FONT_SIZE - 1.0, pad=4.0)
        bar.ax.set_xlabel("worse" if better_up else "better", fontsize=FONT_SIZE - 1.0)
        self._contours(land, x, y, picture, colours, norm)
        if land.offers_none:
            return crossed
        edges = LineCollection(_outline(land.near, x, y), **GOOD, path_effects=WHITE_AROUND, zorder=5)
        axes.add_collection(edges, autolim=False)
        axes.plot(x, land.floor, path_effects=WHITE_AROUND, zorder=6, **FLOOR)
        best = land.clicks_at(land.best)
        axes.plot([best[land.axes[0]]], [best[land.axes[1]]], zorder=8, **BEST)
        return [
            Line2D([], [], label="best", **{**BEST, "markersize": 7.0}),
            Line2D([], [], label="valley floor", **FLOOR),
            Line2D([], [], label=f"within {100 * NEAR:.0f} % of it", **GOOD),
            *crossed,
        ]

    def _cross_out(self, land: Landscape, x: Array, y: Array) -> list[Artist]:
        """Wash out the rebound clicks that the release test refuses."""
        for click in x[land.refused.all(axis=1)]:
            self.axes.add_patch(Rectangle((click - 0.5, y[0] - 0.5), 1.0, y[-1] - y[0] + 1.0, zorder=4.5, **REFUSED))
        return [Patch(label="release test fails", **REFUSED)] if land.refused.any() else []

    def _contours(self, land: Landscape, x: Array, y: Array, picture: Array, colours: Any, norm: Normalize) -> None:
        low, high = float(np.nanmin(land.values)), float(np.nanmax(land.values))
        levels = np.asarray(MaxNLocator(nbins=MOST_CONTOURS).tick_values(low, high))
        levels = levels[(levels > low) & (levels < high)]
        if not levels.size or min(picture.shape) < 2:
            return
        inks = ["#000000" if _luminance(colours(norm(level))) > MIDDLE else "#FFFFFF" for level in levels]
        lines = self.axes.contour(x, y, picture, levels=levels, colors=inks, linewidths=0.9, zorder=4)
        step = float(np.diff(levels).min()) if levels.size > 1 else high - low
        digits = next((d for d in range(4) if abs(step - round(step, d)) < 1e-9 * max(step, 1.0)), 3)
        self.axes.clabel(lines, fmt=f"%.{digits}f", fontsize=FONT_SIZE, inline_spacing=4)


def _name_ends(axes: Axes, width: int, height: int) -> None:
    """Which end is hard, in words, at both ends of both axes and in line with their names."""
    below, beside = -30 / height, -52 / width
    axes.xaxis.label.set_verticalalignment("top")
    axes.yaxis.label.set_verticalalignment("center")
    axes.xaxis.set_label_coords(0.5, below)
    axes.yaxis.set_label_coords(beside, 0.5)
    look: dict[str, Any] = {"transform": axes.transAxes, "fontsize": FONT_SIZE - 1.0}
    for share, text, side, upright in ((0.0, "closed, hard", "left", "bottom"), (1.0, "open, soft", "right", "top")):
        axes.text(share, below, text, ha=side, va="top", **look)
        axes.text(beside, share, text, ha="center", va=upright, rotation=90, **look)


def _outline(inside: Any, x: Array, y: Array) -> list[list[tuple[float, float]]]:
    """The edges between cells that are inside and cells that are not; cells are one click wide."""
    padded = np.pad(inside, 1)
    edges = []
    for i, j in zip(*np.nonzero(padded[1:, 1:-1] != padded[:-1, 1:-1]), strict=True):
        edges.append([(x[0] + i - 0.5, y[j] - 0.5), (x[0] + i - 0.5, y[j] + 0.5)])
    for i, j in zip(*np.nonzero(padded[1:-1, 1:] != padded[1:-1, :-1]), strict=True):
        edges.append([(x[i] - 0.5, y[0] + j - 0.5), (x[i] + 0.5, y[0] + j - 0.5)])
    return edges


def _luminance(colour: tuple[float, float, float, float]) -> float:
    """Relative luminance of a colour (WCAG 2.1)."""
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3]]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
