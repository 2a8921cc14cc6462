"""Every lesson as a screen reader, a keyboard and weak eyes meet it: WCAG 2.1 A and AA by axe-core, and beyond it.

axe-core knows rules of the standard; names, values in words, the keyboard and the ring around what has the focus are
held here as the standard words them (4.1.2, 2.1.1, 2.4.7, 4.1.3).
"""

from __future__ import annotations

import pytest
from axe import unnamed, violations
from lab_in_browser import SHOWN, LabPage
from playwright.sync_api import Page

BESIDE_THE_COURSE = ("00_start_here.ipynb", "glossary.ipynb", "instructors_guide.ipynb")
"""The lessons themselves are looked at once they are played; see test_course_in_browser."""
WITHOUT_BENCH = ("glossary.ipynb",)
OUTPUTS = f"{SHOWN} .jp-OutputArea-output"
OURS = f"{OUTPUTS}, {SHOWN} .jp-RenderedMarkdown"


def opened(page: LabPage, notebook: str) -> Page:
    """The notebook, run, with every output in the page."""
    page.page.set_viewport_size({"width": 1280, "height": 1000})
    if notebook in WITHOUT_BENCH:
        page.open(notebook)
    else:
        page.at(notebook)
    page.lay_out()
    return page.page


@pytest.mark.parametrize("notebook", BESIDE_THE_COURSE)
def test_no_violation_beside_the_course(page: LabPage, notebook: str) -> None:
    shown = opened(page, notebook)
    page.show_whole()
    assert violations(shown, OURS) == []
    assert unnamed(shown, OUTPUTS) == []


def test_axe_finds_what_is_wrong(page: LabPage) -> None:
    shown = opened(page, "00_start_here.ipynb")
    page.show_whole()
    shown.evaluate(
        """(panel) => document.querySelector(panel + ' .jp-OutputArea-output').insertAdjacentHTML('beforeend',
            '<p id="pale" style="color:#999">pale</p><img id="mute" src="data:,"><input id="bare">')""",
        SHOWN,
    )
    found = violations(shown, OURS)
    assert [rule for rule in ("color-contrast", "image-alt", "label") if not any(rule in each for each in found)] == []
    assert any("bare" in each for each in unnamed(shown, OUTPUTS))
    shown.evaluate("() => ['pale', 'mute', 'bare'].forEach(id => document.getElementById(id).remove())")


def test_names_and_values_of_a_bench_follow_its_vehicle(page: LabPage) -> None:
    shown = opened(page, "01_rebound_release.ipynb")
    bench = page.bench()
    slider = bench.slider("Rebound")
    assert slider.get_attribute("aria-label") == "Rebound: 0 to 24 clicks out"
    bench.press("Rebound", "ArrowRight")
    now = bench.number("Rebound").input_value()
    assert slider.get_attribute("aria-valuetext") == f"{now} clicks out"
    assert bench.number("Rebound").get_attribute("aria-label") == "Rebound: 0 to 24 clicks out"
    bench.choose("Vehicle", "Courier scooter, front")
    low = bench.slider("Compression, low speed")
    shown.wait_for_timeout(100)
    assert low.get_attribute("aria-label").startswith("Compression, low speed: ")
    assert low.get_attribute("aria-disabled") == str("not on" in low.get_attribute("aria-label")).lower()
    assert bench.controls.get_by_label("Vehicle", exact=True).count() == 1


def test_a_bench_by_keyboard_alone(page: LabPage) -> None:
    shown = opened(page, "01_rebound_release.ipynb")
    bench = page.bench()
    cell = "() => window.jupyterapp.shell.currentWidget.content.activeCellIndex"
    bench.controls.locator("select").first.focus()
    before, reached = shown.evaluate(cell), []
    for _ in range(14):
        shown.keyboard.press("Tab")
        reached.append(shown.evaluate("() => document.activeElement.ariaLabel || document.activeElement.textContent"))
        ring = shown.evaluate("() => { const s = getComputedStyle(document.activeElement);"
                              " return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2 }")  # fmt: skip
        assert ring, reached[-1]
        if reached[-1] == "Reset all settings":
            break
    heads = [each.split(":")[0] for each in reached]
    assert heads[:2] == ["Rebound", "Rebound"]
    assert [name for name in dict.fromkeys(heads) if not name.startswith(("Keep", "Clear", "Reset"))] == [
        "Rebound", "Compression, low speed", "Rider and load on this wheel", "Held down by",
    ]  # fmt: skip
    assert heads[-1] == "Reset all settings"
    bench.press("Rebound", "ArrowUp", 2)
    assert shown.evaluate(cell) == before
    bench.controls.get_by_role("button", name="Keep this run in grey").focus()
    shown.keyboard.press("Enter")
    bench.screen.get_by_text("Against the kept run").or_(
        bench.screen.locator("th:text-is('Kept run')")
    ).first.wait_for()


