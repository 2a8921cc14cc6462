"""Lesson 03: sharp and long bumps, by low-speed and high-speed compression."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any

from suspension_lab.lab.bench import Bench
from suspension_lab.lab.benches import bump_bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.measures.damper_use import damper_use
from suspension_lab.measures.measure import Measure
from suspension_lab.simulation.linear import modes
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.class_runs import USUAL_HEIGHT, USUAL_SPEED, VEHICLE, bump_run, rear, ridden
from suspension_lab.workshop.mistakes import Mistake

LESSON = "03_sharp_and_long_bumps"
APART = 0.6
"""From bump to bump of the washboard [m]."""
RIPPLE, SLOWLY = 20.0, 15.0
"""Height of the washboard's bumps [mm], and the slower of its two speeds [km/h]."""
SPEEDS = range(5, 61)
"""That the bench offers [km/h]."""
BLOW, LONGEST = "body_acceleration_peak", "longest_contact_loss"
VARIATION, SHAKING, PACKED = "tyre_load_variation", "weighted_acceleration", "packing_down"
Turned = dict[str, Any]
"""Clicks by adjuster, for `rear`."""
AS_IT_STANDS: Turned = {}
LOW_CLOSED: Turned = {"low_speed": 0}
HIGH_CLOSED: Turned = {"high_speed": 0}
CLOSED: Turned = LOW_CLOSED | HIGH_CLOSED | {"rebound": 0}
PACKING: Turned = {"rebound": 0, "low_speed": 20, "high_speed": 16}
LOW_MORE, LOW_LESS = "low speed; the body is hit harder", "low speed; the body is hit less hard"
HIGH_MORE, HIGH_LESS = "high speed; the body is hit harder", "high speed; the body is hit less hard"
MORE_EVEN, LESS_EVEN = "more even at both speeds", "less even at both speeds"
EVEN_SLOWLY, EVEN_FAST = "more even at 15 km/h, less even at 30 km/h", "less even at 15 km/h, more even at 30 km/h"
SHORTER_HARDER, LONGER_SOFTER = "shorter in the air, hit harder", "longer in the air, hit less hard"
SHORTER_SOFTER, LONGER_HARDER = "shorter in the air, hit less hard", "longer in the air, hit harder"
OPEN_REBOUND, CLOSE_HIGH = "open rebound to 9", "close high speed to 0"
CLOSE_LOW, LEAVE = "close low speed to 0", "nothing: low is firm and safe"


def found(key: str, turned: Turned, shape: str, height: float = USUAL_HEIGHT, speed: float = USUAL_SPEED) -> Measure:
    """A measure of the scooter's ride, by its key."""
    return ridden(rear(**turned), shape, height=height, speed=speed)[key]


def past_the_knee(station: Station, speed: float) -> bool:
    """Whether the long hump drives the shaft past its compression knee at a speed [km/h]."""
    fastest, _, knee = damper_use(bump_run(station, "long_hump", USUAL_HEIGHT, speed), "compression")
    return fastest > knee


def slowest_past_the_knee(station: Station) -> int:
    """The lowest speed of the bench at which it does [km/h]; 0: at none."""
    at = bisect_left(SPEEDS, True, key=lambda speed: past_the_knee(station, speed))
    return SPEEDS[at] if at < len(SPEEDS) else 0


def predict_and_try() -> PredictFirst:
    """Three predictions, and the bench for bumps."""
    return PredictFirst(LESSON, [_pothole(), _hump(), _washboard()], bump_bench(VEHICLE))


