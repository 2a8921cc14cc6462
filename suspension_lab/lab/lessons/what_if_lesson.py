"""Lesson 07: what a change gains, what it costs, and whether anybody would notice."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from suspension_lab.common.errors import LabError
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.lessons.words import ride_question
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.lab.what_if_bench import WhatIfBench, what_if_bench
from suspension_lab.lab.what_if_settings import as_excitation, both_stations
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import kinds_of
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.release_test import WORDS, Verdict, verdict_on
from suspension_lab.workshop.what_if import SAMPLES, STANDS_OUT, SURE, Change, usual_spread, what_if

LESSON = "07_what_if"
VEHICLE = "courier_scooter_rear"
TWO_EACH = {"rebound": 7, "low_speed": 8}
TWO_EACH_IN_WORDS = "rebound 9 to 7, low-speed compression 10 to 8"
TRIED = 64
"""Variations: enough for a day's scatter, and answered at once."""
MORE_PRELOAD, WARM = 3, 60
"""[mm] and [°C]."""
CALMER, UNEASY, LATER = "sooner, and swings less", "sooner, but swings more", "later: the damper holds it back"
PUSHED, RIDDEN, NONE = "the quick push", "the average road", "neither of them"
LEAVE_IT = "leave it so: the road has told"
BACK_OPEN, BACK_CLOSED = "turn it back: it creeps back now", "turn it back: it swings on now"
Pair = tuple[Measure, Measure]


def predict_and_try() -> PredictFirst:
    """Three predictions on one change, and the bench for what-ifs."""
    return PredictFirst(
        LESSON,
        [
            _by_hand(),
            _ridden("on_road", "road", "On an average road (class C, 40 km/h) the ride becomes ..."),
            _ridden("over_hump", "hump", "Over one hump at 30 km/h the ride becomes ..."),
        ],
        what_if_bench(VEHICLE),
    )


def check(bench: WhatIfBench) -> Checks:
    """What is asked afterwards; the shaking is that of the change set on the bench."""
    return Checks(LESSON, [_one_click(), _pothole(), _rebound(), _shaking(bench)])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    two = f"Rear scooter, {TWO_EACH_IN_WORDS}"
    released, hump, road = (both(test, **TWO_EACH) for test in ("release", "hump", "road"))
    made.add(
        f"{two}: release", f"settles {_to(released['settling_time'], 's')}, swings {_to(released['swings'], 'times')}"
    )
    made.add(f"{two}: hump", f"tyre load varies by {_to(hump['tyre_load_variation'], '%')}")
    made.add(f"{two}: average road", f"the body shakes with {_to(road['weighted_acceleration'], 'm/s²')}")
    force = _change("push", "compression_force", low_speed=9)
    made.add(
        "Low-speed compression 10 to 9: quick push",
        f"strongest force {_to((force.before, force.after), 'N')}, from day to day about {force.blur:.0f} N",
    )
    pothole = both("pothole", high_speed=0)
    made.add(
        "High-speed compression 8 to 0: pothole",
        f"tyre load varies by {_to(pothole['tyre_load_variation'], '%')}, deepest "
        f"{_to(pothole['deepest_travel'], 'mm')}, the body shakes with {_to(pothole['weighted_acceleration'], 'm/s²')}",
    )
    road, released = (both(test, rebound=12) for test in ("road", "release"))
    made.add(
        "Rebound 9 to 12: average road and release",
        f"the body shakes with {_to(road['weighted_acceleration'], 'm/s²')}, swings {_to(released['swings'], 'times')}",
    )
    pothole, hump = (both(test, preload=MORE_PRELOAD) for test in ("pothole", "hump"))
    made.add(
        f"{MORE_PRELOAD} mm more preload: pothole and hump",
        f"deepest {_to(pothole['deepest_travel'], 'mm')}, smallest tyre load {_to(hump['smallest_tyre_load'], '%')}",
    )
    warm = both("release", oil=WARM, **TWO_EACH)
    made.add(
        f"Rear scooter, {TWO_EACH_IN_WORDS}, at {WARM} °C: release",
        f"settles {_to(warm['settling_time'], 's')}, swings {_to(warm['swings'], 'times')}",
    )
    made.add("Variations, and how many of 100 agree where a change is sure", f"{SAMPLES}, and {100 * SURE:.0f} of 100")
    made.add("It stands out past", f"{STANDS_OUT:.0f} times the scatter from day to day")
    made.add("What differs from day to day, either way (assumed)", _assumed())
    return made


