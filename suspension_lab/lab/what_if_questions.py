"""Questions of the lesson on what-ifs; the truth is worked out when the answer is asked for."""

from __future__ import annotations

from functools import lru_cache

import ipywidgets as widgets

from suspension_lab.lab.questions import (
    ALL_BETTER,
    EVEN_AND_HARSH,
    UNEVEN_AND_HARSH,
    UNEVEN_AND_SOFT,
    VEHICLE,
    Question,
    Truth,
    ride_becomes,
)
from suspension_lab.lab.what_if_settings import as_excitation
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.release_test import WORDS, Verdict, verdict_on
from suspension_lab.workshop.what_if import Change, what_if

TRIED = 128
"""Variations: enough for a day's scatter, and answered at once."""
PUSHED, RIDDEN, NONE = "the quick push", "the average road", "neither of them"
LEAVE_IT = "leave it so: the road has told"
BACK_OPEN, BACK_CLOSED = "turn it back: it creeps back now", "turn it back: it swings on now"


def what_if_questions() -> widgets.Widget:
    """What lesson 07 asks."""
    return widgets.VBox([each.widget for each in (one_click_question(), pothole_question(), rebound_question())])


def one_click_question() -> Question:
    """Which test shows one click of low-speed compression beyond what differs from day to day."""

    def truth() -> Truth:
        out = {answer: [change.kind.name for change in _changed(test, low_speed=9) if change.stands_out]
               for answer, test in ((PUSHED, "push"), (RIDDEN, "road"))}  # fmt: skip
        force = next(each for each in _changed("push", low_speed=9) if each.kind.key == "compression_force")
        showing = [answer for answer, names in out.items() if names]
        return Truth(
            showing[0] if showing else NONE,
            f"the largest change is that of the strongest compression force in the push, from {force.before.shown} to "
            f"{force.after.text}; from one day to the next it scatters by about {force.blur:.0f} N.",
        )

    return Question(
        "Low-speed compression is closed by one click, from 10 to 9. Which test shows it, beyond what differs from day "
        "to day?", (PUSHED, RIDDEN, NONE), truth,
    )  # fmt: skip


def pothole_question() -> Question:
    """What closing high-speed compression does on the pothole."""

    def truth() -> Truth:
        found = {change.kind.key: change for change in _changed("pothole", high_speed=0)}
        even, harsh = found["tyre_load_variation"], found["weighted_acceleration"]
        return Truth(
            ride_becomes(even.change < 0.0, harsh.change < 0.0),
            f"tyre load variation goes from {even.before.shown} to {even.after.text}, weighted body acceleration from "
            f"{harsh.before.shown} to {harsh.after.text}.",
        )

    return Question(
        "High-speed compression is closed from 8 clicks out to 0. Over the pothole at 30 km/h the ride becomes ...",
        (ALL_BETTER, EVEN_AND_HARSH, UNEVEN_AND_SOFT, UNEVEN_AND_HARSH), truth,
    )  # fmt: skip


def rebound_question() -> Question:
    """What to do with a rebound that a road likes and the release test does not."""

    def truth() -> Truth:
        said = verdict_on(load_station(VEHICLE).with_clicks(rebound=12))
        found = {change.kind.key: change for change in _changed("road", rebound=12)}["weighted_acceleration"]
        right = {Verdict.TOO_OPEN: BACK_CLOSED, Verdict.TOO_CLOSED: BACK_OPEN}.get(said, LEAVE_IT)
        return Truth(
            right,
            f"weighted body acceleration goes from {found.before.shown} to {found.after.text} there, but in the "
            f"release test rebound 12 {WORDS[said]}. Rebound is set by that test first.",
        )

    return Question(
        "Rebound is opened from 9 to 12 clicks, and the average road becomes more comfortable. What do you do?",
        (LEAVE_IT, BACK_OPEN, BACK_CLOSED), truth,
    )  # fmt: skip


@lru_cache(maxsize=8)
def _changed(test: str, **clicks: int) -> tuple[Change, ...]:
    """What a change of the vehicle's clicks does on one test, where that is worth a word."""
    station = load_station(VEHICLE)
    answer = what_if(station, station.with_clicks(**clicks), as_excitation(test, station), samples=TRIED)
    return tuple(change for change in answer.changes if change.worth_a_word)
