"""What a mystery vehicle is worth when handed over: evenness, comfort and minutes, with the release test above all.

Weights, caps and where points begin to be lost are our choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.evenness import Felt, felt
from suspension_lab.workshop.mystery import CAUSES, MysteryVehicle, sound_station, verdicts_of
from suspension_lab.workshop.mystery import mystery as mystery_of
from suspension_lab.workshop.mystery_mistakes import WrongDiagnosis, shown_by_a_test, wrong_diagnosis
from suspension_lab.workshop.mystery_procedure import REMEDIES, remedies_for, solve
from suspension_lab.workshop.mystery_tests import Sheet
from suspension_lab.workshop.presets import street_rides
from suspension_lab.workshop.release_test import WORDS, Verdict, from_to, passing

EVENNESS, COMFORT, MINUTES = 40, 25, 35
"""Points to be had."""
GONE = 0.30
"""A share of the reference by which a measure is worse where its last point is gone."""
SLOW = 45
"""Minutes beyond the procedure's at which the last point for time is gone."""
REBOUND_FAILS, FAULT_LEFT, WRONG, LUCKY = 20, 10, 25, 60
"""The most points with a rebound that fails the release test, with the fault still in, with a wrong diagnosis, and with
a right one that no test had shown."""
OUT_OF_CLOSED = 0.25
"""Low-speed compression counts as closed no more from this share of its range on."""
DURATION = 5.0
"""Of the ride over the average road [s]."""


@dataclass(frozen=True, kw_only=True)
class Decision:
    """What is handed over.

    Attributes:
        diagnosis: a key of `CAUSES`.
        clicks: as set; None leaves an adjuster as it stood.
        remedies: keys of `REMEDIES`.

    Raises:
        LabError: no diagnosis, or a diagnosis or remedy that there is not.
    """

    diagnosis: str
    clicks: Clicks = field(default_factory=Clicks)
    remedies: Sequence[str] = ()

    def __post_init__(self) -> None:
        if not self.diagnosis:
            raise LabError(
                "No diagnosis was chosen; choose what is wrong, or that nothing is, before you hand it over."
            )
        if self.diagnosis not in CAUSES:
            raise LabError(f"There is no diagnosis '{self.diagnosis}'; {nearest_name(self.diagnosis, CAUSES)}")
        for remedy in self.remedies:
            if remedy not in REMEDIES:
                raise LabError(f"There is no remedy '{remedy}'; {nearest_name(remedy, REMEDIES)}")
        object.__setattr__(self, "remedies", tuple(dict.fromkeys(self.remedies)))


SET_RIGHT = {"soft_rebound": "rebound", "closed_low_speed": "low_speed"}
"""Cause -> the adjuster that stands wrong."""


def as_believed(mystery: MysteryVehicle, cause: str) -> Decision:
    """What somebody who believes a cause hands over: its remedy is ordered, its adjuster set to the sheet's click.

    Args:
        mystery: the vehicle.
        cause: a key of `CAUSES`.

    Raises:
        LabError: no such cause.
    """
    adjuster = SET_RIGHT.get(cause)
    clicks = Clicks(**{adjuster: mystery.sound.clicks[adjuster]}) if adjuster else Clicks()
    return Decision(diagnosis=cause, clicks=clicks, remedies=remedies_for(cause))


@dataclass(frozen=True, kw_only=True)
class Score:
    """What it was worth.

    Attributes:
        points: 0 to 100.
        evenness, comfort, time: before any cap.
        cap: the most that was to be had.
        right: whether the diagnosis was.
        mistake: what was wrong about it, else None.
        minutes: of tests and remedies; careful: those of the procedure.
        sentences: where points were lost.
    """

    points: int
    evenness: float
    comfort: float
    time: float
    cap: int
    right: bool
    mistake: WrongDiagnosis | None
    minutes: int
    careful: int
    sentences: tuple[str, ...]


def score(sheet: Sheet, decision: Decision) -> Score:
    """Judge a vehicle that is handed over.

    Evenness and comfort are full at the tyre load variation and weighted acceleration that the sound vehicle has at the
    clicks of its sheet, and gone at 30 % more, or at what the vehicle had as it came where that is worse. Less brings
    no more: by one stretch of road alone, fully open compression would look best. The minutes count only with the
    right diagnosis.

    Args:
        sheet: with the tests that were done.
        decision: what is handed over.

    Raises:
        LabError: clicks that the damper does not have.
    """
    mystery = sheet.mystery
    clicks = mystery.station.with_clicks(**decision.clicks).clicks
    careful = solve(mystery).minutes
    minutes = sheet.minutes + sum(REMEDIES[key].minutes for key in decision.remedies)
    mended = _mended(mystery, decision)
    now = _felt_sound(mystery.vehicle, mystery.load, clicks) if mended else _felt_unmended(mystery.seed, clicks)
    came, sheets = _felt_unmended(mystery.seed, mystery.station.clicks), reference(mystery.vehicle, mystery.load)
    evenness = EVENNESS * _share(now.variation, sheets.variation, came.variation)
    comfort = COMFORT * _share(now.shaking, sheets.shaking, came.shaking)
    right = decision.diagnosis == mystery.fault
    time = MINUTES * float(np.clip(1.0 - (minutes - careful) / SLOW, 0.0, 1.0)) if right else 0.0
    caps = _caps(sheet, decision, clicks)
    cap = min((most for most, _ in caps), default=100)
    said = [
        *(words for _, words in caps),
        _on_measure("Evenness", evenness, EVENNESS, "tyre load varies by",
                    *(f"{100.0 * each.variation:.1f} %" for each in (now, sheets, came))),
        _on_measure("Comfort", comfort, COMFORT, "weighted acceleration is",
                    *(f"{each.shaking:.2f} m/s²" for each in (now, sheets, came))),
        _on_time(time, minutes, careful, right),
        *_on_a_soft_tyre(mystery, mended, came, sheets),
        *_on_needless(mystery, decision),
        _on_what_is_left(mystery, evenness + comfort),
    ]  # fmt: skip
    return Score(
        points=round(min(evenness + comfort + time, cap)), evenness=evenness, comfort=comfort, time=time, cap=cap,
        right=right, mistake=None if right else wrong_diagnosis(sheet, decision.diagnosis), minutes=minutes,
        careful=careful, sentences=tuple(each for each in said if each),
    )  # fmt: skip


