"""The station in motion in a real browser: it plays, obeys keys, shows lost contact, sets two runs side by side."""

from __future__ import annotations

from functools import partial
from typing import Any

import pytest
from lab_in_browser import SHOWN, LabPage, looked_at_thrice

LESSON = "03_sharp_and_long_bumps.ipynb"
MOVING = f"{SHOWN} .moving"
CONTROLS = f"{MOVING} .moving-controls"


@pytest.fixture(scope="module")
def page(page: LabPage) -> LabPage:
    """The bump bench, with one run kept and another beside it."""
    page.page.emulate_media(reduced_motion="no-preference")
    page.open(LESSON)
    page.run_all()
    assert scenes(page) == ["this"]
    page.bench().click("Keep this run in grey")
    page.bench().press("Rebound", "ArrowRight", 8)
    page.page.wait_for_selector(f"{MOVING} .moving-scene[data-run=kept]:visible")
    caught_up(page)
    return page


def caught_up(page: LabPage) -> None:
    page.page.wait_for_selector(f"{MOVING} .moving-scenes:not([data-behind=true])")


def scenes(page: LabPage) -> list[str]:
    shown = page.page.locator(f"{MOVING} .moving-scene:visible")
    return [str(name) for name in shown.evaluate_all("all => all.map(scene => scene.dataset.run)")]


def data(page: LabPage, run: str = "this") -> dict[str, str]:
    return dict(page.page.locator(f"{MOVING} .moving-scene[data-run={run}]").evaluate("scene => ({...scene.dataset})"))


def moment(page: LabPage) -> float:
    return float(page.page.locator(MOVING).get_attribute("data-time") or "nan")


def button(page: LabPage) -> Any:
    return page.page.locator(f"{CONTROLS} button")


def pause(page: LabPage) -> None:
    if button(page).inner_text() == "Pause":
        button(page).click()


def drag_to(page: LabPage, seconds: float) -> None:
    page.page.locator(f"{CONTROLS} input[type=range]").evaluate(
        """(range, seconds) => {
            range.value = seconds;
            range.dispatchEvent(new Event('input', {bubbles: true}));
        }""",
        seconds,
    )


def pixels(page: LabPage, run: str = "this") -> str:
    canvas = page.page.locator(f"{MOVING} .moving-scene[data-run={run}] canvas")
    return str(canvas.evaluate("canvas => canvas.toDataURL()"))


def test_it_plays_at_thirty_frames_a_second_or_better(page: LabPage) -> None:
    """Two scenes, as they are drawn: the time of the frame is an attribute of the picture."""
    pause(page)
    drag_to(page, 0.0)
    button(page).click()

    def frames() -> float:
        drawn, offered = page.page.evaluate(
            """async (selector) => {
                let drawn = 0, offered = 0, on = true;
                const count = () => { offered++; if (on) requestAnimationFrame(count); };
                requestAnimationFrame(count);
                const seen = new MutationObserver(() => drawn++);
                seen.observe(document.querySelector(selector), {attributes: true, attributeFilter: ['data-time']});
                const start = performance.now();
                await new Promise(done => setTimeout(done, 1500));
                seen.disconnect();
                on = false;
                const passed = (performance.now() - start) / 1000;
                return [drawn / passed, offered / passed];
            }""",
            MOVING,
        )
        print(f"two scenes are drawn {drawn:.0f} times a second, of {offered:.0f} frames")
        return float(drawn)

    assert looked_at_thrice(frames, lambda each: each >= 30.0) >= 30.0
    assert scenes(page) == ["this", "kept"]


def test_slow_motion_and_real_time_keep_their_pace(page: LabPage) -> None:
    for text, rate in (("real time", 1.0), ("10 times slower", 0.1)):
        near = pytest.approx(rate, rel=0.25)
        assert looked_at_thrice(partial(pace_at, page, text), near.__eq__) == near, text
    page.page.locator(f"{CONTROLS} select").first.select_option(label="4 times slower")
    pause(page)


def pace_at(page: LabPage, speed: str) -> float:
    """Seconds of the run in a second of the clock."""
    pause(page)
    page.page.locator(f"{CONTROLS} select").first.select_option(label=speed)
    drag_to(page, 0.1)
    return float(
        page.page.evaluate(
            """async (moving) => {
                const now = () => [Number(document.querySelector(moving).dataset.time), performance.now() / 1000];
                document.querySelector(moving + ' .moving-controls button').click();
                await new Promise(done => setTimeout(done, 200));
                const [t0, w0] = now();
                await new Promise(done => setTimeout(done, 800));
                const [t1, w1] = now();
                return (t1 - t0) / (w1 - w0);
            }""",
            MOVING,
        )
    )


def test_the_bar_empties_at_lost_contact_and_words_say_so(page: LabPage) -> None:
    """A 40 mm pothole at 30 km/h: the run itself says that the tyre leaves the road; before it all is level."""
    assert "The tyre leaves the road" in page.bench().words
    drag_to(page, 0.1)
    level = data(page)
    assert level["offRoad"] == "false"
    assert float(level["bar"]) > 0.0
    readings = page.page.locator(f"{MOVING} .moving-scene[data-run=this] .moving-reading")
    assert "tyre load 100 %" in readings.inner_text()
    lost = []
    for k in range(60):
        drag_to(page, 0.28 + 0.002 * k)
        seen, told = data(page), readings.inner_text()
        assert (seen["offRoad"] == "true") == ("off the road" in told)
        assert seen["offRoad"] == "false" or float(seen["bar"]) == 0.0
        lost.append(seen["offRoad"] == "true")
    assert any(lost)
    assert not all(lost)


