"""What a trainee sees of a mystery vehicle, as native HTML in the browser; it knows nothing that is hidden."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from suspension_lab.lab.page import joined


class MysteryScreen(anywidget.AnyWidget):
    """The vehicle's sheet, tests to choose, what they told, a diagnosis, clicks and remedies, and the score.

    Attributes:
        number: of the vehicle.
        card: names and texts of the vehicle's own sheet.
        tests: each with its key, name, minutes and how.
        rows: of the workshop's sheet: test, what, measured, a sound one, tolerance, minutes (empty but for the first).
        minutes: so far.
        causes: keys and texts to choose from.
        adjusters: each with its key, label and most clicks.
        remedies: each with its key, name and minutes.
        diagnosis, clicks, ordered: what is chosen: a key, key -> what was typed, keys.
        asked: what a button asks for, its argument, and a number that counts.
        news: the last thing that happened, which is read out.
        refusal: why something was not done.
        handed_over: nothing can be changed any more.
        result: the score's sentences, the headline first.
        careful: the procedure's steps on this vehicle.
        cautions: shown below.
    """

    _esm = joined("page.js", "mystery_screen.js")
    _css = joined("mystery_screen.css")

    number = traitlets.Int().tag(sync=True)
    card: traitlets.List[Any] = traitlets.List().tag(sync=True)
    tests: traitlets.List[Any] = traitlets.List().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    minutes = traitlets.Int(0).tag(sync=True)
    causes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    adjusters: traitlets.List[Any] = traitlets.List().tag(sync=True)
    remedies: traitlets.List[Any] = traitlets.List().tag(sync=True)
    diagnosis = traitlets.Unicode().tag(sync=True)
    clicks: traitlets.Dict[str, str] = traitlets.Dict().tag(sync=True)
    ordered: traitlets.List[Any] = traitlets.List().tag(sync=True)
    asked = traitlets.List(["", "", 0]).tag(sync=True)
    news = traitlets.Unicode().tag(sync=True)
    refusal = traitlets.Unicode().tag(sync=True)
    handed_over = traitlets.Bool(False).tag(sync=True)
    result: traitlets.List[Any] = traitlets.List().tag(sync=True)
    careful: traitlets.List[Any] = traitlets.List().tag(sync=True)
    cautions: traitlets.List[Any] = traitlets.List().tag(sync=True)
