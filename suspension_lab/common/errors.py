"""The one kind of error that a user of the lab is meant to read."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

LONGEST_SHOWN = 60
"""So many characters of a wrong value are shown back."""


class LabError(ValueError):
    """Bad input, told in one sentence on one line: what, where, what was expected, how to mend it."""

    def __init__(self, sentence: str) -> None:
        # A file's name or a cell may hold line breaks; the sentence must not.
        super().__init__(re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+", " ", sentence))


def nearest_name(given: str, known: Iterable[str]) -> str:
    """A hint for a mistyped name, with the mark that ends its sentence.

    Returns:
        `"did you mean 'x'?"` when a known name is close, else the list of known names.
    """
    names = sorted(known)
    close = difflib.get_close_matches(given[:LONGEST_SHOWN], names, n=1, cutoff=0.6)
    if close:
        return f"did you mean '{close[0]}'?"
    return "known names are " + ", ".join(f"'{name}'" for name in names) + "."


def shown(value: object) -> str:
    """A wrong value as a sentence can show it: text in quotes, long text cut short, a table or list by its kind."""
    if isinstance(value, str):
        return repr(value if len(value) <= LONGEST_SHOWN else value[:LONGEST_SHOWN] + "…")
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float | int):
        return "a number far too large" if 1e300 < abs(value) < float("inf") else f"{value:.7g}"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    return str(value)[:LONGEST_SHOWN]
