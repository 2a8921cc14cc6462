"""Whether a page is shown to a class, without code and by a Python of its own."""

from __future__ import annotations

import os


def in_class() -> bool:
    """Whether this page is one of the class view: reload or leave it, and its Python is gone."""
    return os.environ.get("SERVER_SOFTWARE", "").startswith("voila")
