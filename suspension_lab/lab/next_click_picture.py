"""The picture of the next click: the chance of each, the range, and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from suspension_lab.lab.evenness_panels import BAND_GREY
from suspension_lab.lab.look import BODY, EDGE, WHEEL
from suspension_lab.lab.panels import DOTS_PER_INCH, FONT_SIZE, legend_above
from suspension_lab.lab.png import encode_png
from suspension_lab.workshop.click_belief import Measured
from suspension_lab.workshop.next_click import NextClick

HEIGHT = 250
"""Of the picture [screen pixels]."""
TOP = 132.0
"""Of the upright axis [%]: above a sure bar there is room for its word and for the marks of what was measured."""


def next_click_picture(answer: NextClick, tries: Sequence[Measured], width: int, pixel_ratio: float = 1.0) -> bytes:
    """Chance of each click as bars before the range, what was measured above, as PNG; width in screen pixels."""
    figure = Figure(figsize=(width / DOTS_PER_INCH, HEIGHT / DOTS_PER_INCH), dpi=DOTS_PER_INCH * pixel_ratio)
    canvas, axes = FigureCanvasAgg(figure), figure.add_subplot()
    figure.subplots_adjust(left=64 / width, right=1 - 18 / width, bottom=44 / HEIGHT, top=1 - 46 / HEIGHT)
    shares, most = 100.0 * answer.chances, len(answer.chances) - 1
    corners = [[(k - 0.35, 0), (k - 0.35, share), (k + 0.35, share), (k + 0.35, 0)] for k, share in enumerate(shares)]
    edges = ["black" if k == answer.click else "none" for k in range(most + 1)]
    axes.add_collection(PolyCollection(corners, facecolors=BODY.colour, edgecolors=edges, linewidths=2.0, zorder=2))
    handles: list[Any] = [Patch(color=BODY.colour, label="chance of passing")]
    if answer.click is not None:
        if answer.low < answer.high:
            grey: dict[str, Any] = {"facecolor": BAND_GREY, "edgecolor": EDGE, "linewidth": 0.8}
            axes.axvspan(answer.low - 0.5, answer.high + 0.5, zorder=1, **grey)
            handles.append(Patch(label="at least half as likely", **grey))
        word = "done" if answer.done else "next"
        axes.annotate(word, (answer.click, shares[answer.click]), (0, 3), textcoords="offset points", ha="center",
                      fontsize=FONT_SIZE, fontweight="bold")  # fmt: skip
    if tries:
        mark: dict[str, Any] = {"marker": "v", "linestyle": "", "color": WHEEL.colour, "markersize": 9}
        axes.plot([each.clicks for each in tries], [0.95 * TOP] * len(tries), **mark)
        handles.append(Line2D([], [], label="measured", **mark))
    axes.set(xlim=(-0.7, most + 0.7), ylim=(0.0, TOP), yticks=range(0, 101, 25))
    axes.set_xlabel("rebound [clicks out from closed]", fontsize=FONT_SIZE)
    axes.set_ylabel("chance [%]", fontsize=FONT_SIZE)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True, nbins=13))
    axes.tick_params(labelsize=FONT_SIZE)
    axes.spines[["top", "right"]].set_visible(False)
    legend_above(axes, handles)
    canvas.draw()
    return encode_png(np.asarray(canvas.buffer_rgba()))
