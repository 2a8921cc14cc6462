"""Lesson 08: an unknown vehicle, tests that cost minutes, a diagnosis and a setting."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from suspension_lab.lab.checks import Checks
from suspension_lab.lab.mystery_bench import mystery_bench
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.lab.result_sheet import record
from suspension_lab.workshop.mistakes import Mistake
from suspension_lab.workshop.mystery import CAUSES, NOTHING, mystery, one_of_each_fault
from suspension_lab.workshop.mystery_procedure import solve
from suspension_lab.workshop.mystery_score import Score, as_believed, score
from suspension_lab.workshop.mystery_tests import TESTS, Sheet
from suspension_lab.workshop.results import Reply

LESSON = "08_mystery_vehicles"
FIRST_TESTS = tuple(TESTS[key] for key in ("gauge", "sag", "release"))
LOW, MIDDLE, HIGH = "under 40", "from 40 to 70", "over 70"
EXAMPLES_FROM = 501
ASKED_FOR = ("sticky_seal", "soft_rebound")
GAUGE, OFF, TURN = "the tyre gauge", "the damper off the vehicle", "rebound, by two clicks"


def predict_and_try(number: int = 1) -> PredictFirst:
    """Two predictions, and the first unknown vehicle."""
    return PredictFirst(LESSON, [_first(), _guess()], mystery_bench(number, on_handed_over=_keep))


def check(bench: Any) -> Checks:
    """What is asked afterwards."""
    return Checks(LESSON, [_sticks(), _swings_on(), _minutes()])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    made.add(f"{_first_names()} together", f"{first_minutes()} minutes")
    made.add("Vehicles like number 1, one with each fault", f"{len(one_of_each_fault(1))}")
    made.add("Each cause guessed without any test on each of them: mean score", f"{guessed():.0f} of 100")
    return made


def first_minutes() -> int:
    """What the first three tests cost together."""
    return sum(test.minutes for test in FIRST_TESTS)


def _first_names() -> str:
    return ", ".join(test.name for test in FIRST_TESTS)


@lru_cache(maxsize=1)
def guessed() -> float:
    """Mean score of guessing without a test, each cause on a vehicle of each fault, and doing what the guess asks for.

    So a guess is right as often as it is by chance.
    """
    points = [
        score(Sheet(mystery=made), as_believed(made, cause)).points
        for made in one_of_each_fault(1)
        for cause in CAUSES
        if cause != NOTHING
    ]
    return sum(points) / len(points)


def _keep(seed: int, diagnosis: str, made: Score) -> None:
    record(
        Reply(
            lesson=LESSON, question=f"vehicle {seed}", kind="mystery", right=made.right, score=float(made.points),
            answer=f"{CAUSES[diagnosis]}, {made.minutes} minutes",
            mistake=str(made.mistake.kind) if made.mistake else "",
        )
    )  # fmt: skip


@lru_cache(maxsize=8)
def an_example(cause: str) -> int:
    """Number of a vehicle with a cause, far from those that a trainee begins with."""
    return next(number for number in range(EXAMPLES_FROM, 1000) if mystery(number).fault == cause)


def _solved(cause: str) -> tuple[str, str]:
    """What the procedure calls a vehicle with a cause, and what it saw."""
    found = solve(mystery(an_example(cause)))
    seen = " ".join(step.found for step in found.steps[:-1])
    return CAUSES[found.diagnosis], f"vehicle {an_example(cause)} is such a one: {seen}"


def _first() -> Question:
    """With what a careful hand begins."""

    def truth() -> Truth:
        answer = solve(mystery(1)).steps[0].answer
        assert answer is not None
        first = {"gauge": GAUGE, "in_hand": OFF}.get(answer.test.key, TURN)
        return Truth(
            first,
            f"it costs {TESTS['gauge'].minutes} minutes and rules out what would spoil every other test; the "
            f"damper off in a licensed workshop costs {TESTS['in_hand'].minutes}.",
        )

    return Question(
        key="first", truth=truth, text="A vehicle of unknown fault is brought in. With what does a careful hand begin?",
        options={
            GAUGE: Wrong(Mistake.CAUSE, "Which test is cheap, and spoils all others when it fails?"),
            OFF: Wrong(Mistake.SIZE, "That is dear. What could be ruled out in two minutes?"),
            TURN: Wrong(Mistake.CAUSE, "Nothing is turned before it is known what is wrong."),
        },
    )  # fmt: skip


def _guess() -> Question:
    """What a guess is worth."""

    def truth() -> Truth:
        mean = guessed()
        return Truth(
            LOW if mean < 40.0 else MIDDLE if mean <= 70.0 else HIGH,
            "on vehicles like number 1, one with each fault, a guess without any test, with the work that it asks for, "
            f"scores {mean:.0f} of 100 on average.",
        )

    return Question(
        key="guess", truth=truth, text="Somebody names a fault without any test, and does the work that it asks for. "
        "What score out of 100 does that bring on average?",
        options={
            LOW: Wrong(Mistake.SIZE, "Sometimes a guess is right."),
            MIDDLE: Wrong(Mistake.SIZE, "There are six causes, and the work for a wrong one mends nothing."),
            HIGH: Wrong(Mistake.SIZE, "There are six causes."),
        },
    )  # fmt: skip


def _asked(key: str, text: str, cause: str, hints: dict[str, Wrong]) -> Question:
    def truth() -> Truth:
        right, seen = _solved(cause)
        return Truth(right, seen)

    return Question(key=key, text=text, truth=truth, options={CAUSES[name]: wrong for name, wrong in hints.items()})


def _sticks() -> Question:
    return _asked(
        "sticks",
        "The tyre has its pressure. Let down gently and let up gently, it comes to rest at two heights far apart. What "
        "is it?",
        ASKED_FOR[0],
        {
            "sticky_seal": Wrong(Mistake.CAUSE, "What can hold a body off ride height on either side?"),
            "wrong_spring": Wrong(Mistake.CAUSE, "A spring knows one height for a load, from wherever it comes."),
            "soft_rebound": Wrong(Mistake.ADJUSTER, "A damper without speed has no force."),
            "lost_gas": Wrong(Mistake.CAUSE, "The gas pushes one way only, so it moves both heights alike."),
        },
    )


def _swings_on() -> Question:
    return _asked(
        "swings_on",
        "Tyre and sag are right. Let go, it swings on. The rebound adjuster stands more open than on its sheet. "
        "What is it?",
        ASKED_FOR[1],
        {
            "soft_rebound": Wrong(Mistake.CAUSE, "Which adjuster holds the body on its way up?"),
            "closed_low_speed": Wrong(Mistake.ADJUSTER, "That one works while the damper gets shorter."),
            "wrong_spring": Wrong(Mistake.CAUSE, "The sag is right."),
            "sticky_seal": Wrong(Mistake.CAUSE, "Friction would stop the swings sooner."),
        },
    )


def _minutes() -> Question:
    def truth() -> Truth:
        return Truth(
            float(first_minutes()), f"{_first_names().lower()} cost {first_minutes()} minutes, and settle most "
            "vehicles.", 0.5,
        )  # fmt: skip

    return Question(
        key="minutes", truth=truth, unit="minutes", look="Add the three prices on the test buttons.",
        between=lambda: (0, 1000),
        text="What do tyre gauge, sag and release test cost together, each done once, by the bench's price list?",
    )  # fmt: skip
