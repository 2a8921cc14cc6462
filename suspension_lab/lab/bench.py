"""A bench: controls at the left, what a run shows at the right, and a kept run to compare with."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.lab.controls import ChoiceControl, NumberControl
from suspension_lab.lab.pictures import Picture
from suspension_lab.lab.screen import Screen
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.reading import compare_runs, read_run

ADJUSTER_LABELS = {
    "rebound": "Rebound",
    "low_speed": "Compression, low speed",
    "high_speed": "Compression, high speed",
}
NARROWEST, WIDEST = 560, 1240


@dataclass(frozen=True, kw_only=True)
class Setting:
    """A number that a bench's test needs beside the vehicle's own.

    Attributes:
        label, unit: in the workshop's words.
        low, high, value: whole numbers.
    """

    label: str
    unit: str
    low: int
    high: int
    value: int


class Bench:
    """One test on one station, moved by hand.

    Args:
        vehicle: demo vehicle's name, or a path to a vehicle file.
        settings: name -> number of the test.
        excitation: the test made from the numbers and choices by their names.
        cautions: shown below.
        choices: name -> (label, options as shown text -> value).
        with_road: the station is driven over a road, which is drawn.
        adjusters: which of the damper's adjusters are offered, in this order.
    """

    def __init__(
        self,
        *,
        vehicle: str,
        settings: Mapping[str, Setting],
        excitation: Callable[[Mapping[str, Any]], Excitation],
        cautions: Sequence[str],
        choices: Mapping[str, tuple[str, dict[str, str]]] | None = None,
        with_road: bool = False,
        adjusters: Sequence[str] = ADJUSTERS,
    ) -> None:
        self._excitation, self._settings = excitation, dict(settings)
        self._busy, self._on_road = True, with_road
        self._vehicle = load_station(vehicle)
        self.trace: Trace | None = None
        self.kept: Trace | None = None
        self._kept_words = ""
        self._picture = Picture(with_road=with_road)
        self._make_controls(vehicle, choices or {}, adjusters)
        self.screen = Screen(
            cautions=list(cautions), controls={name: control.model for name, control in self.controls.items()}
        )
        self.screen.observe(self._resized, "room")
        self._configure_for_vehicle()
        self._busy = False
        self.widget = self._laid_out()
        self.refresh()

    def _make_controls(
        self, vehicle: str, choices: Mapping[str, tuple[str, dict[str, str]]], adjusters: Sequence[str]
    ) -> None:
        stations = {name: load_station(name) for name in demo_vehicles()}
        # Only what has a wheel can be driven over a road.
        demos = {s.name: name for name, s in stations.items() if s.wheel_radius is not None or not self._on_road}
        if vehicle not in demos.values():
            demos = {self._vehicle.name: vehicle, **demos}
        self._start_vehicle = vehicle
        self.controls: dict[str, NumberControl | ChoiceControl] = {
            "vehicle": ChoiceControl("Vehicle", demos, value=vehicle, on_change=self._vehicle_changed)
        }
        for name, (label, options) in choices.items():
            first = next(iter(options.values()))
            self.controls[name] = ChoiceControl(label, options, value=first, on_change=self.refresh)
        for name in adjusters:
            self.controls[name] = NumberControl(
                ADJUSTER_LABELS[name], "clicks out", low=0, high=1, value=0, on_change=self.refresh
            )
        self.controls["rider"] = NumberControl(
            "Rider and load on this wheel", "kg", low=0, high=1, value=0, on_change=self.refresh
        )
        for name, setting in self._settings.items():
            self.controls[name] = NumberControl(
                setting.label, setting.unit, low=setting.low, high=setting.high, value=setting.value,
                on_change=self.refresh,
            )  # fmt: skip

    def _laid_out(self) -> widgets.Widget:
        def button(text: str, action: Callable[[], None]) -> widgets.Button:
            made = widgets.Button(description=text, layout=widgets.Layout(width="294px", margin="2px 0"))
            made.on_click(lambda _: action())
            return made

        buttons = [
            button("Keep this run as the grey line", self.keep),
            button("Clear the grey line", self.clear),
            button("Reset all settings", self.reset),
        ]
        counted = widgets.HTML("Clicks are counted out from closed: 0 is closed and hardest.")
        left = widgets.VBox(
            [counted, *(control.widget for control in self.controls.values()), *buttons],
            layout=widgets.Layout(width="330px", flex="0 0 330px"),
        )
        left.add_class("bench-controls")
        self.screen.layout = widgets.Layout(flex="1 1 560px", min_width="0")
        return widgets.HBox([left, self.screen], layout=widgets.Layout(width="100%", flex_flow="row wrap"))

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.widget)

    @property
    def settings(self) -> dict[str, Any]:
        """Name -> number or choice of every control."""
        return {name: control.value for name, control in self.controls.items()}

    @property
    def station(self) -> Station:
        """The station at the present clicks and load."""
        offered = {name: self.controls[name].value for name in self._vehicle.clicks if name in self.controls}
        return self._vehicle.with_rider(float(self.controls["rider"].value)).with_clicks(**offered)  # type: ignore[arg-type]

    def set(self, **settings: Any) -> None:
        """Move controls from code.

        Raises:
            LabError: a control this bench does not have, or a value out of its range; nothing is moved then.
        """
        before = self.settings
        for name in settings:
            if name not in self.controls:
                raise LabError(f"This bench has no control '{name}'; {nearest_name(name, self.controls)}")
        with self._quietly():
            try:
                if "vehicle" in settings:
                    self.controls["vehicle"].set(settings["vehicle"])
                    self._vehicle_changed()
                for name, value in settings.items():
                    if name in self._absent:
                        raise LabError(f"{self.controls[name].label}: {self._absent[name]}; leave {name} out.")
                    self.controls[name].set(value)
            except LabError:
                self.controls["vehicle"].set(before["vehicle"])
                self._vehicle_changed()
                for name, value in before.items():
                    self.controls[name].set(value)
                raise
        self.refresh()

    def keep(self) -> None:
        """Keep the present run as the grey line."""
        self.kept = self.trace
        self._kept_words = self._in_words()
        self.refresh()

    def clear(self) -> None:
        """Let the grey line go."""
        self.kept = None
        self.refresh()

    def reset(self) -> None:
        """All controls back to where they began; the grey line stays."""
        with self._quietly():
            self.controls["vehicle"].set(self._start_vehicle)
            self._vehicle = load_station(self._start_vehicle)
            self._configure_for_vehicle()
            for name, control in self.controls.items():
                if name in self._settings:
                    setting = self._settings[name]
                    assert isinstance(control, NumberControl)
                    control.configure(low=setting.low, high=setting.high, value=setting.value)
                elif isinstance(control, ChoiceControl) and name != "vehicle":
                    control.set(control.dropdown.options[0][1])
        self.refresh()

    def refresh(self) -> None:
        """Run the present settings and show the answer."""
        if self._busy:
            return
        try:
            trace = simulate(self.station, self._excitation(self.settings))
        except LabError as error:
            self._show_refusal(str(error))
            return
        self.trace = trace
        self._show(trace)

    def _show(self, trace: Trace) -> None:
        words = read_run(trace)
        if self.kept is not None:
            words += compare_runs(trace, self.kept)
        png = self._picture.png(trace, self.kept)
        with self.screen.hold_sync():
            self.screen.png = png
            self.screen.words, self.screen.refused = words, False
            self.screen.alt = f"{self._in_words()}: " + " ".join(words)
            self.screen.table = self._table(trace)
            kept = f"; kept run: {self._kept_words}" if self.kept is not None else ""
            self.screen.table_caption = f"This run: {self._in_words()}{kept}"
            self._told()

    def _show_refusal(self, sentence: str) -> None:
        with self.screen.hold_sync():
            self.screen.words = [sentence, "The picture and the table still show the last settings that could be run."]
            self.screen.refused = True
            self._told()

    def _told(self) -> None:
        self.screen.shown_for = {name: control.shown for name, control in self.controls.items()}
        self.screen.serial += 1

    def _table(self, trace: Trace) -> list[list[str]]:
        if self.kept is None:
            return [["Measure", "This run"], *([measure.label, measure.text] for measure in summary(trace))]
        before = {measure.key: measure.text for measure in summary(self.kept)}
        rows = [[measure.label, measure.text, before.get(measure.key, "")] for measure in summary(trace)]
        return [["Measure", "This run", "Kept run"], *rows]

    def _in_words(self) -> str:
        return f"{self.station.name}, {self.station.clicks}, load {self.controls['rider'].value} kg"

    def _vehicle_changed(self) -> None:
        with self._quietly():
            self._vehicle = load_station(str(self.controls["vehicle"].value))
            self._configure_for_vehicle()
        self.refresh()

    def _configure_for_vehicle(self) -> None:
        station = self._vehicle
        self._absent: dict[str, str] = {}
        for name in ADJUSTERS:
            control = self.controls.get(name)
            if not isinstance(control, NumberControl):
                continue
            if name in station.clicks:
                control.configure(low=0, high=station.damper.adjusters[name], value=station.clicks[name])
            else:
                self._absent[name] = "not on this damper"
                control.configure(low=0, high=1, value=0, absent=self._absent[name])
        rider = self.controls["rider"]
        assert isinstance(rider, NumberControl)
        usual = round(station.rider_mass)
        rider.configure(low=0, high=max(2 * usual, 20), value=usual)

    def _resized(self, change: dict[str, Any]) -> None:
        width, ratio = change["new"]
        width = max(NARROWEST, min(WIDEST, int(width)))
        self.screen.picture_width = width
        self._picture.resize(width, float(ratio))
        self.refresh()

    @contextmanager
    def _quietly(self) -> Iterator[None]:
        before, self._busy = self._busy, True
        try:
            yield
        finally:
            self._busy = before
