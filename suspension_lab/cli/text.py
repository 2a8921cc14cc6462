"""Text for a terminal: tables and wrapped sentences."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable


def table(rows: Iterable[tuple[str, str]]) -> str:
    """Two columns, the second behind the longest entry of the first."""
    pairs = list(rows)
    width = max(len(left) for left, _ in pairs)
    return "\n".join(f"  {left:<{width}}  {right}".rstrip() for left, right in pairs)


def listed(title: str, sentences: Iterable[str]) -> str:
    """A title and a list of sentences below it, wrapped to the terminal's width."""
    width = min(max(shutil.get_terminal_size((100, 24)).columns, 40), 110)
    lines = [
        textwrap.fill(sentence, width, initial_indent="- ", subsequent_indent="  ", break_on_hyphens=False)
        for sentence in sentences
    ]
    return "\n".join([f"{title}:", *lines])
