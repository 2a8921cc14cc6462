"""A running lab and a page of it in headless Chromium, for the browser tests and for measuring."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nbformat
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from suspension_lab.common.shipped import shipped_folder
from suspension_lab.workshop.mistakes import NOT_KNOWN

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


class LessonPage:
    """A lesson in a browser, with what a reader does on it, whichever view shows it.

    Attributes:
        shown: selector of the lesson that is seen.
        complaints: what stands in the browser's console as a fault.
    """

    shown: str

    def __init__(self, page: Page) -> None:
        self.page = page
        self.complaints: list[str] = []
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.complaints.append(message.text)

    def open(self, notebook: str) -> None:
        """A lesson by its file name."""
        raise NotImplementedError

    def close(self) -> None:
        """Leave the lesson, which ends its kernel."""
        raise NotImplementedError

    def run(self) -> None:
        """Have all cells run, and leave the predictions open."""
        raise NotImplementedError

    def run_all(self) -> None:
        """Have all cells run, open the bench behind the predictions, and wait until every bench has its picture."""
        self.run()
        self.predict()
        self.settle()

    def show_whole(self) -> None:
        """Have nothing of the lesson out of sight, where axe-core could not judge it."""

    def predict(self, *answers: str) -> None:
        """Choose an answer for each prediction of the page, from the top ("I do not know yet" where none is given)."""
        sheet = self.page.locator(f"{self.shown} .question-sheet", has_text=NOT_KNOWN).first
        if not sheet.count():
            return
        for number, field in enumerate(sheet.locator("fieldset").all()):
            field.get_by_label(answers[number] if number < len(answers) else NOT_KNOWN, exact=True).check()
        sheet.get_by_role("button").click()
        sheet.get_by_text("Your prediction is kept").wait_for(timeout=1e3 * PATIENCE_S)

    def settle(self) -> None:
        """Wait until nothing on the page's benches has changed for a while."""
        self.page.evaluate(
            """async (shown) => {
                const loads = (f) => Array.from(f.querySelectorAll('img[src]')).some(i => !i.naturalWidth);
                const changes = (f) => f.matches('.bench-old, [aria-busy=true]') || loads(f);
                const state = () => Array.from(document.querySelectorAll(shown + ' .bench-figure'))
                    .map(f => changes(f) ? Math.random() : f.dataset.serial).join();
                for (let same = 0, last = state(), tries = 0; same < 6; ) {
                    if (++tries > 250) throw new Error('a picture stays out of date');
                    await new Promise(done => setTimeout(done, 60));
                    const now = state();
                    same = now === last && !now.split(',').includes('undefined') ? same + 1 : 0;
                    last = now;
                }
            }""",
            self.shown,
        )

    def errors_in_outputs(self) -> list[str]:
        """Texts of error outputs and of warnings."""
        mime = "application/vnd.jupyter."
        places = f'.jp-OutputArea-output[data-mime-type="{mime}stderr"], [data-mime-type="{mime}error"]'
        return self.page.locator(places).all_inner_texts()

    def bench(self, index: int = 0) -> BenchOnPage:
        """One of the benches on the page, from the top."""
        return BenchOnPage(self, index)


