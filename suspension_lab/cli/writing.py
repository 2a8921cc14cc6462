"""Writing a file whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from suspension_lab.common.errors import LabError
from suspension_lab.common.whole_file import whole_file


class CannotWriteError(LabError):
    """A place that cannot be written to, told in one sentence."""


def writable(path: Path) -> Path:
    """The place a file will have, links followed.

    Raises:
        CannotWriteError: a folder, a device, a missing folder above, or no permission.
    """
    try:
        target = path.expanduser().resolve()
        above, exists = target.parent, target.exists()
        if target.is_dir():
            raise CannotWriteError(f"{path} is a folder; give the name of a file in it.")
        if exists and not target.is_file():
            raise CannotWriteError(f"{path} is not a plain file; give another name.")
        if not above.is_dir():
            raise CannotWriteError(f"{path}: there is no folder {above}; make it first, or give another place.")
    except (OSError, ValueError, RuntimeError) as error:
        if isinstance(error, LabError):
            raise
        raise CannotWriteError(f"{path} is not a place for a file ({error}); give another.") from None
    if not os.access(above, os.W_OK) or (exists and not os.access(target, os.W_OK)):
        raise CannotWriteError(f"{path}: you have no permission to write there; give a place of your own.")
    return target


def written_bytes(path: Path, content: bytes) -> str:
    """As `written`, of what is known already."""

    def write(part: Path) -> None:
        part.write_bytes(content)

    return written(path, write)


def written(path: Path, write: Callable[[Path], None]) -> str:
    """Write a file beside its place and put it there when it is whole.

    Args:
        path: where the file shall be; what stands there is replaced.
        write: writes the file it is given.

    Returns:
        'Written' or 'Replaced'.

    Raises:
        CannotWriteError: the place cannot be written to.
    """
    target = writable(path)
    word = "Replaced" if target.exists() else "Written"
    try:
        with whole_file(target) as part:
            write(part)
    except OSError as error:
        raise CannotWriteError(
            f"{path} could not be written ({error.strerror or error}); give another place."
        ) from None
    return word
