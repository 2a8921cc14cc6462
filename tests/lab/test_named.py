"""What a screen reader is told of the controls: every control of every bench and form has a name and its unit."""

from __future__ import annotations

from collections.abc import Iterator

import ipywidgets as widgets
import pytest

from suspension_lab.lab import bracket_bench, click_map_bench, fit_bench, log_form, release_bench, sag_form, timing_form
from suspension_lab.lab.named import Labelled, Names, Told, named
from suspension_lab.lab.next_click_bench import next_click_bench
from suspension_lab.lab.what_if_bench import what_if_bench

SILENT = (widgets.IntSlider, widgets.IntText, widgets.Dropdown, widgets.FloatProgress, widgets.Text, widgets.FloatText,
          widgets.Checkbox, widgets.Textarea)  # fmt: skip
MADE = {
    "release": release_bench, "map": click_map_bench, "sag": sag_form, "timing": timing_form, "next": next_click_bench,
    "fit": fit_bench, "bracket": bracket_bench, "what if": what_if_bench,
    "log": lambda: log_form("no_such_log.sqlite"),
}  # fmt: skip


def all_in(widget: widgets.Widget) -> Iterator[widgets.Widget]:
    yield widget
    for child in getattr(widget, "children", ()):
        yield from all_in(child)


@pytest.mark.parametrize("name", MADE)
def test_every_control_has_a_name(name):
    """Its own description, or a label that is handed to the browser."""
    inside = list(all_in(MADE[name]().widget))
    (names,) = (each for each in inside if isinstance(each, Names))
    controls = [each for each in inside if isinstance(each, SILENT)]
    assert controls
    for control in controls:
        if not control.description:
            assert names.labels[names.controls.index(control)].value.strip()
    assert set(names.told) == {each for each in inside if isinstance(each, Told)}


def test_a_value_has_its_unit_and_a_choice_has_none():
    bench = release_bench()
    (names,) = (each for each in all_in(bench.widget) if isinstance(each, Names))
    units = dict(zip(names.controls, names.units, strict=True))
    assert units[bench.controls["rebound"].slider] == "clicks out"
    assert units[bench.controls["rider"].number] == "kg"
    assert units[bench.controls["vehicle"].dropdown] == ""


def test_a_name_follows_its_label():
    label, field = widgets.Label("Rebound: 0 to 24 clicks out"), widgets.IntText()
    box = named(widgets.VBox([Labelled(label, {field: "clicks out"}, [label, field])]))
    names = box.children[-1]
    assert isinstance(names, Names)
    assert (names.controls, names.labels, names.units) == ([field], [label], ["clicks out"])
