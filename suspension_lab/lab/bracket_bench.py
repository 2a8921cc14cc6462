"""The bench for a guided bracket: what to ride next, three buttons for the rider's verdict, and what was said."""

from __future__ import annotations

import html
from collections.abc import Sequence

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.controls import ChoiceControl
from suspension_lab.lab.measured_forms import Shown, caution_box, column, field, row, said, vehicles
from suspension_lab.lab.named import Told, named
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.bracket import COMPRESSION, GOOD, TOO_HARD, TOO_SOFT, Bracket
from suspension_lab.workshop.cautions import REBOUND_FIRST, RIDING_TEST

CAUTIONS = (*RIDING_TEST, REBOUND_FIRST)
NAMES = {"low_speed": "Compression, low speed", "high_speed": "Compression, high speed"}
LONGEST_REMARK = 400
"""Letters (our choice: what a table and a card can hold)."""


class BracketBench(Shown):
    """A bracket ridden step by step; each vehicle and adjuster keeps its own.

    Attributes:
        vehicle, adjuster: the choices.
        remark: the field for the rider's words, which the next verdict takes along.
        words: the sentences shown, with the cautions.

    Raises:
        LabError: no such vehicle, a fault in its file, or an adjuster that it or a bracket does not have.
    """

    def __init__(self, adjuster: str, vehicle: str) -> None:
        super().__init__()
        self._brackets: dict[tuple[str, str], Bracket] = {}
        self._station = load_station(vehicle)
        Bracket(adjuster=adjuster)
        if adjuster not in self._station.damper.adjusters:
            raise LabError(
                f"{self._station.name} has no {adjuster.replace('_', '-')} compression clicks, so there is no bracket "
                "to ride; choose another adjuster or vehicle."
            )
        known = vehicles(vehicle, lambda station: bool(_offered(station)))
        self.vehicle = ChoiceControl("Vehicle", known, value=vehicle, on_change=self._vehicle_changed)
        self.adjuster = ChoiceControl("Adjuster", _offered(self._station), value=adjuster, on_change=self._show)
        self.remark = field("Remark", width=500, hint="what the rider felt; may stay empty")
        self.words: tuple[str, ...] = ()
        self._said, self._table = Told(), widgets.HTML()
        self.buttons = {verdict: self._verdict_button(verdict) for verdict in (TOO_SOFT, GOOD, TOO_HARD)}
        self.buttons["undo"] = self.button("Undo", self.undo)
        counted = widgets.HTML("Clicks are counted out from closed: 0 is closed and hardest.")
        choices = row([self.vehicle.widget, self.adjuster.widget])
        buttons = row(list(self.buttons.values()))
        rows = [counted, choices, self._said, self.remark, buttons, self.refusal, self._table, caution_box(CAUTIONS)]
        self.widget = named(column(rows))
        self._show()

    def _verdict_button(self, verdict: str) -> widgets.Button:
        return self.button(verdict.capitalize(), lambda: self.say(verdict, self.remark.value))

    @property
    def bracket(self) -> Bracket:
        """That of the present vehicle and adjuster."""
        key = (self.vehicle.value, self.adjuster.value)
        if key not in self._brackets:
            most = self._station.damper.adjusters[self.adjuster.value]
            self._brackets[key] = Bracket(adjuster=self.adjuster.value, most=most)
        return self._brackets[key]

    def say(self, verdict: str, remark: str = "") -> None:
        """Keep the rider's verdict on the ride that was asked for.

        Args:
            verdict: 'too soft', 'good' or 'too hard'.
            remark: the rider's words.

        Raises:
            LabError: another verdict, a remark too long, or a bracket that is done; nothing is kept then.
        """
        remark = remark.strip()
        if len(remark) > LONGEST_REMARK:
            raise LabError(
                f"The remark has {len(remark)} letters, where at most {LONGEST_REMARK} were expected; shorten it."
            )
        self._keep(self.bracket.with_verdict(verdict, remark))
        self.remark.value = ""

    def undo(self) -> None:
        """Take the last verdict back; its remark stands in the field again.

        Raises:
            LabError: there is none.
        """
        before = self.bracket
        self._keep(before.undo())
        self.remark.value = before.stops[-1].remark

    def _keep(self, bracket: Bracket) -> None:
        self._brackets[self.vehicle.value, self.adjuster.value] = bracket
        self._show()

    def _show(self) -> None:
        bracket, told = self.bracket, []
        if bracket.next is not None:
            told.append(bracket.next.sentence)
        if bracket.done or bracket.result.clicks is not None:
            told.append(bracket.result.sentence)
        self.words = (*told, *CAUTIONS)
        self._said.value, self.refusal.value = said(told), ""
        self._table.value = _ridden(bracket, f"Ridden so far, {self._station.name}, {NAMES[bracket.adjuster].lower()}")

    def _vehicle_changed(self) -> None:
        self._station = load_station(self.vehicle.value)
        self.adjuster.offer(_offered(self._station))
        self._show()


def _ridden(bracket: Bracket, caption: str) -> str:
    """The stops in their order as a table; nothing before the first."""
    if not bracket.stops:
        return ""
    rows = [["Ride", "Clicks out", "Verdict", "Remark"]]
    for at, stop in enumerate(bracket.stops):
        again = any(later.clicks == stop.clicks for later in bracket.stops[at + 1 :])
        rows.append([str(at + 1), str(stop.clicks), stop.verdict + " (ridden again later)" * again, stop.remark])
    return _table(caption, rows)


def _table(caption: str, rows: Sequence[Sequence[str]]) -> str:
    """Rows of texts as HTML, the first the heading."""
    style = "text-align:left;vertical-align:top;padding:3px 18px 3px 4px;border-bottom:"
    lines = []
    for at, texts in enumerate(rows):
        edge = "1px solid #ccc;font-weight:400" if at else "2px solid #555"
        cells = ['th scope="row"', *["td"] * (len(texts) - 1)] if at else ['th scope="col"'] * len(texts)
        # Only the last column, the rider's words, may be broken anywhere.
        wraps = [""] * (len(texts) - 1) + [";overflow-wrap:anywhere" * (at > 0)]
        inner = (
            f'<{cell} style="{style}{edge}{wrap}">{html.escape(text)}</{cell.split()[0]}>'
            for cell, text, wrap in zip(cells, texts, wraps, strict=True)
        )
        lines.append(f"<tr>{''.join(inner)}</tr>")
    head = f'<caption style="text-align:left;font-weight:600">{html.escape(caption)}</caption>'
    return f'<table style="color:#111;line-height:1.45;border-collapse:collapse">{head}{"".join(lines)}</table>'


def _offered(station: Station) -> dict[str, str]:
    return {NAMES[name]: name for name in COMPRESSION if name in station.damper.adjusters}


def bracket_bench(adjuster: str = "low_speed", vehicle: str = "courier_scooter_rear") -> BracketBench:
    """Ride both extremes, say what they were, and be led to the click between.

    Args:
        adjuster: 'low_speed' or 'high_speed', to begin with.
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, a fault in its file, or an adjuster that it or a bracket does not have.
    """
    return BracketBench(adjuster, vehicle)
