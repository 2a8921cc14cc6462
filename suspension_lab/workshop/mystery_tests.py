"""The tests of a mystery vehicle: each costs minutes, and answers with what the simulation and a tape's error give.

Prices and errors are our choice: plausible for a workshop, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.workshop.mystery import MysteryVehicle, mystery, sound_station, stated_pressure
from suspension_lab.workshop.mystery_instruments import Row
from suspension_lab.workshop.mystery_measuring import MEASURING
from suspension_lab.workshop.mystery_standing import Standing, Values

REPEATED = "The same test again tells the same within its tolerance, and costs its minutes again."


@dataclass(frozen=True, kw_only=True)
class WorkshopTest:
    """A test that can be chosen.

    Attributes:
        key: for scripts, and name, for a button.
        minutes: its price.
        how: what is done, a sentence.
    """

    key: str
    name: str
    minutes: int
    how: str


# fmt: off
TESTS: Mapping[str, WorkshopTest] = {test.key: test for test in (
    WorkshopTest(key="look", name="Look and press by hand", minutes=1,
                 how="Look how it stands, press it down and let go, look at the tyre: cheap and coarse."),
    WorkshopTest(key="gauge", name="Tyre gauge", minutes=2, how="Read the pressure of the cold tyre."),
    WorkshopTest(key="sag", name="Sag by tape", minutes=8,
                 how="Free and with rider, each lifted and let down gently, then pressed and let up gently. The gap "
                     "between the two shows friction."),
    WorkshopTest(key="release", name="Release test", minutes=4,
                 how="Hold it down, let go, take the time by stopwatch, count the swings, and read how low it stands a "
                     "second later."),
    WorkshopTest(key="push", name="Quick push", minutes=4,
                 how="Push with a known force within a tenth of a second and hold it; a pointer shows how deep."),
    WorkshopTest(key="count_rebound", name="Count rebound", minutes=2,
                 how="Count the clicks to closed, without force, and put them back."),
    WorkshopTest(key="count_low_speed", name="Count low-speed compression", minutes=2,
                 how="Count the clicks to closed, without force, and put them back."),
    WorkshopTest(key="count_high_speed", name="Count high-speed compression", minutes=2,
                 how="Count the clicks to closed, without force, and put them back."),
    WorkshopTest(key="pothole", name="Short ride, pothole", minutes=10,
                 how="Warm the damper, ride over a pothole on closed ground, read the rubber ring on the shaft."),
    WorkshopTest(key="washboard", name="Short ride, washboard", minutes=10,
                 how="Warm the damper, ride over a washboard on closed ground, say how it feels."),
    WorkshopTest(key="in_hand", name="Licensed workshop: shaft by hand", minutes=25,
                 how="A licensed workshop takes damper and spring apart, and pushes the shaft half way in and lets it "
                     "come out, both on a spring balance. The damper stays shut. Not a job for your own bench."),
)}
# fmt: on


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What a test told.

    Attributes:
        test: which.
        rows: what was measured, beside what a sound vehicle of this kind gives.
        read: the readings as they were taken; sound: those of a sound one.
        again: how often it had been done before.
    """

    test: WorkshopTest
    rows: tuple[Row, ...]
    read: Values
    sound: Values
    again: int = 0

    def row(self, what: str) -> Row:
        """One of the rows by what it tells."""
        return next(row for row in self.rows if row.what == what)


def offered_tests(mystery: MysteryVehicle) -> tuple[WorkshopTest, ...]:
    """The tests that this vehicle can be put to."""
    has = mystery.sound.damper.adjusters
    return tuple(
        test for key, test in TESTS.items() if not key.startswith("count_") or key.removeprefix("count_") in has
    )


def perform(mystery: MysteryVehicle, key: str, again: int = 0) -> Answer:
    """Do a test.

    Args:
        mystery: the vehicle.
        key: of `TESTS`.
        again: how often it was done before: the error is drawn anew, the vehicle is the same.

    Raises:
        LabError: no such test on this vehicle.
    """
    known = {test.key: test for test in offered_tests(mystery)}
    if key not in known:
        raise LabError(f"There is no test '{key}' for {mystery.sound.name}; {nearest_name(key, known)}")
    measuring = MEASURING[key]
    found, sound = _found(mystery.seed, key), _sound(mystery.vehicle, mystery.load, key)
    rng = np.random.default_rng([mystery.seed, 1 + list(TESTS).index(key), again])
    read = tuple(each.read(value, rng) for each, value in zip(measuring.instruments, found, strict=True))
    rows = measuring.rows(read, sound, _standing_sound(mystery.vehicle, mystery.load))
    return Answer(
        test=known[key], rows=rows, read=read, sound=sound, again=again
    )  # fmt: skip


@dataclass(kw_only=True)
class Sheet:
    """The workshop's sheet of one vehicle: tests as they were done, and the minutes they took.

    Attributes:
        mystery: the vehicle.
        answers: in order.
    """

    mystery: MysteryVehicle
    answers: list[Answer] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        """All tests together."""
        return sum(answer.test.minutes for answer in self.answers)

    def do(self, key: str) -> Answer:
        """Do a test and write it down.

        Raises:
            LabError: no such test on this vehicle.
        """
        answer = perform(self.mystery, key, sum(each.test.key == key for each in self.answers))
        self.answers.append(answer)
        return answer

    def last(self, key: str) -> Answer | None:
        """The last answer of a test; None: it was not done."""
        return next((each for each in reversed(self.answers) if each.test.key == key), None)


@lru_cache(maxsize=8192)
def _found(seed: int, key: str) -> Values:
    """What a test would tell without any error of measurement."""
    return MEASURING[key].truth(_standing(seed))


@lru_cache(maxsize=256)
def _standing(seed: int) -> Standing:
    vehicle = mystery(seed)
    return Standing(
        station=vehicle.station, pressure=vehicle.pressure, sound=vehicle.sound, stated=vehicle.stated_pressure
    )


@lru_cache(maxsize=512)
def _sound(vehicle: str, load: float, key: str) -> Values:
    return MEASURING[key].truth(_standing_sound(vehicle, load))


@lru_cache(maxsize=64)
def _standing_sound(vehicle: str, load: float) -> Standing:
    station, stated = sound_station(vehicle, load), stated_pressure(vehicle)
    return Standing(station=station, pressure=stated, sound=station, stated=stated)
