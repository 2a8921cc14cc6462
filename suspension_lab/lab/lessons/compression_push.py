"""Lesson 02: compression, by slow and quick pushes."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any

import numpy as np

from suspension_lab.excitation.hand import Push
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.benches import push_bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.measures.damper_use import DamperUse, damper_use
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.class_runs import HAND, VEHICLE, push_run, rear
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.reading import HARDLY, SMALL_SHARE

LESSON = "02_compression_push"
SLOW, BETWEEN, QUICK = 1000, 330, 80
TIMES = range(40, 1501)
"""Times to reach the hand's force, and those that the bench offers [ms]."""
FRONT = "courier_scooter_front"
NOTICED = HARDLY
"""A hand notices a push that goes less deep by this share (our choice)."""
IN_SLOW, IN_QUICK, IN_BOTH, IN_NEITHER = "in the slow push", "in the quick push", "in both", "in neither"
LOW, HIGH, EACH, NONE = "low speed", "high speed", "each of the two", "neither of the two"
DAMPER, SPRING = "the damper: it hands the force on to the wheel", "the spring: it is squashed more"
GONE = "nothing: the force is gone"
OPEN_LOW, CLOSE_LOW = "open low speed by four clicks", "close low speed by four clicks"
OPEN_HIGH, OPEN_REBOUND = "open high speed by four clicks", "open rebound by four clicks"
KNEE_DOWN, FASTER = "the knee comes down to meet the push", "the push gets so quick that it reaches the old knee"
ALWAYS = "nothing new: high-speed clicks work at every speed"
PUSH_QUICKLY, PUSH_HARDER = "push as hard, but quickly", "push as slowly, but twice as hard"
TURN_HIGH, SEND_AWAY = "push as slowly, and turn high speed instead", "send the damper to a licensed workshop"


def use_of(trace: Trace) -> DamperUse:
    """Of the compression, while the hand pushes."""
    assert isinstance(trace.excitation, Push)
    return damper_use(trace, "compression", trace.excitation.pushed_until)


def share_of(trace: Trace) -> float:
    """How much of the hand's force the damper answers with at most, at the wheel [%]."""
    assert isinstance(trace.excitation, Push)
    ratio = float(trace.station.ratio(trace.station.static_travel))
    return 100.0 * use_of(trace).strongest * ratio / trace.excitation.peak_force


def longest_felt(station: Station, force: float) -> int:
    """The longest time to reach a force at which the hand feels the compression clicks [ms]; 0: at none."""
    felt_at = bisect_left(TIMES, True, key=lambda rise: share_of(push_run(station, rise, force)) < SMALL_SHARE)
    return TIMES[felt_at - 1] if felt_at else 0


def predict_and_try() -> PredictFirst:
    """Three predictions, and the bench for compression."""
    return PredictFirst(LESSON, [_which_push(), _which_adjuster(), _what_carries()], push_bench(VEHICLE))


def check(bench: Bench) -> Checks:
    """What is asked afterwards; the longest time that is felt is that of what stands on the bench."""
    return Checks(LESSON, [_softer(), _knee(), _broken(), _longest(bench)])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    for rise in (SLOW, QUICK):
        for low in (10, 0):
            trace = push_run(rear(low_speed=low), rise)
            made.add(
                f"Rear scooter, 48 kg, push of {HAND:.0f} N within {rise} ms, low speed {low}",
                f"{_depth(trace):.1f} mm deep; shaft {use_of(trace).fastest:.2f} m/s; the damper answers with "
                f"{share_of(trace):.0f} % of the hand's force, at most {use_of(trace).strongest:.0f} N at the shaft; "
                f"when the hand has its full force, the tyre carries {_on_the_tyre(trace):.0f} N more than at rest",
            )
    for high in (0, 8, 16):
        trace = push_run(rear(high_speed=high), QUICK)
        made.add(
            f"The same push within {QUICK} ms, high speed {high}",
            f"knee at {use_of(trace).knee:.2f} m/s, shaft {use_of(trace).fastest:.2f} m/s, {_depth(trace):.1f} mm deep",
        )
    made.add("The lab says that the hand feels the damper from this share of its force on", f"{SMALL_SHARE:.0f} %")
    for low in (10, 0):
        trace = push_run(rear(vehicle=FRONT, low_speed=low), BETWEEN)
        made.add(
            f"Front scooter, push of {HAND:.0f} N within {BETWEEN} ms, low speed {low}",
            f"{_depth(trace):.1f} mm deep; the damper answers with {share_of(trace):.0f} % of the hand's force",
        )
    return made


def _depth(trace: Trace) -> float:
    """How far the body goes down [mm]."""
    return -1e3 * float(trace.body.min())


def _on_the_tyre(trace: Trace) -> float:
    """What the tyre carries more than at rest when the hand has reached its force [N]."""
    assert isinstance(trace.excitation, Push)
    return float(np.interp(trace.excitation.rise_time, trace.time, trace.tyre_load)) - trace.station.static_tyre_load


