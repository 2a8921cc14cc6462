"""A bench: controls at the left, what a run shows at the right, and a kept run to compare with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.lab.controls import ChoiceControl, NumberControl, beside
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.later import Later
from suspension_lab.lab.named import named
from suspension_lab.lab.screen import Screen
from suspension_lab.lab.trial import Trial
from suspension_lab.measures.summary import RIDDEN
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station

ADJUSTER_LABELS = {
    "rebound": "Rebound",
    "low_speed": "Compression, low speed",
    "high_speed": "Compression, high speed",
}

SELDOM = [
    kind.label for kind in RIDDEN
    if kind.key in (
        "maximum_transient_vibration", "vibration_dose", "rebound_speed", "above_compression_knee", "damper_power",
    )
]  # fmt: skip
"""Measures of a ride that no lesson asks for: they are folded away under the table (our choice)."""


class Bench(Displayed):
    """One test on one station, moved by hand.

    Args:
        vehicle: demo vehicle's name, or a path to a vehicle file.
        trial: the test.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def __init__(self, vehicle: str, trial: Trial) -> None:
        self._trial = trial
        self._busy = True
        self._vehicle = load_station(vehicle)
        self.result: Any = None
        self.kept: Any = None
        self._kept_words = ""
        # Asked for several times a picture, and not quick to make.
        self._station: tuple[Station, dict[str, Any], Station] | None = None
        self._later = Later()
        self._make_controls(vehicle)
        self.screen = Screen(
            cautions=list(trial.cautions),
            controls={name: control.model for name, control in self.controls.items()},
            player=trial.player,
            seldom=SELDOM,
        )
        self.screen.observe(self._resized, "room")
        self.screen.observe(self._picked, "picked")
        self._configure_for_vehicle()
        self._busy = False
        self.widget = self._laid_out()
        self.refresh()

    def _make_controls(self, vehicle: str) -> None:
        stations = {name: load_station(name) for name in demo_vehicles()}
        demos = {station.name: name for name, station in stations.items() if self._trial.suits(station)}
        if vehicle not in demos.values():
            # A copied file may have kept the demo's name.
            name = self._vehicle.name if self._vehicle.name not in demos else f"{self._vehicle.name} ({vehicle})"
            demos = {name: vehicle, **demos}
        self._start_vehicle = vehicle
        self.controls: dict[str, NumberControl | ChoiceControl] = {
            "vehicle": ChoiceControl("Vehicle", demos, value=vehicle, on_change=self._vehicle_changed)
        }
        for name, choice in self._trial.choices.items():
            usual = choice.usual or next(iter(choice.options.values()))
            self.controls[name] = ChoiceControl(choice.label, choice.options, value=usual, on_change=self.refresh)
        for name in self._trial.adjusters:
            self.controls[name] = NumberControl(
                ADJUSTER_LABELS[name], "clicks out", low=0, high=1, value=0, on_change=self.refresh
            )
        self.controls["rider"] = NumberControl(
            "Rider and load on this wheel", "kg", low=0, high=1, value=0, on_change=self.refresh
        )
        for name, setting in self._trial.settings.items():
            self.controls[name] = NumberControl(
                setting.label, setting.unit, low=setting.low, high=setting.high, value=setting.value,
                on_change=self.refresh,
            )  # fmt: skip

    def _laid_out(self) -> widgets.Widget:
        def button(text: str, action: Callable[[], None]) -> widgets.Button:
            made = widgets.Button(description=text, layout=widgets.Layout(width="294px", margin="2px 18px 2px 0"))
            made.on_click(lambda _: action())
            return made

        buttons = [
            button("Keep this run in grey", self.keep),
            button("Clear the kept run", self.clear),
            button("Reset all settings", self.reset),
        ]
        counted = widgets.HTML("Clicks are counted out from closed: 0 is closed and hardest.")
        rows = [counted, *(control.widget for control in self.controls.values()), *buttons]
        right: widgets.DOMWidget = self.screen
        if self._trial.above is not None:
            self.screen.layout = widgets.Layout(width="100%", min_width="0")
            right = widgets.VBox([self._trial.above, self.screen])
        return named(beside(rows, right))

    @property
    def settings(self) -> dict[str, Any]:
        """Name -> number or choice of every control."""
        return {name: control.value for name, control in self.controls.items()}

    @property
    def station(self) -> Station:
        """The station at the present clicks and load."""
        now = self.settings
        if self._station is None or self._station[0] is not self._vehicle or self._station[1] != now:
            self._station = self._vehicle, now, self._set_station()
        return self._station[2]

    def _set_station(self) -> Station:
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
        """Keep the present run, in grey."""
        self.kept = self.result
        self._kept_words = self._in_words()
        self.refresh()

    def clear(self) -> None:
        """Let the kept run go."""
        self.kept = None
        self.refresh()

    def reset(self) -> None:
        """All controls back to where they began; the kept run stays."""
        with self._quietly():
            self.controls["vehicle"].set(self._start_vehicle)
            self._vehicle = load_station(self._start_vehicle)
            self._configure_for_vehicle()
            for name, control in self.controls.items():
                if name in self._trial.settings:
                    setting = self._trial.settings[name]
                    assert isinstance(control, NumberControl)
                    control.configure(low=setting.low, high=setting.high, value=setting.value)
                elif isinstance(control, ChoiceControl) and name != "vehicle":
                    control.set(self._trial.choices[name].usual or control.dropdown.options[0][1])
        self.refresh()

    def refresh(self) -> None:
        """Run the present settings and show the answer."""
        if self._busy:
            return
        self._later.forget()
        try:
            result = self._trial.run(self.station, self.settings)
        except LabError as error:
            self._show_refusal(str(error))
            return
        self._take(result)

    def wait(self) -> None:
        """Work out and show at once what would come later, behind the picture (see `Trial.later`)."""
        self._later.wait()

    def _take(self, result: Any) -> None:
        self.result = result
        work = self._trial.later(result)
        if work is not None:
            self._later.ask(work, self._take_more)
        self._show(result)

    def _take_more(self, found: Any) -> None:
        if isinstance(found, LabError):
            self._show_refusal(str(found))
        else:
            self._take(self._trial.completed(self.result, found))

    def _show(self, result: Any) -> None:
        words = self._trial.words(result)
        if self.kept is not None:
            words += self._trial.compared(result, self.kept)
        png, in_words = self._trial.picture.png(result, self.kept), self._in_words()
        self._trial.show(result, self.kept)
        with self.screen.hold_sync():
            self.screen.png = png
            self.screen.words, self.screen.refused = words, False
            self.screen.alt = f"{in_words}: " + " ".join(words)
            self.screen.table = self._table(result)
            self.screen.marks = self._trial.marks(result)
            self.screen.area = self._trial.area(result)
            kept = f"; kept run: {self._kept_words}" if self.kept is not None else ""
            self.screen.table_caption = f"This run: {in_words}{kept}"
            self._told()

    def _show_refusal(self, sentence: str) -> None:
        with self.screen.hold_sync():
            self.screen.words = [sentence, "The picture and the table still show the last settings that could be run."]
            self.screen.refused = True
            self._told()

    def _told(self) -> None:
        self.screen.more_coming = self._later.busy
        self.screen.shown_for = {name: control.shown for name, control in self.controls.items()}
        self.screen.serial += 1

    def _table(self, result: Any) -> list[list[str]]:
        columns = dict(self._trial.columns(result))
        if self.kept is not None:
            columns["Kept run"] = self._trial.measures(self.kept)
        first, *others = columns.values()
        if not first:
            return []
        texts = [{measure.key: measure.text for measure in column} for column in others]
        rows = [[measure.label, measure.text, *(column.get(measure.key, "") for column in texts)] for measure in first]
        return [["Measure", *columns], *rows]

    def _in_words(self) -> str:
        own = self._trial.title(self.result) if self.result is not None else ""
        load = f"load {self.controls['rider'].value} kg"
        return ", ".join([self.station.name, str(self.station.clicks), load, *([own] if own else [])])

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
        for name in self._trial.choices:
            choice = self.controls[name]
            assert isinstance(choice, ChoiceControl)
            choice.offer(self._trial.options(name, station))
        rider = self.controls["rider"]
        assert isinstance(rider, NumberControl)
        usual = round(station.rider_mass)
        rider.configure(low=0, high=max(2 * usual, 20), value=usual)

    def _picked(self, change: dict[str, Any]) -> None:
        if self.result is not None:
            x, y, _ = change["new"]
            self.set(**self._trial.pick(self.result, float(x), float(y)))

    def _resized(self, change: dict[str, Any]) -> None:
        width, ratio = change["new"]
        width = max(self._trial.picture.narrowest, min(self._trial.picture.widest, int(width)))
        self.screen.picture_width = width
        self._trial.picture.resize(width, float(ratio))
        self.refresh()

    @contextmanager
    def _quietly(self) -> Iterator[None]:
        before, self._busy = self._busy, True
        try:
            yield
        finally:
            self._busy = before
