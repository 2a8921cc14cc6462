"""Number fields for the clicks of a vehicle, as the forms have them."""

from __future__ import annotations

import ipywidgets as widgets

from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.station import Station

WIDE = {"description_width": "190px"}
WIDTH = "420px"


def click_fields(station: Station) -> dict[str, widgets.IntText]:
    """A field for each adjuster that a station has, at its clicks; what is out of range is refused where it is used."""
    return {
        name: widgets.IntText(
            value=station.clicks[name], style=WIDE,
            description=f"{name.replace('_', '-')}, clicks out", layout=widgets.Layout(width=WIDTH),
        )
        for name in ADJUSTERS
        if name in station.clicks
    }  # fmt: skip