class LabPage(LessonPage):
    """A page of the lab in JupyterLab."""

    shown = SHOWN

    def __init__(self, page: Page, lab: RunningLab) -> None:
        super().__init__(page)
        self.lab = lab

    def open_start(self) -> None:
        """The page that the lab itself opens."""
        self.page.goto(f"{self.lab.url}?token={self.lab.token}")
        # JupyterLab first brings back the tabs of the page before, and then shows the start page.
        self.wait_for_tab("00_start_here.ipynb")
        self.ready()

    def open(self, notebook: str) -> None:
        """A lesson by its file name."""
        if not self.page.url.startswith(self.lab.url):
            self.open_start()
            # Tabs of the page before that are brought back late come to the front.
            self.page.wait_for_timeout(600)
        self.close()  # JupyterLab grows slower with each page that stays open
        self.page.evaluate("path => void window.jupyterapp.commands.execute('docmanager:open', {path})", notebook)
        self.wait_for_tab(notebook)
        self.ready()

    def at(self, notebook: str) -> None:
        """A lesson with its bench as at the start, opened only where it is not in front already."""
        if self.page.evaluate("() => window.jupyterapp?.shell.currentWidget?.context?.path") == notebook:
            bench = self.bench()
            for button in ("Clear the kept run", "Reset all settings"):
                if bench.controls.locator(f'button:text-is("{button}")').count():
                    bench.click(button)
        else:
            self.open(notebook)
            self.run_all()

    def close(self) -> None:
        """End all lessons that are open; what JupyterLab has saved of them meanwhile goes."""
        closed = self.page.evaluate(
            """async () => {
                const closed = [];
                for (const tab of Array.from(window.jupyterapp?.shell.widgets('main') ?? [])) {
                    if (!tab.context) continue;
                    closed.push(tab.context.path);
                    await tab.context.sessionContext.shutdown();
                    tab.dispose();
                }
                return closed;
            }"""
        )
        for name in closed:
            if (shipped_folder("notebooks") / name).exists():
                shutil.copy2(shipped_folder("notebooks") / name, self.lab.folder / name)

    def wait_for_tab(self, notebook: str) -> None:
        """Wait until a lesson's tab is in front."""
        self.page.wait_for_function(
            "path => window.jupyterapp?.shell?.currentWidget?.context?.path === path",
            arg=notebook,
            timeout=1e3 * PATIENCE_S,
        )

    def ready(self) -> None:
        """Wait until the lesson in front has its kernel."""
        self.page.wait_for_selector(f"{SHOWN} .jp-Cell", timeout=1e3 * PATIENCE_S)
        # Nobody reads the first line before the kernel is there; a test would.
        self.page.wait_for_function(
            """() => {
                const context = window.jupyterapp?.shell?.currentWidget?.sessionContext;
                return context && context.isReady && context.session?.kernel?.status === 'idle';
            }""",
            timeout=1e3 * PATIENCE_S,
        )

    def run(self) -> None:
        """Run all cells, and leave the predictions open."""
        self.page.evaluate("void window.jupyterapp.commands.execute('notebook:run-all-cells')")
        self.page.wait_for_selector(
            f"{SHOWN} .bench-figure img[src], {SHOWN} .question-sheet", timeout=1e3 * PATIENCE_S
        )
        self.page.wait_for_function(
            f"!Array.from(document.querySelectorAll('{SHOWN} .jp-InputPrompt')).some(p => p.textContent.includes('*'))",
            timeout=1e3 * PATIENCE_S,
        )

    def lay_out(self) -> None:
        """Have every output in the page: those out of sight are laid out late."""
        self.page.evaluate(
            """async () => {
                const notebook = window.jupyterapp.shell.currentWidget.content;
                const pause = () => new Promise(done => setTimeout(done, 60));
                for (let i = 0; i < notebook.widgets.length; i++) {
                    await notebook.scrollToItem(i);
                    await pause();
                }
                for (let tries = 0; /Loading widget/.test(notebook.node.innerText); tries++) {
                    if (tries > 500) throw new Error('a widget does not come');
                    await pause();
                }
            }"""
        )
        self.settle()

    def show_whole(self) -> None:
        """Make the window as high as the lesson."""
        self.lay_out()
        inner = f"{SHOWN} .jp-WindowedPanel-inner"
        high = self.page.evaluate("inner => document.querySelector(inner).scrollHeight", inner)
        self.page.set_viewport_size({"width": self.page.viewport_size["width"], "height": int(high) + 400})
        self.page.evaluate(
            "panel => { document.querySelector(panel + ' .jp-WindowedPanel-outer').scrollTop = 0 }", SHOWN
        )
        self.page.wait_for_timeout(400)
        self.settle()

    def write(self, notebook: str, cells: list[str]) -> None:
        """A notebook of one's own, of code cells, in the lab's folder."""
        made = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source) for source in cells])
        made.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
        nbformat.write(made, self.lab.folder / notebook)


class BenchOnPage:
    """A bench as a hand and an eye meet it."""

    def __init__(self, page: LessonPage, index: int) -> None:
        self._page = page
        self.screen = page.page.locator(f"{page.shown} .bench-screen").nth(index)
        self.controls = page.page.locator(f"{page.shown} .bench-controls").nth(index)

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

    def picture(self) -> str:
        """A digest of the picture that is shown: its bytes themselves would take most of a test's time to come over."""
        # A picture that is swapped meanwhile takes its address with it: then the new one is asked.
        return str(
            self.screen.evaluate(
                """async screen => {
                    for (let tries = 1; ; tries++) {
                        const address = screen.querySelector('.bench-figure img').src;
                        try {
                            const bytes = await (await fetch(address)).arrayBuffer();
                            return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)).join();
                        } catch (error) {
                            if (tries === 5 || screen.querySelector('.bench-figure img').src === address) throw error;
                        }
                    }
                }"""
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
        handle, before = self.slider(label), self.serial
        handle.focus()
        for _ in range(times):
            self._page.page.keyboard.press(key)
        # On a busy machine the answer may come later than a page seems settled; at a slider's end none comes.
        with suppress(PlaywrightTimeout):
            self.screen.locator(f".bench-figure:not([data-serial='{before}'])").wait_for(timeout=1500)
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


def looked_at_thrice(look: Callable[[], float], good: Callable[[float], bool]) -> float:
    """What is seen the first time that it is good, else the last of three looks: a busy machine holds frames back."""
    for _ in range(3):
        seen = look()
        if good(seen):
            break
    return seen


@contextmanager
def launched() -> Iterator[Browser]:
    """A browser, until it is no longer needed."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def new_page(browser: Browser | None, width: int, height: int) -> Iterator[Page]:
    """A page that remembers nothing of others, in a browser or in one of its own."""
    with nullcontext(browser) if browser else launched() as found:
        page = found.new_page(viewport={"width": width, "height": height})
        try:
            yield page
        finally:
            page.close()


@contextmanager
def lab_page(
    lab: RunningLab, *, width: int = 1280, height: int = 1000, browser: Browser | None = None
) -> Iterator[LabPage]:
    """A page on a running lab, in a browser or in one of its own."""
    with new_page(browser, width, height) as page:
        yield LabPage(page, lab)
