"""The screen of a bench: picture, sentences, table and cautions, sent together."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from suspension_lab.lab.page import joined


class Screen(anywidget.AnyWidget):
    """Shows what a bench hands to it; a change of `serial` is the sign that all of it is new.

    Attributes:
        png: the picture.
        alt: the picture in a sentence, for screen readers.
        picture_width: [screen pixels].
        words: sentences under the picture.
        table: rows of texts, the first the heading.
        table_caption: above the table.
        seldom: what the rows are called that are folded away under the table, until they are asked for.
        cautions: sentences.
        refused: the words say why the present settings could not be run.
        controls: name -> widget whose value the picture depends on.
        shown_for: name -> value that the picture was made for; the browser compares and says when it is out of date.
        player: a widget beside the picture that plays a run, as `Cutaway` does, or none.
        marks: what moves over the picture with the player's moment: for each diagram its box in the picture (left,
            top, width, height as shares), its limits (`x`, `y`), and the player's `columns` that place the mark, the
            upright one times `unit`; with the `look` "line" it is an upright line, placed by one column.
        area: where in the picture a point can be picked: its box (left, top, width, height as shares) and its limits
            (`x`, `y`); empty where nothing can be.
        picked: the point that was picked last, within those limits, and a number that counts the picks.
        room: width there is and device pixels per screen pixel, told by the browser.
        more_coming: a fuller picture of the same settings is being worked out.
        serial: counts the pictures.
    """

    _esm = joined("page.js", "screen.js")
    _css = joined("screen.css")

    png = traitlets.Bytes().tag(sync=True)
    alt = traitlets.Unicode().tag(sync=True)
    picture_width = traitlets.Int(860).tag(sync=True)
    words = traitlets.List(traitlets.Unicode()).tag(sync=True)
    table = traitlets.List(traitlets.List(traitlets.Unicode())).tag(sync=True)
    table_caption = traitlets.Unicode().tag(sync=True)
    seldom = traitlets.List(traitlets.Unicode()).tag(sync=True)
    cautions = traitlets.List(traitlets.Unicode()).tag(sync=True)
    refused = traitlets.Bool(False).tag(sync=True)
    controls = traitlets.Dict(value_trait=traitlets.Instance(Widget)).tag(sync=True, **widget_serialization)
    shown_for = traitlets.Dict().tag(sync=True)
    player = traitlets.Instance(Widget, allow_none=True).tag(sync=True, **widget_serialization)
    marks: traitlets.List[Any] = traitlets.List().tag(sync=True)
    area: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    picked = traitlets.List([0.0, 0.0, 0]).tag(sync=True)
    room = traitlets.List([860, 1.0]).tag(sync=True)
    more_coming = traitlets.Bool(False).tag(sync=True)
    serial = traitlets.Int(0).tag(sync=True)