def test_refusals_and_answers_are_read_out(page: LabPage) -> None:
    shown = opened(page, "06_your_own_vehicle.ipynb")
    panel = shown.locator(SHOWN)
    panel.get_by_role("button", name="Fit", exact=True).press("Enter")
    panel.get_by_role("status").get_by_text("The model fits").first.wait_for()
    panel.get_by_label("Free sag").fill("9999")
    panel.get_by_label("Free sag").press("Enter")
    panel.get_by_role("status").filter(has_text="9999").first.wait_for()
    panel.get_by_role("button", name="Write it down").last.press("Enter")
    panel.get_by_role("status").get_by_text("Written down in").first.wait_for()
    page.show_whole()
    assert violations(shown, OURS) == []


def test_a_what_if_that_is_worked_out(page: LabPage) -> None:
    shown = opened(page, "07_what_if.ipynb")
    bench, serial = page.bench(), page.bench().serial
    bench.type_number("Rebound after", "7")
    bench.screen.get_by_role("button", name="Work it out").press("Enter")
    shown.wait_for_selector(f"{SHOWN} .bench-figure[data-serial='{serial + 1}']")
    bench.screen.locator("details summary").first.press("Enter")
    page.show_whole()
    assert violations(shown, OURS) == []


@pytest.mark.parametrize("lesson", ["01_rebound_release.ipynb", "06_your_own_vehicle.ipynb"])
def test_no_word_is_cut_on_a_narrow_page(page: LabPage, lesson: str) -> None:
    """On a tablet, and 1280 wide at 200 %."""
    shown = opened(page, lesson)
    for width in (820, 640):
        shown.set_viewport_size({"width": width, "height": 1000})
        shown.wait_for_timeout(600)
        page.lay_out()
        cut = shown.evaluate(
            """(panel) => Array.from(document.querySelectorAll(panel + ' .jp-OutputArea-output *')).filter(node => {
                const style = getComputedStyle(node);
                return node.checkVisibility() && !node.closest('.noUi-target, input, select') && node.clientWidth > 0
                    && ['hidden', 'clip'].includes(style.overflowX) && node.scrollWidth > node.clientWidth + 1;
            }).map(node => node.textContent.slice(0, 80))""",
            SHOWN,
        )
        assert cut == [], width


def test_keys_stay_with_the_control_that_has_the_focus(page: LabPage) -> None:
    """2.1.1: JupyterLab's own shortcuts would walk through the page, or cut cells, with the same keys."""
    seen = opened(page, "01_rebound_release.ipynb")
    cell = "() => window.jupyterapp.shell.currentWidget.content.activeCellIndex"
    radio = seen.locator(f"{SHOWN} .question-sheet input[type=radio]:enabled").first
    radio.focus()
    active = seen.evaluate(cell)
    seen.keyboard.press("ArrowDown")
    assert seen.evaluate(cell) == active
    assert seen.evaluate("() => document.activeElement.checked")
    assert not radio.is_checked()
    for control in (
        seen.get_by_role("slider", name="Time in the run").first,
        seen.get_by_role("button", name="Keep this run in grey").first,
        seen.locator(f"{SHOWN} .noUi-handle").first,
    ):
        control.focus()
        active = seen.evaluate(cell)
        value = control.evaluate("node => node.value || node.getAttribute('aria-valuenow')")
        for key in ("j", "k", "ArrowDown", "ArrowUp", "ArrowRight"):
            seen.keyboard.press(key)
        assert seen.evaluate(cell) == active
        assert control.evaluate("node => node === document.activeElement")
        if control.get_attribute("type") == "range" or control.get_attribute("role") == "slider":
            assert control.evaluate("node => node.value || node.getAttribute('aria-valuenow')") != value
