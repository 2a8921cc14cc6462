"""Lesson 06: numbers from a vehicle, and the decision back to it."""

from __future__ import annotations

from functools import lru_cache

from suspension_lab.common.shipped import shipped_folder
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.next_click_bench import NextClickBench, next_click_bench
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.lab.result_sheet import record
from suspension_lab.lab.stopwatch_trainer import StopwatchTrainer, stopwatch_trainer
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.click_belief import Measured
from suspension_lab.workshop.fit_release import ReleaseFit, fit_release
from suspension_lab.workshop.measured.recording import read_recording
from suspension_lab.workshop.measured.timing import by_frames, by_stopwatch
from suspension_lab.workshop.measured.watch import Watch
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.next_click import NextClick, next_click
from suspension_lab.workshop.release_test import usual_release
from suspension_lab.workshop.results import Reply

LESSON = "06_your_own_vehicle"
VEHICLE = "courier_scooter_rear"
CLOSED_SIDE, OPEN_SIDE, BETWEEN = 4, 12, 6
CLOSE, OPEN, LEAVE = "close it (fewer clicks)", "open it (more clicks)", "leave it: the time is right"
WIDER, NARROWER, SAME = "it grows", "it shrinks", "it stays about the same"
VIDEO, WATCH, ALIKE = "the video", "the stopwatch", "both are as good"
ALIKE_WITHIN = 0.1
"""Clicks whose chances to pass differ by no more are as good to try next (our choice)."""
TRIES, FRAMES = (0.45, 0.52, 0.48), (60.0, 100, 129)
FREE_SAG, RIDER_SAG = 8, 27
"""Of the rear scooter with 48 kg, by tape [mm]."""


def predict_and_try() -> PredictFirst:
    """Three predictions, and the bench for the next click."""
    return PredictFirst(LESSON, [_both_sides(), _surer_time(), _freed()], next_click_bench(VEHICLE))


def check(bench: NextClickBench) -> Checks:
    """What is asked afterwards; the next click is that of the releases written down on the bench."""
    return Checks(LESSON, [_which_way(), _spring(), _next(bench)])


def train_your_thumb() -> StopwatchTrainer:
    """The stopwatch trainer; what it finds goes to the trainee's results."""

    def keep(watch: Watch) -> None:
        for question, seconds in (("bias", watch.bias), ("spread", watch.spread)):
            record(
                Reply(
                    lesson=LESSON, question=question, kind="stopwatch", answer=f"{seconds:.3f} s", right=True,
                    score=round(seconds, 3),
                )
            )  # fmt: skip

    return stopwatch_trainer(VEHICLE, on_done=keep)


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    seconds, count = released(OPEN_SIDE)
    asks_for = next_click([(OPEN_SIDE, round(seconds, 2), count)], None, station=load_station(VEHICLE)).click
    made.add(f"After rebound {OPEN_SIDE}, {seconds:.2f} s, {count} swings, the lab asks for", f"rebound {asks_for}")
    for click in (CLOSED_SIDE, BETWEEN, OPEN_SIDE):
        seconds, count = released(click)
        made.add(f"Rear scooter, 48 kg, let go at rebound {click}", f"settled after {seconds:.2f} s, swings {count}")
    made.add(
        f"Rear scooter, 48 kg, free sag {FREE_SAG} mm, rider sag {RIDER_SAG} mm",
        f"{RIDER_SAG - FREE_SAG} mm of spring at the wheel for 48 kg: {wheel_rate_by_sag():.0f} N/mm",
    )
    few, many = (fit(free)["rebound_damping"] for free in (FEW, MANY))
    friction = fit(FEW)["friction"]
    made.add(
        "Video of 60 frames a second, rebound damping and friction free",
        f"rebound {few.value:.1f} times as in its file, friction {friction.value:.0f} N",
    )
    made.add(
        "With spring rate and sprung mass free as well, the uncertainty of rebound is",
        f"{many.uncertainty / few.uncertainty:.0f} times as large",
    )
    return made


FEW = ("rebound_damping", "friction")
MANY = (*FEW, "spring_rate", "sprung_mass")


@lru_cache(maxsize=4)
def fit(free: tuple[str, ...]) -> ReleaseFit:
    """The fit of the invented video."""
    record = read_recording(shipped_folder("data/recordings") / "rear_release_position.csv")
    return fit_release(record.time, record.values, load_station(VEHICLE), free)


@lru_cache(maxsize=32)
def released(click: int) -> tuple[float, int]:
    """Settling time [s] and swings of the usual release at a rebound click."""
    station = load_station(VEHICLE).with_clicks(rebound=click)
    trace = simulate(station, usual_release(station))
    return settling_time(trace), swings(trace)


