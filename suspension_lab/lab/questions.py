"""Questions of a lesson that check themselves: the truth is simulated when the answer is asked for."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from typing import NamedTuple

import ipywidgets as widgets

from suspension_lab.lab.road_choice import ride_over
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.evenness import ALIKE, Evenness, Felt, Row, felt, felt_at
from suspension_lab.workshop.release_test import WORDS, Verdict, verdict_on

VEHICLE = "courier_scooter_rear"
SPEED = 30.0 / 3.6
EVEN_AND_HARSH = "more even, but harsher"
UNEVEN_AND_HARSH = "less even, and harsher"
ALL_BETTER = "more even, and more comfortable"
UNEVEN_AND_SOFT = "less even, but more comfortable"
NOWHERE = "on none of them"
OPEN = "fully open, for its comfort"
CLOSED = "fully closed, for its firm feel"
NEITHER = "neither: rebound is set by the release test first"


def ride_becomes(more_even: bool, softer: bool) -> str:
    """The answer that names both."""
    if more_even:
        return ALL_BETTER if softer else EVEN_AND_HARSH
    return UNEVEN_AND_SOFT if softer else UNEVEN_AND_HARSH


class Truth(NamedTuple):
    """What a simulation says."""

    right: str
    """The right one of the answers."""
    because: str
    """The numbers, as a sentence."""


class Question:
    """A question with some answers to choose from.

    Args:
        question: a sentence.
        answers: to choose from.
        truth: works out the right one.
    """

    def __init__(self, question: str, answers: Sequence[str], truth: Callable[[], Truth]) -> None:
        self._truth = truth
        wide = widgets.Layout(width="auto")
        self.choice = widgets.RadioButtons(options=list(answers), value=None, layout=wide)
        self.button = widgets.Button(description="Check my answer")
        self.button.on_click(lambda _: self.check())
        self.reply = widgets.HTML()
        asked = widgets.HTML(f"<strong>{html.escape(question)}</strong>")
        self.widget = widgets.VBox([asked, self.choice, self.button, self.reply])

    def check(self) -> str:
        """Reply to the chosen answer."""
        if self.choice.value is None:
            said = "Choose an answer first."
        else:
            truth = self._truth()
            right = self.choice.value == truth.right
            said = f"{'Right' if right else 'Not so'}: {truth.because}"
        self.reply.value = f'<span role="status">{html.escape(said)}</span>'
        return said


def evenness_questions() -> widgets.Widget:
    """What lesson 04 asks about evenness."""
    return widgets.VBox([each.widget for each in (rebound_question(), washboard_question(), ends_question())])


def rebound_question() -> Question:
    """What closing rebound from 9 to 4 clicks does on a good road."""

    def truth() -> Truth:
        before, after = (_felt(rebound) for rebound in (9, 4))
        even, soft = after.variation < before.variation, after.shaking < before.shaking
        return Truth(
            ride_becomes(even, soft),
            f"tyre load variation goes from {100 * before.variation:.1f} to {100 * after.variation:.1f} % of the load "
            f"at rest, weighted acceleration from {before.shaking:.2f} to {after.shaking:.2f} m/s².",
        )

    answers = (EVEN_AND_HARSH, UNEVEN_AND_HARSH, ALL_BETTER, UNEVEN_AND_SOFT)
    return Question(
        "The courier scooter's rear at 30 km/h on a good road (class B): rebound is closed from 9 clicks out to 4. "
        "The ride becomes ...", answers, truth,
    )  # fmt: skip


def washboard_question() -> Question:
    """On which road hardest is most even."""
    kinds = {"on the good road of class B": "B", "on the cobbles": "cobbles", "on the washboard": "washboard"}

    def truth() -> Truth:
        most_even = {answer: _most_even(kind) for answer, kind in kinds.items()}
        right = [answer for answer, closed in most_even.items() if closed == 1.0]
        where = "; ".join(f"{answer} at {100 * closed:.0f} %" for answer, closed in most_even.items())
        return Truth(right[0] if right else NOWHERE, f"with all adjusters alike the tyre load is most even {where}.")

    return Question(
        "At 30 km/h, on which of these roads is the tyre load most even with everything closed (100 %)?",
        (*kinds, NOWHERE), truth,
    )  # fmt: skip


def ends_question() -> Question:
    """Which of two ends to ride, where both load the tyre alike."""

    def truth() -> Truth:
        station = load_station("trail_bike_rear")
        ride, seconds = ride_over("B", SPEED)
        ends = [{name: share * most for name, most in station.damper.adjusters.items()} for share in (1, 0)]
        both = [station.with_clicks(**clicks) for clicks in ends]
        felt_there = [felt(simulate(each, ride, seconds)) for each in both]
        said = [verdict_on(each) for each in both]
        passing = [text for text, each in zip((OPEN, CLOSED), said, strict=True) if each is Verdict.PASSES]
        return Truth(
            passing[0] if passing else NEITHER,
            f"fully open the tyre load varies by {100 * felt_there[0].variation:.0f} %, fully closed by "
            f"{100 * felt_there[1].variation:.0f} % of the load at rest. But in the release test rebound fully open "
            f"{WORDS[said[0]]}, and fully closed {WORDS[said[1]]}: first set rebound by that test.",
        )  # fmt: skip

    return Question(
        "On the trail bike, fully open and fully closed load the tyre about alike on the good road. Which would you "
        "ride?", (OPEN, CLOSED, NEITHER), truth,
    )  # fmt: skip


def _felt(rebound: int) -> Felt:
    station = load_station(VEHICLE).with_clicks(rebound=rebound)
    return felt(simulate(station, *ride_over("B", SPEED)))


def _most_even(kind: str) -> float:
    """Share closed of the most even setting at 30 km/h, all adjusters alike."""
    station = load_station(VEHICLE)
    trace = simulate(station, *ride_over(kind, SPEED))
    run = Evenness(trace=trace, row=Row(along=ALIKE, ranges=station.damper.adjusters, present=station.clicks))
    valley = Evenness(trace=trace, row=run.row, known=felt_at(station, run.missing, trace)).valley
    assert valley is not None
    return float(valley.closed[valley.lowest(0)])
