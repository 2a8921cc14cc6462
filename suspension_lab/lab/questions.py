"""Questions of a lesson: the truth is simulated when the answer is given, and a wrong one is answered by its kind."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from suspension_lab.workshop.mistakes import Mistake

OPENINGS = {
    Mistake.DIRECTION: "mind the direction of turning. Clicks are counted out from closed: more clicks are more open.",
    Mistake.UNIT: "mind the unit.",
    Mistake.ADJUSTER: "that is another adjuster's work.",
    Mistake.SIGN: "mind the sign.",
    Mistake.END: "that is a wrong end of the range. 0 clicks is closed and hardest.",
    Mistake.PART: "that is the other part of the line.",
    Mistake.CLOCK: "the clock alone does not tell. Count the swings too.",
    Mistake.ONE_TEST: "that goes by one test or one number alone.",
    Mistake.HARD: "hard was taken for better.",
    Mistake.CAUSE: "that mixes up what causes what.",
    Mistake.SIZE: "the size is not judged right.",
    Mistake.UNSURE: "it is good to say so.",
}
"""What a reply begins with. Each has to be true of every question that uses its kind: it knows no question."""
OTHER_UNITS = {
    "s": {1e3: "in ms", 1.0 / 60.0: "in minutes"},
    "ms": {1e-3: "in s"},
    "mm": {0.1: "in cm", 1e-3: "in m"},
    "N/mm": {1e3: "in N/m"},
    "minutes": {60.0: "in seconds", 1.0 / 60.0: "in hours"},
    "bumps a second": {60.0: "a minute"},
    "%": {0.01: "as a share of one"},
    "% of the depth": {0.01: "as a share of one"},
}
"""Unit asked for -> how many times as large a number is in a unit that is taken for it, and that unit in words."""
WRITTEN = {
    "clicks": ("click", "clicks out"),
    "s": ("sec", "second", "seconds"),
    "ms": ("msec", "milliseconds"),
    "mm": ("millimetres",),
    "km/h": ("kmh", "kph"),
    "minutes": ("minute", "min"),
    "bumps a second": ("bumps", "bumps/s", "bumps per second", "a second", "/s", "1/s", "hz"),
    "%": ("percent", "per cent"),
    "% of the depth": ("%", "percent", "per cent"),
}
"""Unit -> how else it is written behind a number; capital letters count as small ones."""
NUMBER = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)\s*(\D.*)?", re.IGNORECASE)


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
        also: other numbers that are as right.
    """

    right: str | float
    because: str
    within: float = 0.0
    also: tuple[float, ...] = ()


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
        between: least and largest number that can stand there at all, in the unit; another one is no try.
        whole: only whole numbers can stand there.
        look: where a number that is too large or too small is to be found, a sentence.
    """

    key: str
    text: str
    truth: Callable[[], Truth]
    options: Mapping[str, Wrong] = field(default_factory=dict)
    unit: str = ""
    wrong: Callable[[float, Truth], Wrong | None] = lambda given, truth: None
    between: Callable[[], tuple[float, float]] = lambda: (-math.inf, math.inf)
    whole: bool = False
    look: str = "Read it off the bench's table."


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
        wrong = None if given == truth.right else question.options[given]
    else:
        number = _typed(question, given)
        if isinstance(number, str):
            return Judged(number, None)
        truth = question.truth()
        wrong = None
        if abs(number - float(truth.right)) > truth.within and number not in truth.also:
            wrong = _other_unit(number, truth, question)
            refused = "" if wrong else _impossible(number, question)
            if refused:
                return Judged(refused, None)
            wrong = wrong or _sign(number, truth) or question.wrong(number, truth) or _size(number, truth, question)
    if wrong is None:
        return Judged(f"Right: {truth.because}", True)
    said = f"Not yet: {OPENINGS[wrong.kind]} {wrong.hint}"
    return Judged(f"{said} {_told(question, truth)}" if tell else said, False, wrong.kind)


def as_recorded(question: Question, given: str) -> str:
    """An answer as the result sheet takes it: a number with its unit once, however it was typed."""
    number = None if question.options else _typed(question, given)
    return f"{number:.12g} {question.unit}".rstrip() if isinstance(number, float) else given.strip()


def right_answer(question: Question) -> str:
    """What the simulation says, as it would be chosen or typed."""
    right = question.truth().right
    return right if isinstance(right, str) else f"{right:g}"


def _told(question: Question, truth: Truth) -> str:
    right = f'"{truth.right}"' if question.options else f"{truth.right:g} {question.unit}".rstrip()
    return f"The simulation says {right}: {truth.because}"


def _typed(question: Question, given: str) -> float | str:
    """A number that was typed, with the question's unit behind it or without; or why it is none, in a sentence."""
    unit = question.unit
    found = NUMBER.fullmatch(given.strip().replace("\N{MINUS SIGN}", "-"))
    number = float(found[1].replace(",", ".")) if found else math.nan
    behind = " ".join((found[2] or "").casefold().split()) if found else ""
    if math.isfinite(number) and behind in ("", unit.casefold(), *WRITTEN.get(unit, ())):
        return number
    if math.isfinite(number) and unit and not re.match(r"[.,+\-\d]", behind):
        return f"Type the number in {unit}, without its unit."
    of = f" of {unit}" if unit else ""
    return f"'{given.strip()}' is no number{of}; write digits only, such as 12 or 0.45."


def _impossible(given: float, question: Question) -> str:
    """Why a number cannot stand there at all, in a sentence; empty: it can."""
    low, high = question.between()
    if low <= given <= high and (given.is_integer() or not question.whole):
        return ""
    whole = "a whole number" if question.whole else "a number"
    return f"That number cannot be here: {whole} from {low:g} to {high:g} {question.unit} can. It is not counted."


def _other_unit(given: float, truth: Truth, question: Question) -> Wrong | None:
    """The number in another unit than the one asked for."""
    for factor, other in OTHER_UNITS.get(question.unit, {}).items():
        if _is_times(factor, given, truth):
            return Wrong(Mistake.UNIT, f"Your number would be right {other}; give it in {question.unit}.")
    return None


def _sign(given: float, truth: Truth) -> Wrong | None:
    """The right number with its sign turned round."""
    if truth.right and abs(-given - float(truth.right)) <= truth.within:
        return Wrong(Mistake.SIGN, "The number is right, its sign is not.")
    return None


def _size(given: float, truth: Truth, question: Question) -> Wrong:
    much = "large" if given > float(truth.right) else "small"
    if any(_is_times(factor, given, truth) for factor in (1000.0, 100.0, 10.0, 0.1, 0.01, 0.001)):
        return Wrong(Mistake.SIZE, f"Your number is too {much}: does the decimal point stand right?")
    return Wrong(Mistake.SIZE, f"Your number is too {much}. {question.look}")


def _is_times(factor: float, given: float, truth: Truth) -> bool:
    right = float(truth.right)
    return abs(given / factor - right) <= max(truth.within, 0.02 * abs(right)) < abs(right)
