"""Ten pages of the class view at once: from a key on a slider to the new picture, and what each page's kernel takes.

    python tests/benchmarks/ten_pages.py [SECONDS [LESSON]]

First three of ten hands are busy, with a few moves a second each; then all ten, with about a move a second each. The
browser with its ten pages runs on the same processors here, which a class's own machines would spare; so the moving
pictures stand still (reduced motion), for ten of them drawn here would tell of this machine and not of a server.
RSS counts what kernels share in each of them, USS not at all, PSS in equal parts: PSS is what a page costs the machine.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from class_in_browser import ClassPage, RunningClass, kernels_of, running_class
from lab_in_browser import CHROMIUM, FLAGS
from playwright.sync_api import sync_playwright
from slider_to_picture import TIME

PAGES = 10
SLIDER = "Rebound"
IN_FRONT = ["--disable-backgrounding-occluded-windows", "--disable-renderer-backgrounding"]
"""Each of the ten pages is in front on a machine of its own."""


def main(seconds: float, lesson: str) -> None:
    with (
        tempfile.TemporaryDirectory() as work,
        running_class(Path(work) / "class") as running,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *IN_FRONT])
        pages = [
            ClassPage(browser.new_context(viewport={"width": 1280, "height": 1000}).new_page(), running)
            for _ in range(PAGES)
        ]
        began = time.perf_counter()
        for page in pages:
            page.page.emulate_media(reduced_motion="reduce")
            page.page.goto(running.address(lesson), wait_until="commit")
        for page in pages:
            page.run_all()
        print(f"{PAGES} pages of {lesson} opened one after the other in {time.perf_counter() - began:.0f} s")
        for page in pages:
            page.page.evaluate(TIME, page.shown)
        for busy, pace in ((pages[:3], 3.0), (pages, 1.0)):
            times = moved(busy, pace, seconds)
            print(
                f"{len(busy)} of {PAGES} moved, about {pace:.0f} a second each: {len(times)} pictures, median "
                f"{statistics.median(times):.0f} ms, 95th percentile {times[int(0.95 * len(times))]:.0f} ms, "
                f"largest {times[-1]:.0f} ms; load average {os.getloadavg()[0]:.1f}",
                flush=True,
            )
        memory(running)
        browser.close()


def moved(pages: list[ClassPage], pace: float, seconds: float) -> list[float]:
    """Times from key to picture [ms], in order, of hands that move their sliders in turn.

    Args:
        pages: the moved ones.
        pace: moves of each in a second.
        seconds: so long.
    """
    for page in pages:
        page.bench().slider(SLIDER).focus()
        page.page.evaluate("times.length = 0")
    end, step = time.perf_counter() + seconds, 0
    while time.perf_counter() < end:
        for page in pages:
            due = time.perf_counter() + 1.0 / (pace * len(pages))
            page.page.keyboard.press("ArrowRight" if (step // 6) % 2 == 0 else "ArrowLeft")
            page.page.wait_for_timeout(max(0.0, 1e3 * (due - time.perf_counter())))
        step += 1
    pages[0].page.wait_for_timeout(1000)
    return sorted(value for page in pages for value in page.page.evaluate("times"))


def memory(running: RunningClass) -> None:
    taken = [kernel.memory_full_info() for kernel in kernels_of(running)]
    for kind in ("rss", "uss", "pss"):
        each = sorted(getattr(one, kind) / 1e6 for one in taken)
        print(f"{kind.upper()} of {len(each)} kernels: {each[0]:.0f} to {each[-1]:.0f} MB, all {sum(each):.0f} MB")


if __name__ == "__main__":
    main(
        float(sys.argv[1]) if len(sys.argv) > 1 else 30.0,
        sys.argv[2] if len(sys.argv) > 2 else "01_rebound_release.ipynb",
    )
