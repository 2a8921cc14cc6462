"""Tables for lessons."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.hand_over import hand_over
from suspension_lab.simulation.linear import modes
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.presets import Preset, presets
from suspension_lab.workshop.reading_robust import read_robust, usual_robust_map

if TYPE_CHECKING:
    from suspension_lab.lab.bench import Bench


HOME = {"street": {"road": "C", "speed": 40}, "track": {"road": "A", "speed": 60}}
"""Where each preset is tried on a bench."""


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
    return table(heads, rows)


def preset_table(vehicle: str = "courier_scooter_rear", *, opens: Bench | None = None) -> widgets.Widget:
    """Street and track compression clicks of a vehicle, and what each gives up.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.
        opens: a bench on which a button tries each, or None.

    Raises:
        LabError: no such vehicle, a fault in its file, no compression adjuster, or no rebound that passes.
    """
    station = load_station(vehicle)
    street, track, sentences = presets(station)
    rows = [
        (each.name, str(each.clicks), _reach(each), each.purpose, each.gives_up) for each in (street, track)
    ]  # fmt: skip
    heads = (station.name, "Clicks out", "Compression is good", "Chosen for", "What it gives up")
    below = [paragraphs([*sentences, *RIDING_TEST])]
    if opens is not None:
        below.insert(0, _try_on(opens, vehicle, station, {each.name: each.clicks for each in (street, track)}))
    return widgets.VBox([table(heads, rows, wraps=True), *below])


def _reach(preset: Preset) -> str:
    if not preset.matters:
        return "at every click, nearly: it hardly matters here"
    ways = (f"{name.replace('_', '-')} {low} to {high}" for name, (low, high) in preset.reach.items())
    return f"{', '.join(ways)}, each turned alone"


def _try_on(bench: Bench, vehicle: str, station: Station, settings: Mapping[str, Clicks]) -> widgets.Widget:
    """A button for each setting that moves a bench to it."""
    said = widgets.HTML(layout=widgets.Layout(flex="1 1 300px"))

    def button(name: str, clicks: Clicks) -> widgets.Button:
        made = widgets.Button(description=f"Try {name} on the bench", layout=widgets.Layout(width="200px"))

        def move(_: widgets.Button) -> None:
            try:
                text = hand_over(clicks, {"vehicle": vehicle, "rider": station.rider_mass, **HOME[name]}, bench)
            except LabError as error:
                text = str(error)
            said.value = f'<span role="status">{html.escape(text)}</span>'

        made.on_click(move)
        return made

    return widgets.HBox([*(button(name, clicks) for name, clicks in settings.items()), said])


def robust_table(vehicle: str = "courier_scooter_rear", *, samples: int = 16) -> widgets.Widget:
    """Which clicks hold up when load, tyre pressure, oil and friction are not the same each day.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a damper described by its parts.
        samples: conditions tried.

    Raises:
        LabError: no such vehicle, a fault in its file, or a damper without adjusters or without oil of its own.
    """
    station = load_station(vehicle)
    made, sentences = usual_robust_map(station, samples)
    heads = (f"{station.name}, {samples} conditions", "Holds up, clicks out", "Stays within 5 % of the best")
    rows = [(each.label, each.clicks, each.valley) for each in read_robust(made)]
    return widgets.VBox([table(heads, rows, wraps=True), paragraphs([*sentences, *RIDING_TEST])])


def paragraphs(sentences: Sequence[str]) -> widgets.HTML:
    """Sentences below each other."""
    style = "max-width:860px;margin:4px 0;line-height:1.45"
    return widgets.HTML("".join(f"<p style='{style}'>{html.escape(each)}</p>" for each in sentences))


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, wraps: bool = False) -> widgets.HTML:
    """A table: its heads, and its rows of texts; with `wraps` long cells go over several lines."""
    cells = "".join(_row(row, 'th scope="col"' if i == 0 else "td", wraps) for i, row in enumerate([heads, *rows]))
    return widgets.HTML(f"<table style='line-height:1.45'>{cells}</table>")


def _row(texts: Sequence[str], cell: str, wraps: bool) -> str:
    style = "text-align:left;vertical-align:bottom;padding:4px 14px 4px 0"
    keep = ";max-width:340px;vertical-align:top" if wraps else "" if cell.startswith("th") else ";white-space:nowrap"
    inner = "".join(f'<{cell} style="{style}{keep}">{html.escape(text)}</{cell.split()[0]}>' for text in texts)
    return f"<tr>{inner}</tr>"
