"""What may stand in a setup log: checked, each with one sentence where it cannot be."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import ADJUSTERS, Clicks

RANGES = {
    "preload_mm": (0.0, 500.0, "mm"), "tyre_pressure_bar": (0.1, 20.0, "bar"),
    "air_temperature_C": (-50.0, 70.0, "°C"), "oil_temperature_C": (-50.0, 250.0, "°C"), "load_kg": (0.0, 5000.0, "kg"),
}  # fmt: skip
MOST_CLICKS = 200
Measured = Mapping[str, tuple[float, str]]
"""Name -> value and unit, as {'return time': (0.52, 's')}."""


def words(what: str, given: object) -> str:
    """Words without blanks around them.

    Raises:
        LabError: something else.
    """
    if not isinstance(given, str):
        raise LabError(f"The {what} is {shown(given)}, where words were expected.")
    return given.strip()


def checked_date(given: str | None) -> str:
    """A date as 2026-11-26; None: today.

    Raises:
        LabError: it is none.
    """
    if given is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(given).isoformat()
    except (TypeError, ValueError):
        raise LabError(f"The date is {shown(given)}, where one such as 2026-11-26 was expected.") from None


def checked_clicks(given: Clicks | Mapping[str, int]) -> dict[str, int]:
    """Clicks of known adjusters, whole and not below 0.

    Raises:
        LabError: they are not.
    """
    found = {}
    for name in given:
        if name not in ADJUSTERS:
            raise LabError(f"There is no adjuster {shown(name)}; {nearest_name(str(name), ADJUSTERS)}")
        value = given[name]
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST_CLICKS:
            raise LabError(
                f"{name.replace('_', '-')} is {shown(value)} clicks, where a whole number from 0 (closed) to "
                f"{MOST_CLICKS} was expected."
            )
        found[name] = value
    return found


def checked_state(given: Mapping[str, float | None]) -> dict[str, float]:
    """Preload, pressure, temperatures and load in their ranges; what is None is left out.

    Raises:
        LabError: they are not, or an unknown name.
    """
    found = {}
    for name, value in given.items():
        if name not in RANGES:
            raise LabError(f"A run has no {shown(name)}; {nearest_name(name, RANGES)}")
        if value is None:
            continue
        low, high, unit = RANGES[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise LabError(f"{name} is {shown(value)}, where {low:g} to {high:g} {unit} was expected.")
        found[name] = float(value)
    return found


def checked_measured(given: Measured) -> dict[str, tuple[float, str]]:
    """Names with a finite number and a unit each.

    Raises:
        LabError: they are not.
    """
    found = {}
    for name, pair in given.items():
        fits = isinstance(name, str) and name.strip() and isinstance(pair, tuple | list) and len(pair) == 2
        if not fits or isinstance(pair[0], bool) or not isinstance(pair[0], int | float) or not math.isfinite(pair[0]):
            raise LabError(
                f"{shown(name)} was measured as {shown(pair)}, where a number and its unit were expected, as "
                "(0.52, 's')."
            )
        found[name.strip()] = (float(pair[0]), words(f"unit of {name}", pair[1]))
    return found
