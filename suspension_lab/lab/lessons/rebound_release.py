"""Lesson 01: rebound, by pushing down, letting go and timing the return."""

from __future__ import annotations

from dataclasses import dataclass, replace

from suspension_lab.excitation.hand import Release
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.benches import release_bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.class_runs import COLD, WARM, rear
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.reading import held_on_the_bump_stop
from suspension_lab.workshop.release_test import (
    Verdict,
    from_to,
    passing,
    rebound_verdicts,
    target_time,
    verdict,
    verdict_on,
)

LESSON = "01_rebound_release"
VEHICLE = "courier_scooter_rear"
DEPTH = 0.035
DEEP, SHALLOW = 0.025, 0.020
"""Of the release test that clicks are held against, and of the bench's least depth, where a heavy load leaves no room
above the bump stop [m]."""
SOONER, LATER, SAME = "sooner", "later", "at about the same time"
CLOSE, OPEN, LEAVE = "close rebound (fewer clicks)", "open rebound (more clicks)", "leave it: the time is right"
QUICKER, HIGHER, BOTH = "it comes back quicker", "it stands higher, and comes back as before", "both"


def settled(station: Station, depth: float = DEPTH) -> tuple[float, int]:
    """Settling time [s] and visible swings after a release."""
    trace = simulate(station, Release(depth=depth))
    return settling_time(trace), swings(trace)


def predict_and_try() -> PredictFirst:
    """Two predictions, and the bench for rebound."""
    return PredictFirst(LESSON, [_turned("open_by_four", 4), _turned("close_by_four", -4)], release_bench(VEHICLE))


def check(bench: Bench) -> Checks:
    """What is asked afterwards; the clicks that pass are those of the vehicle and load on the bench."""
    return Checks(LESSON, [_which_side(), _most_open(bench), _preload()])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    scooter, rig, trail = (load_station(name) for name in (VEHICLE, "classroom_rig", "trail_bike_rear"))
    for click in (3, 9, 12, 13):
        seconds, count = settled(scooter.with_clicks(rebound=click))
        made.add(
            f"Rear scooter, 48 kg, let go from 35 mm at rebound {click}: until within 5 %, and swings",
            f"{seconds:.2f} s, {count}",
        )
    for celsius in (COLD, WARM):
        passes = from_to(passing(rebound_verdicts(rear(oil=celsius))))
        made.add(f"Its clicks that pass the release test, with oil at {celsius:.0f} °C", passes)
    seconds, count = settled(rear(oil=WARM, rebound=9))
    made.add(f"At rebound 9, with oil at {WARM:.0f} °C, let go from 35 mm", f"{seconds:.2f} s, swings {count}")
    for load in (0, 80):
        seconds, count = settled(rig.with_rider(float(load)).with_clicks(rebound=10, low_speed=8))
        made.add(f"Classroom rig, {load} kg, at rebound 10", f"settled after {seconds:.2f} s, swings {count}")
    made.add("Target time, rear scooter and trail bike", f"{target_time(scooter):.2f} s and {target_time(trail):.2f} s")
    return made


