"""Lesson 04: the valley of even tyre load between too open and too closed."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from suspension_lab.excitation.road import Ride
from suspension_lab.excitation.roads import iso8608
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.benches import evenness_bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.lessons.words import ride_question
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.lab.road_choice import DURATION, LENGTH, SEED, ride_over
from suspension_lab.simulation.linear import modes
from suspension_lab.simulation.settings import Ahead, simulate_settings, worked_out_ahead
from suspension_lab.simulation.simulate import course_of, simulate
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.class_runs import COLD, WARM, rear
from suspension_lab.workshop.evenness import ALIKE, Evenness, Felt, Row, Valley, felt, felt_at
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.release_test import WORDS, Verdict, from_to, passing, rebound_verdicts, so_many, verdict_on

LESSON = "04_hard_is_not_sporty"
VEHICLE = "courier_scooter_rear"
OPENED, BETWEEN, CLOSED = "fully open", "somewhere in between", "fully closed"
NOWHERE = "on none of them"
OPEN_FOR_COMFORT = "fully open, for its comfort"
CLOSED_FOR_FEEL = "fully closed, for its firm feel"
NEITHER = "neither: rebound is set by the release test first"
STRETCHES = 8
"""Other stretches of a road's class that its lowest point is looked for on (our choice)."""
EDGE = 0.1
"""Up to this share from an end a lowest point counts as lying at that end."""


def predict_and_try() -> PredictFirst:
    """Three predictions, and the bench for evenness."""
    return PredictFirst(
        LESSON,
        [
            _where("most_even", 0, "the tyre load most even"),
            _where("most_comfortable", 1, "the body shaken least"),
            _worse_end(),
        ],
        evenness_bench(VEHICLE),
    )


def check(bench: Bench) -> Checks:
    """What is asked afterwards; the tyre load variation is that of what stands on the bench."""
    return Checks(LESSON, [_rebound_closed(), _washboard(), _ends(), _variation(bench)])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    good_road = valley("B", 30)
    road_lowest = good_road.everywhere
    for name, at in (("fully open", 0), ("lowest by this road", road_lowest.lowest(0)), ("fully closed", -1)):
        made.add(
            f"Rear scooter, 48 kg, class B at 30 km/h, all adjusters alike, {name}",
            f"{100 * good_road.closed[at]:.0f} % closed, tyre load varies by {100 * good_road.values[at, 0]:.0f} %, "
            f"the body shakes with {good_road.values[at, 1]:.1f} m/s²",
        )
    first, last = (100 * road_lowest.closed[at] for at in road_lowest.good(0))
    made.add("Wheel hop of the rear scooter", f"{modes(load_station(VEHICLE)).wheel.frequency:.0f} times a second")
    made.add("There at most 5 % worse than the lowest", f"from {first:.0f} to {last:.0f} % closed")
    for celsius in (COLD, WARM):
        made.add(
            f"Rear scooter, 48 kg, oil at {celsius:.0f} °C: rebound that passes the release test",
            from_to(passing(rebound_verdicts(rear(oil=celsius)))),
        )
    lowest = good_road.lowest(0)
    good = sorted(int(good_road.settings[at].rebound or 0) for at in good_road.good(0))
    made.add(
        "The most even that passes, and what is at most 5 % worse",
        f"rebound {good_road.settings[lowest].rebound}, from {good[-1]} to {good[0]}",
    )
    for kind, speed in (("C", 30), ("D", 30), ("E", 30), ("cobbles", 30), ("washboard", 15), ("washboard", 30)):
        on_it = valley(kind, speed).everywhere
        name = f"class {kind}" if len(kind) == 1 else kind
        made.add(
            f"Lowest by the road alone, {name} at {speed} km/h", f"{100 * on_it.closed[on_it.lowest(0)]:.0f} % closed"
        )
    for kind in ("C", "D", "E"):
        made.add(f"The same on {STRETCHES} other stretches of class {kind} at 30 km/h", _on_other_stretches(kind))
    for vehicle in ("trail_bike_rear", "delivery_van_corner"):
        other = valley("B", 30, vehicle)
        made.add(
            f"Lowest that passes, {load_station(vehicle).name}", f"{100 * other.closed[other.lowest(0)]:.0f} % closed"
        )
    return made


