"""Questions of a lesson: the truth is simulated when the answer is given, and a wrong one is answered by its kind."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from suspension_lab.workshop.mistakes import Mistake

OPENINGS = {
    Mistake.DIRECTION: "mind the direction of turning. Clicks are counted out from closed: more clicks are more open.",
    Mistake.UNIT: "mind the unit.",
    Mistake.ADJUSTER: "that is another adjuster's work.",
    Mistake.END: "that is the wrong end of the range. 0 clicks is closed and hardest.",
    Mistake.CLOCK: "the clock alone does not tell. Count the swings too.",
    Mistake.ONE_TEST: "that goes by one test or one number alone.",
    Mistake.HARD: "hard was taken for better.",
    Mistake.CAUSE: "that mixes up what causes what.",
    Mistake.SIZE: "the direction is right, the size is not.",
    Mistake.UNSURE: "it is good to say so.",
}


@dataclass(frozen=True)
class Wrong:
    """Why an answer would be given wrongly.

    Attributes:
        kind: of mistake.
        hint: what to think of or look at, a sentence; nothing of the right answer in it.
    """

    kind: Mistake
    hint: str


@dataclass(frozen=True)
class Truth:
    """What a simulation says.

    Attributes:
        right: the right one of the answers, or the right number.
        because: the numbers, as a sentence that begins small.
        within: so far off a number may be.
    """

    right: str | float
    because: str
    within: float = 0.0


def _size(given: float, truth: Truth) -> Wrong:
    much = "large" if given > float(truth.right) else "small"
    return Wrong(Mistake.SIZE, f"Your number is too {much}; read it off the bench's table.")


@dataclass(frozen=True, kw_only=True)
class Question:
    """A question with some answers to choose from, or for a number.

    Attributes:
        key: short, for the result sheet.
        text: a sentence.
        truth: works out the right answer.
        options: answer -> why it would be chosen, should it be wrong; none: a number is asked for.
        unit: of the number.
        wrong: why a number that is none of the usual slips may have been given.
    """

    key: str
    text: str
    truth: Callable[[], Truth]
    options: Mapping[str, Wrong] = field(default_factory=dict)
    unit: str = ""
    wrong: Callable[[float, Truth], Wrong | None] = lambda given, truth: None


@dataclass(frozen=True)
class Judged:
    """What is replied to an answer.

    Attributes:
        said: the sentence.
        right: None where nothing could be judged.
        mistake: its kind, where it is wrong.
    """

    said: str
    right: bool | None
    mistake: Mistake | None = None


def judge(question: Question, given: str, *, tell: bool) -> Judged:
    """Judge an answer.

    Args:
        question: that was asked.
        given: one of its options, or a number as it was typed.
        tell: say the right answer even if the given one is wrong.
    """
    if not given.strip():
        return Judged("Choose an answer first." if question.options else "Type a number first.", None)
    if question.options:
        truth = question.truth()
        right = given == truth.right
        wrong = question.options[given]
    else:
        number = _number(given)
        if number is None:
            unit = f" of {question.unit}" if question.unit else ""
            return Judged(f"'{given.strip()}' is no number{unit}; write digits only, such as 12 or 0.45.", None)
        truth = question.truth()
        right = abs(number - float(truth.right)) <= truth.within
        wrong = _slip(number, truth, question) or question.wrong(number, truth) or _size(number, truth)
    if right:
        return Judged(f"Right: {truth.because}", True)
    said = f"Not yet: {OPENINGS[wrong.kind]} {wrong.hint}"
    return Judged(f"{said} {_told(question, truth)}" if tell else said, False, wrong.kind)


def right_answer(question: Question) -> str:
    """What the simulation says, as it would be chosen or typed."""
    right = question.truth().right
    return right if isinstance(right, str) else f"{right:g}"


def _told(question: Question, truth: Truth) -> str:
    right = f'"{truth.right}"' if question.options else f"{truth.right:g} {question.unit}".rstrip()
    return f"The simulation says {right}: {truth.because}"


def _number(given: str) -> float | None:
    try:
        number = float(given.strip().replace(",", "."))
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _slip(given: float, truth: Truth, question: Question) -> Wrong | None:
    """The usual slips: milliseconds or centimetres for the unit asked for, a sign turned round."""
    right = float(truth.right)
    for factor in () if question.unit == "clicks" else (1000.0, 0.001, 100.0, 0.01, 10.0, 0.1):
        if right and abs(given / factor - right) <= max(truth.within, 0.02 * abs(right)) < abs(right):
            times = f"{factor:g} times" if factor > 1.0 else f"one {1.0 / factor:g}th of"
            return Wrong(Mistake.UNIT, f"Your number is {times} what is asked for; give it in {question.unit}.")
    if right and abs(-given - right) <= truth.within:
        return Wrong(Mistake.DIRECTION, "The size is right, the sign is not.")
    return None