def _shallower(rise: float, force: float = HAND, **closed: Any) -> tuple[bool, str]:
    """Whether a hand notices clicks that are closed, and the depths before and after."""
    before, after = (_depth(push_run(station, rise, force)) for station in (rear(), rear(**closed)))
    return after < (1.0 - NOTICED) * before, f"{after:.1f} in place of {before:.1f} mm"


def _which_push() -> Question:
    """In which push closed low-speed clicks are noticed."""

    def truth() -> Truth:
        (slow, slow_depths), (quick, quick_depths) = (_shallower(rise, low_speed=0) for rise in (SLOW, QUICK))
        right = {(True, True): IN_BOTH, (True, False): IN_SLOW, (False, True): IN_QUICK}.get((slow, quick), IN_NEITHER)
        return Truth(right, f"the slow push goes {slow_depths} deep, the quick one {quick_depths}.")

    return Question(
        key="which_push", truth=truth,
        text=f"A hand pushes with {HAND:.0f} N: slowly, within {SLOW} ms, and quickly, within {QUICK} ms. Low-speed "
        "compression is closed from 10 clicks to 0. In which push does the body go a tenth less deep, or more?",
        options={
            IN_SLOW: Wrong(Mistake.CAUSE, "A hand that takes its time gives the damper time too."),
            IN_QUICK: Wrong(Mistake.CAUSE, "Read the shaft speed of both pushes."),
            IN_BOTH: Wrong(Mistake.SIZE, "Read both depths off the table."),
            IN_NEITHER: Wrong(Mistake.SIZE, "Ten clicks are half of this adjuster."),
        },
    )  # fmt: skip


def _which_adjuster() -> Question:
    """Which adjuster a quick push reaches."""

    def truth() -> Truth:
        (low, low_depths), (high, high_depths) = (
            _shallower(QUICK, **closed) for closed in ({"low_speed": 0}, {"high_speed": 0})
        )
        use = use_of(push_run(rear(), QUICK))
        return Truth(
            {(True, True): EACH, (True, False): LOW, (False, True): HIGH}.get((low, high), NONE),
            f"with low speed closed it goes {low_depths} deep, with high speed closed {high_depths}. The shaft reaches "
            f"{use.fastest:.2f} m/s, and the knee lies at {use.knee:.2f} m/s.",
        )

    return Question(
        key="which_adjuster", truth=truth,
        text="From where they stand (low speed 10, high speed 8) one of the two is closed to 0. Which of them makes "
        "the quick push go a tenth less deep, or more?",
        options={
            LOW: Wrong(Mistake.ADJUSTER, "Look on which side of the knee the thick line ends."),
            HIGH: Wrong(Mistake.ADJUSTER, "What is quick for a hand may be slow for the shaft."),
            EACH: Wrong(Mistake.ADJUSTER, "Each works on one side of the knee."),
            NONE: Wrong(Mistake.CAUSE, "The damper resists while the shaft moves."),
        },
    )  # fmt: skip


def _what_carries() -> Question:
    """Where the hand's force goes when compression is closed."""

    def truth() -> Truth:
        before, after = (push_run(rear(low_speed=low), QUICK) for low in (10, 0))
        force, harder = use_of(before).strongest, use_of(after).strongest
        return Truth(
            DAMPER if harder > force else SPRING if _depth(after) > _depth(before) else GONE,
            f"the damper's largest force is {harder:.0f} in place of {force:.0f} N. When the hand has reached its full "
            f"force, the tyre carries {_on_the_tyre(after):.0f} N more than at rest, in place of "
            f"{_on_the_tyre(before):.0f} N.",
        )

    return Question(
        key="what_carries", truth=truth,
        text="With low speed closed to 0, the quick push goes less deep. What takes more of the hand's force then?",
        options={
            DAMPER: Wrong(Mistake.CAUSE, "Compare the damper's largest force before and after."),
            SPRING: Wrong(Mistake.CAUSE, "A spring takes more force only if it is squashed further."),
            GONE: Wrong(Mistake.CAUSE, "A damper turns work into heat, but its force has to stand on something."),
        },
    )  # fmt: skip


def _softer() -> Question:
    """Which turn makes the quick push meet less resistance."""
    turns: dict[str, dict[str, Any]] = {
        OPEN_LOW: {"low_speed": 14}, CLOSE_LOW: {"low_speed": 6}, OPEN_HIGH: {"high_speed": 12},
        OPEN_REBOUND: {"rebound": 13},
    }  # fmt: skip

    def truth() -> Truth:
        before = use_of(push_run(rear(), QUICK)).strongest
        forces = {turn: use_of(push_run(rear(**clicks), QUICK)).strongest for turn, clicks in turns.items()}
        each = ", ".join(f"{force:.0f} N if you {turn}" for turn, force in forces.items())
        return Truth(
            min(forces, key=lambda turn: forces[turn]), f"the damper's largest force is {before:.0f} N. It is {each}."
        )

    return Question(
        key="softer", truth=truth,
        text="Rebound 9, low speed 10, high speed 8. The hand meets too much resistance in the quick push. Which turn "
        "lessens it most?",
        options={
            OPEN_LOW: Wrong(Mistake.ADJUSTER, "Try all four on the bench, and read the strongest damper force."),
            CLOSE_LOW: Wrong(Mistake.DIRECTION, "Fewer clicks leave the oil a smaller way."),
            OPEN_HIGH: Wrong(Mistake.ADJUSTER, "Does this push get past the knee?"),
            OPEN_REBOUND: Wrong(Mistake.ADJUSTER, "Which way does the shaft move while the hand presses?"),
        },
    )  # fmt: skip


