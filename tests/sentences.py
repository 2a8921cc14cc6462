"""What an error message must be: one sentence on one line."""

from __future__ import annotations

import re


def on_one_line(message: str) -> bool:
    """Without a line break or another control character, and ended."""
    return re.search(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]", message) is None and message[-1] in ".?"


def is_one_sentence(message: str) -> bool:
    """On one line, ended once, and short enough to be read."""
    return on_one_line(message) and len(re.findall(r"[.?!](?= [A-Z]|$)", message)) == 1 and len(message) < 420
