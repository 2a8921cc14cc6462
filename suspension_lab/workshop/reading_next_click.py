"""The next click in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.click_belief import Measured, Side
from suspension_lab.workshop.release_test import ON_TARGET, WORDS, Verdict, so_many, target_time, verdict_on

if TYPE_CHECKING:
    from suspension_lab.workshop.next_click import NextClick

NEAR = 0.25
"""Of the target: within so much a time is called near it (our choice)."""
ODD_TARGET = 1.5
"""So many times shorter than the vehicle's own a target is odd (our choice)."""
FAR = 2
"""More clicks than this at once are gone in steps where the file speaks against them (our choice)."""
HARDLY = 0.01
"""A chance below this is told as none to speak of."""
TOO_WEAK = (
    "Even fully closed the damper would be too weak: it would swing on. Signs to tell why: oil that is too thin or hot "
    "(test again cold), oil on the rod or a hiss at each turn (worn seal, lost gas), a spring too stiff for the load "
    "(look at the sag), a worn piston ring or valve. Opening the damper is work for a licensed workshop."
)
TOO_STRONG = (
    "Even fully open the damper would be too strong for this target. Signs to tell why: oil that is too thick or cold "
    "(test again warm), a shaft or linkage that binds (it sticks when moved by hand), a spring too soft for the load "
    "(look at the sag), or a target that is too short for this travel."
)


NONE_BETWEEN = (
    "Rebound {0} creeps and rebound {1} swings on, so no click between them passes. Check seal and linkage friction, "
    "the spring's rate for this load and the oil's temperature before you go on; a damper is opened by a licensed "
    "workshop."
)


def read_next_click(
    answer: NextClick, station: Station, tries: Sequence[Measured], target: float, unnamed: bool
) -> NextClick:
    """The answer with its sentences."""
    said, usual = [], target_time(station)
    if unnamed:
        said.append(f"No vehicle was given: reckoned with {station.name} (invented); give yours for a better answer.")
    if tries:
        said.append(_last(answer, tries[-1], target, usual))
    said += _odd_target(target, usual)
    if answer.contradict and not answer.done:
        said.append(
            "These measurements contradict each other: a click creeps though a more closed one swings on. Test both "
            "again, at the same depth, load and oil temperature."
        )
    if answer.stuck and answer.reachable:
        said.append(
            "The times do not follow the clicks: three settings took the same. Check the watch, the depth, and "
            "whether the adjuster turns anything, before you go on."
        )
    if answer.done:
        said += _done(answer, tries, target)
    elif answer.gap:
        said.append(NONE_BETWEEN.format(*answer.gap))
    elif not answer.reachable:
        said.append(TOO_WEAK if answer.too_weak else TOO_STRONG)
    else:
        own = answer.limit < ON_TARGET * usual - 1e-9
        said += [
            _proposal(answer, tries, "meets your target" if own else "passes"),
            *_by_the_file(station, answer, tries),
        ]
    return replace(answer, sentences=(*said, *STANDING_TEST))


def _odd_target(target: float, own: float) -> list[str]:
    """That a wished time is shorter than the vehicle's by much, or longer than what passes."""
    if target < own / ODD_TARGET:
        return [f"A target of {target:.2g} s is odd for this vehicle, which settles well set in about {own:.2f} s."]
    if target > ON_TARGET * own:
        return [
            f"A target of {target:.2f} s is odd for this vehicle: what settles later than {ON_TARGET * own:.2f} s "
            "fails the release test, whatever was wished."
        ]
    return []


def _done(answer: NextClick, tries: Sequence[Measured], target: float) -> list[str]:
    """What was measured at the click that is done, and what to do with it."""
    met = next(each for each in reversed(tries) if each.clicks == answer.click)
    quick = met.seconds < (1.0 - NEAR) * target
    near = f"quicker than the target of {target:.2f} s" if quick else f"near enough to the target of {target:.2f} s"
    said = f"Done: you measured {met.seconds:.2f} s at rebound {answer.click}, {near}, with "
    said += "one swing." if met.swings else "no swing."
    if quick:
        said += " It comes back soon and does not swing on: leave it, a slower return is not better."
    if tries[-1].clicks != answer.click:
        said += f" Set rebound back to {answer.click}: of what you measured and what passes, it settles soonest."
    return [f"{said} Write it down with load and oil temperature, and test once more when it is warm."]