def check(bench: Bench) -> Checks:
    """What is asked afterwards; the bumps a second and the speed of the hump are those of what stands on the bench."""
    return Checks(LESSON, [_rhythm(bench), _kerb(), _packing(), _hump_speed(bench)])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    both_ends = {"as it stands": AS_IT_STANDS, "all closed (0)": CLOSED}
    each = {"as it stands": AS_IT_STANDS, "low speed 0": LOW_CLOSED, "high speed 0": HIGH_CLOSED}
    for name, shape in (("pothole, 40 mm deep", "pothole"), ("long hump, 40 mm high", "long_hump")):
        for words, turned in each.items():
            blow, shaft = (found(key, turned, shape) for key in (BLOW, "compression_speed"))
            made.add(
                f"Rear scooter, 48 kg, {name}, 30 km/h, {words}",
                f"largest body acceleration {blow.text}, fastest shaft speed in compression {shaft.text}",
            )
    made.add("Its knee in compression", f"{rear().damper.knees[1]:.2f} m/s")
    made.add("From this speed on the long hump drives the shaft past it", f"{slowest_past_the_knee(rear())} km/h")
    for speed in (SLOWLY, USUAL_SPEED):
        for words, turned in both_ends.items():
            tyre, body = (found(key, turned, "washboard", RIPPLE, speed) for key in (VARIATION, SHAKING))
            made.add(
                f"Washboard, {RIPPLE:.0f} mm high, {speed:.0f} km/h, {words}",
                f"tyre load varies by {tyre.text}, weighted acceleration {body.text}",
            )
    made.add(
        f"Bumps {APART} m apart at 30 km/h; wheel hop of the rear scooter",
        f"{USUAL_SPEED / 3.6 / APART:.0f} and {modes(rear()).wheel.frequency:.0f} times a second",
    )
    for words, turned in both_ends.items():
        air, blow = (found(key, turned, "kerb") for key in (LONGEST, BLOW))
        made.add(f"Kerb, 40 mm high, 30 km/h, {words}", f"off the road for {air.text}, hit with at most {blow.text}")
    for words, turned in (("as it stands", AS_IT_STANDS), ("rebound 0, compression open", PACKING)):
        packs = f"packs down by {found(PACKED, turned, 'washboard', RIPPLE, SLOWLY).text}"
        made.add(f"Washboard, 20 mm high, 15 km/h, {words}", packs)
    return made


def _hit(key: str, shape: str, where: str, own: dict[str, Wrong]) -> Question:
    """Which compression adjuster, closed, changes how hard the body is hit on a bump, and which way."""

    def truth() -> Truth:
        usual, low, high = (found(BLOW, each, shape) for each in (AS_IT_STANDS, LOW_CLOSED, HIGH_CLOSED))
        by_low, by_high = low.value - usual.value, high.value - usual.value
        low_right, high_right = LOW_MORE if by_low > 0.0 else LOW_LESS, HIGH_MORE if by_high > 0.0 else HIGH_LESS
        return Truth(
            low_right if abs(by_low) > abs(by_high) else high_right,
            f"the largest body acceleration is {usual.text} as it stands, {low.shown} with low speed closed, "
            f"{high.shown} with high speed closed.",
        )

    other = Wrong(Mistake.ADJUSTER, "How fast does this bump move the shaft, and on which side of the knee is it?")
    return Question(
        key=key, truth=truth,
        text=f"{where} at 30 km/h. One compression adjuster is closed to 0. Which one changes most how hard the body "
        "is hit, and how?",
        options={answer: own.get(answer, other) for answer in (LOW_MORE, LOW_LESS, HIGH_MORE, HIGH_LESS)},
    )  # fmt: skip


def _pothole() -> Question:
    """On a sharp edge."""
    own = {
        HIGH_MORE: Wrong(Mistake.DIRECTION, "Does a closed damper let the wheel move?"),
        HIGH_LESS: Wrong(Mistake.HARD, "A damper that is closed hands the blow on to the body."),
    }
    return _hit("pothole", "pothole", "A pothole with sharp edges, 40 mm deep,", own)


def _hump() -> Question:
    """On a long smooth hump."""
    own = {
        LOW_MORE: Wrong(Mistake.ONE_TEST, "What holds on a sharp edge need not hold on a slow swing of the body."),
        LOW_LESS: Wrong(Mistake.CAUSE, "The body follows a long hump and swings on it."),
    }
    return _hit("hump", "long_hump", "A long smooth hump, 40 mm high,", own)


