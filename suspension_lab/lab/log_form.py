"""A form that writes runs into the setup log, draws a vehicle's history, and makes its card."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.click_fields import WIDE, WIDTH, click_fields
from suspension_lab.lab.described_image import described_image
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.history_picture import history_picture
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.setup_card import write
from suspension_lab.lab.tables import table
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.click_belief import LONGEST
from suspension_lab.workshop.setup_card import setup_card
from suspension_lab.workshop.setup_log import SetupLog

if TYPE_CHECKING:
    import pandas as pd

STATE = {
    "load_kg": "load [kg]", "tyre_pressure_bar": "tyre pressure [bar]", "oil_temperature_C": "oil [°C]",
    "preload_mm": "preload [mm]", "air_temperature_C": "air [°C]",
}  # fmt: skip
NEVER_SETTLED = "never settled"
SHOWN_RUNS = 12
"""The last runs that the table shows; the log has them all."""


class LogForm(Displayed):
    """What to write on the left, the vehicle's history on the right.

    Args:
        path: of the log; it is made with the first run.
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def __init__(self, path: str | Path, vehicle: str = "courier_scooter_rear") -> None:
        self._path, self._station = Path(path), load_station(vehicle)
        self.words: Sequence[str] = ()
        layout = widgets.Layout(width=WIDTH)
        station = self._station
        self.name = widgets.Text(value=station.name, description="Vehicle", style=WIDE, layout=layout)
        self.clicks = click_fields(station)
        self.load = widgets.FloatText(
            value=station.rider_mass, description="Load on this wheel [kg]", style=WIDE, layout=layout
        )
        self.pressure, self.oil, self.seconds, self.swings, self.test, self.remark = (
            widgets.Text(description=text, placeholder=hint, style=WIDE, layout=layout)
            for text, hint in (
                ("Tyre pressure, cold [bar]", "may stay empty"), ("Oil or damper [°C]", "may stay empty"),
                ("Return time [s]", "0.52"), ("Visible swings", "1"), ("Test or road", "release from 25 mm"),
                ("Remark", "what you felt"),
            )
        )  # fmt: skip
        beside = widgets.Layout(width=WIDTH, margin="2px 2px 2px 198px")
        self.never = widgets.Checkbox(description="It never settled", indent=False, layout=beside)
        self.never.observe(lambda change: setattr(self.seconds, "disabled", change["new"]), "value")

        def button(text: str, action: Callable[[], None]) -> widgets.Button:
            made = widgets.Button(description=text, layout=widgets.Layout(width="206px"))
            made.on_click(lambda _: self._told(action))
            return made

        buttons = [button("Write it down", self.write), button("Take the last back", self.undo),
                   button("Make the card", self.make_card)]  # fmt: skip
        self.picture = widgets.HTML()
        self.said, self.table = Told(), widgets.HTML()
        left = widgets.VBox(
            [self.name, *self.clicks.values(), self.load, self.pressure, self.oil, self.seconds, self.never,
             self.swings, self.test, self.remark, *buttons],
            layout=widgets.Layout(flex="0 0 440px"),
        )  # fmt: skip
        right = widgets.VBox(
            [self.said, self.picture, self.table], layout=widgets.Layout(flex="1 1 480px", min_width="0")
        )
        self.widget = named(widgets.HBox([left, right], layout=widgets.Layout(flex_flow="row wrap", width="100%")))
        if self._path.exists():
            self._told(self._show)

    def write(self) -> None:
        """Write a run into today's session of the vehicle; both are made where they are not there.

        Raises:
            LabError: a value that cannot be, or a log that cannot be written.
        """
        values = {
            "tyre_pressure_bar": _number("Tyre pressure", self.pressure.value),
            "oil_temperature_C": _number("Oil temperature", self.oil.value), "load_kg": float(self.load.value),
        }  # fmt: skip
        measured = {}
        for name, field, unit, most in (("return time", self.seconds, "s", LONGEST), ("swings", self.swings, "", 50)):
            value = None if field.disabled else _number(name, field.value)
            if value is None:
                continue
            if not 0.0 <= value <= most or (not unit and value != int(value)) or (unit and value == 0.0):
                kind = f"seconds above 0, up to {most:g}," if unit else f"a whole number from 0 to {most:g}"
                raise LabError(f"The {name} is {value:g}, where {kind} was expected.")
            measured[name] = (value, unit)
        clicks = {name: control.value for name, control in self.clicks.items()}
        self._station.with_clicks(**clicks)
        # A return without an end has no time; the log keeps it as a word of the remark.
        remark = "; ".join(each for each in (NEVER_SETTLED * self.never.value, self.remark.value.strip()) if each)
        SetupLog(self._path).write_run_today(
            self.name.value, clicks=clicks, measured=measured, test=self.test.value, remark=remark, **values
        )
        self._show()
        self.never.value = False
        self._say([f"Written down in {self._path}."])

    def undo(self) -> None:
        """Take the last change of the log back.

        Raises:
            LabError: there is none.
        """
        said = SetupLog(self._path).undo()
        self._show()
        self._say([said])

    def make_card(self) -> None:
        """A card with the clicks as they stand, beside the log.

        Raises:
            LabError: clicks that fail the release test, or a place that cannot be written.
        """
        clicks = {name: control.value for name, control in self.clicks.items()}
        station = self._station.with_rider(float(self.load.value)).with_clicks(**clicks)
        place = self._path.with_name("setup_card.pdf")
        write(setup_card(station, tyre_pressure_bar=_number("Tyre pressure", self.pressure.value)), place)
        self._say(
            [f"The card is {place}, worked out from the file of {station.name}: print it, and sign it once it is done."]
        )

    def _told(self, action: Callable[[], None]) -> None:
        try:
            action()
        except LabError as error:
            self._say([str(error)])

    def _say(self, sentences: Sequence[str]) -> None:
        self.words = sentences
        self.said.value = f"<p>{html.escape(' '.join(sentences))}</p>"

    def _show(self) -> None:
        log = SetupLog(self._path)
        known = {name.casefold() for name in log.vehicles()}
        history = log.history(self.name.value) if " ".join(self.name.value.split()).casefold() in known else None
        if history is None or history.empty:
            self.picture.value = self.table.value = ""
            return
        alt = f"Clicks and measured values of {self.name.value} over {len(history)} runs, as in the table."
        self.picture.value = described_image(history_picture(history), alt)
        self.table.value = _table(history.tail(SHOWN_RUNS), f"The last runs of {self.name.value}")


def _table(history: pd.DataFrame, caption: str) -> str:
    """The runs as a table: day, clicks, what was measured, and last the words."""
    measured = [name for name in history.columns if "[" in name or name == "swings"]
    words = [name for name in ("road", "test", "remark") if name in history.columns and history[name].str.len().any()]
    state = [name for name in STATE if name in history.columns]
    columns = ["run", "date", *(name for name in ADJUSTERS if name in history.columns), *measured, *state, *words]
    heads = [STATE.get(name, name.replace("_", "-")) for name in columns]
    rows = [[_shown(value) for value in row] for row in history[columns].itertuples(index=False)]
    return str(table(heads, rows, wraps=True, caption=caption).value)


def _shown(value: object) -> str:
    if value is None or value != value or str(value) == "<NA>":
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)


def _number(name: str, text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise LabError(f"{name} is {text.strip()!r}, where a number or nothing was expected.") from None


def log_form(path: str | Path, vehicle: str = "courier_scooter_rear") -> LogForm:
    """Write runs into a setup log, see a vehicle's history, and make its card.

    Args:
        path: of the log; it is made with the first run.
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return LogForm(path, vehicle)
