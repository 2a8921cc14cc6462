"""The bench for a what-if: before and after side by side on several tests, and whether anyone would notice."""

from __future__ import annotations

import html
from collections.abc import Mapping
from functools import partial
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.lab.controls import ChoiceControl, NumberControl, beside
from suspension_lab.lab.described_image import described_image
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.later import Later, running_loop
from suspension_lab.lab.measured_forms import caution_box, said, sentence, vehicles
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.what_if_picture import picture_in_words, what_if_picture, what_if_table
from suspension_lab.lab.what_if_settings import TESTS, as_excitation, both_stations, change_in_short, worked_out
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.reading_what_if import read_what_if
from suspension_lab.workshop.what_if import SAMPLES, WhatIf

ADJUSTER_LABELS = {
    "rebound": "Rebound",
    "low_speed": "Low-speed compression",
    "high_speed": "High-speed compression",
}
"""Shorter than elsewhere: 'before' or 'after' and the range stand in the same line."""
OIL = (-10, 140)
"""[°C]"""
MOST_PRELOAD = 15
"""Either way [mm]."""
NO_OIL = "not known of this damper"
NOT_YET = (
    "Nothing is worked out yet. Set what you would change under After, note what you expect of it, and press Work it "
    "out."
)
WORKING = f"Working it out in {SAMPLES} variations; this takes some seconds, and the controls stay free."
OUT_OF_DATE = (
    "Out of date: this is still the answer for the settings before. Press Work it out for the settings as they are now."
)
MOVED_ON = "The settings have moved while it was being worked out. Press Work it out for the settings as they are now."
COUNTED = '<div style="line-height:1.3">Clicks are counted out from closed: 0 is closed and hardest.</div>'
TRY_FIRST = "Try it on the bench first: set a change under After, and press Work it out. Then compare."
OLD = "what-if-old"


