"""How long from opening a lesson to its first usable bench or form, in JupyterLab and in the class view.

    python tests/benchmarks/open_to_first_bench.py [LESSON ...]

JupyterLab runs already, as after `suspension-lab open`; a time runs from the click on a lesson, over the start of its
kernel and Run All, to the first control that can be moved, or picture. In the class view it runs from the browser's
request to the same. Each lesson is opened once to warm the disk, and then measured.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from class_in_browser import SHOWN_IN_CLASS, ClassPage, class_page, running_class
from lab_in_browser import PATIENCE_S, SHOWN, LabPage, lab_page, running_lab

USABLE = ":is(.bench-figure img[src], .question-sheet input, .jp-OutputArea-output :is(input, select, button)):visible"


def main(lessons: list[str]) -> None:
    with tempfile.TemporaryDirectory() as work:
        in_lab: dict[str, float] = {}
        in_class: dict[str, float] = {}
        with running_lab(Path(work) / "lab") as lab, lab_page(lab) as page:
            names = lessons or sorted(file.name for file in lab.folder.glob("[0-9][0-9]_*.ipynb"))
            page.open_start()
            for name in names:
                in_lab[name] = seconds_in_lab(page, name)
                print(f"JupyterLab, {name}: {in_lab[name]:.1f} s", flush=True)
        with running_class(Path(work) / "class") as running, class_page(running) as shown:
            time.sleep(10.0)  # as long as somebody needs to hand the address round
            for name in names:
                seconds_in_class(shown, name)
                in_class[name] = seconds_in_class(shown, name)
                print(f"class view, {name}: {in_class[name]:.1f} s", flush=True)
    print("| lesson | JupyterLab [s] | class view [s] |\n|---|---|---|")
    for name in names:
        print(f"| {name} | {in_lab[name]:.1f} | {in_class[name]:.1f} |")
    print(f"load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")


def seconds_in_lab(page: LabPage, name: str) -> float:
    began = time.perf_counter()
    page.page.evaluate("path => void window.jupyterapp.commands.execute('docmanager:open', {path})", name)
    page.wait_for_tab(name)
    page.ready()
    page.page.evaluate("void window.jupyterapp.commands.execute('notebook:run-all-cells')")
    page.page.wait_for_selector(f"{SHOWN} {USABLE}", timeout=1e3 * PATIENCE_S)
    return time.perf_counter() - began


def seconds_in_class(page: ClassPage, name: str) -> float:
    began = time.perf_counter()
    page.page.goto(page.running.address(name), wait_until="commit")
    page.page.wait_for_selector(f"{SHOWN_IN_CLASS} {USABLE}", timeout=1e3 * PATIENCE_S)
    taken = time.perf_counter() - began
    page.ready()
    return taken


if __name__ == "__main__":
    main(sys.argv[1:])
