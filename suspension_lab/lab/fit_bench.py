"""A form that fits a vehicle to a release recorded at it."""

from __future__ import annotations

import html
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.lab.click_fields import WIDE, WIDTH, click_fields
from suspension_lab.lab.described_image import described_image
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.fit_picture import fit_picture
from suspension_lab.lab.measured_forms import caution_box
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.tables import paragraphs
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.fit_release import UNKNOWNS, ReleaseFit, fit_release
from suspension_lab.workshop.measured.recording import read_recording
from suspension_lab.workshop.reading_fit import read_fit

DEMO_RECORDS = {
    "Video, rear scooter (invented)": "rear_release_position.csv",
    "Phone, rear scooter (invented)": "rear_release_phone.csv",
}
OWN = "my own file"
USUAL = ("rebound_damping", "friction")


class FitBench(Displayed):
    """Record, vehicle and what is free on the left; the fit in words and in a picture on the right.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def __init__(self, vehicle: str = "courier_scooter_rear") -> None:
        station = load_station(vehicle)
        self._vehicle = vehicle
        self.fit: ReleaseFit | None = None
        self.words: Sequence[str] = ()
        layout = widgets.Layout(width=WIDTH)
        self.record = widgets.Dropdown(
            options=[*DEMO_RECORDS, OWN], description="Record", style=WIDE, layout=layout
        )  # fmt: skip
        self.path = widgets.Text(
            description="Path of my own file", placeholder="my_release.csv", style=WIDE, layout=layout
        )
        self.clicks = click_fields(station)
        self.rider = widgets.FloatText(
            value=station.rider_mass, description="Load on this wheel [kg]", style=WIDE, layout=layout
        )
        self.free = {
            name: widgets.Checkbox(value=name in USUAL, description=unknown.label, indent=False)
            for name, unknown in UNKNOWNS.items()
        }
        self.button = widgets.Button(description="Fit", layout=widgets.Layout(width="200px"))
        self.button.on_click(lambda _: self.work_out())
        self.picture = widgets.HTML()
        self.said = Told("Press <em>Fit</em>: what was found, and what is left over, comes here.")
        asked = widgets.HTML(
            f"<strong>{html.escape(station.name)}</strong><br>Clicks and load as they were when it was recorded."
        )
        free = widgets.HTML("What may differ from the vehicle's file:")
        left = widgets.VBox(
            [asked, self.record, self.path, *self.clicks.values(), self.rider, free, *self.free.values(), self.button],
            layout=widgets.Layout(flex="0 0 440px"),
        )
        shown = [self.picture, self.said, caution_box(STANDING_TEST)]
        right = widgets.VBox(shown, layout=widgets.Layout(flex="1 1 480px", min_width="0"))
        self.widget = named(widgets.HBox([left, right], layout=widgets.Layout(flex_flow="row wrap", width="100%")))

    def set(self, **values: Any) -> None:
        """Move controls by name: `record`, `path`, `rider`, an adjuster, or `free` as a list of names."""
        for name, value in values.items():
            if name == "free":
                for each, box in self.free.items():
                    box.value = each in value
            elif name in self.clicks:
                self.clicks[name].value = value
            else:
                getattr(self, name).value = value

    def work_out(self) -> None:
        """Read the record, fit, and show the answer; one sentence where it cannot be."""
        try:
            record = read_recording(self._file())
            free = [name for name, box in self.free.items() if box.value]
            given: dict[str, Any] = {record.kind: record.values}
            inside = record.time <= record.until
            given = {kind: values[inside] for kind, values in given.items()}
            self.fit = fit_release(record.time[inside], station=self._station(), free=free, **given)
            told = [*read_fit(self.fit), *record.notes]
            self.words = [*told, *STANDING_TEST]
            self.picture.value = described_image(fit_picture(self.fit), " ".join(read_fit(self.fit)))
        except LabError as error:
            self.fit, self.words, told = None, [str(error)], [str(error)]
            self.picture.value = ""
        self.said.value = paragraphs(told).value

    def _file(self) -> Path:
        if self.record.value != OWN:
            return shipped_folder("data/recordings") / DEMO_RECORDS[self.record.value]
        if not self.path.value.strip():
            raise LabError("No file was named; write the path of your own record, or choose another record.")
        return Path(self.path.value.strip()).expanduser()

    def _station(self) -> Station:
        clicks = {name: control.value for name, control in self.clicks.items()}
        return load_station(self._vehicle).with_rider(self.rider.value).with_clicks(**clicks)


def fit_bench(vehicle: str = "courier_scooter_rear") -> FitBench:
    """Fit a vehicle to a release recorded at it.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return FitBench(vehicle)
