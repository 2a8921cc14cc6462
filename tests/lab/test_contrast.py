"""Contrast of what the lab writes and draws, after WCAG 2.1: 1.4.3 (text, 4.5:1) and 1.4.11 (marks and edges, 3:1).

The formula and its two limits are the standard's; axe-core holds the page's own text, and cannot see into pictures.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import Collection
from matplotlib.colors import to_hex, to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

import suspension_lab as lab
from suspension_lab.lab import benches
from suspension_lab.lab.fit_picture import fit_picture
from suspension_lab.lab.history_picture import history_picture
from suspension_lab.lab.linear_view import linear_picture
from suspension_lab.lab.next_click_bench import next_click_bench
from suspension_lab.lab.what_if_picture import what_if_picture
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.fit_release import fit_release
from suspension_lab.workshop.what_if import what_if

TEXT, MARK = 4.5, 3.0
WHITE, BAND = "#FFFFFF", "#E4E4E4"
HERE = Path(benches.__file__).parent
REAR = load_station("courier_scooter_rear")


def luminance(colour: Any, ground: Any = WHITE) -> float:
    """Relative luminance of a colour, seen through to its ground where it is not opaque."""
    *rgb, alpha = to_rgba(colour)
    seen = alpha * np.array(rgb) + (1.0 - alpha) * np.array(to_rgba(ground)[:3])
    linear = np.where(seen <= 0.04045, seen / 12.92, ((seen + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(colour: Any, ground: Any = WHITE) -> float:
    light, dark = sorted((luminance(colour, ground), luminance(ground)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    ("colour", "ratio"), [("#000000", 21.0), ("#FFFFFF", 1.0), ("#767676", 4.54), ("#949494", 3.03)]
)
def test_the_formula_on_published_pairs(colour, ratio):
    """Published: black on white is 21:1 (WCAG 2.1); #767676 and #949494 are the last greys to pass 4.5 and 3."""
    assert contrast(colour) == pytest.approx(ratio, abs=0.01)


def rules() -> Iterator[tuple[str, str, str]]:
    """Where, what it is said of, and what is said, of all CSS of the lab."""
    for file in sorted(HERE.glob("*.css")):
        text = re.sub(r"/\*.*?\*/", "", file.read_text(encoding="utf-8"), flags=re.DOTALL)
        for what, said in re.findall(r"([^{}]+)\{([^{}]*)\}", text):
            yield file.name, " ".join(what.split()), said


def test_text_of_every_style_sheet():
    seen = 0
    for file, what, said in rules():
        grounds = re.findall(r"background(?:-color)?:\s*(#[0-9a-fA-F]{3,6})\b", said) or [WHITE]
        for colour in re.findall(r"(?:^|[;\s])color:\s*(#[0-9a-fA-F]{3,6})\b", said):
            seen += 1
            assert contrast(colour, grounds[0]) >= TEXT, f"{file}, {what}: {colour} on {grounds[0]}"
    assert seen > 5


def test_edges_of_every_control_and_ring():
    """Buttons, fields and focus rings; a hairline between the rows of a table carries nothing."""
    seen = 0
    for file, what, said in rules():
        if not re.search(r"button|input|select|fieldset|noUi|focus", what):
            continue
        for colour in re.findall(r"(?:border|outline)[a-z-]*:[^;]*?(#[0-9a-fA-F]{3,6})\b", said):
            seen += 1
            assert contrast(colour) >= MARK, f"{file}, {what}: {colour}"
    assert seen > 5


def test_text_written_as_html():
    written = re.compile(r"[\"';{ ]color:\s*(#[0-9a-fA-F]{3,6})\b")
    texts = {file.name: file.read_text(encoding="utf-8") for file in sorted(HERE.glob("*.py"))}
    said = [(name, colour) for name, text in texts.items() for colour in written.findall(text)]
    assert said
    assert [each for each in said if contrast(each[1]) < TEXT] == []


@pytest.fixture(scope="module")
def figures() -> list[Figure]:
    """All that is drawn in every picture."""
    made: list[Figure] = []
    usual = Figure.__init__

    def kept(self: Figure, *args: Any, **settings: Any) -> None:
        usual(self, *args, **settings)
        made.append(self)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Figure, "__init__", kept)
        for bench in (benches.release_bench, benches.push_bench, benches.bump_bench, benches.cutaway_bench,
                      benches.warm_up_bench, benches.evenness_bench):  # fmt: skip
            shown = bench()
            shown.keep()
            shown.wait()
        benches.click_map_bench()
        clicks = next_click_bench()
        clicks.write(9, 0.6, 1)
        draw_the_others()
    return made