class WhatIfBench(Displayed):
    """Controls at the left; at the right a button, and what it has worked out.

    Attributes:
        controls: name -> number or choice: 'vehicle', 'rider' [kg], 'oil' [°C], an adjuster's 'rebound_before' and
            'rebound_after' and so on, 'preload' [mm, more or less after].
        tests: name -> check box, of `TESTS`.
        answer: the last one; None: there is none, or it was refused.
        tried: whether a change was worked out; before that a prediction is not compared with anything.
        try_first: what has to be done for that.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def __init__(self, vehicle: str) -> None:
        self._quiet, self._later = True, Later()
        self._vehicle = load_station(vehicle)
        self.answer: WhatIf | None = None
        self.tried, self.try_first = False, TRY_FIRST
        self._told: tuple[str, ...] = ()
        self._answered: dict[str, Any] | None = None
        self._asked: dict[str, Any] | None = None
        self._notice, self._serial = "", 0
        known = vehicles(vehicle, lambda station: True)
        self.controls: dict[str, NumberControl | ChoiceControl] = {
            "vehicle": ChoiceControl("Vehicle", known, value=vehicle, on_change=self._vehicle_changed),
            "rider": self._number("Rider and load on this wheel", "kg"),
            "oil": self._number("Oil temperature", "°C"),
        }
        for when in ("before", "after"):
            for name, label in ADJUSTER_LABELS.items():
                self.controls[f"{name}_{when}"] = self._number(f"{label} {when}", "clicks")
        self.controls["preload"] = self._number("Preload after, more or less", "mm")
        self.tests = {
            name: widgets.Checkbox(
                value=True, description=text, indent=False, layout=widgets.Layout(width="300px", margin="0")
            )
            for name, text in TESTS.items()
        }
        for box in self.tests.values():
            box.observe(lambda _: self._moved(), "value")
        self.button = widgets.Button(
            description="Work it out", button_style="primary", layout=widgets.Layout(width="200px")
        )
        self.button.on_click(lambda _: self._pressed())
        self._status, self._said, self._table, self._picture = Told(), Told(), widgets.HTML(), widgets.HTML()
        self._shown = widgets.VBox([self._said, self._table, self._picture], layout=widgets.Layout(min_width="0"))
        self._configure()
        self._quiet = False
        self._show()
        self._say(NOT_YET)
        self.widget = self._laid_out()

    def _number(self, label: str, unit: str) -> NumberControl:
        return NumberControl(label, unit, low=0, high=1, value=0, on_change=self._moved)

    def _laid_out(self) -> widgets.Widget:
        turned = {when: [f"{name}_{when}" for name in ADJUSTER_LABELS] for when in ("before", "after")}
        parts = {
            "Alike before and after": ["vehicle", "rider", "oil"],
            "Before: as it is": turned["before"],
            "After: as it would be": [*turned["after"], "preload"],
        }
        rows: list[widgets.Widget] = [widgets.HTML(COUNTED)]
        for heading, names in parts.items():
            rows += [widgets.HTML(f"<strong>{heading}</strong>"), *(self.controls[name].widget for name in names)]
        rows += [widgets.HTML("<strong>Tried on</strong>"), *self.tests.values()]
        style = widgets.HTML(f"<style>.{OLD} {{opacity: 0.6}}</style>", layout=widgets.Layout(height="0", margin="0"))
        right = widgets.VBox([style, self.button, self._status, self._shown, caution_box(RIDING_TEST)])
        right.add_class("bench-screen")
        return named(beside(rows, right))

    @property
    def settings(self) -> dict[str, Any]:
        """Name -> number or choice of every control, and whether each test is ticked."""
        return {name: control.value for name, control in self.controls.items()} | {
            name: box.value for name, box in self.tests.items()
        }

    @property
    def out_of_date(self) -> bool:
        """Whether what is shown was worked out for other settings."""
        return self._answered is not None and self._answered != self.settings

    @property
    def words(self) -> tuple[str, ...]:
        """The sentences shown, with the cautions."""
        return (*([self._notice] if self._notice else []), *self._told, *RIDING_TEST)

    def set(self, **values: Any) -> None:
        """Move controls from code.

        Raises:
            LabError: a control this bench does not have, or a value out of its range; nothing is moved then.
        """
        before = self.settings
        for name in values:
            if name not in before:
                raise LabError(f"This bench has no control '{name}'; {nearest_name(name, before)}")
        self._quiet = True
        try:
            self._put(values)
        except LabError:
            self._put(before, absent_too=True)
            raise
        finally:
            self._quiet = False
            self._moved()

    def _put(self, values: Mapping[str, Any], *, absent_too: bool = False) -> None:
        if "vehicle" in values:
            self.controls["vehicle"].set(values["vehicle"])
            self._vehicle = load_station(values["vehicle"])
            self._configure()
        for name, value in values.items():
            if name in self.tests:
                if not isinstance(value, bool):
                    raise LabError(f"The test {name} is {value!r}, where True or False was expected.")
                self.tests[name].value = value
            elif name in self._absent and not absent_too:
                raise LabError(f"{self.controls[name].label}: {self._absent[name]}; leave {name} out.")
            else:
                self.controls[name].set(value)

    def work_out(self) -> None:
        """Work the present settings out and show the answer, now."""
        self._ask()
        self._later.wait()

    def _pressed(self) -> None:
        if self._later.busy and self._asked == self.settings:
            return
        self._ask()
        if running_loop() is None:
            self._later.wait()

    def _ask(self) -> None:
        self._later.forget()
        now = self._asked = self.settings
        try:
            before, after = both_stations(self._vehicle, now)
            tests = [as_excitation(name, before) for name in TESTS if now[name]]
            if not tests:
                raise LabError("No test is ticked; tick one or more of the tests at the left.")
        except LabError as error:
            self._take(now, error)
            return
        self._say(WORKING)
        self._later.ask(partial(worked_out, before, after, tests), partial(self._take, now))

    def _take(self, asked: dict[str, Any], found: WhatIf | LabError) -> None:
        refused = isinstance(found, LabError)
        self.answer = None if isinstance(found, LabError) else found
        self.tried = self.tried or not refused
        self._told = (sentence(found),) if isinstance(found, LabError) else tuple(read_what_if(found))
        self._answered = asked
        self._show(refused=refused)
        self._say("")

    def _show(self, *, refused: bool = False) -> None:
        changes = self.answer.changes if self.answer is not None else None
        self._serial += 1
        image = described_image(what_if_picture(changes), picture_in_words(changes))
        self._said.value = said(self._told, refused=refused)
        self._table.value = what_if_table(changes, change_in_short(self.answer)) if self.answer and changes else ""
        self._picture.value = (
            f'<figure class="bench-figure" data-serial="{self._serial}" style="margin:8px 0">{image}</figure>'
        )
        self._shown.remove_class(OLD)

    def _say(self, notice: str) -> None:
        self._notice = notice
        self._status.value = (
            '<div class="bench-stale" style="min-height:1.5em;font-weight:600;line-height:1.4">'
            f"{html.escape(notice)}</div>"
        )
        if self.out_of_date:
            self._shown.add_class(OLD)
        else:
            self._shown.remove_class(OLD)

    def _moved(self) -> None:
        """What is shown or being worked out may be for other settings now."""
        if self._quiet:
            return
        if self._later.busy and self._asked == self.settings:
            return
        dropped = self._later.busy
        self._later.forget()
        if self._answered is None:
            self._say(MOVED_ON if dropped else NOT_YET)
        else:
            self._say(OUT_OF_DATE if self.out_of_date else "")

    def _vehicle_changed(self) -> None:
        if self._quiet:
            return
        self._quiet = True
        self._vehicle = load_station(str(self.controls["vehicle"].value))
        self._configure()
        self._quiet = False
        self._moved()

    def _configure(self) -> None:
        """Ranges and starting values of the present vehicle."""
        station, self._absent = self._vehicle, dict[str, str]()
        for when in ("before", "after"):
            for name in ADJUSTER_LABELS:
                most = station.damper.adjusters.get(name)
                if most is None:
                    self._range(f"{name}_{when}", 0, 1, 0, absent="not on this damper")
                else:
                    self._range(f"{name}_{when}", 0, most, station.clicks[name])
        usual = round(station.rider_mass)
        self._range("rider", 0, max(2 * usual, 20), usual)
        self._range("preload", -MOST_PRELOAD, MOST_PRELOAD, 0)
        if isinstance(station.damper, HydraulicDamper):
            self._range("oil", *OIL, round(station.damper.oil_temperature - ZERO_CELSIUS))
        else:
            self._range("oil", 0, 1, 0, absent=NO_OIL)

    def _range(self, name: str, low: int, high: int, value: int, *, absent: str = "") -> None:
        control = self.controls[name]
        assert isinstance(control, NumberControl)
        control.configure(low=low, high=high, value=value, absent=absent)
        if absent:
            self._absent[name] = absent


def what_if_bench(vehicle: str = "courier_scooter_rear") -> WhatIfBench:
    """Say what you would change, and see what gets better, what gets worse, and what nobody would notice.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return WhatIfBench(vehicle)
