"""A count of seconds, seen and heard, by which a hand learns how long half a second is."""

from __future__ import annotations

import anywidget
import traitlets

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.lab.page import joined

COUNTS = {"whole": "whole seconds", "half": "half seconds"}
SOUNDS = {"voice": "voice", "click": "click", "silent": "silent"}


class Metronome(anywidget.AnyWidget):
    """Counts in the browser: by its voice, or clicks where it has none, and always in large figures.

    The first beat is nought, so that the figure shown is the number of seconds gone by.

    Attributes:
        count: "whole" or "half" seconds.
        sound: "voice", "click" or "silent".
        counts, sounds: each with its words.
    """

    _esm = joined("page.js", "metronome.js")
    _css = joined("metronome.css")

    count = traitlets.Unicode("whole").tag(sync=True)
    sound = traitlets.Unicode("voice").tag(sync=True)
    counts = traitlets.Dict(COUNTS).tag(sync=True)
    sounds = traitlets.Dict(SOUNDS).tag(sync=True)


def metronome(count: str = "whole", sound: str = "voice") -> Metronome:
    """Count seconds aloud: "one, two, three", or "one, and, two, and".

    Args:
        count: "whole" or "half" seconds at first.
        sound: "voice", "click" or "silent" at first.

    Raises:
        LabError: another word.
    """
    for name, given, known in (("count", count, COUNTS), ("sound", sound, SOUNDS)):
        if given not in known:
            raise LabError(f"The metronome's {name} is {shown(given)}; {nearest_name(str(given), known)}")
    return Metronome(count=count, sound=sound)
