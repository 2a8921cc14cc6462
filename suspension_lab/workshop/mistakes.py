"""What a trainee's mistakes are called, on screen, on paper and in the result sheet."""

from __future__ import annotations

from enum import StrEnum

NOT_KNOWN = "I do not know yet"
"""An answer that every prediction offers."""


class Mistake(StrEnum):
    """Kinds of mistake."""

    DIRECTION = "direction of turning"
    UNIT = "unit"
    SIGN = "sign"
    ADJUSTER = "wrong adjuster"
    END = "wrong end of the range"
    PART = "other part of the line"
    CLOCK = "the clock without the swings"
    ONE_TEST = "one test alone"
    HARD = "hard taken for better"
    CAUSE = "cause and effect"
    SIZE = "size"
    UNSURE = "not known yet"
