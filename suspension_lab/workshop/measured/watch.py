"""How late a hand with a stopwatch is, and how much it scatters: what a timed release is uncertain by."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import array, number, whole
from suspension_lab.common.errors import LabError

ONE_SIGMA = 0.682689
"""Share of a normal distribution within one standard deviation."""
FEWEST = 3
"""Tries without which nothing is said of a hand (our choice)."""
MOST_TRIES = 100_000
LARGEST = 5.0
"""No hand is later, earlier or more scattered [s] (our choice)."""
LONGEST = 30.0
"""No release takes longer [s] (our choice)."""
READING = 0.01 / math.sqrt(12.0)
"""Of a watch that shows hundredths, evenly spread, as one standard deviation [s] (textbook)."""
MEAN_OF = 3
"""So many tries make one written time: the workshop asks for three (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Watch:
    """A hand with its stopwatch.

    Attributes:
        bias: mean of pressed less true time [s]; above zero: late.
        spread: scatter of one try, one standard deviation (n - 1) [s].
        tries: behind both.

    Raises:
        LabError: a bias or spread that no hand has, or fewer than three tries.
    """

    bias: float
    spread: float
    tries: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "bias", number("bias of a watch", self.bias, "s", low=-LARGEST, high=LARGEST))
        object.__setattr__(self, "spread", number("spread of a watch", self.spread, "s", low=0.0, high=LARGEST))
        object.__setattr__(self, "tries", whole("tries of a watch", self.tries, low=FEWEST, high=MOST_TRIES))

    def corrected(self, seconds: float) -> float:
        """A stopped time [s] less the bias; infinite where it never settled."""
        return float(seconds) - self.bias

    def scatter(self, count: int = 1) -> float:
        """Of the mean of `count` tries about the hand's own mean, one standard deviation [s]."""
        return self.spread / math.sqrt(whole("number of tries", count, low=1, high=MOST_TRIES))

    @property
    def bias_uncertainty(self) -> float:
        """Of the bias: half of the range that holds it about two times in three [s] (Student's t, textbook)."""
        return student_factor(self.tries - 1) * self.scatter(self.tries)

    def uncertainty(self, count: int = 1) -> float:
        """Of the corrected mean of `count` tries: half of the range that holds the truth about two times in three [s].

        The scatter of these tries and of those behind the bias, with Student's t (prediction interval, textbook), and
        the watch's hundredths. The bias is the same in all times of one hand: it does not go away with more of them.
        """
        both = math.hypot(self.scatter(count), self.scatter(self.tries))
        return math.hypot(student_factor(self.tries - 1) * both, READING)

    @property
    def off(self) -> bool:
        """Whether these tries tell a bias from none: it is more than twice its uncertainty (our choice)."""
        return abs(self.bias) > 2.0 * self.bias_uncertainty

    @property
    def sentences(self) -> tuple[str, ...]:
        """How late or early, how scattered, and what follows for a time at the vehicle."""
        how = f"on average you press {late_or_early(self.bias)} (± {self.bias_uncertainty:.2f} s)"
        if not self.off:
            how += f", which {self.tries} tries cannot tell from being on time"
        return (
            f"{how[0].upper()}{how[1:]}.",
            f"From try to try you scatter by {self.spread:.2f} s (one standard deviation).",
            f"{_taken(self.bias)}; one try is then right to ± {self.uncertainty():.2f} s, the mean of {MEAN_OF} to "
            f"± {self.uncertainty(MEAN_OF):.2f} s, about two times in three.",
        )


def watch_of(pressed: ArrayLike, true: ArrayLike) -> Watch:
    """The watch of a hand that pressed beside known times.

    Args:
        pressed: when it pressed, from the let-go on [s], (n,).
        true: when the body had settled [s], (n,).

    Raises:
        LabError: fewer than three pairs, lists of two lengths, or a time that is none.
    """
    hand = array("pressed times", pressed, "s", at_least=FEWEST)
    truth = array("true times", true, "s", at_least=FEWEST)
    if hand.size != truth.size:
        raise LabError(f"There are {hand.size} pressed times but {truth.size} true ones; give a pair for each try.")
    for name, times in (("pressed", hand), ("true", truth)):
        for at, seconds in enumerate(times.tolist(), 1):
            number(f"{name} time {at}", seconds, "s", low=0.0, high=LONGEST)
    off = hand - truth
    return Watch(bias=float(np.mean(off)), spread=float(np.std(off, ddof=1)), tries=off.size)


def late_or_early(seconds: float) -> str:
    """As '0.12 s late', '0.12 s early' or 'on time'."""
    if round(abs(seconds), 2) == 0.0:
        return "on time, to a hundredth of a second"
    return f"{abs(seconds):.2f} s {'late' if seconds > 0.0 else 'early'}"


def checked_watch(watch: Watch) -> Watch:
    """The same watch.

    Raises:
        LabError: it is none.
    """
    if not isinstance(watch, Watch):
        raise LabError("The watch is no Watch, where one was expected, as lab.watch_of or the stopwatch trainer gives.")
    return watch


@lru_cache(maxsize=64)
def student_factor(degrees: int) -> float:
    """By how much a standard deviation of few values is widened so that it holds two thirds (Student's t, textbook)."""
    from scipy.stats import t as student

    return float(student.ppf(0.5 + 0.5 * ONE_SIGMA, degrees))


def _taken(bias: float) -> str:
    if round(abs(bias), 2) == 0.0:
        return "Nothing needs to be taken off what you stop"
    return f"{'Take' if bias > 0.0 else 'Add'} {abs(bias):.2f} s {'off' if bias > 0.0 else 'to'} what you stop"
