"""How late a hand with a stopwatch is, and how much it scatters: what a timed release is uncertain by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import array, number, whole
from suspension_lab.common.errors import LabError

ONE_SIGMA = 0.682689
"""Share of a normal distribution within one standard deviation."""
FEWEST = 3
"""Tries without which nothing is said of a hand, and repeats without which none of its scatter (our choice)."""
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
        spread: scatter of one try at one setting, one standard deviation [s].
        tries: behind both.
        uneven: what the hand is late by differs so much from setting to setting, one standard deviation [s].
        settings: behind `uneven`; None: no setting was tried twice, so `spread` holds both.

    Raises:
        LabError: a bias, spread or unevenness that no hand has, fewer than three tries, or more settings than tries.
    """

    bias: float
    spread: float
    tries: int
    uneven: float = 0.0
    settings: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "bias", number("bias of a watch", self.bias, "s", low=-LARGEST, high=LARGEST))
        object.__setattr__(self, "spread", number("spread of a watch", self.spread, "s", low=0.0, high=LARGEST))
        object.__setattr__(self, "tries", whole("tries of a watch", self.tries, low=FEWEST, high=MOST_TRIES))
        object.__setattr__(self, "uneven", number("unevenness of a watch", self.uneven, "s", low=0.0, high=LARGEST))
        if self.settings is not None:
            low, high = 1 if self.uneven == 0.0 else 2, self.tries - 1
            object.__setattr__(self, "settings", whole("settings of a watch", self.settings, low=low, high=high))

    def corrected(self, seconds: float) -> float:
        """A stopped time [s] less the bias; infinite where it never settled."""
        return float(seconds) - self.bias

    def scatter(self, count: int = 1) -> float:
        """Of the mean of `count` tries at one setting, one standard deviation [s]."""
        return self.spread / math.sqrt(whole("number of tries", count, low=1, high=MOST_TRIES))

    @property
    def bias_uncertainty(self) -> float:
        """Of the bias: half of the range that holds it about two times in three [s] (Student's t, textbook)."""
        return self._factor * self._open

    def uncertainty(self, count: int = 1) -> float:
        """Of the corrected mean of `count` tries: half of the range that holds the truth about two times in three [s].

        The scatter of these tries and of those behind the bias, with Student's t (prediction interval, textbook), and
        the watch's hundredths. The bias is in all times of one hand: it does not go away with more of them, nor does
        what it differs by from setting to setting.
        """
        return math.hypot(self._factor * self.scatter(count), self.setting_uncertainty, READING)

    @property
    def setting_uncertainty(self) -> float:
        """Of what the hand is late by at one setting: half of the range that holds it about two times in three [s]."""
        return self._factor * math.hypot(self.uneven, self._open)

    @property
    def _open(self) -> float:
        """Of the bias, one standard deviation [s]."""
        return math.hypot(self.scatter(self.tries), self.uneven / math.sqrt(self.settings or self.tries))

    @property
    def _factor(self) -> float:
        """Student's: the settings are what the bias is a mean of; of a single one, its tries."""
        return student_factor((self.settings if self.settings and self.settings > 1 else self.tries) - 1)

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
            self._scattered,
            f"{_taken(self.bias)}; one try is then right to ± {self.uncertainty():.2f} s, the mean of {MEAN_OF} to "
            f"± {self.uncertainty(MEAN_OF):.2f} s, about two times in three.",
        )

    @property
    def _scattered(self) -> str:
        if self.settings is None:
            return (
                f"From try to try you scatter by {self.spread:.2f} s (one standard deviation; what you are late by "
                "more at one setting than at another is in it, as too few were tried twice)."
            )
        said = f"At one setting you scatter by {self.spread:.2f} s from try to try (one standard deviation)"
        if round(self.uneven, 2) == 0.0:
            return f"{said}."
        return f"{said}; what you are late by differs by {self.uneven:.2f} s from setting to setting."


def watch_of(pressed: ArrayLike, true: ArrayLike, settings: Sequence[object] | None = None) -> Watch:
    """The watch of a hand that pressed beside known times.

    Args:
        pressed: when it pressed, from the let-go on [s], (n,).
        true: when the body had settled [s], (n,).
        settings: what each try was made at, (n,): tries with the same are repeats, and only these tell the scatter of
            a try from a lateness that differs from setting to setting. None: the same true time is the same setting.

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
    if settings is not None and len(settings) != truth.size:
        raise LabError(f"There are {truth.size} tries but {len(settings)} settings; give one for each try.")
    off = hand - truth
    groups: dict[object, list[float]] = {}
    for setting, each in zip(truth.tolist() if settings is None else settings, off.tolist(), strict=True):
        groups.setdefault(setting, []).append(each)
    repeats = off.size - len(groups)
    if repeats < FEWEST:
        return Watch(bias=float(off.mean()), spread=float(off.std(ddof=1)), tries=off.size)
    spread, uneven = _within_and_between(list(groups.values()))
    return Watch(bias=float(off.mean()), spread=spread, tries=off.size, uneven=uneven, settings=len(groups))


def _within_and_between(groups: Sequence[Sequence[float]]) -> tuple[float, float]:
    """Standard deviation of one value in its group, and of what the groups differ by (analysis of variance, textbook).

    Of pairs with the differences d the first is the root of sum d² / (2 pairs).
    """
    counts, means = np.array([len(each) for each in groups]), np.array([float(np.mean(each)) for each in groups])
    total = int(counts.sum())
    within = sum(float(np.sum(np.square(np.subtract(each, mean)))) for each, mean in zip(groups, means, strict=True))
    within /= total - len(groups)
    if len(groups) == 1:
        return math.sqrt(within), 0.0
    around = float(np.average(means, weights=counts))
    between = float(np.sum(counts * (means - around) ** 2)) / (len(groups) - 1)
    each_has = (total - float(np.sum(counts**2)) / total) / (len(groups) - 1)
    return math.sqrt(within), math.sqrt(max(between - within, 0.0) / each_has)


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
