"""The guided bracket's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from suspension_lab.workshop.release_test import so_many

if TYPE_CHECKING:
    from suspension_lab.workshop.bracket import Bracket

WARM_UP = "Warm up: ride ten minutes first, for cold oil is thicker."
EXTREMES = (
    "The first rides at both extremes are slow, on closed ground, and only with a rebound that passes the release "
    "test; stop at once if the wheel hops or the suspension knocks."
)
RIDE_BOTH = " Ride both again; from then on the later verdicts count, and the earlier stay in the record."
STUCK = (
    " They were ridden again already, so end here: something else changes (oil, tyre pressure, road, load), or the "
    "rider cannot feel these clicks."
)
BEYOND = {
    "too soft": "Out of reach: even fully closed it is too soft. Look at spring and preload, then at oil and damper.",
    "too hard": "Out of reach: even fully open it is too hard. Look at spring and preload, then at oil and damper.",
}


def turn(now: int, then: int) -> str:
    """How an adjuster comes from one click to another."""
    if then == now:
        return " (where it stands)"
    return f" ({'open, counter-clockwise,' if then > now else 'close, clockwise,'} by {so_many(abs(then - now))})"


def read_next(bracket: Bracket, clicks: int, again: bool) -> str:
    """What to ride next, with what stands against it."""
    name = f"{bracket.adjuster.replace('_', '-')} {clicks}"
    if not bracket.stops:
        return f"Ride fully soft: {name}, fully open. {WARM_UP} {EXTREMES}"
    way = turn(bracket.stops[-1].clicks, clicks)
    if clicks == 0 and len(bracket.stops) == 1:
        return f"Ride fully hard: {name}, fully closed{way}. {EXTREMES}"
    why = f"{bracket.contradiction} " if bracket.contradiction else ""
    return f"{why}{'Ride again' if again else 'Ride'} {name}{way}: the same road, speed and load."


def contradiction_of(standing: Mapping[int, str], pair: tuple[int, int]) -> str:
    """Two verdicts that cannot both be right."""
    one, other = pair
    return (
        f"These verdicts contradict each other: {one} was {standing[one]} and {other}, which is more open, "
        f"{standing[other]}."
    )


def no_good_between(pair: tuple[int, int]) -> str:
    """Two neighbours of which one verdict may be wrong."""
    return (
        f"Click {pair[0]} was too hard and {pair[1]}, next to it, too soft: a step so large is seldom, so one of these "
        "verdicts may be wrong."
    )


def read_result(bracket: Bracket, best: int, low: int, high: int) -> str:
    """What the verdicts say so far, once both extremes are ridden and no verdict contradicts another."""
    name, given = f"{bracket.adjuster.replace('_', '-')} {best}", bracket.standing
    if not bracket.done:
        return f"So far {name}; the best lies {f'from {low} to {high}' if high > low else 'there'}."
    if "good" not in given.values():
        return (
            f"Two neighbours, too hard and too soft, with nothing between: {name} is the softer of them. Look at tyre "
            "pressure and preload for what is finer than a click."
        )
    if given[0] == given[bracket.most] == "good":
        return f"Good from end to end: this adjuster does nothing the rider feels here; {name} is its middle."
    ride = "" if best in given else " Ride it once: it was chosen between good ones."
    end = (
        " It is an end stop: nothing is left beyond it, so look at spring and oil too."
        if best in (0, bracket.most)
        else ""
    )
    return f"Done: {name}. Write it down with road, load and tyre pressure.{ride}{end}"
