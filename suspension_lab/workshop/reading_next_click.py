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
"""Times the vehicle's own from which a target is odd (our choice)."""
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


def read_next_click(
    answer: NextClick, station: Station, tries: Sequence[Measured], target: float, limit: float, unnamed: bool
) -> NextClick:
    """The answer with its sentences; `limit` is the longest time that passes [s]."""
    said = []
    if unnamed:
        said.append(f"No vehicle was given: reckoned with {station.name} (invented); give yours for a better answer.")
    if tries:
        said.append(_last(answer, tries[-1], target))
    own = target_time(station)
    if not own / ODD_TARGET <= target <= own * ODD_TARGET:
        said.append(f"A target of {target:.2g} s is odd for this vehicle, which settles well set in about {own:.2f} s.")
    if answer.contradict and not answer.done:
        said.append(
            "These measurements contradict each other: a click creeps though a more closed one swings on. Test both "
            "again, at the same depth, load and oil temperature."
        )
    if answer.stuck:
        said.append(
            "The times do not follow the clicks: three settings took the same. Check the watch, the depth, and "
            "whether the adjuster turns anything, before you go on."
        )
    if answer.done:
        said += _done(answer, tries, target)
    elif not answer.reachable:
        said.append(TOO_WEAK if answer.too_weak else TOO_STRONG)
    else:
        said += [*_passes_already(station, tries), _proposal(answer, tries, limit), *_by_the_file(station, answer)]
    return replace(answer, sentences=(*said, *STANDING_TEST))


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


def _passes_already(station: Station, tries: Sequence[Measured]) -> list[str]:
    """That what was measured last would do, though it is not the target."""
    if not tries or tries[-1].swings is None or tries[-1].swings > 1:
        return []
    if tries[-1].seconds > ON_TARGET * target_time(station):
        return []
    limit = ON_TARGET * target_time(station)
    return [
        f"As measured, rebound {tries[-1].clicks} passes the release test (settled by {limit:.2f} s, at most one "
        "swing); what follows only brings it nearer to the target time."
    ]


def _by_the_file(station: Station, answer: NextClick) -> list[str]:
    """What the vehicle's file has against a proposal, and whether it is an end stop."""
    assert answer.click is not None
    said = []
    if answer.click in (0, station.damper.adjusters["rebound"]):
        said.append(f"Rebound {answer.click} is an end stop: go there without force, and do not settle on it.")
    try:
        says = verdict_on(station.with_clicks(rebound=answer.click))
    except LabError as error:
        return [*said, str(error)]
    if says is not Verdict.PASSES:
        said.append(
            f"By its file, rebound {answer.click} {WORDS[says].split(':')[0]} in the release test: go there two clicks "
            "at a time, and test each."
        )
    return said


def _last(answer: NextClick, last: Measured, target: float) -> str:
    took = "does not settle" if math.isinf(last.seconds) else f"takes {last.seconds:.2f} s"
    near = abs(last.seconds - target) <= NEAR * target
    if last.swings is None and answer.click == last.clicks and not answer.stuck:
        return (
            f"Rebound {last.clicks} {took}: soon enough. Count the swings too: the clock alone cannot tell whether it "
            "swings on."
        )
    if answer.side is Side.TOO_OPEN and near and not answer.done:
        return (
            f"Rebound {last.clicks} {took}, as wished, but on the open side: two dampings take this time, and this one "
            f"{'swings on' if last.swings is not None else 'would swing on, by the file'}. Close it."
        )
    if answer.side is Side.TOO_OPEN:
        swings = "it swings on and " if last.swings is not None and last.swings > 1 else "it "
        return f"Rebound {last.clicks} {took}: {swings}stands on the open side of what passes."
    if answer.side is Side.TOO_CLOSED:
        return f"Rebound {last.clicks} {took}: it stands on the closed side of what passes."
    quick = last.seconds < (1.0 - NEAR) * target
    return f"Rebound {last.clicks} {took}, {'quicker than the target' if quick else 'near the target'}."


def _proposal(answer: NextClick, tries: Sequence[Measured], limit: float) -> str:
    assert answer.click is not None
    chance = f"passes (settled by {limit:.2f} s, at most one swing) with a chance of "
    chance += f"{100.0 * float(answer.chances[answer.click]):.0f} %"
    by = answer.click - tries[-1].clicks if tries else 0
    if tries and not by:
        return (
            f"Measure rebound {answer.click} once more, as it stands: three times, and count the swings. So far it "
            f"{chance}."
        )
    turn = f": {'open (counter-clockwise)' if by > 0 else 'close (clockwise)'} by {so_many(abs(by))}" if tries else ""
    near = f"; rebound {answer.low} to {answer.high} at least half as likely" if answer.high > answer.low else ""
    return f"Try rebound {answer.click} next{turn}. It {chance}{near}. Measure three times, and count the swings."
