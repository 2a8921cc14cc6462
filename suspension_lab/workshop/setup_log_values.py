"""What may stand in a setup log: checked, each with one sentence where it cannot be."""

from __future__ import annotations

import datetime
import math
import re
import unicodedata
from collections.abc import Mapping
from numbers import Integral, Real

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import ADJUSTERS, Clicks

RANGES = {
    "preload_mm": (0.0, 500.0, "mm"), "tyre_pressure_bar": (0.1, 20.0, "bar"),
    "air_temperature_C": (-50.0, 70.0, "°C"), "oil_temperature_C": (-50.0, 250.0, "°C"), "load_kg": (0.0, 5000.0, "kg"),
}  # fmt: skip
"""A run's numbers are meant within these (our choice)."""
OWN_COLUMNS = (
    "vehicle", "session", "date", "place", "run", *ADJUSTERS, *RANGES, "road", "test", "measured", "remark", "written",
)  # fmt: skip
"""What the log's table has anyway; nothing measured may be called so."""
MOST_CLICKS = 200
LONGEST = 10_000
"""So many characters a text may have (our choice)."""
Measured = Mapping[str, tuple[float, str]]
"""Name -> value and unit, as {'return time': (0.52, 's')}."""


def words(what: str, given: object) -> str:
    """Words without blanks around them, and with nothing in them that cannot be read back but line breaks.

    Raises:
        LabError: something else, or far too much of it.
    """
    if not isinstance(given, str):
        raise LabError(f"The {what} is {shown(given)}, where words were expected.")
    if len(given) > LONGEST:
        raise LabError(f"The {what} has {len(given)} characters, where at most {LONGEST} were expected; shorten it.")
    text = unicodedata.normalize("NFC", given.replace("\r\n", "\n").replace("\r", "\n"))
    return "".join(sign if sign == "\n" or _can_be_read(sign) else " " for sign in text).strip()


def one_line(what: str, given: object) -> str:
    """As `words`, with one blank for each stretch of blanks and line breaks.

    Raises:
        LabError: as `words`.
    """
    return " ".join(words(what, given).split())


def same_name(name: str) -> str:
    """What two names have in common that differ in capitals and blanks alone."""
    return " ".join(unicodedata.normalize("NFKC", name).split()).casefold()


def vehicle_name(given: object) -> str:
    """A vehicle's name.

    Raises:
        LabError: it is none.
    """
    name = one_line("name of the vehicle", given)
    if not name:
        raise LabError("The vehicle has no name; give one by which the workshop knows it.")
    return name


def checked_date(given: str | None) -> str:
    """A date as 2026-11-26; None: today.

    Raises:
        LabError: it is none.
    """
    if given is None:
        return datetime.date.today().isoformat()
    if isinstance(given, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", given.strip()):
        try:
            return datetime.date.fromisoformat(given.strip()).isoformat()
        except ValueError:
            pass
    raise LabError(f"The date is {shown(given)}, where one such as 2026-11-26 was expected.")


def checked_clicks(given: Clicks | Mapping[str, int]) -> dict[str, int]:
    """Clicks of known adjusters, whole and not below 0; what is None is left out.

    Raises:
        LabError: they are not.
    """
    if not isinstance(given, Clicks | Mapping):
        raise LabError(f"The clicks are {shown(given)}, where names and clicks were expected, as {{'rebound': 6}}.")
    found: dict[str, int] = {}
    for name in given:
        if name not in ADJUSTERS:
            raise LabError(f"There is no adjuster {shown(name)}; {nearest_name(str(name), ADJUSTERS)}")
        value = given[name]
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, Integral) or not 0 <= value <= MOST_CLICKS:
            raise LabError(
                f"{name.replace('_', '-')} is {shown(value)} clicks, where a whole number from 0 (closed) to "
                f"{MOST_CLICKS} was expected."
            )
        found[name] = int(value)
    return found


def checked_state(given: Mapping[str, float | None]) -> dict[str, float]:
    """Preload, pressure, temperatures and load in their ranges; what is None is left out.

    Raises:
        LabError: they are not, or an unknown name.
    """
    found: dict[str, float] = {}
    for name, value in given.items():
        if name not in RANGES:
            raise LabError(f"A run has no {shown(name)}; {nearest_name(name, RANGES)}")
        if value is None:
            continue
        low, high, unit = RANGES[name]
        if isinstance(value, bool) or not isinstance(value, Real) or not low <= value <= high:
            raise LabError(f"{name} is {shown(value)}, where {low:g} to {high:g} {unit} was expected.")
        found[name] = float(value)
    return found


def checked_measured(given: Measured) -> dict[str, tuple[float, str]]:
    """Names with a finite number and a unit each.

    Raises:
        LabError: they are not, or a name is taken.
    """
    if not isinstance(given, Mapping):
        raise LabError(
            f"What was measured is {shown(given)}, where names with number and unit were expected, as "
            "{'return time': (0.52, 's')}."
        )
    found: dict[str, tuple[float, str]] = {}
    for name, pair in given.items():
        called = one_line("name of what was measured", name)
        if not isinstance(pair, tuple | list) or len(pair) != 2 or not called or not _finite(pair[0]):
            raise LabError(
                f"{shown(name)} was measured as {shown(pair)}, where a number and its unit were expected, as "
                "(0.52, 's')."
            )
        unit = one_line(f"unit of {called}", pair[1])
        if set("[]") & set(called + unit):
            raise LabError(f"{shown(name)} holds [ or ], which stand around units; give the unit behind the number.")
        if called.casefold() in {own.casefold() for own in OWN_COLUMNS}:
            raise LabError(f"{shown(name)} is a column of the log itself; give what was measured another name.")
        if called.casefold() in {other.casefold() for other in found}:
            raise LabError(f"{shown(name)} was measured twice in one run; give each its own name.")
        found[called] = (float(pair[0]), unit)
    return found


def _can_be_read(sign: str) -> bool:
    return not unicodedata.category(sign).startswith(("Cc", "Cs", "Zl", "Zp"))


def _finite(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, Real):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:
        return False
