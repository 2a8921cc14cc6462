"""Tables for lessons."""

from __future__ import annotations

import html

import ipywidgets as widgets

from suspension_lab.simulation.linear import modes
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station


def vehicle_table() -> widgets.HTML:
    """The demo vehicles side by side: masses, sag, travel, natural frequency, clicks."""
    heads = ("Vehicle (all invented)", "Sprung mass with rider or load", "Unsprung mass", "Free sag", "Rider sag",
             "Travel", "Body's natural frequency", "Clicks now, out from closed")  # fmt: skip
    rows = []
    for name in demo_vehicles():
        station = load_station(name)
        assert station.travel is not None
        rows.append((
            station.name,
            f"{station.sprung_mass:.0f} kg",
            f"{station.unsprung_mass:.0f} kg",
            f"{1e3 * station.sag.free:.0f} mm",
            f"{1e3 * station.sag.rider:.0f} mm",
            f"{1e3 * station.travel:.0f} mm",
            f"{modes(station).body.frequency:.1f} Hz",
            str(station.clicks),
        ))  # fmt: skip
    top = "".join(f'<th scope="col">{html.escape(text)}</th>' for text in heads)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(text)}</td>" for text in row) + "</tr>" for row in rows
    )
    table = widgets.HTML(f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>")
    table.add_class("lab-vehicles")
    return table
