"""A stated procedure for a mystery vehicle: cheap tests first, each judged by its tolerance against a sound vehicle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.mystery import NOTHING, MysteryVehicle
from suspension_lab.workshop.mystery_measuring import DIFFERENCE, GAP, GAS, PRESSURE, PUSHED, RIDER, SWINGS
from suspension_lab.workshop.mystery_tests import TESTS, Answer, Sheet

CLEARLY_MORE = 3.0
"""From so much on two sags lie clearly further apart than on a sound vehicle [mm] (our choice: the tape alone moves
their difference by up to 2 mm, a lost gas charge by half a millimetre)."""
SWINGS_ON = 2
"""So many visible swings are swinging on (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """Work that can be ordered.

    Attributes:
        name: for a tick box, and minutes: its price (our choice).
        cures: a key of `CAUSES`.
    """

    name: str
    minutes: int
    cures: str


REMEDIES = {
    "inflate": Remedy(name="Inflate the cold tyre to the stated pressure", minutes=3, cures="soft_tyre"),
    "spring": Remedy(name="Licensed workshop: fit the spring for the load", minutes=30, cures="wrong_spring"),
    "gas": Remedy(name="Licensed workshop: gas charge of the damper", minutes=30, cures="lost_gas"),
    "seal": Remedy(name="Licensed workshop: seals of the damper", minutes=30, cures="sticky_seal"),
}
"""Key -> what it is; nobody opens a damper or takes a spring apart here."""

PROCEDURE = (
    "Tyre gauge. Below the stated pressure by more than the gauge's tolerance: the tyre is soft. Inflate it, cold.",
    "Else sag by tape. It sits higher with the rider than a sound one by more than the tolerance: the spring is too "
    "hard. A licensed workshop fits the spring for the load.",
    "It sits lower: look at rider sag less free sag. More than a sound one's by over 3 mm: the spring is too soft. A "
    "licensed workshop fits the spring for the load.",
    "It sits lower, and that difference does not tell: a licensed workshop takes damper and spring apart and pushes "
    "the shaft in by hand. Gas force short by more than the balance's tolerance: the gas is lost, and the workshop "
    "fills it. Gas force right: the spring is too soft after all, and the workshop fits the one for the load.",
    "Sag right, but let down and let up lie further apart than on a sound one by more than the tolerance: a seal "
    "sticks, and the damper goes to a licensed workshop.",
    "Else the release test. Two or more visible swings: count rebound. More open than on its sheet: rebound is too "
    "soft.",
    "Else the quick push. Less deep than a sound one by more than the tolerance: count low-speed compression. More "
    "closed than on its sheet: it is closed.",
    "Else nothing is wrong that these tests can show.",
    "In every case set all clicks to those of its sheet, and do the release test once more before it leaves.",
)
"""What to do, step by step; the first step that finds something ends the search."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """A step of the procedure on one vehicle.

    Attributes:
        number: in `PROCEDURE`, from 1.
        answer: what was tested; None: nothing new was.
        found: what it said, a sentence.
    """

    number: int
    answer: Answer | None
    found: str


@dataclass(frozen=True, kw_only=True)
class Solution:
    """What a careful hand does with a vehicle.

    Attributes:
        steps: as they were taken.
        diagnosis: a key of `CAUSES`.
        clicks: to set.
        remedies: keys of `REMEDIES`.
        minutes: tests and remedies.
    """

    steps: tuple[Step, ...]
    diagnosis: str
    clicks: Clicks
    remedies: tuple[str, ...]
    minutes: int


def solve(mystery: MysteryVehicle) -> Solution:
    """Follow `PROCEDURE` on a vehicle, by its tests' answers and its sheet alone.

    Args:
        mystery: the vehicle.
    """
    sheet = Sheet(mystery=mystery)
    steps: list[Step] = []
    diagnosis = follow(sheet.do, steps)
    remedies = remedies_for(diagnosis)
    clicks = mystery.sound.clicks
    steps.append(Step(number=len(PROCEDURE), answer=None, found=f"All clicks to those of its sheet: {clicks}."))
    return Solution(
        steps=tuple(steps), diagnosis=diagnosis, clicks=clicks, remedies=remedies,
        minutes=sheet.minutes + sum(REMEDIES[key].minutes for key in remedies),
    )  # fmt: skip


def remedies_for(cause: str) -> tuple[str, ...]:
    """Keys of what cures a cause; none where a click does."""
    return tuple(key for key, remedy in REMEDIES.items() if remedy.cures == cause)


def follow(do: Callable[[str], Answer], steps: list[Step]) -> str:
    """The search of `PROCEDURE`: it sees answers and nothing else.

    Args:
        do: does a test by its key.
        steps: what was found is written down here.

    Returns:
        A key of `CAUSES`.
    """

    def note(number: int, answer: Answer | None, found: str) -> None:
        steps.append(Step(number=number, answer=answer, found=found))

    gauge = do("gauge")
    pressure = gauge.row(PRESSURE)
    soft = pressure.below
    note(1, gauge, f"{pressure.measured}, stated {pressure.sound}: {'too low' if soft else 'right'}.")
    if soft:
        return "soft_tyre"
    sag = do("sag")
    by_sag = _by_sag(sag, do, note)
    if by_sag:
        return by_sag
    release = do("release")
    count = release.row(SWINGS)
    swings_on = count.value >= SWINGS_ON
    note(6, release, f"Visible swings: {count.measured}: {'it swings on' if swings_on else 'it does not swing on'}.")
    if swings_on and _counted(do("count_rebound"), 6, "open", note):
        return "soft_rebound"
    push = do("push")
    depth = push.row(PUSHED)
    shallow = depth.below
    note(7, push, f"Pushed down {depth.measured}, a sound one {depth.sound}: {'less deep' if shallow else 'right'}.")
    if shallow and _counted(do("count_low_speed"), 7, "closed", note):
        return "closed_low_speed"
    note(8, None, "None of these tests shows anything wrong.")
    return NOTHING


_Note = Callable[[int, Answer | None, str], None]


def _by_sag(sag: Answer, do: Callable[[str], Answer], note: _Note) -> str:
    rider, apart, gap = sag.row(RIDER), sag.row(DIFFERENCE), sag.row(GAP)
    sits = "higher" if rider.below else "lower" if rider.above else "as it should"
    note(2, sag, f"Rider sag {rider.measured}, a sound one {rider.sound}: it sits {sits}.")
    if sits == "higher":
        return "wrong_spring"
    if sits == "lower":
        clearly = apart.more > CLEARLY_MORE
        tells = "clearly more, so the spring" if clearly else "not clearly more, so spring or gas"
        note(3, None, f"Rider sag less free sag {apart.measured}, a sound one {apart.sound}: {tells}.")
        if clearly:
            return "wrong_spring"
        in_hand = do("in_hand")
        gas = in_hand.row(GAS)
        short = gas.below
        note(4, in_hand, f"Gas force {gas.measured}, a sound one {gas.sound}: {'lost' if short else 'it is there'}.")
        return "lost_gas" if short else "wrong_spring"
    sticks = gap.above
    note(5, None, f"Gap {gap.measured}, a sound one {gap.sound}: {'a seal sticks' if sticks else 'right'}.")
    return "sticky_seal" if sticks else ""


def _counted(answer: Answer, number: int, way: str, note: _Note) -> bool:
    row = answer.rows[0]
    found = row.more > 0.0 if way == "open" else row.more < 0.0
    note(number, answer, f"{row.what}: {row.measured}, by its sheet {row.sound}: "
         f"{f'more {way}' if found else f'not more {way}'}.")  # fmt: skip
    return found


def price_list() -> tuple[tuple[str, int], ...]:
    """What every test and remedy costs: names and minutes."""
    return (
        *((test.name, test.minutes) for test in TESTS.values()),
        *((each.name, each.minutes) for each in REMEDIES.values()),
    )  # fmt: skip