def draw_the_others() -> None:
    release = lab.Release(depth=0.02)
    trace = lab.simulate(REAR, release)
    fit_picture(fit_release(trace.time, trace.body, REAR, ["friction"]))
    linear_picture(REAR)
    runs = {"date": ["2026-01-01"] * 3, "rebound": [9, 8, 7], "low_speed": [10] * 3, "high_speed": [8] * 3,
            "return time [s]": [0.5, 0.4, 0.3]}  # fmt: skip
    history_picture(pd.DataFrame(runs))
    what_if_picture(what_if(REAR, REAR.with_clicks(rebound=4), [release], samples=8).changes)


def test_there_are_many(figures):
    assert len(figures) > 15


def test_every_word_can_be_read(figures):
    words = [each for figure in figures for each in figure.findobj(Text) if shown(each) and each.get_text().strip()]
    assert len(words) > 100
    for word in words:
        box = word.get_bbox_patch()
        ground = WHITE if box is not None else BAND
        assert contrast(word.get_color(), ground) >= TEXT, word.get_text()


def test_every_line_and_mark_can_be_seen(figures):
    lines = [each for figure in figures for each in figure.findobj(Line2D) if shown(each)]
    quiet = {line for figure in figures for axes in figure.axes for line in grid(axes)}
    assert len(lines) > 50
    for line in lines:
        if line not in quiet:
            assert stands_out(line), f"{line.get_label()}: {line.get_color()}"


def test_every_filled_part_has_a_ground_or_an_edge_that_can_be_seen(figures):
    grounds = {axes.patch for figure in figures for axes in figure.axes} | {figure.patch for figure in figures}
    grounds |= {each.get_frame() for figure in figures for axes in figure.axes if (each := axes.get_legend())}
    parts = [each for figure in figures for each in figure.findobj(Patch) if shown(each) and each not in grounds]
    boxes = {each.get_bbox_patch() for figure in figures for each in figure.findobj(Text)}
    outlined = {tuple(np.round(each.get_window_extent().bounds, 3)) for each in parts
                if contrast(each.get_edgecolor()) >= MARK and each.get_linewidth() > 0.0}  # fmt: skip
    assert len(parts) > 10
    for part in parts:
        if part in boxes:
            continue
        own = contrast(part.get_facecolor()) >= MARK or edge_stands_out(part)
        around = tuple(np.round(part.get_window_extent().bounds, 3)) in outlined
        assert own or around, f"{part}: {part.get_facecolor()}, {part.get_edgecolor()}"


def test_every_filled_run_of_parts_can_be_seen(figures):
    several = [each for figure in figures for each in figure.findobj(Collection) if shown(each)]
    for each in several:
        colours = [*each.get_facecolors(), *each.get_edgecolors()]
        assert not colours or max(map(contrast, colours)) >= MARK, each


def shown(artist: Artist) -> bool:
    return bool(artist.get_visible())


def grid(axes: Axes) -> Iterator[Line2D]:
    """Lines that only help the eye along; the numbers beside them say the same."""
    for axis in (axes.xaxis, axes.yaxis):
        yield from axis.get_gridlines()
        yield from (tick.gridline for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()))


def stands_out(line: Line2D) -> bool:
    drawn = line.get_linestyle() not in ("None", "", " ")
    around = [effect for effect in line.get_path_effects() or () if isinstance(effect, withStroke)]
    colours = [effect._gc["foreground"] for effect in around] + [line.get_color()] * drawn
    if line.get_marker() not in ("None", "", " ", None):
        colours += [line.get_markeredgecolor()]
        if not isinstance(line.get_markerfacecolor(), str) or line.get_markerfacecolor() != "none":
            colours += [line.get_markerfacecolor()]
    return not colours or max(contrast(each, ground_of(line)) for each in colours) >= MARK


def ground_of(artist: Artist) -> str:
    """White, or the grey of a band where its axes have one."""
    patches = artist.axes.patches if artist.axes is not None else []
    return BAND if any(to_hex(each.get_facecolor()).upper() == BAND for each in patches) else WHITE


def edge_stands_out(part: Patch) -> bool:
    drawn = part.get_linewidth() > 0.0 or part.get_hatch() is not None
    return drawn and contrast(part.get_edgecolor()) >= MARK
