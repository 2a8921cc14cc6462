"""The user's working folder: the lab's notebooks copied in, and nothing of the user's ever written over."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path

from suspension_lab.cli.writing import CannotWriteError
from suspension_lab.common.errors import LabError
from suspension_lab.common.shipped import shipped_folder

EXAMPLE_VEHICLE = "my_vehicle_example.toml"
"""What the commented demo vehicle is called in a working folder."""


@dataclass(kw_only=True)
class Filled:
    """What filling a working folder came to; names relative to it."""

    copied: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    """Of these the user's copy differs from the lab's own."""


def made(folder: Path) -> Path:
    """The working folder, made if it is new.

    Raises:
        CannotWriteError: a file stands there, there is no folder above it, or it cannot be made.
    """
    try:
        whole = folder.expanduser().resolve()
        if whole.exists() and not whole.is_dir():
            raise CannotWriteError(f"{folder} is a file, where a folder was expected; give another name.")
        if not whole.exists() and not whole.parent.is_dir():
            raise CannotWriteError(
                f"{folder}: there is no folder {whole.parent}; make it first, or check the spelling."
            )
        whole.mkdir(exist_ok=True)
    except (OSError, ValueError, RuntimeError) as error:
        if isinstance(error, LabError):
            raise
        reason = getattr(error, "strerror", None) or error
        raise CannotWriteError(f"{folder} cannot be made ({reason}); give a folder of your own.") from None
    if whole == shipped_folder("notebooks").resolve():
        raise LabError(f"{folder} is where the lab keeps its own notebooks; give another folder to work in.")
    return whole


def fill(folder: Path) -> Filled:
    """Copy the lab's notebooks and the commented example vehicle where they are new.

    Args:
        folder: the working folder, which exists.

    Raises:
        LabError: the lab's own notebooks are not there.
        CannotWriteError: the folder cannot be written to.
    """
    source = shipped_folder("notebooks")
    files = {
        str(file.relative_to(source)): file
        for file in sorted(source.rglob("*"))
        if file.is_file() and not any(part.startswith((".", "__")) for part in file.relative_to(source).parts)
    }
    if not files:
        raise LabError(f"The lab's notebooks are not in {source}; install the lab again.")
    files[EXAMPLE_VEHICLE] = shipped_folder("data") / "vehicles" / "courier_scooter_rear.toml"
    done = Filled()
    for name, file in files.items():
        try:
            if _copied(file, folder / name):
                done.copied.append(name)
            elif _differs(file, folder / name):
                done.kept.append(name)
        except OSError as error:
            raise CannotWriteError(
                f"{folder / name} could not be written ({error.strerror or error}); give another folder."
            ) from None
    return done


def _copied(source: Path, target: Path) -> bool:
    """Whether the file was new and has been copied; a file that is there, or a link, is left alone."""
    content = source.read_bytes()
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        out = target.open("xb")
    except FileExistsError:
        return False
    try:
        with out:
            out.write(content)
    except OSError:
        target.unlink(missing_ok=True)
        raise
    return True


def _differs(source: Path, target: Path) -> bool:
    """Whether a user's copy says something else; what running a notebook leaves in it does not count."""
    try:
        mine, theirs = source.read_bytes(), target.read_bytes()
    except OSError:
        return True
    if mine == theirs:
        return False
    return source.suffix != ".ipynb" or _cells(mine) != _cells(theirs)


def _cells(notebook: bytes) -> list[tuple[str, str]] | None:
    try:
        cells = json.loads(notebook)["cells"]
        return [(cell["cell_type"], "".join(cell["source"])) for cell in cells]
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
