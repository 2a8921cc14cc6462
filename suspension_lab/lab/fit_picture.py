"""A recorded release beside the fitted model, and what is left over."""

from __future__ import annotations

from io import BytesIO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from suspension_lab.lab.look import BODY, EDGE, KEPT_GREY
from suspension_lab.workshop.fit_release import ReleaseFit
from suspension_lab.workshop.reading_fit import SHOWN

NAMES = {"position": "body [mm]", "velocity": "body's speed [m/s]", "acceleration": "body's acceleration [m/s²]"}


def fit_picture(fit: ReleaseFit, *, dots_per_inch: float = 150.0) -> bytes:
    """The picture of a fit as PNG: samples and model above, the residual and the record's own noise below."""
    figure = Figure(figsize=(8.6, 4.6), dpi=dots_per_inch, facecolor="white", layout="constrained")
    FigureCanvasAgg(figure)
    above, below = figure.subplots(2, 1, sharex=True, height_ratios=(2.2, 1.0))
    scale, unit = SHOWN[fit.kind]
    above.plot(
        fit.time, scale * fit.measured, linestyle="", marker="o", markersize=3.0, color=KEPT_GREY, label="measured"
    )
    above.plot(fit.time, scale * fit.model, label="fitted model", **BODY.line())
    above.set_ylabel(NAMES[fit.kind])
    above.legend(frameon=False, loc="best")
    below.plot(
        fit.time, scale * fit.residual, linestyle="", marker="o", markersize=3.0, color=KEPT_GREY,
        label="measured less model",
    )  # fmt: skip
    below.axhspan(
        -2.0 * scale * fit.noise, 2.0 * scale * fit.noise, facecolor="#E4E4E4", edgecolor=EDGE, linewidth=0.8,
        zorder=0, label="twice its noise",
    )  # fmt: skip
    below.axhline(0.0, color="#000000", linewidth=0.8)
    below.set_ylabel(f"left over [{unit}]")
    below.set_xlabel("time from the let-go [s]")
    below.legend(frameon=False, loc="upper right", ncols=2, fontsize="small")
    for axes in (above, below):
        axes.grid(color="#DDDDDD", linewidth=0.6)
        axes.spines[["top", "right"]].set_visible(False)
    out = BytesIO()
    figure.savefig(out, format="png")
    return out.getvalue()
