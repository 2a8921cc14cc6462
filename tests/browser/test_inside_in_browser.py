"""The damper's section in a real browser: it plays, follows the clicks, and obeys the keyboard."""

from __future__ import annotations

from typing import Any

import pytest
from lab_in_browser import SHOWN, LabPage, looked_at_thrice

LESSON = "05_inside_the_damper.ipynb"
CANVAS = f"{SHOWN} .cutaway canvas"


@pytest.fixture(scope="module")
def page(page: LabPage) -> LabPage:
    page.page.emulate_media(reduced_motion="no-preference")
    page.open(LESSON)
    page.run_all()
    page.page.wait_for_selector(CANVAS)
    return page


def pixels(page: LabPage) -> str:
    return str(page.page.locator(CANVAS).evaluate("canvas => canvas.toDataURL()"))


def button(page: LabPage) -> Any:
    return page.page.locator(f"{SHOWN} .cutaway-controls button")


def pause(page: LabPage) -> None:
    if button(page).inner_text() == "Pause":
        button(page).click()


def drag_to(page: LabPage, share: float) -> None:
    page.page.locator(f"{SHOWN} .cutaway-controls input[type=range]").evaluate(
        """(range, share) => {
            range.value = Number(range.min) + share * (Number(range.max) - Number(range.min));
            range.dispatchEvent(new Event('input', {bubbles: true}));
        }""",
        share,
    )
    page.page.wait_for_timeout(120)


def mark_at(page: LabPage) -> dict[str, float]:
    return dict(page.page.locator(f"{SHOWN} .bench-mark").first.bounding_box() or {})


def test_it_plays_at_thirty_frames_a_second_or_better(page: LabPage) -> None:
    """Counted by the marks on the diagrams, which move with each frame of the section."""
    pause(page)
    drag_to(page, 0.0)
    button(page).click()

    def frames() -> float:
        counted = page.page.evaluate(
            """async (selector) => {
                let drawn = 0;
                const seen = new MutationObserver(() => drawn++);
                seen.observe(document.querySelector(selector), {attributes: true, attributeFilter: ['style']});
                const start = performance.now();
                await new Promise(done => setTimeout(done, 1500));
                seen.disconnect();
                return 1000 * drawn / (performance.now() - start);
            }""",
            f"{SHOWN} .bench-mark",
        )
        print(f"the section is drawn {counted:.0f} times a second")
        return float(counted)

    assert looked_at_thrice(frames, lambda each: each >= 30.0) >= 30.0


def test_pause_and_drag_by_hand_and_the_marks_follow(page: LabPage) -> None:
    pause(page)
    drag_to(page, 0.02)
    early, place = pixels(page), mark_at(page)
    assert pixels(page) == early
    drag_to(page, 0.06)
    assert pixels(page) != early
    assert mark_at(page) != place


def test_space_plays_and_pauses(page: LabPage) -> None:
    pause(page)
    button(page).focus()
    page.page.keyboard.press("Space")
    assert button(page).inner_text() == "Pause"
    page.page.keyboard.press("Space")
    assert button(page).inner_text() == "Play"


def test_the_needle_is_drawn_where_the_clicks_put_it(page: LabPage) -> None:
    pause(page)
    drag_to(page, 0.0)
    before = pixels(page)
    page.bench(0).press("Rebound", "ArrowLeft", 4)
    page.page.wait_for_timeout(200)
    assert pixels(page) != before
    label = page.page.locator(f"{SHOWN} .cutaway canvas").get_attribute("aria-label")
    assert label
    assert "rebound 5 clicks out" in label


def test_every_fault_and_test_can_be_chosen(page: LabPage) -> None:
    bench = page.bench(0)
    for test in ("Held down and let go", "Pothole at 25 km/h", "Quick push"):
        before = bench.serial
        bench.choose("What is done", test)
        assert bench.serial > before
    for fault in (
        "Lost gas",
        "Low oil",
        "Sticky seals",
        "Bent shaft",
        "Wrong oil",
        "Worn blow-off",
        "None: it is sound",
    ):
        before = bench.serial
        bench.choose("Wear or fault", fault)
        assert bench.serial > before, fault
    assert page.errors_in_outputs() == []
    assert page.complaints == []


def test_the_warm_up_bench_answers_every_control(page: LabPage) -> None:
    bench = page.bench(1)
    for label in ("Rebound", "Compression, low speed", "Rider and load on this wheel", "Time ridden", "Speed",
                  "Bumps of the track", "Air temperature"):  # fmt: skip
        before, picture = bench.serial, bench.picture()
        bench.press(label, "ArrowRight")
        assert bench.serial > before, label
        assert bench.picture() != picture, label
        assert bench.stale == "", label
    bench.choose("Reservoir", "Without one")
    assert "with a reservoir ends at" in bench.words
    assert page.errors_in_outputs() == []
    assert page.complaints == []


@pytest.mark.parametrize("width", [1280, 1920])
def test_section_and_picture_stand_side_by_side_and_whole(page: LabPage, width: int) -> None:
    page.page.set_viewport_size({"width": width, "height": 1000})
    page.page.wait_for_timeout(600)
    page.settle()
    found = page.page.evaluate(
        """(panel) => {
            const box = (selector) => document.querySelector(panel + ' ' + selector).getBoundingClientRect();
            const section = box('.cutaway'), image = box('.bench-stage .bench-figure img');
            const natural = document.querySelector(panel + ' .bench-stage .bench-figure img').naturalWidth;
            return {gap: image.left - section.right, over: image.right - innerWidth, apart: image.top - section.bottom,
                    scale: image.width / natural};
        }""",
        SHOWN,
    )
    assert found["gap"] >= 0.0
    assert found["over"] <= 0.0
    assert found["apart"] < 0.0
    assert found["scale"] == pytest.approx(1.0, abs=0.01)
