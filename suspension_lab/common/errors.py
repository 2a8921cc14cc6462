"""The one kind of error that a user of the lab is meant to read."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class LabError(ValueError):
    """Bad input, told in one sentence: what, where, what was expected, how to mend it."""


def nearest_name(given: str, known: Iterable[str]) -> str:
    """A hint for a mistyped name.

    Returns:
        `"did you mean 'x'?"` when a known name is close, else the list of known names.
    """
    names = sorted(known)
    close = difflib.get_close_matches(given, names, n=1, cutoff=0.6)
    if close:
        return f"did you mean '{close[0]}'?"
    return "known names are " + ", ".join(f"'{name}'" for name in names)
