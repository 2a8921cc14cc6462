"""Work that goes on behind a bench while its sliders stay free."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from suspension_lab.common.errors import LabError

PAUSE = 0.45
"""A hand that rests this long [s] has found its place: work begins no earlier, so that a moving slider has the machine
to itself."""

Work = Callable[[threading.Event], Any]


@dataclass(eq=False)
class _Job:
    work: Work
    then: Callable[[Any], None]
    stop: threading.Event = field(default_factory=threading.Event)
    begun: bool = False
    done: threading.Event = field(default_factory=threading.Event)
    answer: Any = None

    def go(self) -> None:
        """Do the work; a `LabError` is its answer too, and so is a fault, which is raised where the answer is read."""
        try:
            self.answer = self.work(self.stop)
        except Exception as error:
            self.answer = error
        self.done.set()


class Later:
    """One piece of work at a time in a background thread; only the one asked for last gives an answer.

    Where an event loop runs, as in a notebook, the answer is handed over on that loop, between a slider's moves. Where
    none runs, as in a script, nothing is done before `wait`.
    """

    def __init__(self) -> None:
        self._job: _Job | None = None

    @property
    def busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._job is not None

    def ask(self, work: Work, then: Callable[[Any], None]) -> None:
        """Begin a piece of work; what was asked for before is worth nothing from now on.

        Args:
            work: called in a background thread with an event that is set once its answer is not wanted any more; it
                must not touch what is shown.
            then: called with its answer, or with the `LabError` it raised, where `ask` was called.
        """
        self.forget()
        job = self._job = _Job(work, then)
        loop = running_loop()
        if loop is not None:
            loop.call_later(PAUSE, self._begin, job, loop)

    def forget(self) -> None:
        """Whatever is being worked on, its answer is not wanted any more."""
        if self._job is not None:
            self._job.stop.set()
        self._job = None

    def wait(self) -> None:
        """Work out and hand over at once all that is still to come, and what follows from it."""
        while (job := self._job) is not None:
            if job.begun:
                job.done.wait()
            else:
                job.go()
            self._hand_over(job)

    def _begin(self, job: _Job, loop: asyncio.AbstractEventLoop) -> None:
        if job is not self._job:
            return
        job.begun = True

        def go() -> None:
            job.go()
            if not loop.is_closed():
                loop.call_soon_threadsafe(self._hand_over, job)

        # A daemon: a lab that is closed does not wait for it.
        threading.Thread(target=go, daemon=True).start()

    def _hand_over(self, job: _Job) -> None:
        if job is not self._job:
            return
        self._job = None
        if isinstance(job.answer, Exception) and not isinstance(job.answer, LabError):
            raise job.answer
        job.then(job.answer)


def running_loop() -> asyncio.AbstractEventLoop | None:
    """The event loop that runs here, as in a notebook; None in a script or a test."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
