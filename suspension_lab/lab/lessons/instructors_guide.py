"""What the instructor's guide quotes: its numbers, and the answers to the predictions on paper."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import ipywidgets as widgets

from suspension_lab.lab import lessons
from suspension_lab.lab.lessons.mystery_vehicles import ASKED_FOR, an_example
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.questions import right_answer
from suspension_lab.lab.road_choice import ride_over
from suspension_lab.lab.tables import table
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import BAND
from suspension_lab.simulation.simulate import simulate
from suspension_lab.workshop.class_runs import COLD, WARM, Measures, pushed, rear, released, ridden
from suspension_lab.workshop.evenness import Felt, felt
from suspension_lab.workshop.handouts import PREDICTIONS
from suspension_lab.workshop.mystery import CAUSES, mystery
from suspension_lab.workshop.mystery_score import COMFORT, EVENNESS, FAULT_LEFT, LUCKY, MINUTES, REBOUND_FAILS, WRONG
from suspension_lab.workshop.release_test import DEPTH, Verdict, from_to, passing, rebound_verdicts, target_time

DEMONSTRATED = (20, 16, 12, 10, 9, 7, 3, 2)
"""Rebound clicks of the demonstration, in its order."""
WASHBOARD = 20.0
"""Height of its bumps [mm]."""
Given = dict[str, Any]
"""Clicks by adjuster, for `rear`."""
AS_IT_STANDS: Given = {}
OPEN: Given = {"rebound": 24, "low_speed": 20, "high_speed": 16}
MIDDLE: Given = {"rebound": 12, "low_speed": 10, "high_speed": 8}
CLOSED: Given = {"rebound": 0, "low_speed": 0, "high_speed": 0}
LOW_CLOSED: Given = {"low_speed": 0}
HIGH_CLOSED: Given = {"high_speed": 0}
MYSTERIES = range(11, 21)
"""Numbers of the vehicles of the answer key: every fault is among them, and none that lesson 08's questions tell of."""
GOOD_ROAD, GOOD_SPEED = "B", 30.0
"""Road class and speed [km/h] of lesson 04."""


def numbers() -> Numbers:
    """The numbers in the guide's text."""
    made = Numbers()
    for rows in (_demonstration(), _rebound_beliefs(), _road_beliefs(), _other_beliefs(), _mysteries(), _plans()):
        for done, came_out in rows:
            made.add(done, came_out)
    return made


def paper_answers() -> widgets.HTML:
    """A table of `answers_on_paper`."""
    return table(("Lesson", "Asked on paper", "Answer", "In the simulation"), answers_on_paper(), wraps=True)


def answers_on_paper() -> list[tuple[str, str, str, str]]:
    """Lesson, question, right answer and the numbers, for each prediction on paper."""
    rows = []
    for lesson, questions in PREDICTIONS.items():
        for asked, (option, why) in zip(questions, _ANSWERS[lesson[:2]](), strict=True):
            rows.append((lesson[:2], f"{asked.text} ...", asked.options[option], why))
    return rows


def lesson_answers() -> widgets.HTML:
    """What the lessons themselves ask, each with its right answer and the numbers; it takes up to a minute."""
    heads = ("Lesson", "Asked", "Right answer", "In the simulation")
    return table(heads, [row for lesson in _lessons() for row in _asked_in(lesson)], wraps=True)


def mystery_answers() -> widgets.HTML:
    """Vehicle, load and fault of `MYSTERIES`."""
    heads = ("Number", "Vehicle", "Load on this wheel", "What is wrong")
    rows = [
        (str(each.seed), each.sound.name, f"{each.load:.0f} kg", CAUSES[each.fault]) for each in map(mystery, MYSTERIES)
    ]
    return table(heads, rows, wraps=True, caption="Mystery vehicles of the answer key")


def _mysteries() -> Iterator[tuple[str, str]]:
    faults = {mystery(number).fault for number in MYSTERIES}
    yield (
        "Mystery vehicles of the answer key",
        f"numbers {MYSTERIES[0]} to {MYSTERIES[-1]}, {len(MYSTERIES)} vehicles, {len(faults)} faults",
    )
    told = sorted(map(an_example, ASKED_FOR))
    yield "Vehicles that lesson 08's own questions tell of", " and ".join(map(str, told))
    yield (
        "Points of a mystery vehicle",
        f"{EVENNESS} for evenness, {COMFORT} for comfort, {MINUTES} for minutes; at most {REBOUND_FAILS} with a "
        f"rebound that fails the release test, {FAULT_LEFT} with the fault left in, {WRONG} with a wrong diagnosis, "
        f"{LUCKY} with a guess",
    )


def _lessons() -> list[ModuleType]:
    """The modules of the lessons, in the order of their pages."""
    names = [found.name for found in pkgutil.iter_modules(lessons.__path__)]
    modules = [importlib.import_module(f"{lessons.__name__}.{name}") for name in names]
    asking = [module for module in modules if hasattr(module, "predict_and_try") and hasattr(module, "check")]
    return sorted(asking, key=lambda module: str(module.LESSON))