def _knee() -> Question:
    """Why opened high-speed clicks get a say in a push."""

    def truth() -> Truth:
        closed, usual, opened = (push_run(rear(high_speed=high), QUICK) for high in (0, 8, 16))
        before, after = use_of(usual), use_of(opened)
        at_every_speed = abs(_depth(closed) - _depth(usual)) > NOTICED * _depth(usual)
        return Truth(
            ALWAYS if at_every_speed else FASTER if after.fastest > before.knee else KNEE_DOWN,
            f"the knee goes from {before.knee:.2f} to {after.knee:.2f} m/s, the fastest shaft speed from "
            f"{before.fastest:.2f} to {after.fastest:.2f} m/s. With high speed closed from 8 to 0 the push goes "
            f"{_depth(closed):.1f} in place of {_depth(usual):.1f} mm deep.",
        )

    return Question(
        key="knee", truth=truth,
        text="High speed is opened from 8 clicks to 16. Now this adjuster changes the quick push too. Why?",
        options={
            KNEE_DOWN: Wrong(Mistake.CAUSE, "Compare the two pictures with a kept run."),
            FASTER: Wrong(Mistake.CAUSE, "Read both shaft speeds, and where the knee was before."),
            ALWAYS: Wrong(Mistake.ADJUSTER, "Close it from 8 to 0, and watch the depth."),
        },
    )  # fmt: skip


def _broken() -> Question:
    """What to do when a slow push shows no difference."""

    def truth() -> Truth:
        tried = {
            PUSH_QUICKLY: _shallower(QUICK, low_speed=0), PUSH_HARDER: _shallower(SLOW, 2.0 * HAND, low_speed=0),
            TURN_HIGH: _shallower(SLOW, high_speed=0),
        }  # fmt: skip
        shown = [way for way, (felt, _) in tried.items() if felt]
        quickly, harder, other = (depths for _, depths in tried.values())
        return Truth(
            shown[0] if shown else SEND_AWAY,
            f"closed, it goes {quickly} deep in a quick push, {harder} in a slow one of twice the force, and {other} "
            "in a slow one with high speed closed instead. A damper answers to speed.",
        )

    return Question(
        key="broken", truth=truth,
        text="A trainee pushes slowly, turns low speed from 10 to 0, and feels no difference: 'It is broken.' What do "
        "you do first?",
        options={
            PUSH_QUICKLY: Wrong(Mistake.CAUSE, "Try it on the bench."),
            PUSH_HARDER: Wrong(Mistake.CAUSE, "Try it on the bench: does the depth change with the clicks then?"),
            TURN_HIGH: Wrong(Mistake.ADJUSTER, "High speed works past the knee. Where is a slow push?"),
            SEND_AWAY: Wrong(Mistake.ONE_TEST, "Is this the test that shows it?"),
        },
    )  # fmt: skip


def _longest(bench: Bench) -> Question:
    """The slowest push in which the hand feels the clicks, of what stands on the bench."""

    def truth() -> Truth:
        station, force = bench.station, float(bench.settings["force"])
        right = longest_felt(station, force)
        below = f"the damper answers with {SMALL_SHARE:.0f} % of the hand's {force:.0f} N or more"
        if not right:
            return Truth(0.0, f"in no push on this bench {below}.", 0.5)
        return Truth(float(right), f"up to {right} ms {below} (our choice).", 20.0)

    def wrong(given: float, truth: Truth) -> Wrong | None:
        station, force = bench.station, float(bench.settings["force"])
        if given and not TIMES[0] <= given <= TIMES[-1]:
            return Wrong(Mistake.SIZE, f"The bench offers {TIMES[0]} to {TIMES[-1]} ms.")
        if not given:
            return Wrong(Mistake.SIZE, "There are times at which the hand feels them: make the push quicker.")
        for at_end, end in ((0, "fully closed"), (station.damper.adjusters.get("low_speed", 0), "fully open")):
            if abs(given - longest_felt(station.with_clicks(low_speed=at_end), force)) <= truth.within:
                return Wrong(Mistake.END, f"That is the time with low speed {end}. Read its clicks on the bench.")
        if share_of(push_run(station, given, force)) >= SMALL_SHARE:
            return Wrong(Mistake.SIZE, "In this push the hand feels them; try slower ones too.")
        return Wrong(Mistake.SIZE, "In this push the sentence under the picture already names the spring.")

    return Question(
        key="longest", truth=truth, wrong=wrong, unit="ms", between=lambda: (0, TIMES[-1]),
        text="For the vehicle, clicks and force on the bench now: make the push slower and slower. Up to which time "
        "to reach it does the sentence under the picture say that the hand feels the clicks? Type 0 if never.",
    )  # fmt: skip