@lru_cache(maxsize=32)
def both(test: str, oil: float | None = None, preload: int = 0, **clicks: int) -> dict[str, Pair]:
    """What a change of the scooter does on one test, in two single runs.

    Args:
        test: of the what-if bench.
        oil: its temperature before and after [°C]; None: as in the vehicle's file.
        preload: more of it after [mm].
        clicks: after.
    """
    before = load_station(VEHICLE)
    if oil is not None:
        before = before.with_oil_temperature(ZERO_CELSIUS + oil)
    after = before.with_clicks(**clicks)
    spring = replace(after.spring, preload=after.spring.preload + 1e-3 * preload)
    return _measured(test, before, replace(after, spring=spring))


def _measured(test: str, before: Station, after: Station) -> dict[str, Pair]:
    excitation = as_excitation(test, before)
    one, other = (simulate(station, excitation) for station in (before, after))
    return {
        kind.key: (kind.of(one), kind.of(other))
        for kind in kinds_of(excitation)
        if kind.belongs(one) and kind.belongs(other)
    }


@lru_cache(maxsize=8)
def _changed(test: str, **clicks: int) -> tuple[Change, ...]:
    """What a change of the vehicle's clicks does on one test, told against what differs from day to day."""
    station = load_station(VEHICLE)
    return tuple(what_if(station, station.with_clicks(**clicks), as_excitation(test, station), samples=TRIED).changes)


def _change(test: str, key: str, **clicks: int) -> Change:
    return next(change for change in _changed(test, **clicks) if change.kind.key == key)


def _to(pair: Pair, unit: str) -> str:
    return f"{pair[0].shown} to {pair[1].shown} {unit}"


def _assumed() -> str:
    station = load_station(VEHICLE)
    spread = usual_spread(station)
    assert spread.rider is not None
    assert spread.tyre_pressure is not None
    assert spread.oil_temperature is not None
    assert spread.friction is not None
    load = 100 * (spread.rider[1] / station.rider_mass - 1)
    oil = 0.5 * (spread.oil_temperature[1] - spread.oil_temperature[0])
    return (
        f"load {load:.0f} %, tyre pressure {100 * (spread.tyre_pressure[1] - 1):.0f} %, oil {oil:.0f} °C, friction "
        f"{100 * (spread.friction[1] - 1):.0f} %"
    )


def _by_hand() -> Question:
    """How two clicks each change the release."""

    def truth() -> Truth:
        found = both("release", **TWO_EACH)
        time, swung = found["settling_time"], found["swings"]
        sooner, less = time[1].value < time[0].value, swung[1].value < swung[0].value
        return Truth(
            (CALMER if less else UNEASY) if sooner else LATER,
            f"it settles in {time[1].shown} s in place of {time[0].shown} s, with {swung[1].shown} visible swings in "
            f"place of {swung[0].shown}.",
        )

    return Question(
        key="by_hand", truth=truth,
        text="Courier scooter's rear: rebound is closed by two clicks (9 to 7), low-speed compression by two (10 to 8)."
        " Let go after a push, it settles ...",
        options={
            CALMER: Wrong(Mistake.CLOCK, "Watch how often it passes ride height."),
            UNEASY: Wrong(Mistake.DIRECTION, "What does more damping do to a swing?"),
            LATER: Wrong(Mistake.CAUSE, "The way back is slower, but when has it come to rest?"),
        },
    )  # fmt: skip


def _ridden(key: str, test: str, text: str) -> Question:
    """How two clicks each change a ride."""
    return ride_question(key, f"The same change. {text}", lambda: _ride(test, **TWO_EACH))


def _ride(test: str, **clicks: int) -> tuple[bool, bool, str]:
    """Whether tyre load gets more even, whether the body is shaken less, and both in a sentence."""
    found = both(test, **clicks)
    even, harsh = found["tyre_load_variation"], found["weighted_acceleration"]
    return (
        even[1].value < even[0].value,
        harsh[1].value < harsh[0].value,
        f"tyre load variation goes from {_to(even, '%')} of the load at rest, weighted acceleration from "
        f"{_to(harsh, 'm/s²')}.",
    )


