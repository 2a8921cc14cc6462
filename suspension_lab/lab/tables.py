"""Tables for lessons."""

from __future__ import annotations

import html
from collections.abc import Sequence

import ipywidgets as widgets

from suspension_lab.simulation.linear import modes
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.presets import presets
from suspension_lab.workshop.reading_robust import read_robust, swings_on, usual_robust_map


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
    return _table(heads, rows)


def preset_table(vehicle: str = "courier_scooter_rear") -> widgets.Widget:
    """Street and track compression clicks of a vehicle, and what each gives up.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, a fault in its file, or no compression adjuster.
    """
    station = load_station(vehicle)
    rows = [(made.name, str(made.clicks), made.purpose, made.gives_up) for made in presets(station)]
    heads = (station.name, "Compression, clicks out", "Chosen for", "What it gives up")
    return widgets.VBox([_table(heads, rows, wraps=True), paragraphs(RIDING_TEST)])


def robust_table(vehicle: str = "courier_scooter_rear", *, samples: int = 16) -> widgets.Widget:
    """Which clicks hold up when load, tyre pressure, oil and friction are not the same each day.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a damper described by its parts.
        samples: conditions tried.

    Raises:
        LabError: no such vehicle, a fault in its file, or a damper without adjusters or without oil of its own.
    """
    station = load_station(vehicle)
    made, spread = usual_robust_map(station, samples)
    heads = (f"{station.name}, {samples} conditions", "Best in the worst condition", "Stays within 5 % of that")
    rows = [(each.label, each.best, each.valley) for each in read_robust(made)]
    return widgets.VBox(
        [_table(heads, rows, wraps=True), paragraphs([spread, *swings_on(station, made), *RIDING_TEST])]
    )


def paragraphs(sentences: Sequence[str]) -> widgets.HTML:
    """Sentences below each other."""
    style = "max-width:860px;margin:4px 0;line-height:1.45"
    return widgets.HTML("".join(f"<p style='{style}'>{html.escape(each)}</p>" for each in sentences))


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, wraps: bool = False) -> widgets.HTML:
    table = "".join(_row(row, 'th scope="col"' if i == 0 else "td", wraps) for i, row in enumerate([heads, *rows]))
    return widgets.HTML(f"<table style='line-height:1.45'>{table}</table>")


def _row(texts: Sequence[str], cell: str, wraps: bool) -> str:
    style = "text-align:left;vertical-align:bottom;padding:4px 14px 4px 0"
    keep = ";max-width:340px;vertical-align:top" if wraps else "" if cell.startswith("th") else ";white-space:nowrap"
    inner = "".join(f'<{cell} style="{style}{keep}">{html.escape(text)}</{cell.split()[0]}>' for text in texts)
    return f"<tr>{inner}</tr>"