def _asked_in(lesson: ModuleType) -> Iterator[tuple[str, str, str, str]]:
    first = lesson.predict_and_try()
    checks = lesson.check(*[first.bench for _ in inspect.signature(lesson.check).parameters])
    for question in (*first.questions.values(), *checks.questions.values()):
        answer = f"{right_answer(question)} {question.unit}".rstrip()
        yield str(lesson.LESSON)[:2], question.text, answer, question.truth().because


def _came_back(found: Measures) -> str:
    count = found["swings"].text
    return f"settled {_time(found['settling_time'])}, {count} swing{'' if count == '1' else 's'}"


def _time(measure: Measure) -> str:
    return measure.text if measure.text[0].isalpha() else f"after {measure.text}"


def _demonstration() -> Iterator[tuple[str, str]]:
    station = rear()
    yield (
        "Rear of the courier scooter as its file has it",
        (
            f"load {station.rider_mass:.0f} kg, rebound {station.clicks.rebound}, low speed "
            f"{station.clicks.low_speed}, high speed {station.clicks.high_speed}, oil 20 °C; well set it settles "
            f"within about {target_time(station):.1f} s; "
            f"settled is within {100.0 * BAND:.0f} % of the depth"
        ),
    )
    yield (
        f"Rebound that passes the release test, from {1e3 * DEPTH:.0f} mm, compression open",
        from_to(passing(rebound_verdicts(station))),
    )
    for clicks in DEMONSTRATED:
        found = released(rear(rebound=clicks))
        over = found["overshoot"].shown
        yield f"Let go from 35 mm at rebound {clicks}", f"{_came_back(found)}, first swing {over} % of the depth"


def _rebound_beliefs() -> Iterator[tuple[str, str]]:
    for clicks in (0, 24):
        yield f"Let go from 35 mm at rebound {clicks}", _came_back(released(rear(rebound=clicks)))
    for clicks in (13, 3):
        yield f"Let go from 25 mm at rebound {clicks}", _came_back(released(rear(rebound=clicks), 25.0))
    yield "Let go from 20 mm at rebound 2", _came_back(released(rear(rebound=2), 20.0))
    for oil in (COLD, WARM):
        for clicks in (9, 7):
            found = released(rear(rebound=clicks, oil=oil), 25.0)
            yield f"What-if bench, release from 25 mm at rebound {clicks}, oil {oil:.0f} °C", _came_back(found)
    for load in (48, 90):
        found = released(rear(rider=float(load)), 20.0)
        yield f"Let go from 20 mm at rebound 9, load {load} kg", _came_back(found)
    for more in (0, 3):
        station = rear(preload=float(more))
        sag = f"rider sag {1e3 * station.sag.rider:.0f} mm, {station.wheel_rate / 1e3:.1f} N/mm at the wheel"
        yield f"Preload {more} mm more, release from 25 mm", f"{_came_back(released(station, 25.0))}, {sag}"
    for rate in (30, 45):
        found = released(rear(rebound=12, rate=float(rate)), 25.0)
        yield f"Spring {rate} N/mm, rebound 12, release from 25 mm", _came_back(found)


def _road_beliefs() -> Iterator[tuple[str, str]]:
    settings = {"as it stands": AS_IT_STANDS, "all closed (0)": CLOSED, "all open (24, 20, 16)": OPEN}
    for speed in (15, 30):
        for words, clicks in settings.items():
            found = ridden(rear(**clicks), "washboard", height=WASHBOARD, speed=float(speed))
            yield (
                f"Washboard 20 mm, {speed} km/h, {words}",
                (
                    f"tyre load varies by {found['tyre_load_variation'].text}, off the road for "
                    f"{found['contact_loss'].text} in all"
                ),
            )
    packing = {"as it stands": AS_IT_STANDS, "rebound 0, compression open": OPEN | {"rebound": 0}}
    for words, clicks in packing.items():
        found = ridden(rear(**clicks), "washboard", height=WASHBOARD)
        yield f"Washboard 20 mm, 30 km/h, {words}", f"packs down {found['packing_down'].text}"
    for shape, speed, words in (("pothole", 10, "Pothole"), ("long_hump", 30, "Long hump")):
        found = ridden(rear(), shape, speed=float(speed))
        knee = rear().damper.knees[1]
        yield (
            f"{words} 40 mm, {speed} km/h",
            f"shaft {found['compression_speed'].text} in compression, knee {knee:.2f} m/s",
        )
    for words, clicks in (("as it stands", AS_IT_STANDS), ("high speed 0", {"high_speed": 0})):
        found = ridden(rear(**clicks), "pothole")
        yield (
            f"Pothole 40 mm, 30 km/h, {words}",
            (
                f"{found['deepest_travel'].shown} mm deep, largest body acceleration "
                f"{found['body_acceleration_peak'].text}"
            ),
        )
    for words, clicks in (("all open", OPEN), ("as it stands", AS_IT_STANDS), ("all closed", CLOSED)):
        each = _on_the_good_road(clicks)
        yield (
            f"Road class B, 30 km/h, {words}",
            (f"tyre load varies by {100 * each.variation:.0f} %, weighted acceleration {each.shaking:.1f} m/s²"),
        )


