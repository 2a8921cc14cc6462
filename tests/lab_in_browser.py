"""A running lab and a page of it in headless Chromium, for the browser tests and for measuring."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Page, sync_playwright

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PATIENCE_S = 90.0
SHOWN = ".jp-NotebookPanel:not(.lm-mod-hidden)"
"""The notebook that is seen; those of other tabs stay in the page."""


@dataclass(frozen=True)
class RunningLab:
    """A lab that was started as its users start it."""

    url: str
    token: str
    folder: Path


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running_lab(folder: Path) -> Iterator[RunningLab]:
    """Start `suspension-lab open` on a folder, without a browser, and stop it afterwards."""
    from jupyter_server.serverapp import list_running_servers

    runtime = folder.parent / f"{folder.name}-runtime"
    runtime.mkdir(parents=True, exist_ok=True)
    command = [str(Path(sys.executable).parent / "suspension-lab"), "open", str(folder), "--no-browser",
               "--port", str(free_port()), "--", "--LabApp.expose_app_in_browser=True"]  # fmt: skip
    with open(runtime / "server.log", "wb") as log:
        server = subprocess.Popen(
            command, env=os.environ | {"JUPYTER_RUNTIME_DIR": str(runtime)}, stdout=log, stderr=log
        )
    try:
        until = time.monotonic() + PATIENCE_S
        while True:
            servers = list(list_running_servers(str(runtime)))
            if servers:
                yield RunningLab(servers[0]["url"], servers[0]["token"], folder)
                return
            if server.poll() is not None or time.monotonic() > until:
                raise RuntimeError("The lab did not start: " + (runtime / "server.log").read_text()[-2000:])
            time.sleep(0.1)
    finally:
        server.terminate()
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


class LabPage:
    """A page of the lab, with what a reader does on it."""

    def __init__(self, page: Page, lab: RunningLab) -> None:
        self.page, self.lab = page, lab
        self.complaints: list[str] = []
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.complaints.append(message.text)

    def open_start(self) -> None:
        """The page that the lab itself opens."""
        self.page.goto(f"{self.lab.url}?token={self.lab.token}")
        # JupyterLab first brings back the tabs of the page before, and then shows the start page.
        self._wait_for_tab("00_start_here.ipynb")
        self._ready()

    def open(self, notebook: str) -> None:
        """A lesson by its file name."""
        if not self.page.url.startswith(self.lab.url):
            self.open_start()
        for _ in range(5):
            self.page.evaluate("path => void window.jupyterapp.commands.execute('docmanager:open', {path})", notebook)
            self._wait_for_tab(notebook)
            self._ready()
            # A tab of the page before that is brought back late comes to the front.
            self.page.wait_for_timeout(600)
            if self.page.evaluate("() => window.jupyterapp.shell.currentWidget?.context?.path") == notebook:
                return
        raise RuntimeError(f"{notebook} does not stay in front")

    def _wait_for_tab(self, notebook: str) -> None:
        self.page.wait_for_function(
            "path => window.jupyterapp?.shell?.currentWidget?.context?.path === path",
            arg=notebook,
            timeout=1e3 * PATIENCE_S,
        )

    def _ready(self) -> None:
        self.page.wait_for_selector(f"{SHOWN} .jp-Cell", timeout=1e3 * PATIENCE_S)
        # Nobody reads the first line before the kernel is there; a test would.
        self.page.wait_for_function(
            """() => {
                const context = window.jupyterapp?.shell?.currentWidget?.sessionContext;
                return context && context.isReady && context.session?.kernel?.status === 'idle';
            }""",
            timeout=1e3 * PATIENCE_S,
        )

    def run_all(self) -> None:
        """Run all cells, and wait until every bench on the page has its picture."""
        self.page.evaluate("void window.jupyterapp.commands.execute('notebook:run-all-cells')")
        self.page.wait_for_selector(f"{SHOWN} .bench-figure img[src]", timeout=1e3 * PATIENCE_S)
        self.page.wait_for_function(
            f"!Array.from(document.querySelectorAll('{SHOWN} .jp-InputPrompt')).some(p => p.textContent.includes('*'))",
            timeout=1e3 * PATIENCE_S,
        )
        self.settle()

    def settle(self) -> None:
        """Wait until nothing on the page's benches has changed for a while."""
        self.page.evaluate(
            """async (shown) => {
                const state = () => Array.from(document.querySelectorAll(shown + ' .bench-figure'))
                    .map(f => f.matches('.bench-old, [aria-busy=true]') ? Math.random() : f.dataset.serial).join();
                for (let same = 0, last = state(), tries = 0; same < 6; ) {
                    if (++tries > 250) throw new Error('a picture stays out of date');
                    await new Promise(done => setTimeout(done, 60));
                    const now = state();
                    same = now === last && !now.split(',').includes('undefined') ? same + 1 : 0;
                    last = now;
                }
            }""",
            SHOWN,
        )

    def errors_in_outputs(self) -> list[str]:
        """Texts of error outputs and of warnings."""
        mime = "application/vnd.jupyter."
        places = f'.jp-OutputArea-output[data-mime-type="{mime}stderr"], [data-mime-type="{mime}error"]'
        return self.page.locator(places).all_inner_texts()

    def bench(self, index: int = 0) -> BenchOnPage:
        """One of the benches on the page, from the top."""
        return BenchOnPage(self, index)


