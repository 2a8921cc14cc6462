"""The bench for the next click: releases timed at the vehicle are written down, and it says what to try next."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.checks import number, positive, whole
from suspension_lab.common.errors import LabError
from suspension_lab.lab.controls import ChoiceControl, NumberControl
from suspension_lab.lab.measured_forms import Shown, column, field, row, sentence, typed, vehicles
from suspension_lab.lab.named import named
from suspension_lab.lab.next_click_picture import next_click_picture
from suspension_lab.lab.screen import Screen
from suspension_lab.lab.watch_choice import WatchChoice
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.click_belief import LONGEST, Measured
from suspension_lab.workshop.measured.watch import Watch
from suspension_lab.workshop.next_click import STOPWATCH, NextClick, next_click
from suspension_lab.workshop.release_test import target_time

CLICKS, SECONDS, SWINGS = "Rebound clicks out", "Seconds until settled", "Visible swings"
NARROWEST, WIDEST = 400, 860
"""Of the picture [screen pixels]."""


@dataclasses.dataclass(kw_only=True)
class _Sheet:
    """What is written down of one vehicle: the station of its file, its load [kg], the target [s] (None: its own)."""

    station: Station
    rider: int
    wish: float | None = None
    releases: list[tuple[Measured, int]] = dataclasses.field(default_factory=list)
    """Each with its load [kg]."""

    @property
    def tries(self) -> tuple[Measured, ...]:
        return tuple(each for each, _ in self.releases)


class NextClickBench(Shown):
    """Releases that were timed, kept for each vehicle, and the workshop's `answer` (None: it cannot be tested so)."""

    def __init__(self, vehicle: str, uncertainty: float | None, watch: Watch | None) -> None:
        super().__init__()
        self._uncertainty = positive("uncertainty of a time", STOPWATCH if uncertainty is None else uncertainty, "s")
        station = load_station(vehicle)
        if "rebound" not in station.damper.adjusters:
            raise LabError(f"{station.name} has no rebound clicks, so there is no next one to try.")
        self._sheets: dict[str, _Sheet] = {}
        self._loaded: dict[tuple[str, int], Station] = {}
        self._quiet = True
        self.answer: NextClick | None = None
        self._size = WIDEST, 1.0
        self._make_controls(vehicle)
        self.watch = WatchChoice(lambda: self.attempt(self.refresh), watch)
        watched = {"vehicle": self.vehicle.model, "rider": self.load.model}
        self.screen = Screen(cautions=list(STANDING_TEST), controls=watched)
        self.screen.layout = widgets.Layout(width="100%", min_width="0")
        self.screen.observe(self._resized, "room")
        self.widget = self._laid_out()
        self._vehicle_changed()

    def _make_controls(self, vehicle: str) -> None:
        known = vehicles(vehicle, lambda station: "rebound" in station.damper.adjusters)
        self.vehicle = ChoiceControl("Vehicle", known, value=vehicle, on_change=self._vehicle_changed)
        label = "Rider and load on this wheel"
        self.load = NumberControl(label, "kg", low=0, high=1, value=0, on_change=self._load_changed)
        # Each load is a release test of its own over all clicks.
        self.load.slider.continuous_update = False
        self.target = field("Target time", "s", width=180)
        self.target.observe(lambda _: None if self._quiet else self.attempt(self._target_changed), "value")
        self.clicks = field(CLICKS, width=190)
        self.seconds = field(SECONDS, width=220)
        beside = widgets.Layout(width="150px", margin="2px 12px 2px 0")
        self.never = widgets.Checkbox(description="It never settled", indent=False, layout=beside)
        self.never.observe(lambda change: setattr(self.seconds, "disabled", change["new"]), "value")
        self.swings = field(SWINGS, width=200, hint="not counted")
        self.write_button = self.button("Write it down", self._write_typed)
        self.undo_button = self.button("Undo", self.undo)

    def _laid_out(self) -> widgets.Widget:
        counted = widgets.HTML("Clicks are counted out from closed: 0 is closed and hardest.")
        one = row([self.vehicle.widget, self.load.widget, self.target, self.watch.widget], align="flex-end")
        buttons = row([self.write_button, self.undo_button])
        two = row([self.clicks, self.seconds, self.never, self.swings, buttons], align="center")
        top = column([counted, one, widgets.HTML("<strong>A release you timed</strong>"), two, self.refusal])
        top.add_class("bench-controls")
        return named(column([top, self.screen]))

    @property
    def words(self) -> tuple[str, ...]:
        """The sentences shown, with the cautions."""
        return (*self.screen.words, *self.screen.cautions)

    @property
    def tries(self) -> tuple[Measured, ...]:
        """What is written down of the present vehicle, in order."""
        return self._sheet.tries

    @property
    def station(self) -> Station:
        """The present vehicle as it is loaded."""
        key = self.vehicle.value, self.load.value
        if key not in self._loaded:
            # The same object again, for which the workshop keeps what it has worked out.
            self._loaded[key] = self._sheet.station.with_rider(float(self.load.value))
        return self._loaded[key]

    @property
    def _sheet(self) -> _Sheet:
        name = self.vehicle.value
        if name not in self._sheets:
            station = load_station(name)
            self._sheets[name] = _Sheet(station=station, rider=round(station.rider_mass))
        return self._sheets[name]

    def write(self, clicks: int, seconds: float, swings: int | None = None) -> None:
        """Write a release down and say what to try next.

        Args:
            clicks: rebound, out from closed.
            seconds: until it has settled; infinite: it never did.
            swings: visible ones; None: not counted.

        Raises:
            LabError: clicks, a time or swings that cannot be; nothing is written then.
        """
        sheet, given = self._sheet, (clicks, seconds) if swings is None else (clicks, seconds, swings)
        self._asked([*sheet.tries, given])
        measured = Measured(int(clicks), float(seconds), None if swings is None else int(swings))
        sheet.releases.append((measured, self.load.value))
        self._begin_a_line()

    def undo(self) -> None:
        """Take the last release of the present vehicle back.

        Raises:
            LabError: there is none.
        """
        if not self._sheet.releases:
            raise LabError("There is no release to take back: nothing was written down yet.")
        del self._sheet.releases[-1]
        self._begin_a_line()

    def _write_typed(self) -> None:
        most = self.station.damper.adjusters["rebound"]
        clicks = whole(CLICKS, typed(CLICKS, self.clicks.value, "clicks"), low=0, high=most)
        seconds = math.inf if self.never.value else typed(SECONDS, self.seconds.value, "s")
        if not (self.never.value or 0.0 < seconds <= LONGEST):
            raise LabError(
                f"{SECONDS} is {seconds:g} s, where more than 0 and at most {LONGEST:g} s was expected; check that "
                f"these are no milliseconds, and tick '{self.never.description}' where it did not."
            )
        counted = self.swings.value.strip()
        swings = whole(SWINGS, typed(SWINGS, counted, "swings"), low=0, high=50) if counted else None
        self.write(clicks, seconds, swings)

    def _begin_a_line(self) -> None:
        """Empty fields, but for the clicks that are to be tried."""
        self.refresh()
        answer = self.answer
        self.clicks.value = "" if answer is None or answer.click is None or answer.done else str(answer.click)
        self.seconds.value, self.swings.value, self.never.value = "", "", False

    def refresh(self) -> None:
        """Ask what to try next and show it."""
        sheet, station = self._sheet, self.station
        try:
            self.answer = self._asked(sheet.tries)
        except LabError as error:
            self.answer = None
            still = ["The picture still shows the last that could be tested."] if self.screen.png else []
            self._send([sentence(error), *still], refused=True)
            return
        other = [str(at) for at, (_, load) in enumerate(sheet.releases, 1) if load != self.load.value]
        told = list(self.answer.sentences[: -len(STANDING_TEST)])
        if other:
            which = f"Not timed at {self.load.value} kg, and so misleading here: release {', '.join(other)}."
            told.insert(0, f"{which} Set the load back, or take back what was timed at another.")
        png = next_click_picture(self.answer, sheet.tries, *self._size)
        self._send(told, png=png, alt=_in_a_sentence(self.answer, sheet, station))

    def _asked(self, tries: Sequence[Measured | tuple[float, ...]]) -> NextClick:
        wish, scatter = self._sheet.wish, self._uncertainty
        return next_click(tries, wish, station=self.station, uncertainty=scatter, timing=self.watch.watch)

    def _send(self, told: list[str], *, png: bytes = b"", alt: str = "", refused: bool = False) -> None:
        with self.screen.hold_sync():
            if png:
                self.screen.png, self.screen.alt, self.screen.picture_width = png, alt, self._size[0]
            self.screen.words, self.screen.refused = told, refused
            self.screen.table = _table(self._sheet)
            self.screen.table_caption = f"Written down, {self.station.name}"
            self.screen.shown_for = {"vehicle": self.vehicle.shown, "rider": self.load.shown}
            self.screen.serial += 1

    def _vehicle_changed(self) -> None:
        self.refusal.value, sheet = "", self._sheet
        self.load.configure(low=0, high=max(2 * round(sheet.station.rider_mass), 20), value=sheet.rider)
        self._show_target()
        self._begin_a_line()

    def _load_changed(self) -> None:
        self.refusal.value, self._sheet.rider = "", self.load.value
        self._show_target()
        self.refresh()

    def _show_target(self) -> None:
        self._quiet, wish = True, self._sheet.wish
        self.target.value = f"{target_time(self.station):.2f}" if wish is None else f"{wish:g}"
        self._quiet = False

    def _target_changed(self) -> None:
        text, name = self.target.value.strip(), "Target time"
        try:
            self._sheet.wish = number(name, typed(name, text, "s"), "s", low=0.05, high=LONGEST) if text else None
            self.refresh()
        finally:
            self._show_target()

    def _resized(self, change: dict[str, Any]) -> None:
        width, ratio = change["new"]
        self._size = max(NARROWEST, min(WIDEST, int(width))), float(ratio)
        self.refresh()


