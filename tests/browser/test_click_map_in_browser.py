"""The map of clicks in a real browser: a click on a cell moves the sliders, and its words are those of the cell."""

from __future__ import annotations

import pytest
from lab_in_browser import SHOWN, BenchOnPage, LabPage

NOTEBOOK = "map_of_clicks.ipynb"
CELLS = [
    "from suspension_lab.lab import click_map_bench, evenness_bench\nroad = evenness_bench()",
    "road",
    "click_map_bench(opens=road)",
]


@pytest.fixture(scope="module")
def page(page: LabPage) -> LabPage:
    page.write(NOTEBOOK, CELLS)
    page.open(NOTEBOOK)
    page.run_all()
    return page


@pytest.fixture
def bench(page: LabPage) -> BenchOnPage:
    return page.bench(1)


def click_at(page: LabPage, bench: BenchOnPage, x: float, y: float) -> None:
    """Click on the picture at shares of its width and height."""
    image = bench.screen.locator(".bench-figure img")
    image.scroll_into_view_if_needed()
    box = image.bounding_box()
    assert box
    image.click(position={"x": x * box["width"], "y": y * box["height"]})
    page.page.wait_for_timeout(300)
    page.settle()


def test_a_click_on_a_cell_moves_the_sliders_and_the_words(page: LabPage, bench: BenchOnPage) -> None:
    before = bench.words
    click_at(page, bench, 0.75, 0.25)
    rebound, low_speed = (int(bench.number(name).input_value()) for name in ("Rebound", "Compression, low speed"))
    # Three quarters across and up, of a map that begins at a tenth and has its bar at the right.
    assert 18 <= rebound <= 23
    assert 13 <= low_speed <= 19
    assert bench.words != before
    assert f"This cell, rebound {rebound}, low-speed compression {low_speed}: " in bench.words
    assert bench.stale == ""


def test_a_click_beside_the_map_does_nothing(page: LabPage, bench: BenchOnPage) -> None:
    serial = bench.serial
    click_at(page, bench, 0.02, 0.5)
    click_at(page, bench, 0.5, 0.98)
    assert bench.serial == serial


def test_sliders_do_the_same_from_the_keyboard(page: LabPage, bench: BenchOnPage) -> None:
    bench.press("Rebound", "Home")
    assert "This cell, rebound 0 (fully closed), " in bench.words
    assert "set it there first" in bench.words


def test_a_new_map_comes_by_itself(page: LabPage, bench: BenchOnPage) -> None:
    bench.choose("Road", "Random road, class D (poor)")
    bench.choose("Map over", "Rebound and high-speed compression")
    assert "high-speed compression" in bench.words
    assert "is being worked out" not in bench.words
    assert page.page.locator(f"{SHOWN} button:text-is('Stop and keep what is done')").is_hidden()


def test_it_opens_the_setting_on_the_road(page: LabPage, bench: BenchOnPage) -> None:
    click_at(page, bench, 0.5, 0.5)
    page.page.locator(f"{SHOWN} button:text-is('Open this setting on the road')").click()
    page.page.wait_for_timeout(500)
    page.settle()
    assert (
        page.page.locator(f"{SHOWN} [role=status]:has-text('The other bench now shows Courier scooter, rear')").count()
        == 1
    )
    assert page.bench(0).number("Rebound").input_value() == bench.number("Rebound").input_value()
    assert page.errors_in_outputs() == []
    assert page.complaints == []


@pytest.mark.parametrize("width", [1280, 1920])
def test_the_map_is_whole_and_sharp(page: LabPage, bench: BenchOnPage, width: int) -> None:
    page.page.set_viewport_size({"width": width, "height": 1000})
    page.page.wait_for_timeout(600)
    page.settle()
    found = bench.screen.locator(".bench-figure img").evaluate(
        """image => ({over: image.getBoundingClientRect().right - innerWidth,
                      scale: image.getBoundingClientRect().width / image.naturalWidth})"""
    )
    assert found["over"] <= 0.0
    assert found["scale"] == pytest.approx(1.0, abs=0.01)
