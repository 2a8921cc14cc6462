"""Every control of every bench, moved in a real browser on a lab that was started as its users start it."""

from __future__ import annotations

import pytest
from lab_in_browser import SHOWN, LabPage

LESSONS: dict[str, list[str]] = {
    "01_rebound_release.ipynb": ["Rebound", "Compression, low speed", "Rider and load on this wheel", "Held down by"],
    "02_compression_push.ipynb": [
        "Compression, low speed", "Compression, high speed", "Rebound", "Rider and load on this wheel",
        "Force of the hand", "Time to reach it",
    ],
    "03_sharp_and_long_bumps.ipynb": [
        "Compression, low speed", "Compression, high speed", "Rebound", "Rider and load on this wheel",
        "Its height or depth", "Speed",
    ],
    "04_hard_is_not_sporty.ipynb": [
        "Rebound", "Compression, low speed", "Compression, high speed", "Rider and load on this wheel", "Speed",
    ],
    "05_inside_the_damper.ipynb": [
        "Rebound", "Compression, low speed", "Compression, high speed", "Rider and load on this wheel",
        "Oil temperature",
    ],
}  # fmt: skip


WORKED_OUT = "07_what_if.ipynb"
"""Its bench answers when its button is pressed, not when a control moves."""


def nothing_wrong(page: LabPage) -> None:
    assert page.errors_in_outputs() == []
    assert page.complaints == []


def test_start_page_opens_bare_and_runs(page: LabPage) -> None:
    page.open_start()
    assert page.page.locator(f"{SHOWN} h1").first.inner_text().startswith("Suspension lab: start here")
    assert page.page.locator(".jp-Notification, .Toastify__toast, .jp-Dialog").count() == 0
    assert not page.page.locator("#jp-left-stack").is_visible()
    assert not page.page.locator("#jp-right-stack").is_visible()
    assert page.page.locator(".jp-CodeCell .jp-InputArea-editor:visible").count() == 0
    page.run_all()
    assert "ride height" in page.bench().words
    nothing_wrong(page)


def test_typed_number_out_of_range_is_refused_in_words(page: LabPage) -> None:
    page.at("01_rebound_release.ipynb")
    bench = page.bench()
    alt = bench.alt
    bench.type_number("Rebound", "99")
    assert "99 is not within 0 to 24" in bench.controls.inner_text()
    assert bench.alt == alt
    bench.press("Rebound", "ArrowRight")
    assert "99 is not within" not in bench.controls.inner_text()
    assert bench.alt != alt
    nothing_wrong(page)


def test_keep_compare_clear_reset(page: LabPage) -> None:
    page.at("01_rebound_release.ipynb")
    bench = page.bench()
    first_alt = bench.alt
    kept = bench.cell("Settled: stays within 5 %")
    bench.click("Keep this run in grey")
    bench.press("Rebound", "ArrowLeft", 3)
    assert bench.cell("Settled: stays within 5 %", 1) == kept
    assert bench.cell("Settled: stays within 5 %", 0) != kept
    assert "Against the kept run" in bench.words
    bench.click("Clear the kept run")
    assert "Against the kept run" not in bench.words
    bench.click("Reset all settings")
    assert bench.alt == first_alt
    nothing_wrong(page)


def test_setting_that_cannot_be_run_is_said(page: LabPage) -> None:
    page.at("01_rebound_release.ipynb")
    bench = page.bench()
    bench.type_number("Rider and load on this wheel", "96")
    bench.type_number("Held down by", "60")
    assert "use a smaller depth" in bench.words
    assert "still show the last settings that could be run" in bench.words
    bench.type_number("Held down by", "20")
    assert "use a smaller depth" not in bench.words
    nothing_wrong(page)


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_slider_and_number_gives_a_new_picture(page: LabPage, lesson: str) -> None:
    page.at(lesson)
    bench = page.bench()
    for label in LESSONS[lesson]:
        before, picture = bench.serial, bench.picture()
        bench.press(label, "ArrowRight", 2)
        assert bench.serial > before, label
        assert bench.stale == "", label
        moved = bench.picture()
        # A hand does not reach the knee.
        unreached = label == "Compression, high speed" and "push" in lesson
        # Load moves the rod, not the damper's law.
        unchanged = label.startswith("Rider") and "inside" in lesson
        if not (unreached or unchanged):
            assert moved != picture, label
        typed = int(bench.number(label).input_value()) - 1
        bench.type_number(label, str(typed))
        assert int(bench.number(label).input_value()) == typed
        assert bench.serial > before + 1, label
    nothing_wrong(page)


def test_what_if_is_worked_out_behind_free_controls_and_goes_out_of_date(page: LabPage) -> None:
    page.open(WORKED_OUT)
    page.run_all()
    bench, serial = page.bench(), page.bench().serial
    assert "Nothing is worked out yet" in bench.stale
    bench.type_number("Rebound after", "7")
    bench.screen.locator('button:text-is("Work it out")').click()
    page.page.wait_for_selector(f"{SHOWN} .bench-stale:text-matches('Working it out')")
    page.page.wait_for_selector(f"{SHOWN} .bench-figure[data-serial='{serial + 1}']")
    assert bench.stale == ""
    assert "settling time" in bench.alt
    assert bench.screen.locator("td strong:text-is('worse')").count() > 0
    for label in ("Rider and load on this wheel", "Low-speed compression before", "Preload after, more or less"):
        was = int(bench.number(label).input_value())
        bench.press(label, "ArrowRight")
        assert bench.stale.startswith("Out of date"), label
        bench.type_number(label, str(was))
        assert bench.stale == "", label
    nothing_wrong(page)


def test_choosing_vehicles_and_bumps(page: LabPage) -> None:
    page.at("03_sharp_and_long_bumps.ipynb")
    bench = page.bench()
    for bump in ("Kerb, up", "Long hump, 5 m", "Washboard, 12 bumps of 0.6 m", "Pothole, 0.4 m long"):
        before = bench.serial
        bench.choose("On the road", bump)
        assert bench.serial > before
    bench.choose("Vehicle", "Courier scooter, front")
    assert bench.alt.startswith("Courier scooter, front")
    assert "not on this damper" in bench.controls.inner_text()
    bench.choose("Vehicle", "Trail bike, rear")
    assert bench.alt.startswith("Trail bike, rear")
    nothing_wrong(page)


@pytest.mark.parametrize("width", [1280, 1920])
def test_nothing_is_cut_or_overlaps(page: LabPage, width: int) -> None:
    page.at("03_sharp_and_long_bumps.ipynb")
    page.page.set_viewport_size({"width": width, "height": 1000})
    page.page.wait_for_timeout(600)
    page.bench().click("Keep this run in grey")
    found = page.page.evaluate(
        """(panel) => {
            const cut = [];
            const shown = document.querySelector(panel + ' .bench-screen').parentElement;
            for (const node of shown.querySelectorAll('.widget-label, p, td, th, button, caption')) {
                if (node.scrollWidth > node.clientWidth + 1 && getComputedStyle(node).display !== 'inline')
                    cut.push(node.textContent);
            }
            const left = shown.querySelector('.bench-controls').getBoundingClientRect();
            const right = shown.querySelector('.bench-screen').getBoundingClientRect();
            const image = shown.querySelector('img');
            return {cut, gap: right.left - left.right, over: right.right - innerWidth,
                    scale: image.getBoundingClientRect().width / image.naturalWidth};
        }""",
        SHOWN,
    )
    assert found["cut"] == []
    assert found["gap"] >= 0.0
    assert found["over"] <= 0.0
    assert found["scale"] == pytest.approx(1.0, abs=0.01)
