"""Checks of single numbers and of arrays, each raising one sentence."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suspension_lab.common.errors import LabError, shown

GRAVITY = 9.80665
"""Standard gravity [m/s^2] (ISO 80000-3)."""

Array = NDArray[np.float64]


def number(where: str, value: Any, unit: str, *, low: float = -math.inf, high: float = math.inf) -> float:
    """A finite float between `low` and `high`, both allowed.

    Raises:
        LabError: the value is not a number, not finite, or out of the range.
    """
    try:
        result = float(value)
    except (TypeError, ValueError):
        raise LabError(f"{where} is {value!r}, where a number in {unit} was expected.") from None
    if not math.isfinite(result):
        raise LabError(f"{where} is {result}, where a finite number in {unit} was expected.")
    if not low <= result <= high:
        raise LabError(f"{where} is {result:g} {unit}, where {_range(low, high, unit)} was expected.")
    return result


def positive(where: str, value: Any, unit: str) -> float:
    """A finite float above zero.

    Raises:
        LabError: the value is not a number, not finite, or not above zero.
    """
    result = number(where, value, unit)
    if result <= 0.0:
        raise LabError(f"{where} is {result:g} {unit}, where more than 0 {unit} was expected.")
    return result


def whole(where: str, value: Any, *, low: int, high: int) -> int:
    """A whole number between `low` and `high`, both allowed; 3.0 is one, True is none.

    Raises:
        LabError: the value is not a whole number, or out of the range.
    """
    expected = f"a whole number from {low} to {high}"
    if isinstance(value, bool | np.bool_):
        raise LabError(f"{where} is {value}, where {expected} was expected.")
    try:
        result = int(value)
        fits = result == value
    except (TypeError, ValueError, OverflowError):
        fits = False
    if not fits or not low <= result <= high:
        raise LabError(f"{where} is {shown(value)}, where {expected} was expected.")
    return result


def array(where: str, values: ArrayLike, unit: str, *, at_least: int = 2) -> Array:
    """A one-dimensional float64 copy with finite entries, which can no longer be written to.

    Raises:
        LabError: wrong shape, too few entries, or an entry that is not a finite number.
    """
    try:
        result = np.array(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise LabError(f"{where} holds something that is not a number; numbers in {unit} were expected.") from None
    if result.ndim != 1 or result.size < at_least:
        raise LabError(f"{where} has shape {result.shape}, where a list of at least {at_least} numbers was expected.")
    bad = np.flatnonzero(~np.isfinite(result))
    if bad.size:
        raise LabError(f"{where} entry {bad[0] + 1} is {result[bad[0]]}, where a finite number in {unit} was expected.")
    result.setflags(write=False)
    return result


def rising(where: str, values: Array, unit: str) -> None:
    """Hold that each entry is larger than the one before.

    Raises:
        LabError: names the first entry that is not, and the pair of values.
    """
    bad = np.flatnonzero(np.diff(values) <= 0.0)
    if bad.size:
        i = int(bad[0])
        how = "repeats" if values[i + 1] == values[i] else "goes backward"
        raise LabError(
            f"{where} {how} at entry {i + 2} ({values[i]:g} {unit}, then {values[i + 1]:g} {unit}); "
            "sort the rows and drop the doubled ones."
        )


def _range(low: float, high: float, unit: str) -> str:
    if low == -math.inf:
        return f"at most {high:g} {unit}"
    if high == math.inf:
        return f"at least {low:g} {unit}"
    return f"{low:g} to {high:g} {unit}"
