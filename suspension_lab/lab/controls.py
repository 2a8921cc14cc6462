"""Controls of a bench: a slider with a number that can be typed, and a choice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.named import Labelled, Told

WIDTH = "312px"


class NumberControl:
    """A whole number by slider or typed, with its unit and range.

    A typed number out of range is not clamped: the control says so and keeps the number it had.

    Args:
        label: in the workshop's words.
        unit: behind the range.
        low, high, value: range and start, whole numbers.
        on_change: called with no argument after the number has changed.
    """

    def __init__(
        self, label: str, unit: str, *, low: int, high: int, value: int, on_change: Callable[[], None]
    ) -> None:
        self.label, self.unit, self._on_change = label, unit, on_change
        self._quiet = False
        self.slider = widgets.IntSlider(
            value=value, min=low, max=high, readout=False, layout=widgets.Layout(width="212px", margin="0")
        )
        self.number = widgets.IntText(value=value, layout=widgets.Layout(width="76px", margin="0 0 0 6px"))
        self.name = widgets.Label(layout=widgets.Layout(width=WIDTH, height="auto"))
        self.note = Told(layout=widgets.Layout(width=WIDTH, margin="0"))
        self.widget = Labelled(
            self.name,
            {self.slider: unit, self.number: unit},
            [self.name, widgets.HBox([self.slider, self.number]), self.note],
            layout=widgets.Layout(margin="0 0 6px 0"),
        )
        self.configure(low=low, high=high, value=value)
        self.slider.observe(self._slid, "value")
        self.number.observe(self._typed, "value")

    @property
    def value(self) -> int:
        """The number in force."""
        return int(self.slider.value)

    @property
    def shown(self) -> Any:
        """What the browser compares with: the slider's value."""
        return self.slider.value

    @property
    def model(self) -> widgets.Widget:
        """The widget whose value the browser watches."""
        return self.slider

    def configure(self, *, low: int, high: int, value: int, absent: str = "") -> None:
        """Take another range and value without a call back.

        Args:
            low, high, value: whole numbers.
            absent: why this control does nothing here; it is then switched off.
        """
        self._quiet = True
        self.slider.min, self.slider.max = min(low, self.slider.min), max(high, self.slider.max)
        self.slider.value = value
        self.slider.min, self.slider.max = low, high
        self.number.value = value
        self._quiet = False
        self.slider.disabled = self.number.disabled = bool(absent)
        span = absent or f"{low} to {high} {self.unit}"
        self.name.value = f"{self.label}: {span}"
        self._say("")

    def set(self, value: Any) -> None:
        """Set the number from code.

        Raises:
            LabError: not a whole number within the range.
        """
        if isinstance(value, bool) or value != int(value) or not self.slider.min <= value <= self.slider.max:
            raise LabError(
                f"{self.label} is {value!r}, where a whole number from {self.slider.min} to {self.slider.max} "
                f"{self.unit} was expected."
            )
        self.slider.value = int(value)

    def _slid(self, change: dict[str, Any]) -> None:
        if self._quiet:
            return
        self._quiet = True
        self.number.value = change["new"]
        self._quiet = False
        self._say("")
        self._on_change()

    def _typed(self, change: dict[str, Any]) -> None:
        if self._quiet or change["new"] == self.slider.value:
            return
        typed = change["new"]
        if self.slider.min <= typed <= self.slider.max:
            self.slider.value = typed
            return
        self._say(
            f"{typed} is not within {self.slider.min} to {self.slider.max} {self.unit}; "
            f"{self.slider.value} stays in force."
        )

    def _say(self, sentence: str) -> None:
        told = f'<span style="font-weight:600;line-height:1.3">{sentence}</span>'
        self.note.value = told if sentence else ""


class ChoiceControl:
    """One of several named things.

    Args:
        label: in the workshop's words.
        options: shown text -> value.
        value: at the start.
        on_change: called with no argument after the choice has changed.
    """

    def __init__(self, label: str, options: Mapping[str, str], *, value: str, on_change: Callable[[], None]) -> None:
        self.label = label
        self.dropdown = widgets.Dropdown(
            options=list(options.items()), value=value, layout=widgets.Layout(width="294px", margin="0")
        )
        name = widgets.Label(label, layout=widgets.Layout(width=WIDTH, height="auto"))
        self.widget = Labelled(
            name, {self.dropdown: ""}, [name, self.dropdown], layout=widgets.Layout(margin="0 0 6px 0")
        )
        self.dropdown.observe(lambda _: on_change(), "value")

    @property
    def value(self) -> str:
        """The choice in force."""
        return str(self.dropdown.value)

    @property
    def shown(self) -> Any:
        """What the browser compares with: the place in the list."""
        return self.dropdown.index

    @property
    def model(self) -> widgets.Widget:
        """The widget whose value the browser watches."""
        return self.dropdown

    def offer(self, options: Mapping[str, str]) -> None:
        """Offer other options; the choice stays if it is still among them, and is the first otherwise."""
        offered = tuple(options.items())
        if offered == tuple(self.dropdown.options):
            return
        before = self.dropdown.value
        self.dropdown.options = offered
        if before in options.values():
            self.dropdown.value = before

    def set(self, value: Any) -> None:
        """Set the choice from code.

        Raises:
            LabError: not one of the options.
        """
        known = [option for _, option in self.dropdown.options]
        if value not in known:
            raise LabError(f"{self.label} is {value!r}, where one of {', '.join(known)} was expected.")
        self.dropdown.value = value


def beside(rows: list[widgets.Widget], moved: widgets.DOMWidget) -> widgets.HBox:
    """Controls at the left of what they move; where that has no room, above it, in as many columns as fit.

    Args:
        rows: controls, buttons and sentences, from the top.
        moved: what follows them.
    """
    for each in rows:
        if isinstance(each, widgets.HTML):
            each.layout.flex = "1 0 100%"
    left = widgets.VBox(rows, layout=widgets.Layout(
        flex="1 0 316px", flex_flow="row wrap", align_content="flex-start", align_items="flex-start",
    ))  # fmt: skip
    left.add_class("bench-controls")
    # It takes what is left over, so that the controls only grow where they stand in a line of their own.
    moved.layout = widgets.Layout(flex="999 1 560px", min_width="0")
    return widgets.HBox([left, moved], layout=widgets.Layout(width="100%", flex_flow="row wrap"))
