"""Whose stopwatch it was: assumed, found by the trainer on this page, or kept in the working folder."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from pathlib import Path

from suspension_lab.lab.controls import ChoiceControl
from suspension_lab.workshop.measured.watch import Watch, checked_watch
from suspension_lab.workshop.measured.watch_file import FILE, read_watch

ASSUMED, GIVEN, PAGE = "", "given", "page"
_FOUND: list[Watch] = []
"""By the trainer, on pages of this kernel."""
_CHOICES: deque[WatchChoice] = deque(maxlen=6)
"""The newest; a form whose cell was run again is never told that nobody sees it any more."""


class WatchChoice:
    """Offers the watches that are known, and follows when the trainer finds or keeps one.

    A file that is named after somebody is offered, but never taken without being chosen.

    Args:
        on_change: called with no argument after the watch has changed.
        given: a watch from code, which is then in force at first.

    Raises:
        LabError: what is given is no watch.
    """

    def __init__(self, on_change: Callable[[], None], given: Watch | None = None) -> None:
        self._given = None if given is None else checked_watch(given)
        options = self._options()
        first = next((each for each in (GIVEN, PAGE, str(Path(FILE))) if each in options.values()), ASSUMED)
        self.control = ChoiceControl("Whose stopwatch", options, value=first, on_change=on_change)
        self.widget = self.control.widget
        _CHOICES.append(self)

    @property
    def watch(self) -> Watch | None:
        """The one in force; None: none is known, and a hand's scatter is assumed.

        Raises:
            LabError: its file is gone or damaged.
        """
        chosen = self.control.value
        if chosen == ASSUMED:
            return None
        if chosen == GIVEN:
            return self._given
        return _FOUND[-1] if chosen == PAGE else read_watch(chosen)

    def follow(self, chosen: str) -> None:
        """Offer what is known now, and take one of it."""
        self.control.offer(self._options())
        if self.control.value == chosen:
            # The same place in the list now holds another watch.
            self.control.set(ASSUMED)
        self.control.set(chosen)

    def _options(self) -> dict[str, str]:
        options = {"a hand's usual scatter (assumed)": ASSUMED}
        if self._given is not None:
            options["as given"] = GIVEN
        if _FOUND:
            options["mine, from the trainer on this page"] = PAGE
        return options | {file.name: str(file) for file in sorted(Path().glob("my_watch*.json"))}


def found(watch: Watch) -> None:
    """Hold a watch for this kernel's pages, in all forms that ask whose it was."""
    _FOUND.append(watch)
    for each in _CHOICES:
        each.follow(PAGE)


def kept(path: Path) -> None:
    """Offer a file that was written just now; forms take it where they can see it."""
    for each in _CHOICES:
        if path.resolve().parent == Path().resolve():
            each.follow(str(Path(path.name)))
