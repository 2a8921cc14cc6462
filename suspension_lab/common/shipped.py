"""Where the files that come with the lab lie."""

from __future__ import annotations

from importlib import resources
from pathlib import Path


def shipped_folder(name: str) -> Path:
    """The folder `data` or `notebooks`: beside the package in a checkout, inside it once installed."""
    package = Path(str(resources.files("suspension_lab")))
    inside = package / "_shipped" / name
    return inside if inside.is_dir() else package.parent / name