def _washboard() -> Question:
    """What closing everything does on a washboard at two speeds."""

    def truth() -> Truth:
        (slow, slow_closed), (fast, fast_closed) = (
            [found(VARIATION, each, "washboard", RIPPLE, speed) for each in (AS_IT_STANDS, CLOSED)]
            for speed in (SLOWLY, USUAL_SPEED)
        )
        even = slow_closed.value < slow.value, fast_closed.value < fast.value
        right = {(True, True): MORE_EVEN, (True, False): EVEN_SLOWLY, (False, True): EVEN_FAST}.get(even, LESS_EVEN)
        return Truth(
            right,
            f"closed, the tyre load varies by {slow_closed.shown} in place of {slow.shown} % of the load at rest at 15 "
            f"km/h, and by {fast_closed.shown} in place of {fast.shown} % at 30 km/h.",
        )

    return Question(
        key="washboard", truth=truth,
        text="A washboard of 20 mm. All adjusters are closed to 0. What becomes of the tyre load at 15 and at 30 km/h?",
        options={
            MORE_EVEN: Wrong(Mistake.HARD, "A tyre that is pressed hard is not pressed evenly."),
            LESS_EVEN: Wrong(Mistake.ONE_TEST, "One speed does not tell for the other. How fast does the wheel hop?"),
            EVEN_SLOWLY: Wrong(Mistake.CAUSE, "At which of the two speeds do bumps come as fast as the wheel hops?"),
            EVEN_FAST: Wrong(Mistake.CAUSE, "Read the tyre load variation at both speeds."),
        },
    )  # fmt: skip


def _rhythm(bench: Bench) -> Question:
    """How many bumps of the washboard come in a second."""

    def truth() -> Truth:
        speed, hop = float(bench.settings["speed"]), modes(bench.station).wheel.frequency
        return Truth(
            round(speed / 3.6 / APART, 1),
            f"{speed:.0f} km/h are {speed / 3.6:.1f} m/s, and over {APART} m that is {speed / 3.6 / APART:.1f} bumps a "
            f"second. The wheel of {bench.station.name} hops {hop:.0f} times a second by itself.",
            0.3,
        )

    def wrong(given: float, truth: Truth) -> Wrong | None:
        speed = float(bench.settings["speed"])
        slips = {
            speed / APART: Wrong(Mistake.UNIT, "You divided km/h by metres. Turn the speed into m/s first."),
            3.6 * APART / speed: Wrong(
                Mistake.CAUSE, "That is the time between two bumps. How many fit into a second?"
            ),
            speed / 3.6: Wrong(Mistake.SIZE, "That is the speed in m/s; the way from bump to bump is still missing."),
        }
        near = [slip for number, slip in slips.items() if abs(given - number) <= 0.03 * number]
        return near[0] if near else Wrong(Mistake.SIZE, "First the speed in m/s, then the way from bump to bump.")

    return Question(
        key="rhythm", truth=truth, wrong=wrong, unit="bumps a second", between=lambda: (0, 200),
        text=f"The washboard's bumps lie {APART} m apart. At the speed on the bench now, how many come in a second?",
    )  # fmt: skip


def _kerb() -> Question:
    """What closing everything does on a kerb."""

    def truth() -> Truth:
        air, blow = ([found(key, each, "kerb") for each in (AS_IT_STANDS, CLOSED)] for key in (LONGEST, BLOW))
        shorter, softer = air[1].value < air[0].value, blow[1].value < blow[0].value
        answers = {(True, True): SHORTER_SOFTER, (True, False): SHORTER_HARDER, (False, True): LONGER_SOFTER}
        return Truth(
            answers.get((shorter, softer), LONGER_HARDER),
            f"the tyre is off the road for {air[1].shown} in place of {air[0].text}, and the largest body acceleration "
            f"is {blow[1].shown} in place of {blow[0].text}. What is gained in the one is paid for in the other.",
        )

    one = Wrong(Mistake.ONE_TEST, "Of tyre and body you have judged one rightly at most: read both numbers.")
    return Question(
        key="kerb", truth=truth,
        text="A kerb of 40 mm at 30 km/h. Everything is closed to 0. What happens to the tyre, and to the body?",
        options={
            SHORTER_HARDER: one, LONGER_HARDER: one,
            SHORTER_SOFTER: Wrong(Mistake.HARD, "Ask for the price: is there one?"),
            LONGER_SOFTER: Wrong(Mistake.DIRECTION, "Which way was it turned, and what does the body feel of it?"),
        },
    )  # fmt: skip