@lru_cache(maxsize=16)
def valley(kind: str, speed: int, vehicle: str = VEHICLE) -> Valley:
    """All adjusters alike, from open to closed, on a road at a speed [km/h]."""
    station = load_station(vehicle)
    trace, row = simulate(station, *ride_over(kind, speed / 3.6)), _alike(station)
    run = Evenness(trace=trace, row=row)
    known = felt_at(station, run.missing, trace)
    found = Evenness(trace=trace, row=row, known=known, verdicts=rebound_verdicts(station)).valley
    assert found is not None
    return found


def _alike(station: Station) -> Row:
    return Row(along=ALIKE, ranges=station.damper.adjusters, present=station.clicks)


def _on_other_stretches(kind: str) -> str:
    """From where to where the lowest point moves over some stretches of a road's class, beside the bench's own."""
    station, found = load_station(VEHICLE), []
    row = _alike(station)
    roads = [iso8608(kind, length=LENGTH, seed=SEED + 1 + at) for at in range(STRETCHES)]
    # No road changes what the damper does at its clicks: that is worked out once for all stretches.
    laws = worked_out_ahead(station, Ride(roads[0], 30 / 3.6), DURATION).laws
    for road in roads:
        ride = Ride(road, 30 / 3.6)
        ahead = Ahead(course_of(station, ride, DURATION), laws)
        runs = simulate_settings(station, row.settings, ride, DURATION, ahead=ahead)
        found.append(row.closed(row.settings[int(np.argmin([felt(run).variation for run in runs]))]))
    clicks = (max(found) - min(found)) * station.damper.adjusters["rebound"]
    return f"from {100 * min(found):.0f} to {100 * max(found):.0f} % closed, {so_many(round(clicks))} of rebound"


def _where(key: str, which: int, what: str) -> Question:
    """Where between open and closed a value is lowest on a good road."""

    def truth() -> Truth:
        found = valley("B", 30).everywhere
        closed = float(found.closed[found.lowest(which)])
        unit, factor, digits = (("% of the load at rest", 100.0, 0), ("m/s²", 1.0, 2))[which]
        ends = [f"{factor * found.values[at, which]:.{digits}f}" for at in (0, found.lowest(which), -1)]
        return Truth(
            OPENED if closed <= EDGE else CLOSED if closed >= 1.0 - EDGE else BETWEEN,
            f"the lowest lies at {100 * closed:.0f} % closed: {ends[1]} {unit}, fully open {ends[0]}, fully closed "
            f"{ends[2]}.",
        )

    return Question(
        key=key, truth=truth,
        text="Courier scooter's rear on a good road (class B) at 30 km/h; all adjusters are closed together. Where is "
        f"{what}?",
        options={
            OPENED: Wrong(Mistake.END, "Without damping the wheel swings on after each bump."),
            BETWEEN: Wrong(Mistake.ONE_TEST, "What holds for the tyre need not hold for the body."),
            CLOSED: Wrong(Mistake.HARD, "A damper that hardly moves hands each bump on."),
        },
    )  # fmt: skip


def _worse_end() -> Question:
    """Which end loads the tyre less evenly."""

    def truth() -> Truth:
        found = valley("B", 30)
        first, last = (100 * float(found.values[at, 0]) for at in (0, -1))
        return Truth(
            CLOSED if last > 1.05 * first else OPENED if first > 1.05 * last else "both alike",
            f"fully open the tyre load varies by {first:.0f} %, fully closed by {last:.0f} % of the load at rest.",
        )

    return Question(
        key="worse_end", truth=truth, text="Which of the two ends presses the tyre less evenly there?",
        options={
            OPENED: Wrong(Mistake.HARD, "Soft looks worse than it is."),
            CLOSED: Wrong(Mistake.HARD, "Look at both ends."),
            "both alike": Wrong(Mistake.SIZE, "Read both ends off the picture."),
        },
    )  # fmt: skip


def _rebound_closed() -> Question:
    """What closing rebound from 9 to 4 clicks does on a good road."""

    def at(rebound: int) -> Felt:
        return felt(simulate(load_station(VEHICLE).with_clicks(rebound=rebound), *ride_over("B", 30 / 3.6)))

    def change() -> tuple[bool, bool, str]:
        before, after = at(9), at(4)
        return (
            after.variation < before.variation, after.shaking < before.shaking,
            f"tyre load variation goes from {100 * before.variation:.1f} to {100 * after.variation:.1f} % of the load "
            f"at rest, weighted acceleration from {before.shaking:.2f} to {after.shaking:.2f} m/s².",
        )  # fmt: skip

    return ride_question(
        "rebound_closed",
        "The courier scooter's rear at 30 km/h on a good road (class B): rebound is closed from 9 clicks out to 4. The "
        "ride becomes ...", change,
    )  # fmt: skip


