"""Files that several pages write in one folder: names for them, one writer at a time, and faults in a sentence."""

from __future__ import annotations

import contextlib
import datetime
import os
import re
import time
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from suspension_lab.common.errors import LabError, shown

LONGEST_NAME = 60
WAITS, STALE = 5.0, 60.0
"""So long a writer waits for another, and so old is the mark of one that died [s] (our choice)."""
RESERVED = {"con", "prn", "aux", "nul", *(f"{device}{at}" for device in ("com", "lpt") for at in range(1, 10))}
"""No file may be named so on Windows (learn.microsoft.com, "Naming Files, Paths, and Namespaces")."""


def plain_name(name: str) -> str:
    """A trainee's name on one line.

    Raises:
        LabError: an empty name, one that is no text, or a very long one.
    """
    if not isinstance(name, str):
        raise LabError(f"The name is {shown(name)}, where a text was expected.")
    held = unicodedata.normalize("NFC", name)
    plain = " ".join("".join(" " if unicodedata.category(sign)[0] in "CZ" else sign for sign in held).split())
    if not any(sign.isalnum() for sign in plain):
        raise LabError("The name is empty, where at least one letter or digit was expected; type your name first.")
    if len(plain) > LONGEST_NAME:
        raise LabError(f"The name has {len(plain)} characters, where at most {LONGEST_NAME} were expected; shorten it.")
    return plain


def names_are_one(one: str, other: str) -> bool:
    """Whether two names are one, in capitals or not, and however their accents are put together."""
    return unicodedata.normalize("NFC", one).casefold() == unicodedata.normalize("NFC", other).casefold()


def file_stem(name: str) -> str:
    """A file's name without ending, that every system takes: letters and digits stay, the rest becomes one '_' each."""
    stem = re.sub(r"[^\w-]+", "_", name).strip("_")
    return f"{stem}_" if stem.casefold() in RESERVED else stem


@contextlib.contextmanager
def told(path: Path) -> Iterator[None]:
    """The system's faults as one sentence.

    Raises:
        LabError: instead of them.
    """
    try:
        yield
    except OSError as error:
        raise LabError(
            f"{path} could not be written ({error.strerror or error}), so nothing was changed; choose a folder of your "
            "own, or make room."
        ) from None


@contextlib.contextmanager
def alone(path: Path) -> Iterator[None]:
    """Nobody else who asks this way changes the file meanwhile.

    Raises:
        LabError: another one does not let go.
    """
    mark, until = path.with_name(f".{path.stem[:40]}.writing"), time.monotonic() + WAITS
    while True:
        try:
            os.close(os.open(mark, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            with contextlib.suppress(OSError):
                if time.time() - mark.stat().st_mtime > STALE:
                    mark.unlink()
                    continue
        if time.monotonic() > until:
            raise LabError(f"{path} is being written by another page; wait a moment, and press again.")
        time.sleep(0.02)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            mark.unlink()


def now() -> str:
    """The present time, with its distance from UTC."""
    return datetime.datetime.now().astimezone().isoformat(timespec="seconds")
