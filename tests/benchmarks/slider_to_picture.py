"""How long from a key on a slider to the new picture, in a real browser, and whether a frame was ever blank.

    python tests/benchmarks/slider_to_picture.py [MOVES [LESSON ...]]

Every bench is moved by its sliders' arrow keys. A time runs from the key's event in the page to the frame after the
new picture, sentence and table stand there. Frames are looked at one by one: one without
a decoded picture counts as blank.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from lab_in_browser import SHOWN, LabPage, lab_page, running_lab

TIME = """
(shown) => {
    const figure = document.querySelector(shown + ' .bench-figure');
    const times = window.times = [];
    let started = 0;
    document.addEventListener('keydown', () => { started = performance.now(); }, true);
    new MutationObserver(() => requestAnimationFrame(() => {
        if (started) times.push(performance.now() - started);
        started = 0;
    })).observe(figure, {childList: true});
}
"""
# Apart from the timing: looking at each frame keeps a machine without a graphics card busy by itself.
LOOK = """
(shown) => {
    const figure = document.querySelector(shown + ' .bench-figure');
    const seen = window.seen = {frames: 0, blank: 0};
    const look = () => {
        if (seen !== window.seen) return;
        const image = figure.querySelector('img');
        seen.frames += 1;
        if (!image || !image.complete || !image.naturalWidth || !image.getBoundingClientRect().width) seen.blank += 1;
        requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
}
"""
BENCHES = {
    "01_rebound_release.ipynb": ["Rebound", "Held down by", "Rider and load on this wheel"],
    "02_compression_push.ipynb": ["Compression, low speed", "Force of the hand", "Time to reach it"],
    "03_sharp_and_long_bumps.ipynb": ["Compression, high speed", "Rebound", "Its height or depth", "Speed"],
    "04_hard_is_not_sporty.ipynb": ["Rebound", "Compression, low speed", "Speed"],
    "05_inside_the_damper.ipynb": ["Rebound", "Compression, low speed", "Oil temperature"],
}


def main(moves: int, lessons: list[str]) -> None:
    with tempfile.TemporaryDirectory() as work:
        began = time.monotonic()
        with running_lab(Path(work) / "lab") as lab, lab_page(lab) as page:
            page.open_start()
            page.run_all()
            print(f"open to the first usable bench: {time.monotonic() - began:.1f} s (browser start included)")
            for lesson in lessons:
                labels = BENCHES[lesson]
                page.open(lesson)
                page.run_all()
                page.bench().click("Keep this run in grey")
                page.page.evaluate(TIME, SHOWN)
                move(page, labels, moves)
                times = sorted(page.page.evaluate("times"))
                page.page.evaluate(LOOK, SHOWN)
                move(page, labels, moves // 3)
                seen = page.page.evaluate("window.seen")
                page.page.evaluate("window.seen = null")
                print(
                    f"{lesson}: {len(times)} pictures, median {statistics.median(times):.0f} ms, 95th percentile "
                    f"{times[int(0.95 * len(times))]:.0f} ms, largest {times[-1]:.0f} ms; "
                    f"{seen['blank']} blank of {seen['frames']} frames",
                    flush=True,
                )


def move(page: LabPage, labels: list[str], moves: int) -> None:
    """Six steps up and six down, again and again, at the pace of a hand that looks at each picture."""
    for label in labels:
        page.bench().slider(label).focus()
        for i in range(moves):
            page.page.keyboard.press("ArrowRight" if (i // 6) % 2 == 0 else "ArrowLeft")
            page.page.wait_for_timeout(250)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60, sys.argv[2:] or list(BENCHES))