def _on_the_good_road(clicks: Given) -> Felt:
    ride, seconds = ride_over(GOOD_ROAD, GOOD_SPEED / 3.6)
    return felt(simulate(rear(**clicks), ride, seconds))


def _other_beliefs() -> Iterator[tuple[str, str]]:
    for rise in (1000, 80):
        for clicks in (10, 0):
            depth = pushed(rear(low_speed=clicks), float(rise))["push_depth"]
            yield f"Push of 400 N within {rise} ms, low speed {clicks}", f"{depth.text} deep"


PLANS = {45: (0, 4, 8, 18, 24, 32, 40, 45), 90: (0, 5, 10, 22, 30, 38, 50, 60, 75, 84, 90)}
"""Minutes at which the parts of a class begin, and its end."""


def _plans() -> Iterator[tuple[str, str]]:
    for whole, parts in PLANS.items():
        yield f"Parts of the plan for {whole} minutes begin at, and end", ", ".join(map(str, parts))


def _first() -> Iterator[tuple[int, str]]:
    usual, opened, closed = (released(rear(rebound=clicks)) for clicks in (9, 13, 5))
    for found in (opened, closed):
        yield (
            _which(found["settling_time"], usual["settling_time"]),
            f"{_came_back(found)}; before: {_came_back(usual)}",
        )
    depth = 1e3 * DEPTH
    open_side, closed_side = (released(rear(rebound=clicks), depth) for clicks in (11, 4))
    verdicts = rebound_verdicts(rear())
    yield (
        2 if (verdicts[11], verdicts[4]) == (Verdict.TOO_OPEN, Verdict.PASSES) else 0,
        f"from {depth:.0f} mm, rebound 11: {_came_back(open_side)}; rebound 4, which passes: {_came_back(closed_side)}",
    )


def _which(now: Measure, before: Measure) -> int:
    """0 less, 1 more, 2 as before."""
    change = now.value - before.value
    return 2 if abs(change) <= now.resolution else 0 if change < 0.0 else 1


def _second() -> Iterator[tuple[int, str]]:
    slow, quick = (
        [pushed(rear(low_speed=clicks), rise)["push_depth"] for clicks in (10, 0)] for rise in (1000.0, 100.0)
    )
    noticed = [abs(pair[1].value - pair[0].value) > 0.1 * pair[0].value for pair in (slow, quick)]
    right = {(True, False): 0, (False, True): 1, (True, True): 2, (False, False): 3}[noticed[0], noticed[1]]
    yield (
        right,
        (
            f"it goes {slow[1].shown} in place of {slow[0].text} deep in the slow push, {quick[1].shown} in place of "
            f"{quick[0].text} in the quick one"
        ),
    )


def _third() -> Iterator[tuple[int, str]]:
    for shape in ("pothole", "long_hump"):
        usual, low, high = (
            ridden(rear(**clicks), shape)["deepest_travel"] for clicks in (AS_IT_STANDS, LOW_CLOSED, HIGH_CLOSED)
        )
        by_low, by_high = abs(low.value - usual.value), abs(high.value - usual.value)
        right = 2 if abs(by_low - by_high) <= usual.resolution else 0 if by_low > by_high else 1
        yield right, f"{usual.shown} mm deep; low speed 0: {low.shown} mm, high speed 0: {high.shown} mm"
    usual, closed = (
        ridden(rear(**clicks), "washboard", height=WASHBOARD, speed=15.0)["tyre_load_variation"]
        for clicks in (AS_IT_STANDS, CLOSED)
    )
    yield _which(closed, usual), f"tyre load varies by {closed.shown} in place of {usual.shown} %"


def _fourth() -> Iterator[tuple[int, str]]:
    open_, middle, closed = (_on_the_good_road(clicks) for clicks in (OPEN, MIDDLE, CLOSED))
    falls, rises = middle.variation < open_.variation, closed.variation > middle.variation
    right = {(True, False): 0, (False, True): 1, (True, True): 2, (False, False): 3}[falls, rises]
    yield right, f"{_percent(open_)} open, {_percent(middle)} in the middle, {_percent(closed)} closed"
    shaking = [each.shaking for each in (open_, middle, closed)]
    yield (
        shaking.index(min(shaking)),
        f"{shaking[0]:.1f}, {shaking[1]:.1f} and {shaking[2]:.1f} m/s², but rebound open swings on",
    )


def _percent(each: Felt) -> str:
    return f"{100 * each.variation:.0f} %"


_ANSWERS = {"01": _first, "02": _second, "03": _third, "04": _fourth}