def _turned(key: str, by: int) -> Question:
    """Whether the body settles sooner once rebound is turned by some clicks from the vehicle's own."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        present = station.clicks.rebound
        assert present is not None
        (before, count_before), (after, count_after) = (
            settled(station.with_clicks(rebound=click)) for click in (present, present + by)
        )
        alike = abs(after - before) < 0.05 * before
        return Truth(
            SAME if alike else SOONER if after < before else LATER,
            f"from rebound {present} to {present + by} the time to settle goes from {before:.2f} to {after:.2f} s, the "
            f"visible swings from {count_before} to {count_after}.",
        )

    way = "opened" if by > 0 else "closed"
    hints = {
        SOONER: Wrong(
            Mistake.CAUSE,
            "An open damper lets the body come back quickly, but it is settled only when it has stopped swinging."
            if by > 0
            else "A closed damper stops the swings, but it also holds the way back; there is a best in between.",
        ),
        LATER: Wrong(Mistake.CAUSE, "Count what delays it: one more swing, or a creep back. Here neither is there."),
        SAME: Wrong(Mistake.SIZE, "Four clicks are not little here."),
    }
    return Question(
        key=key, options=hints, truth=truth,
        text=f"The scooter's rear is held down and let go. Rebound is {way} by {abs(by)} clicks. When has it settled?",
    )  # fmt: skip


def _which_side() -> Question:
    """Which way to turn a rebound that takes the target time with two swings."""

    def truth() -> Truth:
        station = load_station(VEHICLE).with_clicks(rebound=12)
        seconds, count = settled(station)
        said = verdict_on(station)
        right = {Verdict.TOO_OPEN: CLOSE, Verdict.TOO_CLOSED: OPEN}.get(said, LEAVE)
        return Truth(
            right,
            f"at rebound 12 it has settled after {seconds:.2f} s, about the target time of {target_time(station):.2f} "
            f"s, but it swings visibly {count} times: it is on the open side.",
        )

    return Question(
        key="which_side", truth=truth,
        text="At rebound 12 the rear scooter has settled after about half a second, as wished, and has swung visibly "
        "twice. What do you do?",
        options={
            CLOSE: Wrong(Mistake.DIRECTION, "Look at the swings: do they mean too open or too closed?"),
            OPEN: Wrong(Mistake.DIRECTION, "It swings on: more clicks would let it swing more."),
            LEAVE: Wrong(Mistake.CLOCK, "The same time is met on both sides of the best."),
        },
    )  # fmt: skip


@dataclass(frozen=True)
class _OnTheBench:
    """The release test of every rebound click, each in a run as the bench makes it.

    Attributes:
        depth: by which the body is held down, as the question asks for it [m].
        clear: whether it is clear of the bump stop then; if not, no click is tested.
        good: clicks that pass. (A map of clicks, made with simplified laws, can be one off at its edges.)
        most_open: the last of them; where clicks are judged otherwise by `verdict_on`, the more closed of the two; -1
            where none passes.
        doubtful: whether they are.
    """

    depth: float
    clear: bool
    good: list[int]
    most_open: int
    doubtful: bool


def _on_the_bench(station: Station) -> _OnTheBench:
    """Test what stands on the bench."""
    depth = DEEP if _clear_of_the_stop(station, DEEP) else SHALLOW
    if not _clear_of_the_stop(station, depth):
        return _OnTheBench(depth, clear=False, good=[], most_open=-1, doubtful=False)
    each = [station.with_clicks(rebound=click) for click in range(station.damper.adjusters["rebound"] + 1)]
    low = station.damper.adjusters.get("low_speed")
    opened = each if low is None else [one.with_clicks(low_speed=low) for one in each]
    said = [verdict(simulate(one, Release(depth=depth))) for one in opened]
    usual = [verdict_on(one) for one in each]
    good, by_usual = (passing(dict(enumerate(verdicts))) for verdicts in (said, usual))
    edges = [max(clicks, default=-1) for clicks in (good, by_usual)]
    return _OnTheBench(depth, clear=True, good=good, most_open=min(edges), doubtful=edges[0] != edges[1])


def _clear_of_the_stop(station: Station, depth: float) -> bool:
    return not held_on_the_bump_stop(simulate(station, Release(depth=depth)))


def _most_open(bench: Bench) -> Question:
    """The most open click that passes, of what stands on the bench."""

    def truth() -> Truth:
        station, found = bench.station, _on_the_bench(bench.station)
        most, depth = station.damper.adjusters["rebound"], 1e3 * found.depth
        if not found.good:
            why = "none passes" if found.clear else "none can be tested clear of the bump stop"
            return Truth(-1.0, f"of the rebound clicks of {station.name} at this load {why}.")
        more = "" if max(found.good) == most else "; one click more swings on"
        return Truth(
            float(found.most_open),
            f"on {station.name} at this load {from_to(found.good)} of 0 to {most} pass the release test, held down by "
            f"{depth:.0f} mm with low-speed compression fully open{more}.",
            1.0 if found.doubtful else 0.0,
        )

    def wrong(given: float, truth: Truth) -> Wrong | None:
        most, found = bench.station.damper.adjusters["rebound"], _on_the_bench(bench.station)
        if not found.clear:
            return Wrong(Mistake.ONE_TEST, "At this load the bump stop is in the way: take load off, and ask again.")
        good = found.good
        if good and given == min(good):
            return Wrong(Mistake.END, "You gave the most closed click that passes; the most open one is asked for.")
        if abs((most - given) - float(truth.right)) < 0.5:
            return Wrong(Mistake.DIRECTION, "Your number would be right counted from fully open.")
        if good and given < min(good):
            return Wrong(Mistake.END, "That one creeps back; look on the open side.")
        if given in good:
            return Wrong(Mistake.SIZE, "This one passes, but a more open one does too.")
        return Wrong(
            Mistake.CLOCK,
            f"Set this click on the bench, held down by {1e3 * found.depth:.0f} mm, with low-speed compression fully "
            "open, and count the swings.",
        )

    return Question(
        key="most_open", truth=truth, wrong=wrong, unit="clicks", whole=True,
        between=lambda: (0, bench.station.damper.adjusters["rebound"]),
        text="For the vehicle and load on the bench now: which is the most open rebound click that still passes (not "
        f"more than one visible swing, settled in time)? Hold it down by {1e3 * DEEP:.0f} mm, or by "
        f"{1e3 * SHALLOW:.0f} mm where the bench says that it is held on its bump stop; low-speed compression fully "
        "open.",
    )  # fmt: skip


def _preload() -> Question:
    """What preload does to a release."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        more = replace(station, spring=replace(station.spring, preload=station.spring.preload + 0.003))
        (before, _), (after, _) = settled(station), settled(more)
        quicker = abs(after - before) > 0.05 * before
        raised = 1e3 * (station.static_travel - more.static_travel)
        return Truth(
            BOTH if quicker and raised > 0.5 else HIGHER if raised > 0.5 else QUICKER,
            f"3 mm more preload lifts the ride height by {raised:.1f} mm; the time to settle is {before:.2f} s before "
            f"and {after:.2f} s after. Preload moves ride height, not hardness.",
        )

    return Question(
        key="preload", truth=truth,
        text="The spring gets 3 mm more preload, and nothing else changes. What does that do?",
        options={
            QUICKER: Wrong(Mistake.CAUSE, "The spring's rate and the mass set the pace, and preload changes neither."),
            HIGHER: Wrong(Mistake.CAUSE, "Compare the two times."),
            BOTH: Wrong(Mistake.CAUSE, "The spring pushes harder at full extension only; how much harder it gets per "
                        "mm stays the same."),
        },
    )  # fmt: skip