def _in_a_sentence(answer: NextClick, sheet: _Sheet, station: Station) -> str:
    best, click = int(answer.chances.argmax()), answer.click
    highest = f"highest at {best} with {100 * answer.chances[best]:.0f} %" if answer.chances[best] else "none has any"
    where = ""
    if answer.done:
        where = f"; {click} is done"
    elif click is not None:
        where = f"; {click} is next"
        where += f", the range {answer.low} to {answer.high}" if answer.low < answer.high else ""
    measured = f"measured: {', '.join(str(each.clicks) for each in sheet.tries)}" if sheet.tries else "nothing measured"
    return (
        f"Chance of each rebound click of {station.name} to pass (settled by {answer.limit:.2f} s, at most one swing): "
        f"{highest}{where}; {measured}."
    )


def _table(sheet: _Sheet) -> list[list[str]]:
    rows = [["Release", CLICKS, "Seconds", SWINGS, "Load"]]
    for at, (each, load) in enumerate(sheet.releases, 1):
        took = "never settled" if math.isinf(each.seconds) else f"{each.seconds:g}"
        counted = "not counted" if each.swings is None else str(each.swings)
        rows.append([str(at), str(each.clicks), took, counted, f"{load}\N{NO-BREAK SPACE}kg"])
    return rows if sheet.releases else []


def next_click_bench(
    vehicle: str = "courier_scooter_rear", uncertainty: float | None = None, *, watch: Watch | None = None
) -> NextClickBench:
    """Write down what the stopwatch said at a click, and read which rebound click to try next.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a rebound adjuster.
        uncertainty: scatter of a measured time, one standard deviation [s]; None: that of a hand's stopwatch.
        watch: of the hand that stopped, in force at first; another can be chosen beside the target.

    Raises:
        LabError: no such vehicle, a fault in its file, no rebound clicks, an uncertainty not above zero, or a watch
            that is none.
    """
    return NextClickBench(vehicle, uncertainty, watch)