def _washboard() -> Question:
    """On which road hardest is most even."""
    kinds = {"on the good road of class B": "B", "on the cobbles": "cobbles", "on the washboard": "washboard"}

    def truth() -> Truth:
        most_even = {answer: valley(kind, 30).everywhere for answer, kind in kinds.items()}
        closed = {answer: float(found.closed[found.lowest(0)]) for answer, found in most_even.items()}
        right = [answer for answer, share in closed.items() if share == 1.0]
        where = "; ".join(f"{answer} at {100 * share:.0f} %" for answer, share in closed.items())
        return Truth(
            right[0] if right else NOWHERE, f"with all adjusters alike the tyre load is most even {where} closed."
        )

    return Question(
        key="washboard", truth=truth,
        text="At 30 km/h, on which of these roads is the tyre load most even with everything closed?",
        options={
            "on the good road of class B": Wrong(Mistake.HARD, "This is where the valley was first seen."),
            "on the cobbles": Wrong(Mistake.SIZE, "Rough roads move the valley to the firm side, but how far?"),
            "on the washboard": Wrong(Mistake.ONE_TEST, "Try this road at this speed."),
            NOWHERE: Wrong(Mistake.ONE_TEST, "One bump rhythm can ask for anything: think of the wheel's own hop."),
        },
    )  # fmt: skip


def _ends() -> Question:
    """Which of two ends to ride, where both load the tyre alike."""

    def truth() -> Truth:
        station = load_station("trail_bike_rear")
        ride, seconds = ride_over("B", 30 / 3.6)
        ends = [{name: share * most for name, most in station.damper.adjusters.items()} for share in (1, 0)]
        both = [station.with_clicks(**clicks) for clicks in ends]
        there = [felt(simulate(each, ride, seconds)) for each in both]
        said = [verdict_on(each) for each in both]
        fine = [
            text for text, each in zip((OPEN_FOR_COMFORT, CLOSED_FOR_FEEL), said, strict=True) if each is Verdict.PASSES
        ]
        return Truth(
            fine[0] if fine else NEITHER,
            f"fully open the tyre load varies by {100 * there[0].variation:.0f} %, fully closed by "
            f"{100 * there[1].variation:.0f} % of the load at rest. But in the release test rebound fully open "
            f"{WORDS[said[0]]}, and fully closed {WORDS[said[1]]}: first set rebound by that test.",
        )

    return Question(
        key="two_ends", truth=truth,
        text="On the trail bike, fully open and fully closed load the tyre about alike on the good road. Which "
        "would you ride?",
        options={
            OPEN_FOR_COMFORT: Wrong(Mistake.ONE_TEST, "What does this rebound do once pushed down and let go?"),
            CLOSED_FOR_FEEL: Wrong(Mistake.HARD, "A firm feel is shaking, not grip. How does it come back?"),
            NEITHER: Wrong(Mistake.ONE_TEST, "Ask the release test of both."),
        },
    )  # fmt: skip


def _variation(bench: Bench) -> Question:
    """A number off the table, of what stands on the bench."""

    def truth() -> Truth:
        now = bench.settings
        there = felt(simulate(bench.station, *ride_over(now["road"], now["speed"] / 3.6)))
        return Truth(
            round(100 * there.variation, 1),
            f"the tyre load of {bench.station.name} varies by {100 * there.variation:.1f} % of the load at rest: about "
            "two thirds of the time it lies within so much of it.",
            0.2,
        )

    def wrong(given: float, truth: Truth) -> Wrong | None:
        now = bench.settings
        there = felt(simulate(bench.station, *ride_over(now["road"], now["speed"] / 3.6)))
        if abs(given - there.shaking) <= 0.02 * there.shaking:
            return Wrong(Mistake.ONE_TEST, "That is the shaking of the body; the tyre's number is asked for.")
        return None

    return Question(
        key="variation", truth=truth, wrong=wrong, unit="%", between=lambda: (0, 200),
        text="By how much does the tyre load vary on the bench now, in % of the load at rest (standard deviation)?",
    )  # fmt: skip
