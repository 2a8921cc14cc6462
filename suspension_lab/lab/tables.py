"""Tables for lessons."""

from __future__ import annotations

import html
from collections.abc import Sequence

import ipywidgets as widgets

from suspension_lab.simulation.linear import modes
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station


def vehicle_table() -> widgets.HTML:
    """The demo vehicles side by side: masses, sag, travel, natural frequency, clicks."""
    heads = ("Vehicle (all invented)", "Sprung mass, with load", "Unsprung mass", "Free sag", "Rider sag", "Travel",
             "Natural frequency", "Clicks out now")  # fmt: skip
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
    table = "".join(_row(row, 'th scope="col"' if i == 0 else "td") for i, row in enumerate([heads, *rows]))
    return widgets.HTML(f"<table>{table}</table>")


def _row(texts: Sequence[str], cell: str) -> str:
    style = "text-align:left;vertical-align:bottom;padding:4px 14px 4px 0"
    keep = "" if cell.startswith("th") else ";white-space:nowrap"
    inner = "".join(f'<{cell} style="{style}{keep}">{html.escape(text)}</{cell.split()[0]}>' for text in texts)
    return f"<tr>{inner}</tr>"
