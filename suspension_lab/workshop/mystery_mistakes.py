"""What kind of mistake a wrong diagnosis of a mystery vehicle is, by the tests that were done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.mystery import CAUSES, NOTHING, MysteryVehicle
from suspension_lab.workshop.mystery_measuring import (
    DIFFERENCE,
    FREE,
    GAP,
    GAS,
    PRESSURE,
    PUSHED,
    RIDER,
    SWINGS,
)
from suspension_lab.workshop.mystery_procedure import CLEARLY_MORE, SWINGS_ON
from suspension_lab.workshop.mystery_tests import TESTS, Answer, Sheet


class DiagnosisMistake(StrEnum):
    """Kinds of wrong diagnosis, as the result sheet names them."""

    NOT_TESTED = "no test that could tell"
    ONE_TEST = Mistake.ONE_TEST.value
    NOT_READ = "an answer not read"
    CAUSE = Mistake.CAUSE.value
    ADJUSTER = Mistake.ADJUSTER.value


@dataclass(frozen=True, kw_only=True)
class WrongDiagnosis:
    """Why a diagnosis was wrong.

    Attributes:
        kind: of mistake.
        said: in a sentence or two, with what the tests had told.
    """

    kind: DiagnosisMistake
    said: str


TELLS = {
    "soft_tyre": "gauge",
    "wrong_spring": "sag",
    "lost_gas": "in_hand",
    "sticky_seal": "sag",
    "soft_rebound": "release",
    "closed_low_speed": "count_low_speed",
}
"""Cause -> the test that tells it."""
ADJUSTERS = ("soft_rebound", "closed_low_speed")
BLAMED = {
    "soft_tyre": "the tyre",
    "wrong_spring": "the spring",
    "lost_gas": "the damper's gas",
    "sticky_seal": "the damper's seal",
    "soft_rebound": "rebound",
    "closed_low_speed": "low-speed compression",
}
IT_IS = {
    "soft_tyre": "that is the tyre",
    "wrong_spring": "that is the spring",
    "lost_gas": "that is the gas",
    "sticky_seal": "that is a sticky seal",
    "soft_rebound": "that is rebound, set too soft",
    "closed_low_speed": "that is low-speed compression, closed",
}
LOOKS_LIKE = {
    ("wrong_spring", "soft_rebound"): "a spring that is too hard may swing on at a rebound that suits the right one",
    ("soft_tyre", "soft_rebound"): "on a soft tyre a vehicle may swing on too, whatever rebound does",
    ("sticky_seal", "closed_low_speed"): "a seal that sticks makes a push shallow too",
    ("wrong_spring", "closed_low_speed"): "a spring that is too hard makes a push shallow too",
    ("lost_gas", "wrong_spring"): "without its gas a damper lets the vehicle sit low, as a soft spring does",
    ("wrong_spring", "lost_gas"): "on a soft spring the vehicle sits low, as it does without gas",
    ("sticky_seal", "lost_gas"): "a seal that sticks keeps the shaft in, though the gas is there",
    ("sticky_seal", "wrong_spring"): "a seal that sticks holds the vehicle wherever it was let down or let up",
}
"""What is wrong, what was blamed -> why the one looks like the other."""


def wrong_diagnosis(sheet: Sheet, diagnosis: str) -> WrongDiagnosis:
    """What kind of mistake it is.

    Args:
        sheet: of the vehicle, with the tests that were done.
        diagnosis: a key of `CAUSES` that is not what is wrong.
    """
    fault = sheet.mystery.fault
    shown = _evidence(_SHOWS, sheet, fault)
    test = TESTS[TELLS[fault]]
    told_by = f"{test.name} ({test.minutes} minutes) would have told"
    if diagnosis == NOTHING:
        if shown:
            said = f"You found nothing wrong, but {shown}: {IT_IS[fault]}."
            return WrongDiagnosis(kind=DiagnosisMistake.NOT_READ, said=said)
        said = f"You found nothing wrong because no test that you did could show it. {told_by}: {CAUSES[fault]}."
        return WrongDiagnosis(kind=DiagnosisMistake.NOT_TESTED, said=said)
    against, blamed = _evidence(_RULES_OUT, sheet, diagnosis), BLAMED[diagnosis]
    alike = _alike(sheet.mystery, diagnosis)
    tail = f" Mind: {alike}." if alike else ""
    if against and shown:
        kind = DiagnosisMistake.CAUSE if alike else DiagnosisMistake.NOT_READ
        if fault in ADJUSTERS and diagnosis in ADJUSTERS:
            kind = DiagnosisMistake.ADJUSTER
        return WrongDiagnosis(kind=kind, said=f"You blamed {blamed}, but {against}, and {shown}: {IT_IS[fault]}.{tail}")
    if shown:
        kind = DiagnosisMistake.CAUSE if alike else DiagnosisMistake.NOT_READ
        own = TESTS[TELLS[diagnosis]].name
        said = f"You blamed {blamed} without a test that rules it in ({own}), and {shown}: {IT_IS[fault]}.{tail}"
        return WrongDiagnosis(kind=kind, said=said)
    if against:
        said = f"You blamed {blamed}, but {against}. {told_by}: {CAUSES[fault]}.{tail}"
        return WrongDiagnosis(kind=DiagnosisMistake.NOT_READ, said=said)
    if sheet.answers:
        said = f"You blamed {blamed} by tests that neither show it nor rule it out. {told_by}: {CAUSES[fault]}.{tail}"
        return WrongDiagnosis(kind=DiagnosisMistake.ONE_TEST, said=said)
    said = f"You blamed {blamed} without any test: that is guessing. {told_by}: {CAUSES[fault]}.{tail}"
    return WrongDiagnosis(kind=DiagnosisMistake.NOT_TESTED, said=said)


def _alike(mystery: MysteryVehicle, diagnosis: str) -> str | None:
    """Why what is wrong looks like what was blamed; None where it does not."""
    if mystery.fault == "wrong_spring" and (mystery.station.sag.rider > mystery.sound.sag.rider) != (
        diagnosis == "lost_gas"
    ):
        return None
    return LOOKS_LIKE.get((mystery.fault, diagnosis))


def shown_by_a_test(sheet: Sheet, cause: str) -> bool:
    """Whether a test that was done shows a cause.

    Args:
        sheet: with the tests that were done.
        cause: a key of `CAUSES`.
    """
    return bool(_evidence(_SHOWS, sheet, cause))


Finding = Callable[[Sheet], str]


def _evidence(table: Mapping[str, tuple[Finding, ...]], sheet: Sheet, cause: str) -> str:
    """The first finding that the tests done give, as a part of a sentence; empty where they give none."""
    return next((found for finding in table.get(cause, ()) if (found := finding(sheet))), "")


def _if(key: str, holds: Callable[[Answer], bool], say: Callable[[Answer], str]) -> Finding:
    def finding(sheet: Sheet) -> str:
        answer = sheet.last(key)
        return say(answer) if answer is not None and holds(answer) else ""

    return finding


def _measured(answer: Answer, what: str) -> str:
    return answer.row(what).measured.split(" (")[0]


def _row(what: str) -> Callable[[Answer], str]:
    return lambda answer: f"{_measured(answer, what)}, a sound one {answer.row(what).sound}"


def _lower(answer: Answer) -> bool:
    return answer.row(RIDER).above


def _swings_on(answer: Answer) -> bool:
    return answer.row(SWINGS).value >= SWINGS_ON


_passed = _if(
    "release", lambda answer: answer.row(SWINGS).value < SWINGS_ON, lambda _: "the release test showed no swinging on"
)
_sag_off = _if("sag", lambda answer: answer.row(RIDER).off, lambda answer: f"the sag is off ({_row(RIDER)(answer)})")
_sag_right = _if("sag", lambda answer: not answer.row(RIDER).off and not answer.row(FREE).off,
                 lambda _: "the sag is as it should be")  # fmt: skip


def _counted(adjuster: str, as_sheet: bool) -> Finding:
    name = adjuster.replace("_", "-")

    def say(answer: Answer) -> str:
        row = answer.rows[0]
        return f"{name} stands at {row.measured}, by its sheet {row.sound}"

    return _if(f"count_{adjuster}", lambda answer: answer.rows[0].off is not as_sheet, say)


_RULES_OUT: Mapping[str, tuple[Finding, ...]] = {
    "soft_tyre": (
        _if("gauge", lambda answer: not answer.row(PRESSURE).off, lambda _: "the gauge shows the stated pressure"),
    ),
    "wrong_spring": (
        _sag_right,
        _if("in_hand", lambda answer: answer.row(GAS).off,
            lambda answer: f"the damper's gas force is {_row(GAS)(answer)}"),
        _if("sag", lambda answer: _lower(answer) and answer.row(DIFFERENCE).more <= CLEARLY_MORE,
            lambda _: "free and rider sag are off by about the same, which lost gas does and a soft spring seldom"),
    ),
    "lost_gas": (
        _if("in_hand", lambda answer: not answer.row(GAS).off, lambda _: "the gas force is there"),
        _if("sag", lambda answer: not _lower(answer), lambda _: "it does not sit low"),
        _if("sag", lambda answer: answer.row(DIFFERENCE).more > CLEARLY_MORE,
            lambda _: "rider sag is further off than free sag, which lost gas does not do"),
    ),
    "sticky_seal": (
        _if("sag", lambda answer: not answer.row(GAP).above,
            lambda _: "let down and let up it rests as near as a sound one"),
    ),
    "soft_rebound": (_counted("rebound", True), _passed),
    "closed_low_speed": (
        _counted("low_speed", True),
        _if("push", lambda answer: not answer.row(PUSHED).below,
            lambda _: "a quick push goes as deep as on a sound one"),
    ),
}  # fmt: skip
"""Cause -> findings that rule it out."""
_SHOWS: Mapping[str, tuple[Finding, ...]] = {
    "soft_tyre": (
        _if("gauge", lambda answer: answer.row(PRESSURE).off,
            lambda answer: f"the gauge shows {answer.row(PRESSURE).measured}, stated {answer.row(PRESSURE).sound}"),
    ),
    "wrong_spring": (_sag_off,),
    "lost_gas": (
        _if("in_hand", lambda answer: answer.row(GAS).off,
            lambda answer: f"the gas force by hand is {_row(GAS)(answer)}"),
        _if("sag", lambda answer: (
                _lower(answer) and answer.row(FREE).off and answer.row(DIFFERENCE).more <= CLEARLY_MORE),
            lambda _: "it sits low by about the same, free and with the rider"),
    ),
    "sticky_seal": (
        _if("sag", lambda answer: answer.row(GAP).above,
            lambda answer: f"let down and let up it rests {_measured(answer, GAP)} apart, a sound one "
                           f"{answer.row(GAP).sound}"),
    ),
    "soft_rebound": (
        _counted("rebound", False),
        _if("release", _swings_on, lambda answer: f"it swings on ({answer.row(SWINGS).measured} visible swings)"),
    ),
    "closed_low_speed": (
        _counted("low_speed", False),
        _if("push", lambda answer: answer.row(PUSHED).below,
            lambda answer: f"a quick push goes only {_row(PUSHED)(answer)}"),
    ),
}  # fmt: skip
"""Cause -> findings that show it."""