def _by_the_file(station: Station, answer: NextClick, tries: Sequence[Measured]) -> list[str]:
    """What the vehicle's file has against a proposal, and whether it is an end stop."""
    assert answer.click is not None
    by = abs(answer.click - tries[-1].clicks) if tries else FAR + 1
    if not by:
        return []
    said = []
    if answer.click in (0, station.damper.adjusters["rebound"]):
        said.append(f"Rebound {answer.click} is an end stop: go there without force, and do not settle on it.")
    try:
        says = verdict_on(station.with_clicks(rebound=answer.click))
    except LabError as error:
        return [*said, str(error)]
    if says is not Verdict.PASSES:
        slowly = f": go there {FAR} clicks at a time, and test each" if by > FAR else ""
        said.append(f"By its file, rebound {answer.click} {WORDS[says].split(':')[0]} in the release test{slowly}.")
    return said


def _last(answer: NextClick, last: Measured, target: float, own: float) -> str:
    took = f"Rebound {last.clicks} " + (
        "does not settle" if math.isinf(last.seconds) else f"takes {last.seconds:.2f} s"
    )
    soon = last.seconds <= answer.limit
    if answer.stuck:
        return f"{took}."
    if last.swings is None and answer.again:
        if soon:
            return f"{took}: soon enough. Count the swings too: the clock alone cannot tell whether it swings on."
        return f"{took}: too long. Count the swings too: the clock alone cannot tell whether it creeps or swings on."
    if last.swings is None:
        return f"{took}; without its swings, on which side it stands is known from the vehicle's file only."
    counted = ("no swing", "one swing")[last.swings] if last.swings < 2 else f"{last.swings} swings"
    if not soon and last.swings <= 1 and last.seconds <= ON_TARGET * own:
        return (
            f"{took} with {counted}: it passes the release test ({ON_TARGET * own:.2f} s), but is slower than your "
            f"target allows ({answer.limit:.2f} s)."
        )
    if answer.again and not answer.contradict and answer.click == last.clicks:
        return f"{took} with {counted}: it does not pass, yet this does not fit what is known of this damper."
    if answer.side is Side.TOO_OPEN and soon and last.seconds >= (1.0 - NEAR) * target:
        close = " Close it." if answer.click is not None and answer.click < last.clicks else ""
        return f"{took}, as wished, but on the open side: two dampings take this time, and this one swings on.{close}"
    if answer.side is Side.TOO_OPEN:
        swings = "it swings on and " if last.swings > 1 else "it "
        return f"{took}: {swings}stands on the open side of what passes."
    if answer.side is Side.TOO_CLOSED:
        return f"{took}: it stands on the closed side of what passes."
    quick = last.seconds < (1.0 - NEAR) * target
    return f"{took}, {'quicker than the target' if quick else 'near the target'}."


def _proposal(answer: NextClick, tries: Sequence[Measured], passes: str) -> str:
    assert answer.click is not None
    click, by = answer.click, answer.click - tries[-1].clicks if tries else 0
    turn = f"{'open (counter-clockwise)' if by > 0 else 'close (clockwise)'} by {so_many(abs(by))}" if by else ""
    chance = f"{passes} (settled by {answer.limit:.2f} s, at most one swing) with a chance "
    chance += _in_percent(answer.chances[click])
    if answer.again:
        how = f" ({turn})" if turn else ", as it stands"
        after = "" if answer.stuck or answer.contradict else f" By all that was measured it {chance}."
        return f"Measure rebound {click} once more{how}: three times, and count the swings.{after}"
    near = f"; rebound {answer.low} to {answer.high} at least half as likely" if answer.high > answer.low else ""
    if answer.chances[click] < HARDLY:
        chance, near = f"hardly {passes} (chance below 1 %), but tells how strong this damper is", ""
    return (
        f"Try rebound {click} next{f': {turn}' if turn else ''}. It {chance}{near}. Measure three times, and count the "
        "swings."
    )


def _in_percent(chance: float) -> str:
    if chance > 1.0 - HARDLY:
        return "above 99 %"
    return "below 1 %" if chance < HARDLY else f"of {100.0 * chance:.0f} %"