def _one_click() -> Question:
    """Which test shows one click of low-speed compression beyond what differs from day to day."""

    def truth() -> Truth:
        tests = {PUSHED: "push", RIDDEN: "road"}
        showing = [
            answer for answer, test in tests.items() if any(each.stands_out for each in _changed(test, low_speed=9))
        ]
        force = _change("push", "compression_force", low_speed=9)
        return Truth(
            showing[0] if showing else NONE,
            f"the largest change is that of the strongest compression force in the push, from {force.before.shown} to "
            f"{force.after.text}; from one day to the next it scatters by about {force.blur:.0f} N.",
        )

    return Question(
        key="one_click", truth=truth,
        text="Low-speed compression is closed by one click, from 10 to 9. Which test shows it, beyond what differs "
        "from day to day?",
        options={
            PUSHED: Wrong(Mistake.SIZE, "Compare it with the grey band: how much does that measure scatter by itself?"),
            RIDDEN: Wrong(Mistake.SIZE, "Open the line of what stays the same: what does this road say?"),
            NONE: Wrong(Mistake.SIZE, "Look for a bar that leaves the grey band."),
        },
    )  # fmt: skip


def _pothole() -> Question:
    """What closing high-speed compression does on the pothole."""
    return ride_question(
        "pothole",
        "High-speed compression is closed from 8 clicks out to 0. Over the pothole at 30 km/h the ride becomes ...",
        lambda: _ride("pothole", high_speed=0),
    )


def _rebound() -> Question:
    """What to do with a rebound that a road likes and the release test does not."""

    def truth() -> Truth:
        said = verdict_on(load_station(VEHICLE).with_clicks(rebound=12))
        found = both("road", rebound=12)["weighted_acceleration"]
        return Truth(
            {Verdict.TOO_OPEN: BACK_CLOSED, Verdict.TOO_CLOSED: BACK_OPEN}.get(said, LEAVE_IT),
            f"weighted acceleration goes from {_to(found, 'm/s²')} there, but in the release test rebound 12 "
            f"{WORDS[said]}. Rebound is set by that test first.",
        )

    return Question(
        key="rebound_opened", truth=truth,
        text="Rebound is opened from 9 to 12 clicks, and the average road becomes more comfortable. What do you do?",
        options={
            LEAVE_IT: Wrong(Mistake.ONE_TEST, "What does the release test say of it?"),
            BACK_OPEN: Wrong(Mistake.DIRECTION, "Let it go once: how does it come back?"),
            BACK_CLOSED: Wrong(Mistake.DIRECTION, "Let it go once: how does it come back?"),
        },
    )  # fmt: skip


def _shaking(bench: WhatIfBench) -> Question:
    """A percentage off the table, of the change that stands on the bench."""

    def asked() -> tuple[str, Pair]:
        try:
            before, after = both_stations(load_station(str(bench.settings["vehicle"])), bench.settings)
            named = "the change on the bench"
        except LabError:
            before = load_station(VEHICLE)
            after, named = before.with_clicks(**TWO_EACH), "the first change of this page"
        return named, _measured("road", before, after)["weighted_acceleration"]

    def truth() -> Truth:
        named, (before, after) = asked()
        share = 100.0 * (after.value / before.value - 1.0)
        return Truth(
            round(share, 1),
            f"by {named} it goes from {before.shown} to {after.text}: {share:+.1f} % of what it was.",
            max(0.5, 1.5 / before.value),  # as the table rounds to two places
        )

    def wrong(given: float, truth: Truth) -> Wrong | None:
        _, (before, after) = asked()
        for value in (before.value, after.value):
            if abs(given - value) <= 0.02 * value:
                return Wrong(Mistake.ONE_TEST, "That is one of the two numbers; the change between them is asked for.")
        apart = after.value - before.value
        if abs(given - apart) <= 0.02 and abs(apart) > 0.02:
            return Wrong(Mistake.UNIT, "That is the difference in m/s²; give it as a share of what it was before.")
        return None

    return Question(
        key="shaking", truth=truth, wrong=wrong, unit="%", between=lambda: (-100, 1000),
        look="Take the difference of after and before, as a share of before; a rise is above 0.",
        text="By how many per cent does the change set on the bench now (the first change of this page, if before and "
        "after are the same) change the weighted acceleration on the average road? Write a minus if it falls.",
    )  # fmt: skip