def _caps(sheet: Sheet, decision: Decision, clicks: Clicks) -> list[tuple[int, str]]:
    """What limits the points: the most that are left, and why."""
    mystery, found = sheet.mystery, []
    verdicts = verdicts_of(mystery.vehicle, mystery.load)
    verdict, cured = verdicts[clicks["rebound"]], _cured(mystery, decision, clicks)
    if verdict is not Verdict.PASSES:
        good = from_to(passing(verdicts))
        found.append((REBOUND_FAILS, f"In the release test of the sound vehicle rebound {clicks['rebound']} "
                      f"{WORDS[verdict]}; {good} would pass. Nobody may ride so"))  # fmt: skip
    if not cured:
        found.append((FAULT_LEFT, f"The fault is still in it: {CAUSES[mystery.fault]}. A short stretch of average road "
                      "may hardly show it, or even look better for it; it is still there"))  # fmt: skip
    if decision.diagnosis != mystery.fault:
        found.append((WRONG, f"The diagnosis was wrong{', though the fault is gone' if cured else ''}"))
    elif not shown_by_a_test(sheet, mystery.fault):
        found.append((LUCKY, "The diagnosis was right, but no test that you did shows it: a guess"))
    return [(most, f"{words}: at most {most} points are left.") for most, words in found]


def reference(vehicle: str, load: float) -> Felt:
    """What the sound vehicle does on the average road at the clicks of its sheet: that is worth full points.

    Args:
        vehicle: name of a demo vehicle.
        load: rider and load [kg].
    """
    return _felt_sound(vehicle, load, sound_station(vehicle, load).clicks)


def _felt(station: Station, clicks: Clicks) -> Felt:
    return felt(simulate(station.with_clicks(**clicks), street_rides()[0], DURATION))


@lru_cache(maxsize=8192)
def _felt_sound(vehicle: str, load: float, clicks: Clicks) -> Felt:
    return _felt(sound_station(vehicle, load), clicks)


@lru_cache(maxsize=8192)
def _felt_unmended(seed: int, clicks: Clicks) -> Felt:
    return _felt(mystery_of(seed).station, clicks)


def _share(now: float, sheets: float, came: float) -> float:
    gone = max((1.0 + GONE) * sheets, came)
    return float(np.clip((gone - now) / (gone - sheets), 0.0, 1.0))


def _mended(mystery: MysteryVehicle, decision: Decision) -> bool:
    """Whether all parts are sound: a wrong click is no part."""
    wanted = remedies_for(mystery.fault)
    return not wanted or any(key in decision.remedies for key in wanted)


def _cured(mystery: MysteryVehicle, decision: Decision, clicks: Clicks) -> bool:
    if mystery.fault == "soft_rebound":
        return verdicts_of(mystery.vehicle, mystery.load)[clicks["rebound"]] is Verdict.PASSES
    if mystery.fault == "closed_low_speed":
        return clicks["low_speed"] >= OUT_OF_CLOSED * mystery.sound.damper.adjusters["low_speed"]
    return _mended(mystery, decision)


def _on_measure(
    name: str, points: float, most: int, verb: str, now: str, sheets: str, came: str
) -> str:  # fmt: skip
    return (
        f"{name}: {points:.0f} of {most}. On the average road at 40 km/h {verb} {now}; the sound vehicle "
        f"at the clicks of its sheet has {sheets}, and as it came it had {came}."
    )


def _on_time(points: float, minutes: int, careful: int, right: bool) -> str:
    why = "" if right else " Quick counts only with the right diagnosis."
    return (
        f"Minutes: {points:.0f} of {MINUTES}. {minutes} minutes for tests and remedies, where the procedure takes "
        f"{careful}.{why}"
    )


def _on_a_soft_tyre(mystery: MysteryVehicle, mended: bool, came: Felt, sheets: Felt) -> list[str]:
    if mystery.fault != "soft_tyre" or not mended or came.variation >= sheets.variation:
        return []
    return [
        "A soft tyre smooths this road, and yet it is no better tyre: it bends, grows hot and is pinched on an edge. "
        "Pressure is set by the maker's manual, not by this number (common practice, no source)."
    ]


def _on_needless(mystery: MysteryVehicle, decision: Decision) -> list[str]:
    needless = [REMEDIES[key] for key in decision.remedies if REMEDIES[key].cures != mystery.fault]
    which = "; ".join(f"{each.name} ({each.minutes} minutes)" for each in needless)
    return [f"Ordered for nothing: {which}."] if needless else []


def _on_what_is_left(mystery: MysteryVehicle, points: float) -> str:
    if round(points) >= EVENNESS + COMFORT:
        return ""
    return (
        f"Once it is sound, the clicks of its sheet bring all points for evenness and comfort: {mystery.sound.clicks}; "
        "what holds the body when weight shifts is not in this score."
    )
