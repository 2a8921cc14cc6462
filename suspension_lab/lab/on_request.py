"""What takes seconds stands behind a button, so that a page is there at once."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.named import Told, named


def on_request(make: Callable[..., widgets.Widget], *given: Any, **options: Any) -> widgets.Widget:
    """A button that makes something and shows it below itself.

    Args:
        make: makes the widget.
        given, options: go to it.
    """
    button = widgets.Button(description="Work it out (up to a minute)", layout=widgets.Layout(width="240px"))
    said = Told()
    above = named(widgets.VBox([button, said]))
    whole = widgets.VBox([above])

    def work(_: widgets.Button) -> None:
        button.disabled = True
        said.value = "<p>It is being worked out.</p>"
        try:
            whole.children = (above, make(*given, **options))
            said.value = "<p>Worked out, below.</p>"
        except LabError as error:
            said.value = f"<p>{html.escape(str(error))}</p>"
        button.disabled = False

    button.on_click(work)
    return whole
