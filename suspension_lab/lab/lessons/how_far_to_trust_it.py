"""Lesson 09: our numbers beside published ones, and what a day differs by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import ipywidgets as widgets

from suspension_lab.lab.checks import Checks
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.lab.trust_table import day_table, trust_table
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.day_to_day import DayTable, day_to_day
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.trust import TrustRow, count_kinds, trust_rows

LESSON = "09_how_far_to_trust_it"
VEHICLE = "courier_scooter_rear"
COUNTING, VEHICLES, BOTH = "how it counts", "what it is told about the vehicle", "both about as much"
OIL, CLICK = "the oil's warmth", "two clicks of rebound"
PROOF, NO_PROOF = "yes: it has been checked", "no: the vehicle may be another one"
CLEARLY = 2.0
"""One of two differences decides where it is so many times the other (our choice)."""
TURN, LEAVE, MEASURE = "turn to the better one", "leave it: a day differs by more", "close it further, to be sure"


@dataclass(frozen=True)
class _Page:
    """What opens after the prediction."""

    widget: widgets.Widget


def predict_and_try() -> PredictFirst:
    """Two predictions, and the tables."""
    page = widgets.VBox([trust_table(), day_table(VEHICLE)])
    return PredictFirst(LESSON, [_what_matters(), _oil_or_click()], _Page(page))


def check(bench: object) -> Checks:
    """What is asked afterwards."""
    return Checks(LESSON, [_proof(), _better_by_little(), _load_moves()])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    rows = _rows()
    made.add("Numbers beside a reference, and how many of them lie outside of their tolerance",
             f"{len(rows)}, {sum(not row.within for row in rows)}")  # fmt: skip
    made.add("Of these stand in print, are definitions, follow from a formula, come from a measured record",
             ", ".join(str(count) for count in count_kinds(rows).values()))  # fmt: skip
    made.add("Largest difference of a row from its reference", f"{by_counting(rows):.0f} %")
    made.add("Most that load, tyre pressure, oil or friction of another day move the tyre load variation by",
             f"{by_a_day():.0f} % of itself")  # fmt: skip
    return made


@lru_cache(maxsize=1)
def _rows() -> tuple[TrustRow, ...]:
    return trust_rows()


@lru_cache(maxsize=1)
def _day() -> DayTable:
    return day_to_day(load_station(VEHICLE))


def moved(start: str, key: str) -> float:
    """How far a row of the day's table moves a measure."""
    row = next(row for row in _day().rows if row.varied.startswith(start))
    low, high = (next(each for each in side if each.key == key).value for side in (row.low, row.high))
    return abs(float(high) - float(low))


def by_counting(rows: Sequence[TrustRow]) -> float:
    """The largest difference of a row from its reference [% of the reference]."""
    return max(100.0 * abs(row.difference) / abs(row.reference.value) for row in rows)


def by_a_day() -> float:
    """By how much one thing of another day moves the tyre load variation at most, a click aside [% of itself]."""
    key = "tyre_load_variation"
    usual = next(float(each.value) for each in _day().usual if each.key == key)
    return 100.0 * max(moved(row.varied, key) for row in _day().rows if not row.varied.startswith("rebound")) / usual


def _what_matters() -> Question:
    """Whether the counting or the vehicle's data matter more for a number."""

    def truth() -> Truth:
        counted, by_day = by_counting(_rows()), by_a_day()
        return Truth(
            VEHICLES if by_day > CLEARLY * counted else COUNTING if counted > CLEARLY * by_day else BOTH,
            f"the largest difference of a row is {counted:.0f} % of its reference; load, tyre pressure, oil or "
            f"friction of another day alone move the tyre load variation by up to {by_day:.0f} % of itself.",
        )

    return Question(
        key="what_matters", truth=truth, text="Which of the two decides more how far a number of the lab may be off?",
        options={
            COUNTING: Wrong(Mistake.CAUSE, "The first table holds the counting against others: how near are they?"),
            VEHICLES: Wrong(Mistake.CAUSE, "How large is the largest difference of the first table?"),
            BOTH: Wrong(Mistake.SIZE, "Compare the differences of the first table with those of the second."),
        },
    )  # fmt: skip


def _oil_or_click() -> Question:
    """Whether the oil of a cool morning and a warm noon or two clicks of rebound move the overshoot more."""

    def truth() -> Truth:
        oil, click = moved("oil", "overshoot"), moved("rebound", "overshoot")
        alike = abs(oil - click) < 0.1 * click
        return Truth(
            "both alike" if alike else OIL if oil > click else CLICK,
            f"the overshoot of a release moves by {oil:.0f} % of the depth with the oil, and by {click:.0f} % over the "
            f"two clicks from one closed to one open, so by about {0.5 * click:.0f} % with each of them.",
        )

    return Question(
        key="oil_or_click", truth=truth,
        text="A cool morning and a warm noon, or two clicks of rebound, from one closed to one open: which moves the "
        "overshoot of a release more?",
        options={
            OIL: Wrong(Mistake.SIZE, "Look at both rows of the second table."),
            CLICK: Wrong(Mistake.SIZE, "Look at both rows of the second table."),
            "both alike": Wrong(Mistake.SIZE, "They come near each other, but not so near."),
        },
    )  # fmt: skip


def _proof() -> Question:
    """What a table of right numbers proves."""

    def truth() -> Truth:
        outside = sum(not row.within for row in _rows())
        return Truth(
            NO_PROOF,
            f"{outside} rows lie outside, and yet nothing in the first table knows your vehicle: its masses, its "
            "spring, its damper. Measure them.",
        )

    return Question(
        key="proof", truth=truth,
        text="Does the first table prove that your own vehicle needs the click that the lab names?",
        options={
            PROOF: Wrong(Mistake.CAUSE, "Whose vehicle stands in that table?"),
            NO_PROOF: Wrong(Mistake.CAUSE, "What does the table know of your vehicle?"),
        },
    )  # fmt: skip


def _better_by_little() -> Question:
    """What to do with a gain smaller than a day's difference."""

    def truth() -> Truth:
        oil = moved("oil", "overshoot")
        return Truth(
            LEAVE, f"the oil of another day alone moves the overshoot by {oil:.0f} % of the depth: a smaller gain is "
            "gone by noon.",
        )  # fmt: skip

    return Question(
        key="little", truth=truth,
        text="The lab calls one setting better than another, by less than the oil's row moves the same measure. What "
        "do you do?",
        options={
            TURN: Wrong(Mistake.ONE_TEST, "It is better on this day's oil. And on another day's?"),
            LEAVE: Wrong(Mistake.ONE_TEST, "Compare the gain with what a day moves."),
            MEASURE: Wrong(Mistake.HARD, "Closing further is no measurement."),
        },
    )  # fmt: skip


def _load_moves() -> Question:
    """A number off the second table."""

    def truth() -> Truth:
        click = moved("rebound", "overshoot")
        return Truth(
            round(click, 0),
            f"one click closed and one open lie {click:.0f} % of the release depth apart in overshoot.",
            1.0,
        )

    return Question(
        key="click_moves", truth=truth, unit="% of the depth", between=lambda: (0, 100),
        text="By how much does the overshoot of a release differ between one click of rebound closed and one open "
        "(second table, last row)?",
    )  # fmt: skip