def wheel_rate_by_sag() -> float:
    """Weight over sag: what the rider's weight squashes the spring, at the wheel [N/mm]."""
    return 48.0 * 9.80665 / (RIDER_SAG - FREE_SAG)


def _both_sides() -> Question:
    """How a half second can be met at two clicks."""
    swing = "at rebound 12 it swings on, at rebound 4 it comes back slowly"
    cold = "the oil was colder once"
    faulty = "one of the two was timed wrongly"

    def truth() -> Truth:
        (fast, count), (slow, none) = released(OPEN_SIDE), released(CLOSED_SIDE)
        return Truth(
            swing if count >= 2 and none == 0 else faulty,
            f"at rebound 12 it takes {fast:.2f} s with {count} visible swings, at rebound 4 {slow:.2f} s with {none}.",
        )

    return Question(
        key="both_sides", truth=truth,
        text="The rear scooter takes about half a second at rebound 12, and at rebound 4 as well. How can both be?",
        options={
            swing: Wrong(Mistake.CLOCK, "Look at what the body does, not at the clock."),
            cold: Wrong(Mistake.CAUSE, "Warmth moves a time by a click or two, not by eight."),
            faulty: Wrong(Mistake.CLOCK, "Both times are right. What does the body do in them?"),
        },
    )  # fmt: skip


def _surer_time() -> Question:
    """Whether three tries of a stopwatch or one video tells a time better."""

    def truth() -> Truth:
        watch, video = by_stopwatch(list(TRIES)), by_frames(*FRAMES)
        alike = abs(watch.uncertainty - video.uncertainty) < 0.1 * watch.uncertainty
        return Truth(
            ALIKE if alike else VIDEO if video.uncertainty < watch.uncertainty else WATCH,
            f"the stopwatch gives {watch.seconds:.2f} ± {watch.uncertainty:.2f} s, the video {video.seconds:.2f} ± "
            f"{video.uncertainty:.3f} s (one standard deviation).",
        )

    return Question(
        key="surer_time", truth=truth,
        text="Three tries by stopwatch, 0.45, 0.52 and 0.48 s; or one video of 60 frames a second. Which is surer?",
        options={
            VIDEO: Wrong(Mistake.SIZE, "How far apart are the three tries, and how far apart two frames?"),
            WATCH: Wrong(Mistake.SIZE, "Three tries are better than one, but a frame lasts a sixtieth of a second."),
            ALIKE: Wrong(Mistake.SIZE, "How far apart are the three tries, and how far apart two frames?"),
        },
    )  # fmt: skip


def _freed() -> Question:
    """What freeing spring rate and mass as well does to the uncertainty of rebound damping."""

    def truth() -> Truth:
        few, many = (fit(free)["rebound_damping"] for free in (FEW, MANY))
        grown = many.uncertainty / few.uncertainty
        return Truth(
            WIDER if grown > 1.5 else NARROWER if grown < 0.67 else SAME,
            f"with two values free it is ± {2.0 * few.uncertainty:.2f}, with four ± {2.0 * many.uncertainty:.2f} "
            "(about 95 % sure). A heavier body on a stiffer spring with more damping moves nearly alike.",
        )

    return Question(
        key="freed", truth=truth,
        text="A record of a release is fitted. Spring rate and sprung mass are freed as well as rebound damping and "
        "friction. What happens to the uncertainty of rebound damping?",
        options={
            WIDER: Wrong(Mistake.CAUSE, "Can one record tell all of them apart?"),
            NARROWER: Wrong(Mistake.CAUSE, "More unknowns from the same record: does that tell each of them better?"),
            SAME: Wrong(Mistake.CAUSE, "A heavier body on a stiffer spring moves nearly alike: what does that do?"),
        },
    )  # fmt: skip


def _which_way() -> Question:
    """Which way to turn a rebound that takes the target time and swings twice."""

    def truth() -> Truth:
        seconds, count = released(OPEN_SIDE)
        answer = next_click([(OPEN_SIDE, seconds, count)], None, station=load_station(VEHICLE))
        way = LEAVE if answer.done else CLOSE if (answer.click or 0) < OPEN_SIDE else OPEN
        return Truth(
            way,
            f"rebound {OPEN_SIDE} takes {seconds:.2f} s but swings {count} times: the open one of two settings that "
            f"take this time. The next click to try is {answer.click}.",
        )

    return Question(
        key="which_way", truth=truth,
        text="At rebound 12 it has settled after about half a second, as wished, and has swung visibly twice. What do "
        "you do with rebound?",
        options={
            CLOSE: Wrong(Mistake.DIRECTION, "Look at the swings: do they mean too open or too closed?"),
            OPEN: Wrong(Mistake.DIRECTION, "It swings on: more clicks would let it swing more."),
            LEAVE: Wrong(Mistake.CLOCK, "The same time is met on both sides of the best."),
        },
    )  # fmt: skip


