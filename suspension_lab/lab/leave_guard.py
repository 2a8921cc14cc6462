"""Marks a page whose answers are not written, so that the class view asks before it is left; it shows nothing."""

from __future__ import annotations

import anywidget
import traitlets

from suspension_lab.lab.page import joined


class LeaveGuard(anywidget.AnyWidget):
    """A mark for the class view's own script; JupyterLab keeps a page's Python when it is left, and asks nothing.

    Attributes:
        unwritten: there is something that leaving would lose.
    """

    _esm = joined("leave_guard.js")

    unwritten = traitlets.Bool(False).tag(sync=True)
