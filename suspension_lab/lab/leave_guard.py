"""Asks before a page is left whose answers are not written; itself it shows nothing."""

from __future__ import annotations

import anywidget
import traitlets

from suspension_lab.lab.page import joined


class LeaveGuard(anywidget.AnyWidget):
    """The browser's own question when a page of the class view is left, reloaded or closed.

    Attributes:
        unwritten: there is something that leaving would lose.
    """

    _esm = joined("leave_guard.js")

    unwritten = traitlets.Bool(False).tag(sync=True)
