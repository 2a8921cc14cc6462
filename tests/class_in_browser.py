"""The class view and a page of it in headless Chromium, for the browser tests and for measuring."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import psutil
from lab_in_browser import PATIENCE_S, LessonPage, free_port, new_page
from playwright.sync_api import Browser, Page

SHOWN_IN_CLASS = "#lesson"
START_PAGE = "00_start_here.ipynb"


@dataclass(frozen=True)
class RunningClass:
    """A class view that was started as its users start it."""

    url: str
    """Of the server, with a slash at its end."""
    token: str
    folder: Path
    process: int
    """Number of the process that was started; the server is a child of it."""

    def address(self, notebook: str = START_PAGE) -> str:
        """Of a lesson, as it is printed."""
        return f"{self.url}voila/render/{notebook}?token={self.token}"


@contextmanager
def running_class(folder: Path, *options: str) -> Iterator[RunningClass]:
    """Start `suspension-lab open --class-view` on a folder, without a browser, and stop it afterwards.

    Args:
        folder: the working folder; its parent exists.
        *options: go to the server, as behind `--`.
    """
    command = [sys.executable, "-m", "suspension_lab.cli.main", "open", "--class-view", str(folder), "--no-browser",
               "--port", str(free_port()), "--", *options]  # fmt: skip
    log = folder.parent / f"{folder.name}-server.log"
    with open(log, "wb") as out:
        server = subprocess.Popen(command, env=os.environ | {"PYTHONUNBUFFERED": "1"}, stdout=out, stderr=out)
    try:
        until = time.monotonic() + PATIENCE_S
        while not (found := re.search(r"(http://127\.0\.0\.1:\d+/)\S*\?token=(\w+)", log.read_text())):
            if server.poll() is not None or time.monotonic() > until:
                raise RuntimeError("The class view did not start: " + log.read_text()[-2000:])
            time.sleep(0.1)
        yield RunningClass(found.group(1), found.group(2), folder, server.pid)
    finally:
        server.terminate()
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def kernels_of(running: RunningClass) -> list[psutil.Process]:
    """The kernels that compute for the view's open pages: forked from the one process that waits to be forked."""
    below = []
    for process in psutil.Process(running.process).children(recursive=True):
        with suppress(psutil.Error):  # it has just ended
            if any("nursery" in part for part in process.cmdline()):
                below.append(process)
    waiting = {process.pid for process in below}
    return [process for process in below if process.ppid() in waiting]


class ClassPage(LessonPage):
    """A page of the class view."""

    shown = SHOWN_IN_CLASS

    def __init__(self, page: Page, running: RunningClass) -> None:
        super().__init__(page)
        self.running = running

    def open(self, notebook: str) -> None:
        """A lesson by its file name; its cells run by themselves."""
        self.page.goto(self.running.address(notebook), wait_until="commit", timeout=1e3 * PATIENCE_S)
        self.ready()

    def close(self) -> None:
        """Leave the lesson, which ends its kernel."""
        self.page.goto("about:blank")

    def ready(self) -> None:
        """Wait until all cells have run, after a link was followed too."""
        self.page.wait_for_function(
            "document.querySelector('#lesson-waiting')?.textContent === ''", timeout=1e3 * PATIENCE_S
        )

    def run(self) -> None:
        """Wait until all cells have run."""
        self.ready()
        self.page.wait_for_selector(
            f"{self.shown} .bench-figure img[src], {self.shown} .question-sheet", timeout=1e3 * PATIENCE_S
        )


@contextmanager
def class_page(
    running: RunningClass, *, width: int = 1280, height: int = 1000, browser: Browser | None = None
) -> Iterator[ClassPage]:
    """A page on a running class view, in a browser or in one of its own."""
    with new_page(browser, width, height) as page:
        shown = ClassPage(page, running)
        yield shown
        shown.close()
