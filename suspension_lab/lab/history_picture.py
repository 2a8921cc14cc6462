"""The history of one vehicle: its clicks and what was measured, run after run."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from suspension_lab.lab.look import BODY, COMPRESSION_SIDE, REBOUND_SIDE, WHEEL
from suspension_lab.vehicle.clicks import ADJUSTERS

if TYPE_CHECKING:
    import pandas as pd

LOOKS = {"rebound": REBOUND_SIDE, "low_speed": COMPRESSION_SIDE, "high_speed": WHEEL}
MARKS = {"rebound": "o", "low_speed": "s", "high_speed": "^"}
MOST_MEASURED = 3
"""So many measured values are drawn; the table has them all."""


def history_picture(history: pd.DataFrame, *, dots_per_inch: float = 150.0) -> bytes:
    """The picture of a history as PNG.

    Args:
        history: from `SetupLog.history`, with a run or more.
        dots_per_inch: of the picture.
    """
    measured = [name for name in history.columns if "[" in name or name == "swings"][:MOST_MEASURED]
    figure = Figure(
        figsize=(8.6, 2.3 + 1.4 * len(measured)), dpi=dots_per_inch, facecolor="white", layout="constrained"
    )
    FigureCanvasAgg(figure)
    panels = np.atleast_1d(figure.subplots(1 + len(measured), 1, sharex=True))
    runs = np.arange(1, len(history) + 1)
    for name in (name for name in ADJUSTERS if name in history.columns):
        look = {**LOOKS[name].line(), "linewidth": 1.6}
        values = history[name].to_numpy(dtype=float, na_value=np.nan)
        panels[0].plot(runs, values, marker=MARKS[name], label=name.replace("_", "-"), **look)
    panels[0].set_ylabel("clicks out")
    if panels[0].lines:
        panels[0].legend(frameon=False, ncols=3, loc="lower left", bbox_to_anchor=(0.0, 1.0), borderaxespad=0.1)
    for axes, name in zip(panels[1:], measured, strict=True):
        values = history[name].to_numpy(dtype=float, na_value=np.nan)
        axes.plot(runs, values, marker="o", color=BODY.colour, linewidth=1.6)
        axes.set_ylabel(name.replace(" [", "\n["))
    for axes in panels:
        axes.grid(color="#DDDDDD", linewidth=0.6)
        axes.spines[["top", "right"]].set_visible(False)
        axes.yaxis.set_major_locator(MaxNLocator(5, integer=axes is panels[0] or axes.get_ylabel() == "swings"))
    every = max(1, round(len(runs) / 8))
    days = [f"{run}\n{date}" for run, date in zip(runs, history["date"], strict=True)]
    panels[-1].set_xticks(runs[::every], days[::every])
    panels[-1].set_xlabel("run, and its day")
    out = BytesIO()
    figure.savefig(out, format="png")
    return out.getvalue()