def test_heights_are_to_scale_with_the_wheel_or_three_times_that(page: LabPage) -> None:
    """The body's height on the screen against the millimetres in the words under it."""
    heights = page.page.locator(f"{CONTROLS} label select")
    reading = page.page.locator(f"{MOVING} .moving-scene[data-run=this] .moving-reading")
    for text, times in (("true size", 1.0), ("3 times", 3.0)):
        heights.select_option(label=text)
        places = []
        for seconds in (0.1, 0.44):
            drag_to(page, seconds)
            body = reading.inner_text().split("body ")[1].split(" mm")[0].replace("\N{MINUS SIGN}", "-")
            places.append((float(body), float(data(page)["body"])))
        (rest_mm, rest_px), (low_mm, low_px) = places
        assert low_mm < rest_mm - 3.0
        expected = times * 1e-3 * (rest_mm - low_mm) * float(data(page)["scale"])
        assert low_px - rest_px == pytest.approx(expected, abs=0.1 * times)
    assert "heights 3 times" in page.page.locator(f"{MOVING} .moving-note").inner_text()
    heights.select_option(label="true size")


def test_space_and_arrow_keys_on_the_picture(page: LabPage) -> None:
    pause(page)
    drag_to(page, 0.3)
    before = pixels(page)
    page.page.locator(f"{MOVING} .moving-scenes").focus()
    page.page.keyboard.press("ArrowRight")
    assert moment(page) == pytest.approx(0.32, abs=1e-3)
    assert pixels(page) != before
    assert "0.32 s. This run: body" in page.page.locator(f"{MOVING} .moving-told").inner_text()
    page.page.keyboard.press("ArrowLeft")
    assert moment(page) == pytest.approx(0.3, abs=1e-3)
    assert pixels(page) == before
    page.page.keyboard.press("Space")
    assert button(page).inner_text() == "Pause"
    page.page.keyboard.press("Space")
    assert button(page).inner_text() == "Play"
    page.page.keyboard.press("Home")
    assert moment(page) == 0.0
    button(page).focus()
    page.page.keyboard.press("Enter")
    assert button(page).inner_text() == "Pause"
    pause(page)


def test_the_line_over_the_diagrams_follows(page: LabPage) -> None:
    mark = page.page.locator(f"{SHOWN} .bench-mark[data-look=line]")
    places = []
    for seconds in (0.2, 0.4, 0.6):
        drag_to(page, seconds)
        places.append(mark.first.bounding_box()["x"])
    assert mark.count() == 2
    assert places[1] - places[0] > 20.0
    assert places[2] - places[1] == pytest.approx(places[1] - places[0], abs=1.0)


def test_two_scenes_in_step_until_the_kept_run_is_cleared(page: LabPage) -> None:
    headings = page.page.locator(f"{MOVING} .moving-heading:visible").all_inner_texts()
    assert headings[0].startswith("This run: rebound 17, ")
    assert headings[1].startswith("Kept run: rebound 9, ")
    drag_to(page, 0.44)
    assert data(page)["scale"] == data(page, "kept")["scale"]
    assert data(page)["body"] != data(page, "kept")["body"]
    label = page.page.locator(f"{MOVING} canvas").first.get_attribute("aria-label")
    assert label
    assert "in motion. The tyre leaves the road" in label
    page.bench().click("Clear the kept run")
    page.page.wait_for_selector(f"{MOVING} .moving-scene[data-run=kept]", state="hidden")
    assert scenes(page) == ["this"]
    page.bench().click("Keep this run in grey")
    page.page.wait_for_selector(f"{MOVING} .moving-scene[data-run=kept]:visible")


@pytest.mark.parametrize("width", [1280, 820])
def test_nothing_is_cut(page: LabPage, width: int) -> None:
    page.page.set_viewport_size({"width": width, "height": 1000})
    page.page.wait_for_timeout(500)
    page.settle()
    found = page.page.evaluate(
        """(selector) => {
            const moving = document.querySelector(selector), whole = moving.getBoundingClientRect();
            const kinds = 'canvas, button, select, input, .moving-heading, .moving-reading';
            const parts = [...moving.querySelectorAll(kinds)];
            const boxes = parts.map(part => part.getBoundingClientRect()).filter(box => box.width);
            return {over: Math.max(...boxes.map(box => box.right)) - whole.right, page: whole.right - innerWidth,
                    cut: parts.filter(part => part.scrollWidth > part.clientWidth + 2 && part.matches('div')).length};
        }""",
        MOVING,
    )
    assert found["over"] <= 0.5
    assert found["page"] <= 0.0
    assert found["cut"] == 0


def test_reduced_motion_starts_paused(page: LabPage) -> None:
    page.page.emulate_media(reduced_motion="reduce")
    page.run_all()
    page.page.wait_for_selector(f"{CONTROLS} button")
    assert button(page).inner_text() == "Play"
    assert page.errors_in_outputs() == []
    assert page.complaints == []
