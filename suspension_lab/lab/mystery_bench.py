"""The bench of unknown vehicles: tests that cost minutes, a diagnosis, a setting, and what it was worth."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.lab.bench import ADJUSTER_LABELS
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.mystery_screen import MysteryScreen
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.cautions import AT_THE_VEHICLE, REBOUND_FIRST
from suspension_lab.workshop.mystery import CAUSES, LARGEST_NUMBER, MysteryVehicle, mystery
from suspension_lab.workshop.mystery_procedure import PROCEDURE, REMEDIES, Solution, price_list, solve
from suspension_lab.workshop.mystery_score import Decision, Score, score
from suspension_lab.workshop.mystery_tests import REPEATED, Answer, Sheet, offered_tests
from suspension_lab.workshop.release_test import so_many

HandedOver = Callable[[int, str, Score], object]
"""Called with number, diagnosis (a key of `CAUSES`) and what it was worth."""
CAUTIONS = (*AT_THE_VEHICLE, REBOUND_FIRST)
OVER = "This vehicle has been handed over; press 'Another vehicle', or bring one in by its number."


class MysteryBench(Displayed):
    """One vehicle at a time, with what was measured on it.

    Args:
        seed: its number.
        on_handed_over: is told of each vehicle that was handed over.

    Raises:
        LabError: a number that is none.
    """

    def __init__(self, seed: int = 1, on_handed_over: HandedOver | None = None) -> None:
        self._told = on_handed_over
        self.score: Score | None = None
        self.sheet = Sheet(mystery=mystery(seed))
        self.screen = self.widget = MysteryScreen(cautions=list(CAUTIONS))
        self._show_vehicle("")
        self.screen.observe(self._asked, "asked")

    @property
    def vehicle(self) -> MysteryVehicle:
        """The one on the floor."""
        return self.sheet.mystery

    @property
    def words(self) -> tuple[str, ...]:
        """All sentences shown, with the cautions."""
        screen = self.screen
        return tuple(each for each in (screen.refusal, screen.news, *screen.result, *screen.cautions) if each)

    def bring_in(self, seed: int) -> None:
        """Put another vehicle on the floor, with an empty sheet.

        Args:
            seed: its number.

        Raises:
            LabError: a number that is none; the vehicle stays then.
        """
        self.sheet, self.score = Sheet(mystery=mystery(seed)), None
        self._show_vehicle(f"Vehicle {self.vehicle.seed} is on the floor: {self.vehicle.sound.name}.")

    def another(self) -> None:
        """The vehicle with the next number; after the last the first."""
        self.bring_in((self.vehicle.seed + 1) % (LARGEST_NUMBER + 1))

    def test(self, key: str) -> Answer:
        """Do a test and write it down.

        Args:
            key: of the workshop's tests, as "gauge".

        Raises:
            LabError: no such test on this vehicle, or it has been handed over.
        """
        self._refuse_when_over()
        answer = self.sheet.do(key)
        again = f" {REPEATED}" if answer.again else ""
        told = "; ".join(
            f"{row.what.lower()} {row.measured}{'' if row.measured == row.sound else f', a sound one {row.sound}'}"
            for row in answer.rows
        )
        with self.screen.hold_sync():
            self.screen.rows = [*self.screen.rows, *_lines(answer)]
            self.screen.minutes = self.sheet.minutes
            self.screen.refusal = ""
            self.screen.news = f"{_with_price(answer)}, {self.sheet.minutes} in all: {told}.{again}"
        return answer

    def decide(self, diagnosis: str, *, remedies: tuple[str, ...] = (), **clicks: int) -> None:
        """Choose from code what would be clicked and typed.

        Args:
            diagnosis: a key of `CAUSES`.
            remedies: keys of `REMEDIES`.
            clicks: of the adjusters to set, out from closed.

        Raises:
            LabError: a diagnosis or remedy there is not.
        """
        chosen = Decision(diagnosis=diagnosis, remedies=remedies)
        with self.screen.hold_sync():
            self.screen.diagnosis, self.screen.ordered = chosen.diagnosis, list(chosen.remedies)
            self.screen.clicks = {name: str(value) for name, value in clicks.items()}

    def hand_over(self) -> Score:
        """Hand the vehicle over as it was decided, and show what it was worth.

        Raises:
            LabError: nothing decided, clicks that cannot be, or it has been handed over.
        """
        self._refuse_when_over()
        screen = self.screen
        decision = Decision(diagnosis=screen.diagnosis, clicks=self._typed_clicks(), remedies=tuple(screen.ordered))
        made = self.score = score(self.sheet, decision)
        with screen.hold_sync():
            screen.handed_over, screen.refusal = True, ""
            screen.result = [*_headline(self.vehicle, made), *made.sentences]
            screen.careful = list(_careful(solve(self.vehicle)))
            screen.news = f"Handed over: {made.points} of 100 points. What it was worth stands below."
        if self._told is not None:
            self._told(self.vehicle.seed, decision.diagnosis, made)
        return made

    def _typed_clicks(self) -> Clicks:
        has = self.vehicle.sound.damper.adjusters
        found: dict[str, int] = {}
        for name, text in self.screen.clicks.items():
            if name not in has:
                raise LabError(f"There is no adjuster '{name}' on this damper; {nearest_name(name, has)}")
            if not text.strip():
                continue
            label, expected = ADJUSTER_LABELS[name], f"a whole number from 0 (closed) to {has[name]} (open)"
            if not text.strip().isdecimal() or int(text) > has[name]:
                raise LabError(f"{label} is {text.strip()!r}, where {expected} was expected, or an empty field.")
            found[name] = int(text)
        return Clicks(**found)

    def _refuse_when_over(self) -> None:
        if self.score is not None:
            raise LabError(OVER)

    def _asked(self, change: dict[str, Any]) -> None:
        what, argument, _ = change["new"]
        actions: dict[str, Callable[[], object]] = {
            "bring": lambda: self.bring_in(_typed_number(str(argument))),
            "another": self.another,
            "test": lambda: self.test(str(argument)),
            "hand_over": self.hand_over,
        }
        try:
            actions[what]()
        except LabError as error:
            self.screen.refusal = str(error)

    def _show_vehicle(self, news: str) -> None:
        vehicle, screen = self.vehicle, self.screen
        with screen.hold_sync():
            screen.number, screen.card = vehicle.seed, [list(pair) for pair in vehicle.card]
            screen.tests = [
                {"key": test.key, "name": test.name, "minutes": test.minutes, "how": test.how}
                for test in offered_tests(vehicle)
            ]
            screen.causes = [[key, _capital(text)] for key, text in CAUSES.items()]
            screen.adjusters = [
                {"key": name, "label": ADJUSTER_LABELS[name], "most": most}
                for name, most in vehicle.sound.damper.adjusters.items()
            ]
            screen.remedies = [
                {"key": key, "name": each.name, "minutes": each.minutes} for key, each in REMEDIES.items()
            ]
            screen.rows, screen.result, screen.careful, screen.ordered = [], [], [], []
            screen.clicks, screen.minutes, screen.diagnosis = {}, 0, ""
            screen.handed_over, screen.refusal, screen.news = False, "", news


def _typed_number(text: str) -> int:
    typed = text.strip()
    if not typed.isdecimal() or len(typed) > len(str(LARGEST_NUMBER)):
        raise LabError(
            f"The vehicle's number is {typed[:20]!r}, where a whole number from 0 to {LARGEST_NUMBER} was expected."
        )
    return int(typed)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _with_price(answer: Answer) -> str:
    return f"{answer.test.name}, {so_many(answer.test.minutes, 'minute')}"


def _lines(answer: Answer) -> list[list[str]]:
    """Rows of the sheet; the minutes stand in the first."""
    name = answer.test.name + (f" (time {answer.again + 1})" if answer.again else "")
    return [
        [name, row.what, row.measured, row.sound, row.tolerance_text, str(answer.test.minutes) if at == 0 else ""]
        for at, row in enumerate(answer.rows)
    ]


def _headline(vehicle: MysteryVehicle, made: Score) -> list[str]:
    first = f"{made.points} of 100 points."
    if made.mistake is None:
        return [first, f"The diagnosis is right: {CAUSES[vehicle.fault]}."]
    return [first, f"The diagnosis is not right ({made.mistake.kind}). {made.mistake.said}"]


def _careful(solution: Solution) -> list[str]:
    said = []
    for step in solution.steps:
        test = f"{_with_price(step.answer)}. " if step.answer is not None else ""
        said.append(f"{test}{step.found}")
    work = [f"{REMEDIES[key].name}, {REMEDIES[key].minutes} minutes." for key in solution.remedies]
    return [*said[:-1], *work, f"{said[-1]} {solution.minutes} minutes in all: {CAUSES[solution.diagnosis]}."]


def mystery_bench(seed: int = 1, *, on_handed_over: HandedOver | None = None) -> MysteryBench:
    """Find out what is wrong with an unknown vehicle, mend and set it, and hand it over.

    Args:
        seed: its number: a whole number from 0 to 999,999.
        on_handed_over: called with number, diagnosis and `Score`.

    Raises:
        LabError: a number that is none.
    """
    return MysteryBench(seed, on_handed_over)


def mystery_procedure() -> widgets.HTML:
    """The stated procedure as a numbered list, and what each test and remedy costs."""
    steps = "".join(f"<li style='margin:4px 0'>{html.escape(step)}</li>" for step in PROCEDURE)
    prices = "; ".join(f"{name} {minutes}" for name, minutes in price_list())
    style = "max-width:860px;line-height:1.45"
    return widgets.HTML(
        f"<div style='{style}'><ol>{steps}</ol><p>Minutes (our choice, plausible for a workshop): "
        f"{html.escape(prices)}.</p></div>"
    )
