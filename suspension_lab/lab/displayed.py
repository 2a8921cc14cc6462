"""What a notebook shows of an object: its widget."""

from __future__ import annotations

import ipywidgets as widgets


class Displayed:
    """Shown by a notebook as its `widget`."""

    widget: widgets.Widget

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.widget)