def _packing() -> Question:
    """What brings back a vehicle that packs down."""

    def truth() -> Truth:
        turns: dict[str, Turned] = {
            OPEN_REBOUND: {"rebound": 9}, CLOSE_HIGH: {"high_speed": 0}, CLOSE_LOW: {"low_speed": 0}, LEAVE: {},
        }  # fmt: skip
        packed, shaken = (
            {turn: found(key, PACKING | turned, "washboard", RIPPLE, SLOWLY) for turn, turned in turns.items()}
            for key in (PACKED, SHAKING)
        )
        good = [
            turn for turn in turns
            if packed[turn].value < packed[LEAVE].value and shaken[turn].value < shaken[LEAVE].value
        ]  # fmt: skip
        each = [f"{packed[turn].text} and {shaken[turn].text} if you {turn}" for turn in turns if turn != LEAVE]
        return Truth(
            good[0] if good else LEAVE,
            f"it packs down by {packed[LEAVE].text} and shakes with {shaken[LEAVE].text}. That becomes "
            f"{', '.join(each)}. Rebound comes first, and is set by the release test.",
        )

    return Question(
        key="packing", truth=truth,
        text="On the washboard of 20 mm at 15 km/h, with rebound 0 and compression fully open, it packs down. What do "
        "you turn first, to pack less and shake less?",
        options={
            OPEN_REBOUND: Wrong(Mistake.ADJUSTER, "Try all of them on the bench."),
            CLOSE_HIGH: Wrong(Mistake.HARD, "It packs less, but what does the body say?"),
            CLOSE_LOW: Wrong(Mistake.ADJUSTER, "Which side of the damper holds the wheel back on its way out?"),
            LEAVE: Wrong(Mistake.CAUSE, "What is left of the travel for the next bump?"),
        },
    )  # fmt: skip


def _hump_speed(bench: Bench) -> Question:
    """From which speed on the long hump is sharp for the shaft, of what stands on the bench."""

    def truth() -> Truth:
        right, knee = slowest_past_the_knee(bench.station), bench.station.damper.knees[1]
        if not right:
            return Truth(0.0, f"up to {SPEEDS[-1]} km/h the shaft stays below its knee at {knee:.2f} m/s.", 0.5)
        return Truth(float(right), f"from {right} km/h on the shaft gets past its knee at {knee:.2f} m/s.", 1.0)

    def wrong(given: float, truth: Truth) -> Wrong | None:
        if truth.right and abs(3.6 * given - float(truth.right)) <= truth.within:
            return Wrong(Mistake.UNIT, "Your number would be right in m/s.")
        if 0.0 < given < SPEEDS[0]:
            return Wrong(Mistake.UNIT, "That looks like a shaft speed in m/s; the speed of the vehicle is asked for.")
        if not given:
            return Wrong(Mistake.SIZE, f"Move the slider on: the bench offers {SPEEDS[0]} to {SPEEDS[-1]} km/h.")
        if past_the_knee(bench.station, given):
            return Wrong(Mistake.SIZE, "Here it is past the knee already; try slower.")
        return Wrong(Mistake.SIZE, "Here the sentence under the picture says that it stays below the knee.")

    return Question(
        key="hump_speed", truth=truth, wrong=wrong, unit="km/h", between=lambda: (0, SPEEDS[-1]),
        text="Long hump, 40 mm high, with the vehicle, clicks and load on the bench now. From which speed on does the "
        "shaft get past the knee in compression? Type 0 if it never does.",
    )  # fmt: skip
