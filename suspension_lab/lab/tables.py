"""Tables for lessons."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.hand_over import hand_over
from suspension_lab.lab.named import Told, named
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
    return table(heads, rows, caption="The demo vehicles side by side")


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
    heads = ("Preset", "Clicks out", "Compression is good", "Chosen for", "What it gives up")
    made = table(heads, rows, wraps=True, caption=f"Street and track, {station.name}")
    below = [paragraphs([*sentences, *RIDING_TEST])]
    if opens is not None:
        below.insert(0, _try_on(opens, vehicle, station, {each.name: each.clicks for each in (street, track)}))
    return widgets.VBox([made, *below])


def _reach(preset: Preset) -> str:
    if not preset.matters:
        return "at every click, nearly: it hardly matters here"
    ways = (f"{name.replace('_', '-')} {low} to {high}" for name, (low, high) in preset.reach.items())
    return f"{', '.join(ways)}, each turned alone"


def _try_on(bench: Bench, vehicle: str, station: Station, settings: Mapping[str, Clicks]) -> widgets.Widget:
    """A button for each setting that moves a bench to it."""
    said = Told(layout=widgets.Layout(flex="1 1 300px"))

    def button(name: str, clicks: Clicks) -> widgets.Button:
        made = widgets.Button(description=f"Try {name} on the bench", layout=widgets.Layout(width="200px"))

        def move(_: widgets.Button) -> None:
            try:
                text = hand_over(clicks, {"vehicle": vehicle, "rider": station.rider_mass, **HOME[name]}, bench)
            except LabError as error:
                text = str(error)
            said.value = html.escape(text)

        made.on_click(move)
        return made

    buttons = [button(name, clicks) for name, clicks in settings.items()]
    return named(widgets.HBox([*buttons, said], layout=widgets.Layout(flex_flow="row wrap")))


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
    heads = ("Measure", "Holds up, clicks out", "Stays within 5 % of the best")
    caption = f"Clicks that hold up, {station.name}, {samples} conditions"
    rows = [(each.label, each.clicks, each.valley) for each in read_robust(made)]
    return widgets.VBox([table(heads, rows, wraps=True, caption=caption), paragraphs([*sentences, *RIDING_TEST])])


def paragraphs(sentences: Sequence[str]) -> widgets.HTML:
    """Sentences below each other."""
    style = "max-width:860px;margin:4px 0;line-height:1.45"
    return widgets.HTML("".join(f"<p style='{style}'>{html.escape(each)}</p>" for each in sentences))


def table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], *, wraps: bool = False, caption: str = ""
) -> widgets.HTML:
    """A table: its heads, and its rows of texts, the first of each its name.

    Args:
        heads: above the columns.
        rows: texts.
        wraps: long cells go over several lines.
        caption: above the table; where it is empty, a sentence before the table has to say what it holds.
    """
    above = f'<caption style="text-align:left;font-weight:600">{html.escape(caption)}</caption>' if caption else ""
    body = "".join(_row(row, "row", wraps) for row in rows)
    made = f"{above}<thead>{_row(heads, 'col', wraps)}</thead><tbody>{body}</tbody>"
    return widgets.HTML(f"<table style='line-height:1.45'>{made}</table>")


def _row(texts: Sequence[str], scope: str, wraps: bool) -> str:
    style = "text-align:left;vertical-align:bottom;padding:4px 14px 4px 0"
    keep = ";max-width:340px;vertical-align:top" if wraps else "" if scope == "col" else ";white-space:nowrap"
    inner = []
    for at, text in enumerate(texts):
        names = scope == "col" or at == 0
        light = ";font-weight:400" if names and scope == "row" else ""
        cell, says = ("th", f' scope="{scope}"') if names else ("td", "")
        inner.append(f'<{cell}{says} style="{style}{keep}{light}">{html.escape(text)}</{cell}>')
    return f"<tr>{''.join(inner)}</tr>"