def _spring() -> Question:
    """The spring's rate at the wheel, by sag and weight."""

    def truth() -> Truth:
        return Truth(
            round(wheel_rate_by_sag(), 1),
            f"48 kg weigh {48.0 * 9.80665:.0f} N, and squash the spring by {RIDER_SAG} less {FREE_SAG} mm: "
            f"{wheel_rate_by_sag():.1f} N/mm at the wheel.",
            1.0,
        )

    def wrong(given: float, truth: Truth) -> Wrong | None:
        if abs(given - 48.0 / (RIDER_SAG - FREE_SAG)) < 0.1:
            return Wrong(Mistake.UNIT, "That is in kg per mm; a kilogram weighs 9.81 N.")
        if abs(given - 48.0 * 9.80665 / RIDER_SAG) < 0.5:
            return Wrong(Mistake.CAUSE, "The free sag is not the rider's: take the difference of the two sags.")
        return None

    return Question(
        key="spring", truth=truth, wrong=wrong, unit="N/mm", between=lambda: (0, 1000),
        look="Weight in newtons over the difference of the two sags.",
        text=f"The rear scooter stands at {FREE_SAG} mm free sag and {RIDER_SAG} mm rider sag with 48 kg. About how "
        "strong is its spring at the wheel?",
    )  # fmt: skip


def _next(bench: NextClickBench) -> Question:
    """The next click to try, of what is written down on the bench."""

    def asked() -> tuple[NextClick, list[Measured]]:
        tries = [Measured(*each) for each in bench.tries]
        if tries and bench.answer is not None:
            return bench.answer, tries
        tries = tries or [Measured(OPEN_SIDE, 0.55, 2)]
        return next_click(tries, None, station=bench.station), tries

    def truth() -> Truth:
        answer, tries = asked()
        if answer.click is None:
            return Truth(-1.0, "no click of this damper passes; the bench says what that is a sign of.")
        if answer.done:
            return Truth(
                float(answer.click), f"rebound {answer.click} passes the release test as measured: it is done."
            )
        tried = {each.clicks for each in tries}
        free = not tried & {answer.click - 1, answer.click, answer.click + 1}
        alike = answer.chances >= answer.chances[answer.click] - ALIKE_WITHIN
        also = [k for k in range(answer.low, answer.high + 1) if alike[k] and k not in tried] if free else []
        said = f"rebound {answer.click} is the next to try: of those that pass about alike it is nearest to the target."
        return Truth(float(answer.click), said, 1.0 if free else 0.0, also=tuple(map(float, also)))

    def wrong(given: float, truth: Truth) -> Wrong | None:
        answer, tries = asked()
        return _why_not_next(given, answer, tries[-1])

    return Question(
        key="next", truth=truth, wrong=wrong, unit="clicks", whole=True,
        between=lambda: (0, bench.station.damper.adjusters["rebound"]),
        text="Which rebound click is to be tried next, or kept if one is done, after the releases that you have "
        "written down on the bench (after rebound 12, 0.55 s, two swings, if there are none)?",
    )  # fmt: skip


def _why_not_next(given: float, answer: NextClick, last: Measured) -> Wrong:
    """Why a click is not the one to try or to keep, by what the last release did."""
    if answer.click is None:
        return Wrong(Mistake.CAUSE, "No click of this damper passes: read under the bench what that is a sign of.")
    if answer.done and answer.click == last.clicks:
        return Wrong(Mistake.CLOCK, "It is done: leave it.")
    if answer.done:
        return Wrong(
            Mistake.CLOCK, "One of the clicks that you have measured is done: keep the one that settles soonest."
        )
    if answer.stuck:
        return Wrong(Mistake.CAUSE, "The times do not follow the clicks: check that first, and turn nothing.")
    if answer.click == last.clicks:
        return Wrong(Mistake.CLOCK, "Measure the last click once more, and turn nothing before.")
    did = _what_it_did(last)
    if given == last.clicks:
        return Wrong(Mistake.CAUSE, f"The last release {did}: it will do so again if nothing is turned.")
    if (given - last.clicks) * (answer.click - last.clicks) < 0.0:
        return Wrong(Mistake.DIRECTION, f"The last release {did}: is that too open, or too closed?")
    return Wrong(Mistake.SIZE, "Write a release down and read how far the lab would go.")


def _what_it_did(last: Measured) -> str:
    """Of a release that does not pass."""
    if last.swings is None:
        return "took too long"
    if last.swings >= 2:
        return "swings on"
    return "swings, and is slow to settle" if last.swings else "creeps back"
