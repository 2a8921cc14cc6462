"""The browser's side of a widget, put together from files of this folder."""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).parent


def joined(*parts: str) -> str:
    """Text files of this folder, one after the other."""
    return "\n".join((_HERE / part).read_text("utf-8") for part in parts)
