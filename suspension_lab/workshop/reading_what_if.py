"""A what-if in plain words: what gets better, what gets worse, and what nobody would notice."""

from __future__ import annotations

import math

from suspension_lab.common.errors import LabError
from suspension_lab.workshop.release_test import WORDS, Verdict, verdict_on
from suspension_lab.workshop.what_if import Change, WhatIf

NOTHING = "Nothing watched here changes by more than is worth a word."
VARIED = {
    "rider": "load", "tyre_pressure": "tyre pressure", "oil_temperature": "oil temperature", "friction": "friction",
    "rebound_damping": "the fit's rebound damping", "compression_damping": "the fit's compression damping",
    "spring_rate": "the fit's spring rate", "sprung_mass": "the fit's sprung mass",
}  # fmt: skip
LIKELY = 0.7
"""Under this share of the variations a change is told as open (our choice)."""
ORDER = ("worse", "better", "changed")


def read_what_if(answer: WhatIf) -> list[str]:
    """Sentences on a change: what gets worse as loudly as what gets better, how sure, and the release test's word."""
    every = [change for change in answer.changes if change.worth_a_word]
    told = [change for change in every if change.agree >= LIKELY]
    open_ones = [change for change in every if change.agree < LIKELY]
    said = [
        f"{_named(direction)}: {'; '.join(_told(change) for change in told if change.direction == direction)}."
        for direction in ORDER
        if any(change.direction == direction for change in told)
    ]
    if told and not any(change.direction == "worse" for change in told):
        said.append("Nothing watched here gets worse.")
    if told and not any(change.direction == "better" for change in told):
        said.append("Nothing watched here gets better.")
    if open_ones:
        said.append(f"Open, as often the other way or not at all: {'; '.join(_told(change) for change in open_ones)}.")
    return [*_release(answer), *(said or [NOTHING]), _colleague(answer), _varied(answer)]


def _named(direction: str) -> str:
    return {"worse": "Worse", "better": "Better", "changed": "Changed, neither better nor worse by itself"}[direction]


def _told(change: Change) -> str:
    counted = change.kind.unit == "times" or not math.isfinite(change.before.value)
    before = change.before.text if counted else change.before.shown
    how = f"{change.kind.name} {before} → {change.after.text}"
    if not change.sure:
        return f"{how} on {change.test} (not sure: so in {100.0 * change.agree:.0f} % of the variations)"
    felt = "stands out" if change.stands_out else "less than differs from day to day"
    return f"{how} on {change.test} (sure; {felt})"


def _release(answer: WhatIf) -> list[str]:
    """A change that leaves the release test must not be made, whatever it gains."""
    try:
        was, now = verdict_on(answer.before), verdict_on(answer.after)
    except LabError as error:
        return [str(error)]
    if now is Verdict.PASSES:
        return (
            [] if was is Verdict.PASSES else ["After the change it passes the release test, which it did not before."]
        )
    return [f"Do not leave it so: after the change, in the release test, it {WORDS[now]}."]


def _colleague(answer: WhatIf) -> str:
    """What someone at the next bench would say."""
    try:
        if verdict_on(answer.after) is not Verdict.PASSES:
            return "In short: not to be left so, whatever it gains; rebound comes first."
    except LabError:
        return "In short: see to its rest first."
    clear = [change for change in answer.changes if change.stands_out]
    better = [change for change in clear if change.direction == "better"]
    worse = [change for change in clear if change.direction == "worse"]
    if not clear:
        return "In short: you would hardly notice. Load, tyre pressure and oil do as much from one day to the next."
    if better and worse:
        return (
            f"In short: you gain {_names(better)} and pay with {_names(worse)}; both are larger than a day's scatter."
        )
    if better:
        paid = [change for change in answer.changes if change.direction == "worse"]
        cost = f"but look at {_names(paid)}, which got worse too" if paid else "and nothing watched got worse"
        return f"In short: you should notice it, in {_names(better)}, {cost}."
    if worse:
        return f"In short: you should notice it, and only for the worse, in {_names(worse)}."
    return f"In short: you should notice it, in {_names(clear)}."


def _names(changes: list[Change]) -> str:
    names = list(dict.fromkeys(f"{change.kind.name} ({change.test})" for change in changes))
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _varied(answer: WhatIf) -> str:
    names = list(dict.fromkeys(VARIED[name] for name in answer.varied))
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return (
        f"Tried in {answer.samples} variations of {listed}. Sure: 95 of 100 agree on the direction. Stands out: more "
        "than twice what the same setting scatters by."
    )
