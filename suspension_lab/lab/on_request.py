"""What takes seconds stands behind a button, so that a page is there at once."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError


def on_request(make: Callable[..., widgets.Widget], *given: Any, **named: Any) -> widgets.Widget:
    """A button that makes something and shows it below itself.

    Args:
        make: makes the widget.
        given, named: go to it.
    """
    button = widgets.Button(description="Work it out (some seconds)", layout=widgets.Layout(width="240px"))
    said = widgets.HTML()
    whole = widgets.VBox([button, said])

    def work(_: widgets.Button) -> None:
        button.disabled = True
        said.value = '<p role="status">It is being worked out.</p>'
        try:
            whole.children = (button, said, make(*given, **named))
            said.value = '<p role="status">Worked out, below.</p>'
        except LabError as error:
            said.value = f'<p role="status">{html.escape(str(error))}</p>'
        button.disabled = False

    button.on_click(work)
    return whole
