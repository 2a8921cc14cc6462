"""The linear view beside the real response, as one picture with its sentences."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import ipywidgets as widgets
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from suspension_lab.lab.described_image import described_image
from suspension_lab.lab.look import LINEAR, SIMULATED, SWINGS_LARGE, SWINGS_SMALL
from suspension_lab.lab.tables import paragraphs
from suspension_lab.simulation.equivalent import equivalent_response
from suspension_lab.simulation.frequency import FrequencyResponse, frequency_response
from suspension_lab.simulation.steady import steady_response
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.reading_linear import where_linear_ends

SMALL, LARGE = 0.001, 0.004
"""Amplitudes of the sine road that are looked at [m]."""
FREQUENCIES = np.geomspace(0.5, 25.0, 120)
TRIED = np.geomspace(0.8, 20.0, 9)
"""Where the real response is simulated [Hz]."""


def linear_view(vehicle: str = "courier_scooter_rear") -> widgets.Widget:
    """Body acceleration and tyre load over the frequency of a sine road: linear, by equivalent damping, and simulated.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, a fault in its file, or a setting without a linear view.
    """
    station = load_station(vehicle)
    words = where_linear_ends(station)
    alt = f"Linear, equivalent and simulated response of {station.name}. {' '.join(words)}"
    picture = widgets.HTML(described_image(linear_picture(station), alt))
    return widgets.VBox([picture, paragraphs(words)])


def linear_picture(station: Station) -> bytes:
    """The picture of a station as PNG."""
    figure = Figure(figsize=(8.6, 3.9), dpi=200, facecolor="white")
    FigureCanvasAgg(figure)
    shake, load = figure.subplots(1, 2)
    _draw(shake, load, frequency_response(station, FREQUENCIES), station, LINEAR.line(), LINEAR.label)
    for amplitude, look in ((SMALL, SWINGS_SMALL), (LARGE, SWINGS_LARGE)):
        size = f"±{1e3 * amplitude:.0f} mm"
        _draw(
            shake,
            load,
            equivalent_response(station, FREQUENCIES, amplitude),
            station,
            look.line(),
            f"{look.label}, {size}",
        )
        dots: dict[str, Any] = {
            "color": look.colour,
            "linestyle": "",
            "marker": SIMULATED[amplitude == LARGE],
            "markersize": 6,
        }
        _draw(shake, load, steady_response(station, TRIED, amplitude), station, dots, f"simulated, {size}")
    for axes, upright in (
        (shake, "body acceleration [m/s² per mm of road]"),
        (load, "tyre load [% of rest per mm of road]"),
    ):
        axes.set_xscale("log")
        axes.set_xticks([0.5, 1, 2, 5, 10, 20], ["0.5", "1", "2", "5", "10", "20"])
        axes.minorticks_off()
        axes.set_xlabel("frequency of the sine road [Hz]")
        axes.set_ylabel(upright)
        axes.set_ylim(bottom=0.0)
        axes.grid(color="#DDDDDD", linewidth=0.6)
        axes.spines[["top", "right"]].set_visible(False)
    handles, labels = shake.get_legend_handles_labels()
    figure.legend(handles, labels, loc="upper center", ncols=3, frameon=False, fontsize=9)
    figure.subplots_adjust(left=0.08, right=0.98, bottom=0.14, top=0.82, wspace=0.25)
    out = BytesIO()
    figure.savefig(out, format="png")
    return out.getvalue()


def _draw(
    shake: Any, load: Any, answer: FrequencyResponse, station: Station, style: dict[str, Any], label: str
) -> None:
    shake.plot(answer.frequency, 1e-3 * np.abs(answer.body_acceleration), label=label, **style)
    load.plot(answer.frequency, 0.1 * np.abs(answer.tyre_load) / station.static_tyre_load, **style)