class BenchOnPage:
    """A bench as a hand and an eye meet it."""

    def __init__(self, page: LabPage, index: int) -> None:
        self._page = page
        self.screen = page.page.locator(f"{SHOWN} .bench-screen").nth(index)
        self.controls = page.page.locator(f"{SHOWN} .bench-controls").nth(index)

    @property
    def serial(self) -> int:
        return int(self.screen.locator(".bench-figure").get_attribute("data-serial") or 0)

    @property
    def words(self) -> str:
        return self.screen.locator(".bench-words").inner_text()

    @property
    def alt(self) -> str:
        return str(self.screen.locator("img").get_attribute("alt"))

    @property
    def stale(self) -> str:
        return self.screen.locator(".bench-stale").inner_text()

    def cell(self, label: str, column: int = 0) -> str:
        row = self.screen.locator("tbody tr", has=self._page.page.locator(f'th:text-is("{label}")'))
        return row.locator("td").nth(column).inner_text()

    def picture(self) -> bytes:
        """The bytes of the picture that is shown."""
        return bytes(
            self.screen.locator("img").evaluate(
                "async image => Array.from(new Uint8Array(await (await fetch(image.src)).arrayBuffer()))"
            )
        )

    def slider(self, label: str) -> Any:
        """The handle of the slider under a label."""
        return self._control(label).locator(".noUi-handle")

    def number(self, label: str) -> Any:
        """The field in which the number under a label is typed."""
        return self._control(label).locator("input[type=number]")

    def _control(self, label: str) -> Any:
        name = self._page.page.locator(f'.widget-label:text-matches("^{label}:")')
        return self.controls.locator("> .widget-vbox", has=name)

    def press(self, label: str, key: str, times: int = 1) -> None:
        handle = self.slider(label)
        handle.focus()
        for _ in range(times):
            self._page.page.keyboard.press(key)
        self._page.settle()

    def type_number(self, label: str, text: str) -> None:
        field = self.number(label)
        field.fill(text)
        field.press("Enter")
        self._page.settle()

    def choose(self, label: str, option: str) -> None:
        name = self._page.page.locator(f'.widget-label:text-is("{label}")')
        self.controls.locator("> .widget-vbox", has=name).locator("select").select_option(label=option)
        self._page.settle()

    def click(self, button: str) -> None:
        self.controls.locator(f'button:text-is("{button}")').click()
        self._page.settle()


@contextmanager
def lab_page(lab: RunningLab, *, width: int = 1280, height: int = 1000) -> Iterator[LabPage]:
    """A fresh browser on a running lab."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            page = LabPage(browser.new_page(viewport={"width": width, "height": height}), lab)
            try:
                yield page
            except BaseException:
                page.page.screenshot(path=lab.folder.parent / "last_failure.png")
                raise
        finally:
            browser.close()
