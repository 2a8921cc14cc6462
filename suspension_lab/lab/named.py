"""Names for what a screen reader meets: ipywidgets' own labels are no labels, and its sliders have no place for one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import anywidget
import ipywidgets as widgets
import traitlets
from ipywidgets import widget_serialization

from suspension_lab.lab.page import joined

_Box = TypeVar("_Box", bound=widgets.Box)


class Labelled(widgets.VBox):  # type: ignore[misc]
    """Controls with the label that names them.

    Args:
        label: what it says is their name; it may be shown among the children, or not at all.
        controls: each with the unit of its value, as 'clicks out'; a choice has none.
        children: shown below each other.
        layout: of the box.
    """

    def __init__(
        self,
        label: widgets.Label,
        controls: dict[widgets.Widget, str],
        children: list[widgets.Widget],
        layout: widgets.Layout | None = None,
    ) -> None:
        super().__init__(children, **({} if layout is None else {"layout": layout}))
        self.label, self.controls = label, controls


class Told(widgets.HTML):  # type: ignore[misc]
    """Words that come and go: its place stays, so that a screen reader reads out what is new in it."""


class Names(anywidget.AnyWidget):
    """Gives what is shown beside it names, values in words and a place that is read out; itself it shows nothing.

    Arrow keys and Enter belong to the controls around it: a notebook's own shortcuts are switched off there.

    Attributes:
        controls: what gets names.
        labels: the label of each.
        units: the unit of each.
        told: words that are read out when they change.
    """

    _esm = joined("page.js", "named.js")
    _css = joined("named.css")

    controls = traitlets.List(traitlets.Instance(widgets.Widget)).tag(sync=True, **widget_serialization)
    labels = traitlets.List(traitlets.Instance(widgets.Widget)).tag(sync=True, **widget_serialization)
    units = traitlets.List(traitlets.Unicode()).tag(sync=True)
    told = traitlets.List(traitlets.Instance(widgets.Widget)).tag(sync=True, **widget_serialization)


def named(box: _Box) -> _Box:
    """The same box, with names for all that is labelled in it and a reader's place for all that is told."""
    inside = list(_all_in(box))
    pairs = [(control, each.label, unit) for each in inside if isinstance(each, Labelled)
             for control, unit in each.controls.items()]  # fmt: skip
    names = Names(
        controls=[control for control, _, _ in pairs],
        labels=[label for _, label, _ in pairs],
        units=[unit for _, _, unit in pairs],
        told=[each for each in inside if isinstance(each, Told)],
    )
    box.children = (*box.children, names)
    return box


def _all_in(widget: widgets.Widget) -> Iterator[widgets.Widget]:
    yield widget
    for child in getattr(widget, "children", ()):
        yield from _all_in(child)
